"""Twenty phones at once before real servers: nothing lost, nothing doubled, no sum wrong.

On SQLite one server, since one process has the garden open; on PostgreSQL two on one database, as
in a club. The servers' ports are free beforehand, and only they know the phones' sessions.
"""

from __future__ import annotations

import http.client
import json
import os
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

import pytest

from tests.speed.start import ROOT, started

PHONES, TURNS, MOST_SECONDS = 20, 5, 15
# Every so many turns a phone hears no answer and sends the same once more, meanwhile.
TWICE = 3


@pytest.fixture
def garden_of_its_own() -> Iterator[dict[str, str]]:
    """The setting of an empty garden: a folder's own file, or a new database on the server."""
    address = os.environ.get("HAFTBOOK_DATABASE", "")
    if not address:
        yield {}
        return
    import psycopg

    name = f"writers_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name} TEMPLATE template0")
        yield {"HAFTBOOK_DATABASE": urlsplit(address)._replace(path=f"/{name}").geturl()}
        server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def told(folder: Path, setting: dict[str, str], what: str, *more: int) -> Any:
    command = [sys.executable, "-m", "tests.breeding.writing_garden", what, str(folder)]
    said = subprocess.run(
        [*command, *map(str, more)],
        cwd=ROOT,
        env=os.environ | setting,
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(said.stdout.splitlines()[-1])


class Phone(threading.Thread):
    """Works a flower and harvests it, again and again, among the same few crosses."""

    def __init__(self, ports: list[int], session: str, codes: list[str], pairs: list[Any]) -> None:
        super().__init__()
        self.doors = [http.client.HTTPConnection("127.0.0.1", port, timeout=30) for port in ports]
        self.codes, self.pairs = codes, pairs
        self.entries: list[str] = []
        self.answers: list[int | str] = []
        self.repeats = 0
        cookie = f"haftbook={session}"
        self.doors[0].request("GET", "/new-cross/", headers={"Cookie": cookie})
        page = self.doors[0].getresponse()
        page.read()
        token = (page.headers["Set-Cookie"] or "").partition("csrftoken=")[2].partition(";")[0]
        self.headers = {
            "Cookie": f"{cookie}; csrftoken={token}",
            "X-CSRFToken": token,
            "Content-Type": "application/x-www-form-urlencoded",
        }

    def run(self) -> None:
        until = time.monotonic() + MOST_SECONDS
        for turn, code in enumerate(self.codes):
            if time.monotonic() > until:
                return
            pair = self.pairs[turn % len(self.pairs)]
            worked = {"seed": pair["seed"], "pollen": pair["pollen"], "tag": code, "stigmas": 3}
            self.keep("/new-cross/", worked, twice=turn % TWICE == 0)
            self.keep(f"/tags/{code}/harvest/", {"seeds": 7 + turn, "cup": pair["cup"]}, False)

    def keep(self, path: str, values: dict[str, Any], twice: bool) -> None:
        entry = str(uuid.uuid4())
        body = urlencode({"entry": entry, **values})
        first, second = self.doors[0], self.doors[-1]
        if twice:
            first.request("POST", path, body, self.headers)
            if second is first:
                second = http.client.HTTPConnection("127.0.0.1", first.port, timeout=30)
            second.request("POST", path, body, self.headers)
            self.hear(second)
            self.repeats += 1
        else:
            first.request("POST", path, body, self.headers)
        self.hear(first)
        if second not in self.doors:
            second.close()
        self.doors.reverse()
        self.entries.append(entry)

    def hear(self, door: http.client.HTTPConnection) -> None:
        answer = door.getresponse()
        answer.read()
        self.answers.append(answer.status)


@pytest.mark.keeping
def test_twenty_phones__each_entry_once_and_every_sum_right(
    garden_of_its_own: dict[str, str], tmp_path: Path
) -> None:
    homes = [tmp_path / str(at) for at in range(2 if garden_of_its_own else 1)]
    for home in homes:
        home.mkdir()
    ready = told(homes[0], garden_of_its_own, "prepare", PHONES, PHONES * TURNS)
    # Sessions are signed by the garden's secret, which lies in the folder.
    for home in homes[1:]:
        (home / "secret-key").write_text((homes[0] / "secret-key").read_text())
    with ExitStack() as servers:
        ports = [servers.enter_context(started(home, **garden_of_its_own))[1] for home in homes]
        phones = [
            Phone(ports, session, ready["codes"][at::PHONES], ready["pairs"])
            for at, session in enumerate(ready["sessions"])
        ]
        for phone in phones:
            phone.start()
        for phone in phones:
            phone.join()
        for phone in phones:
            for door in phone.doors:
                door.close()
    said = "".join((home / "stderr").read_text() for home in homes)
    assert "locked" not in said
    assert "Traceback" not in said
    entries = [entry for phone in phones for entry in phone.entries]
    answers = [answer for phone in phones for answer in phone.answers]
    repeats = sum(phone.repeats for phone in phones)
    assert set(answers) == {303}
    assert repeats >= PHONES
    assert len(entries) >= 4 * PHONES
    assert len(answers) == len(entries) + repeats
    found = told(homes[0], garden_of_its_own, "facts")
    assert found["kept"] == found["true"]
    assert len(found["entries"]) == len(set(found["entries"]))
    assert set(entries) <= set(found["entries"])
    flowers = sum(each["flowers"] for each in found["true"].values() if isinstance(each, dict))
    assert flowers == len(ready["pairs"]) + len(entries) // 2
