"""A garden that is killed while phones send to it: when to kill it, and what it had taken in.

The garden is `manage.py start`, a process of its own (tests/secured.py). Its journal is read from
the file by a connection that is closed before the next start, so that each start finds the
database as the kill left it.
"""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from tests.browser.fieldphones import FieldPhone
from tests.secured import Secured, listening

PATIENCE = 90
# As long as anything between two entries may take on a machine with other work.
STUCK = 60


@contextmanager
def journal(garden: Secured) -> Iterator[Callable[[], int]]:
    """Asks for the number of the journal's newest line."""
    place = f"file:{garden.folder / 'haftbook.sqlite3'}?mode=ro"
    connection = sqlite3.connect(place, uri=True, timeout=20, isolation_level=None)
    asked = "SELECT coalesce(max(id), 0) FROM garden_journalline"
    try:
        yield lambda: int(connection.execute(asked).fetchone()[0])
    finally:
        connection.close()


@dataclass
class Kills:
    """What the kills met."""

    hit: int = 0
    taken_in: list[int] = field(default_factory=list)
    missed: list[int] = field(default_factory=list)


def hurried(phones: list[FieldPhone], until: Callable[[], bool], within: float) -> None:
    """Wait for something, taking the phones up again every second."""
    end, next_time = time.monotonic() + within, 0.0
    while not until():
        now = time.monotonic()
        assert now < end, [(phone.person, phone.waiting()) for phone in phones]
        if now >= next_time:
            for phone in phones:
                phone.hurry()
            next_time = now + 1
        time.sleep(0.002)


def kill_while_sending(
    garden: Secured,
    phones: list[FieldPhone],
    chance: random.Random,
    kills: Kills,
    mishap: Callable[[], None] | None = None,
) -> None:
    """One kill, a few entries after the phones began to send again; `mishap` right before it."""
    assert garden.process is not None
    assert garden.process.poll() is None
    with journal(garden) as newest:
        before, wanted = newest(), chance.randint(1, 6)
        hurried(phones, lambda: newest() >= before + wanted, STUCK)
        time.sleep(chance.choice((0.0, 0.0, chance.uniform(0, 0.03))))
        if mishap:
            mishap()
        garden.kill()
        taken = newest() - before
    assert not listening(garden.port)
    waiting = sum(phone.waiting() for phone in phones)
    kills.taken_in.append(taken)
    # It met a running replay: some had just gone, others still waited.
    if taken >= wanted and waiting:
        kills.hit += 1
    else:
        kills.missed.append(waiting)


def all_sent(phones: list[FieldPhone]) -> None:
    """Until nothing waits on any phone."""
    hurried(phones, lambda: all(phone.tabs and not phone.waiting() for phone in phones), PATIENCE)
