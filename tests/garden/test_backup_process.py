"""Backup, restore and the lock of the data folder, as a person at a terminal meets them."""

from __future__ import annotations

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import urlencode

import pytest
from lxml import html

from garden.backup.plain import DATABASE
from tests.backupcast import contents, rows
from tests.garden.test_start import (
    PATIENCE,
    ROOT,
    Garden,
    free_port,
    run,
    signed_in_as,
    started,
    surroundings,
    visitor,
)

LIVE = """
import django
django.setup()
from django.db import connection
with connection.cursor() as cursor:
    for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "fullfsync"):
        cursor.execute(f"PRAGMA {name}")
        print(name, cursor.fetchone()[0])
"""
ACKNOWLEDGED = 60


def manage(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """One of the garden's commands, in a process of its own."""
    return subprocess.run(
        [sys.executable, "manage.py", *words], cwd=ROOT, env=surroundings(folder), text=True,
        capture_output=True, timeout=PATIENCE, check=False,
    )  # fmt: skip


def refused(folder: Path, *words: str) -> str:
    """The one sentence that a command refuses with."""
    done = manage(folder, *words)
    assert done.returncode != 0
    assert "Traceback" not in done.stderr
    assert done.stderr.startswith("CommandError: ")
    return done.stderr.removeprefix("CommandError: ").strip()


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """An empty garden, open on a port that was free."""
    folder = tmp_path_factory.mktemp("backup") / "data"
    with on_a_free_port(folder, "--empty", "--owner", "Wanda") as garden:
        yield garden


def on_a_free_port(folder: Path, *more: str) -> object:
    port = free_port()
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", port)) != 0, "somebody listens there already"
    return started(folder, "--here-only", "--port", str(port), *more)


@pytest.fixture(scope="module")
def backup(opened: Garden) -> Path:
    """A backup made from the terminal while the garden is open."""
    path = opened.folder.parent / "carried.zip"
    done = manage(opened.folder, "backup", str(path))
    assert (done.returncode, done.stderr) == (0, "")
    assert "Wanda's garden" in done.stdout
    return path


def test_connection__keeps_what_is_acknowledged(opened: Garden) -> None:
    told = dict(line.split() for line in run(opened.folder, LIVE).splitlines())
    assert told == {"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1",
                    "busy_timeout": "20000", "fullfsync": "1"}  # fmt: skip


def test_second_start__is_refused_in_words(opened: Garden) -> None:
    said = refused(opened.folder, "start", "--here-only", "--port", str(free_port()))
    assert re.fullmatch(
        r"This garden is open already \(process \d+\)\. Close it first: Ctrl\+C in its window\.",
        said,
    )
    assert str(opened.process.pid) in said


def test_restore__into_an_open_garden_is_refused(opened: Garden, backup: Path) -> None:
    before = rows(opened.folder / DATABASE)
    assert refused(opened.folder, "restore", str(backup), "--replace").startswith(
        "This garden is open already"
    )
    assert rows(opened.folder / DATABASE) == before


def test_backup__is_not_written_over_a_file(opened: Garden, backup: Path) -> None:
    before = backup.read_bytes()
    assert "is there already. Nothing was changed." in refused(opened.folder, "backup", str(backup))
    assert backup.read_bytes() == before


def test_verify__tells_counts_and_names_what_is_wrong(opened: Garden, backup: Path) -> None:
    done = manage(opened.folder, "verify", str(backup))
    assert done.returncode == 0
    assert re.search(r"^  \d+ plants, \d+ crosses, .* photos; ", done.stdout, re.MULTILINE)
    assert "garden_" not in done.stdout
    every = manage(opened.folder, "verify", str(backup), "--verbosity", "2")
    assert re.search(r"^ +1  garden_person$", every.stdout, re.MULTILINE)
    damaged = backup.with_name("damaged.zip")
    damaged.write_bytes(backup.read_bytes()[:-100])
    assert refused(opened.folder, "verify", str(damaged)) == (
        "damaged.zip cannot be used: it is damaged: its end is missing."
    )


def test_verify__without_a_file_looks_at_the_garden_too(opened: Garden) -> None:
    assert refused(opened.folder, "verify") == "There is no backup yet."
    assert manage(opened.folder, "backup").returncode == 0
    done = manage(opened.folder, "verify")
    assert (done.returncode, done.stderr) == (0, "")
    assert "The garden itself: record, photos and counts hold." in done.stdout


def test_restore__brings_the_garden_to_a_new_computer(
    opened: Garden, backup: Path, tmp_path: Path
) -> None:
    new = tmp_path / "data"
    done = manage(new, "restore", str(backup))
    assert (done.returncode, done.stderr) == (0, "")
    assert re.search(
        r"Restored: \d+ rows in \d+ tables .+ each compared and the same\.", done.stdout
    )
    here, there = rows(opened.folder / DATABASE), rows(new / DATABASE)
    assert there.pop("django_session") == []
    for name in ("django_session", "garden_device"):
        here.pop(name)
        there.pop(name, None)
    assert here == there
    assert len(here) > 30
    with started(new, "--here-only") as garden:
        assert "first start" not in garden.said
        page = signed_in_as(garden, *opened.sign_in)
        assert "Wanda's garden" in page.text_content()


def test_restore__over_a_garden_needs_a_word_and_keeps_what_gives_way(
    opened: Garden, backup: Path, tmp_path: Path
) -> None:
    standing = tmp_path / "data"
    assert manage(standing, "restore", str(backup)).returncode == 0
    with sqlite3.connect(standing / DATABASE) as connection:
        connection.execute("UPDATE garden_garden SET name = 'Garden of later'")
    connection.close()
    before = contents(standing)
    assert refused(standing, "restore", str(backup)).startswith("A garden stands here already.")
    damaged = tmp_path / "damaged.zip"
    damaged.write_bytes(backup.read_bytes()[:-100])
    assert "cannot be used" in refused(standing, "restore", str(damaged), "--replace")
    assert contents(standing) == before
    done = manage(standing, "restore", str(backup), "--replace")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Garden of later" not in str(rows(standing / DATABASE)["garden_garden"])
    (kept,) = (standing / "backups").glob("*-before-restore.zip")
    assert "Garden of later" in manage(standing, "verify", str(kept)).stdout


def post_beds(garden: Garden, name: str, password: str, acknowledged: list[str]) -> None:
    """Keep one bed after the other until the server is gone; note those that it acknowledged."""
    client, site = visitor(), f"http://127.0.0.1:{garden.port}"

    def send(path: str, **fields: str) -> str:
        with client.open(f"{site}{path}", timeout=20) as page:
            tokens = html.fromstring(page.read()).cssselect("[name=csrfmiddlewaretoken]")
        sent = {"csrfmiddlewaretoken": tokens[0].get("value"), **fields}
        request = urllib.request.Request(
            f"{site}{path}", urlencode(sent).encode(), {"Referer": f"{site}{path}"}
        )
        with client.open(request, timeout=20) as answer:
            return str(answer.url)

    send("/sign-in/", username=name, password=password)
    while True:
        bed = f"Bed {uuid.uuid4().hex[:8]}"
        try:
            at = send("/beds/new/", name=bed, rows="1", positions="9", entry=str(uuid.uuid4()))
        except OSError:
            return
        assert "kept=" in at
        acknowledged.append(bed)


def test_killed_server__has_every_acknowledged_entry(opened: Garden, tmp_path: Path) -> None:
    folder, acknowledged = tmp_path / "data", []
    with on_a_free_port(folder, "--empty", "--owner", "Wanda") as garden:
        assert garden.process.poll() is None
        with ThreadPoolExecutor(3) as phones:
            sent = [
                phones.submit(post_beds, garden, *garden.sign_in, acknowledged) for _ in range(3)
            ]
            until = time.monotonic() + PATIENCE
            while len(acknowledged) < ACKNOWLEDGED and time.monotonic() < until:
                time.sleep(0.005)
            os.kill(garden.process.pid, signal.SIGKILL)
            for each in sent:
                each.result(PATIENCE)
        assert garden.process.wait(10) == -signal.SIGKILL
    assert len(acknowledged) >= ACKNOWLEDGED
    there = {row[0] for row in names_of_beds(folder)}
    assert set(acknowledged) - there == set()
    # What was on its way when the server was killed: one entry a phone at most.
    assert len(there - set(acknowledged)) <= 3
    # The lock went with the process that was killed; nothing goes on serving without it.
    with on_a_free_port(folder) as again:
        assert "Wanda's garden" in signed_in_as(again, *again.sign_in).text_content()


def names_of_beds(folder: Path) -> list[tuple[str]]:
    with sqlite3.connect(folder / DATABASE) as connection:
        found = connection.execute("SELECT name FROM garden_bed").fetchall()
    connection.close()
    return found
