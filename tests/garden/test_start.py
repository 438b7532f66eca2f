"""`manage.py start` as its own process: what it prints, what lies in the folder, how it ends."""

from __future__ import annotations

import http.cookiejar
import os
import pty
import re
import shutil
import signal
import socket
import sqlite3
import stat
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from lxml import html

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 300
# Far above what a start takes, far below what loading a garden would.
QUICK = 8
SIGN_IN = re.compile(r"Sign in as (.+) with the password (\S+)")
# Plots, numbers, PDF, graphs, calendars and photos: loaded when somebody first asks for one.
UNNEEDED = ("matplotlib", "numpy", "scipy", "networkx", "reportlab", "icalendar",
            "PIL", "pillow_heif")  # fmt: skip
# What one door costs, told by the server's own code in a process of its own.
ONE_REQUEST = """
import sys
from wsgiref.util import setup_testing_defaults
from garden.wsgi import application
asked = {"PATH_INFO": "/sign-in/", "HTTP_HOST": "localhost"}
setup_testing_defaults(asked)
said = []
page = b"".join(application(asked, lambda status, headers: said.append(status)))
print(said[0], len(page), *sorted({name.partition(".")[0] for name in sys.modules}))
"""
REAL_FILE = """
import sqlite3, django
django.setup()
from django.db import connection, transaction
with connection.cursor() as cursor:
    for name in ("journal_mode", "synchronous"):
        cursor.execute(f"PRAGMA {name}")
        print(name, cursor.fetchone()[0])
with transaction.atomic():
    other = sqlite3.connect(connection.settings_dict["NAME"], timeout=0)
    try:
        other.execute("BEGIN IMMEDIATE")
        print("lock free")
    except sqlite3.OperationalError as error:
        print("lock", error)
    other.close()
"""


@dataclass
class Garden:
    """A started server."""

    process: subprocess.Popen[bytes]
    folder: Path
    output: Path
    port: int = 0
    seconds: float = 0.0

    @property
    def said(self) -> str:
        return self.output.read_text(encoding="utf-8")

    @property
    def sign_in(self) -> tuple[str, str]:
        found = SIGN_IN.search(self.said)
        assert found, self.said
        return found[1], found[2]

    def wait(self, began: float) -> None:
        """Until the door answers; the port is the one that it printed."""
        while time.monotonic() < began + PATIENCE:
            assert self.process.poll() is None, self.said
            if found := re.search(r"http://127\.0\.0\.1:(\d+)/", self.said):
                self.port = int(found[1])
                with suppress(OSError):
                    visitor().open(f"http://127.0.0.1:{self.port}/sign-in/", timeout=5).close()
                    self.seconds = time.monotonic() - began
                    return
            time.sleep(0.02)
        raise AssertionError(f"nothing answered: {self.said}")

    def end(self) -> int:
        """Ask this process, and no other, to stop; its exit code."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(15)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            raise


def visitor() -> urllib.request.OpenerDirector:
    """A browser of its own, which asks nobody on the way."""
    jar = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    return urllib.request.build_opener(urllib.request.ProxyHandler({}), jar)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def surroundings(folder: Path) -> dict[str, str]:
    """The environment of somebody who has just opened a terminal, and the data folder."""
    mine = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    return mine | {"HAFTBOOK_DATA": str(folder)}


@contextmanager
def started(folder: Path, *more: str, stdin: int = subprocess.DEVNULL) -> Iterator[Garden]:
    """`manage.py start` on this data folder, ended again afterwards."""
    output = folder.parent / f"said-{time.monotonic_ns()}"
    command = [sys.executable, "manage.py", "start", *more]
    if "--port" not in more:
        command += ["--port", str(free_port())]
    began = time.monotonic()
    with output.open("wb") as out:
        process = subprocess.Popen(
            command, cwd=ROOT, env=surroundings(folder), stdin=stdin, stdout=out, stderr=out,
            start_new_session=True,
        )  # fmt: skip
    garden = Garden(process, folder, output)
    try:
        garden.wait(began)
        yield garden
    finally:
        garden.end()


def signed_in_as(garden: Garden, name: str, password: str) -> html.HtmlElement:
    """The page that opens to somebody who signs in by the form on the door."""
    client, site = visitor(), f"http://127.0.0.1:{garden.port}"
    with client.open(f"{site}/sign-in/", timeout=20) as door:
        token = html.fromstring(door.read()).cssselect("[name=csrfmiddlewaretoken]")[0]
    sent = {"username": name, "password": password, "csrfmiddlewaretoken": token.get("value")}
    request = urllib.request.Request(
        f"{site}/sign-in/", urlencode(sent).encode(), {"Referer": f"{site}/sign-in/"}
    )
    with client.open(request, timeout=20) as answer:
        assert answer.url == f"{site}/"
        return html.fromstring(answer.read())


def run(folder: Path, code: str) -> str:
    """What a few lines print that run with the garden's own settings."""
    environment = surroundings(folder) | {"DJANGO_SETTINGS_MODULE": "garden.settings"}
    return subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=environment, check=True, text=True,
        stdout=subprocess.PIPE, timeout=PATIENCE,
    ).stdout  # fmt: skip


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """The first start of an empty garden, open to the home network."""
    folder = tmp_path_factory.mktemp("start") / "data"
    with started(folder, "--empty", "--owner", "Wanda") as garden:
        yield garden


