"""Twenty phones at once: flowers kept through the real server, each phone on one connection.

    python -m tests.speed.writers [--phones 20] [--seconds 10]
    .ci/with-postgresql python -m tests.speed.writers

A garden is made in a folder of its own, with plants and enough printed tags; then `manage.py start`
serves it on loopback, and every phone posts one flower after the other, as a signed-in person with
csrf token and entry. Goals on two idle cores: at least 150 posts a second, p95 at most 150 ms, no
error and nothing 'locked'. The server's own processor time a post is printed as well: on a busy
machine it is what can be compared. As in life, a phone stays with a pair for some flowers. At the
end the flowers in the database are counted: each acknowledged post has to be one of them. At most
20 seconds; phones and server share the machine's cores.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import statistics
import tempfile
import threading
import time
import uuid
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from tests.speed.archive import PASSWORD, name_of, open_folder
from tests.speed.start import family, started

if TYPE_CHECKING:
    from garden.models import Person

MOST_SECONDS, MOST_P95, LEAST_RATE = 20, 150.0, 150.0
PLANTS, SHEETS, FLOWERS_OF_A_PAIR = 60, 4, 5


@dataclass
class Told:
    """What the phones saw."""

    times: list[float] = field(default_factory=list)
    answers: Counter[str] = field(default_factory=Counter)


def prepare(folder: Path, phones: int) -> tuple[list[str], list[str], list[int]]:
    """Plants, tags and one session a phone: (session keys, tag codes, keys of plants)."""
    open_folder(str(folder))
    from breeding.models import Tag
    from breeding.records import print_tags
    from garden.models import Person
    from garden.records import add_plant
    from garden.verbs import Act

    owner = Person.objects.create_user("Wanda", PASSWORD, role="owner")
    plants = [add_plant(Act(owner), name=name_of(at)).thing.pk for at in range(PLANTS)]
    for _ in range(SHEETS):
        print_tags(Act(owner), count=2_000)
    sessions = [session_of(owner) for _ in range(phones)]
    return sessions, list(Tag.objects.values_list("code", flat=True)), plants


def session_of(person: Person) -> str:
    """The key of a session in which somebody is signed in."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    return session.session_key


class Phone(threading.Thread):
    """One person's phone: keeps flowers as fast as the server answers."""

    def __init__(self, port: int, session: str, tags: Tags, plants: list[int]) -> None:
        super().__init__()
        self.door = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        self.cookie, self.tags, self.plants = f"haftbook={session}", tags, plants
        self.chance = random.Random(session)
        self.told, self.until, self.pair = Told(), 0.0, plants[:2]
        self.door.request("GET", "/new-cross/", headers={"Cookie": self.cookie})
        page = self.door.getresponse()
        page.read()
        self.token = (page.headers["Set-Cookie"] or "").partition("csrftoken=")[2].partition(";")[0]

    def run(self) -> None:
        while time.perf_counter() < self.until and (tag := next(self.tags, "")):
            began = time.perf_counter()
            answer = self._keep(tag)
            self.told.times.append((time.perf_counter() - began) * 1000)
            self.told.answers[answer] += 1

    def _keep(self, tag: str) -> str:
        if not self.told.times or self.chance.random() < 1 / FLOWERS_OF_A_PAIR:
            self.pair = self.chance.sample(self.plants, 2)
        seed, pollen = self.pair
        body = urlencode({"entry": uuid.uuid4(), "seed": seed, "pollen": pollen, "tag": tag,
                          "stigmas": 3})  # fmt: skip
        headers = {
            "Cookie": f"{self.cookie}; csrftoken={self.token}",
            "X-CSRFToken": self.token,
            "Content-Type": "application/x-www-form-urlencoded",
        }
        try:
            self.door.request("POST", "/new-cross/", body, headers)
            answer = self.door.getresponse()
            answer.read()
        except OSError as error:
            self.door.close()
            return type(error).__name__
        return str(answer.status)


class Tags:
    """The printed tags, each handed out once whoever asks."""

    def __init__(self, codes: list[str]) -> None:
        self.codes, self.lock = iter(codes), threading.Lock()

    def __next__(self) -> str:
        with self.lock:
            return next(self.codes)


def load(
    port: int, sessions: list[str], codes: list[str], plants: list[int], seconds: float
) -> Told:
    """All phones at once for so many seconds."""
    tags = Tags(codes)
    phones = [Phone(port, session, tags, plants) for session in sessions]
    for phone in phones:
        phone.until = time.perf_counter() + seconds
        phone.start()
    for phone in phones:
        phone.join()
        phone.door.close()
    whole = Told()
    for phone in phones:
        whole.times += phone.told.times
        whole.answers += phone.told.answers
    return whole


def processor_seconds(pid: int) -> float:
    """What a server and its workers have used of the processors so far."""
    ticks = 0
    for each in family(pid):
        parts = Path(f"/proc/{each}/stat").read_text().rpartition(")")[2].split()
        ticks += int(parts[11]) + int(parts[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--phones", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=10)
    asked = parser.parse_args()
    seconds = min(asked.seconds, MOST_SECONDS)
    with tempfile.TemporaryDirectory(prefix="haftbook-speed-") as made:
        folder = Path(made)
        sessions, codes, plants = prepare(folder, asked.phones)
        with started(folder) as (pid, port, _):
            warm = load(port, sessions[:1], codes[:20], plants, 1)
            began, worked = time.perf_counter(), processor_seconds(pid)
            told = load(port, sessions, codes[20:], plants, seconds)
            taken, worked = time.perf_counter() - began, processor_seconds(pid) - worked
        from django.db import connection

        from breeding.models import Pollination

        kept, said = Pollination.objects.count() - len(warm.times), (folder / "stderr").read_text()
    rate, times = len(told.times) / taken, sorted(told.times)
    p95 = times[int(len(times) * 0.95)]
    flags = ["slow"] * (p95 > MOST_P95) + ["few"] * (rate < LEAST_RATE)
    print(f"{connection.vendor}: {asked.phones} phones, {taken:.1f} s: {rate:.0f} posts/s, median "
          f"{statistics.median(times):.0f} ms, p95 {p95:.0f} ms, longest {times[-1]:.0f} ms "
          f"{' '.join(flags)}")  # fmt: skip
    print(f"the server's processor time: {worked / len(times) * 1000:.1f} ms a post, "
          f"busy {worked / taken:.0%} of one core")  # fmt: skip
    print(f"answers {dict(told.answers)}; flowers kept {kept}; 'locked' {said.count('locked')}")
    if kept != told.answers["303"] or set(told.answers) != {"303"}:
        print("FLAG: not every post was acknowledged and kept once")


if __name__ == "__main__":
    main()