def twin(first: Garden, name: str) -> Path:
    """Another folder with all that lies in the first one; nobody writes there meanwhile."""
    folder = first.folder.parent / name / "data"
    shutil.copytree(first.folder, folder, ignore=shutil.ignore_patterns("*.lock"))
    return folder


@pytest.fixture(scope="module")
def second(first: Garden) -> Iterator[Garden]:
    """A later start of such a garden, on a terminal, wishing for a port that is taken."""
    ours, theirs = pty.openpty()
    wished = ("--here-only", "--port", str(first.port))
    try:
        with started(twin(first, "second"), *wished, stdin=theirs) as garden:
            yield garden
    finally:
        os.close(theirs)
        os.close(ours)


def test_first_start__prints_both_addresses_and_the_sign_in(first: Garden) -> None:
    assert f"http://127.0.0.1:{first.port}/" in first.said
    phone = re.search(r"On a phone on the same network: +http://[\d.]+:(\d+)/", first.said)
    if phone is None:
        assert "No network found" in first.said
    else:
        assert int(phone[1]) == first.port
    assert first.sign_in[0] == "Wanda"
    assert str(first.folder) in first.said


def test_first_start__opens_to_the_sign_in_that_it_printed(first: Garden) -> None:
    page = signed_in_as(first, *first.sign_in)
    assert "Wanda's garden" in page.text_content()
    assert page.cssselect("a[href='/new-cross/']")


def test_first_start__opens_to_no_other_password(first: Garden) -> None:
    with pytest.raises(AssertionError):
        signed_in_as(first, "Wanda", first.sign_in[1] + "x")


def test_folder__is_closed_to_everybody_else(first: Garden) -> None:
    def mode(path: Path) -> int:
        return stat.S_IMODE(path.stat().st_mode)

    assert mode(first.folder) == 0o700
    secrets = [first.folder / name for name in ("secret-key", "first-sign-in.txt")]
    assert [mode(path) for path in secrets] == [0o600, 0o600]
    assert first.sign_in[1] in secrets[1].read_text()


def test_database__keeps_what_is_acknowledged(first: Garden) -> None:
    with sqlite3.connect(first.folder / "haftbook.sqlite3") as plain:
        assert plain.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    plain.close()
    told = run(first.folder, REAL_FILE).splitlines()
    assert told == ["journal_mode wal", "synchronous 2", "lock database is locked"]


def test_door__loads_no_plots_nor_numbers(first: Garden) -> None:
    status, _, length, *loaded = run(first.folder, ONE_REQUEST).split()
    assert (status, int(length) > 500) == ("200", True)
    assert {"django", "garden", "breeding"} <= set(loaded)
    assert set(UNNEEDED) & set(loaded) == set()


def test_second_start__takes_the_next_free_port(first: Garden, second: Garden) -> None:
    assert first.port < second.port < first.port + 20


def test_second_start__neither_asks_nor_loads_and_is_quick(first: Garden, second: Garden) -> None:
    assert "first start" not in second.said
    assert "Loading" not in second.said
    assert second.sign_in == first.sign_in
    assert second.seconds < QUICK


def test_here_only__is_heard_on_this_computer_alone(second: Garden) -> None:
    assert "On a phone" not in second.said
    listening = subprocess_sockets(second.port)
    assert listening == {"127.0.0.1"}


def subprocess_sockets(port: int) -> set[str]:
    """IPv4 addresses of this computer on which something listens at a port."""
    rows = [line.split() for line in Path("/proc/net/tcp").read_text().splitlines()[1:]]
    heard = [row[1].split(":") for row in rows if row[3] == "0A"]
    return {
        socket.inet_ntoa(int(address, 16).to_bytes(4, sys.byteorder))
        for address, at in heard
        if int(at, 16) == port
    }


@pytest.mark.parametrize("sent", [signal.SIGTERM, signal.SIGINT])
def test_signal__ends_it_with_nothing_left_listening(first: Garden, sent: signal.Signals) -> None:
    with started(twin(first, sent.name), "--here-only") as garden:
        garden.process.send_signal(sent)
        assert garden.process.wait(15) in (0, -sent)
        deadline = time.monotonic() + 5
        while subprocess_sockets(garden.port) and time.monotonic() < deadline:
            time.sleep(0.05)
        assert subprocess_sockets(garden.port) == set()
        with pytest.raises(urllib.error.URLError):
            visitor().open(f"http://127.0.0.1:{garden.port}/", timeout=2)
        assert "Traceback" not in garden.said


def test_first_start__asks_on_a_terminal(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    os.write(ours, b"2\nTilda\n")
    try:
        with started(tmp_path / "data", "--here-only", stdin=theirs) as garden:
            assert "This is the first start" in garden.said
            assert garden.sign_in[0] == "Tilda"
            assert "Tilda's garden" in signed_in_as(garden, *garden.sign_in).text_content()
    finally:
        os.close(theirs)
        os.close(ours)


@pytest.mark.whole
def test_first_start__without_a_terminal_opens_the_demo_garden(tmp_path: Path) -> None:
    with started(tmp_path / "data", "--here-only") as garden:
        assert "first start" not in garden.said
        crosses: Any = re.search(r"(\d+) crosses", garden.said)
        assert int(crosses[1]) >= 300
        page = signed_in_as(garden, *garden.sign_in)
        assert "Garden behind the Waterworks" in page.text_content()
        assert page.cssselect("main a[href^='/']")
