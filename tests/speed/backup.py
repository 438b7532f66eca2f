"""A backup of a large garden while somebody writes: how long it takes, how long the writer waits.

    python -m tests.speed.backup [--mb 200] [--share 0.85] [--folder DATA]

A garden of so many MB is made in a folder of its own, `--share` of it photos and the rest journal;
then a backup is made three times while another process keeps an entry every 3 ms, durably, as a
phone's tap would. Goals on two idle cores: at most 3 s, no entry waits more than 200 ms, none is
refused. The copy of the database alone, and the writer's longest wait with no backup going on, are
printed for comparison: on a busy machine the ratio to these is what can be compared.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import shutil
import sqlite3
import tempfile
import time
from multiprocessing.synchronize import Event
from pathlib import Path

from garden.backup import make, record, verify
from garden.backup.plain import DATABASE
from tests.backupcast import NOON, connected, lay_out, put_photo, source_of

MOST_SECONDS, MOST_STALL, TIMES, EVERY = 3.0, 200.0, 3, 0.003
PHOTO = 500_000


def fill(folder: Path, mb: int, share: float) -> None:
    """Photos, then lines of a journal until the database is as large as it should be."""
    chance = random.Random(1)
    words = ["".join(chance.choices("abcdefghijklmnopqrstuvwxyz", k=6)) for _ in range(3000)]
    database = lay_out(folder, lines=0, photos=0)
    for _ in range(int(mb * 1e6 * share / PHOTO / 1.003)):
        put_photo(folder / "photos", chance.randbytes(PHOTO))
    connection, wanted = connected(database), mb * 1e6 * (1 - share)
    connection.execute("CREATE INDEX line_text ON garden_journalline (text)")
    while record_size(connection) < wanted:
        connection.execute("BEGIN")
        connection.executemany(
            "INSERT INTO garden_journalline (text, person_id) VALUES (?, 1)",
            [[" ".join(chance.choices(words, k=9))] for _ in range(20_000)],
        )
        connection.execute("COMMIT")
    connection.close()


def record_size(connection: sqlite3.Connection) -> int:
    pages = connection.execute("PRAGMA page_count").fetchone()[0]
    return int(pages * connection.execute("PRAGMA page_size").fetchone()[0])


def write(database: Path, stop: Event, told: multiprocessing.Queue[tuple[float, int, int]]) -> None:
    """Keep an entry every 3 ms; (longest wait in ms, entries, refused ones) at the end."""
    connection = connected(database)
    longest, entries, refused = 0.0, 0, 0
    while not stop.is_set():
        began = time.perf_counter()
        try:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute(
                "INSERT INTO garden_journalline (text, person_id) VALUES (?, 1)", [str(began)]
            )
            connection.execute("COMMIT")
        except sqlite3.Error:
            refused += 1
        longest, entries = max(longest, time.perf_counter() - began), entries + 1
        time.sleep(EVERY)
    connection.close()
    told.put((longest * 1000, entries, refused))


class Writing:
    """Somebody who writes in another process as long as this lasts; what they met is in `told`."""

    def __init__(self, database: Path) -> None:
        self.stop, self.answer = multiprocessing.Event(), multiprocessing.Queue()
        self.process = multiprocessing.Process(
            target=write, args=(database, self.stop, self.answer)
        )
        self.told = (0.0, 0, 0)

    def __enter__(self) -> Writing:
        self.process.start()
        time.sleep(0.5)
        return self

    def __exit__(self, *_: object) -> None:
        self.stop.set()
        self.told = self.answer.get(timeout=30)
        self.process.join()


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--mb", type=int, default=200)
    asked.add_argument("--share", type=float, default=0.85)
    asked.add_argument("--folder", type=Path)
    given = asked.parse_args()
    folder = given.folder or Path(tempfile.mkdtemp(prefix="haftbook-backup-"))
    try:
        measure(folder, given.mb, given.share)
    finally:
        if given.folder is None:
            shutil.rmtree(folder)


def measure(folder: Path, mb: int, share: float) -> None:
    database = folder / DATABASE
    if not database.exists():
        fill(folder, mb, share)
    with Writing(database) as idle:
        time.sleep(3)
    print(f"nobody backs up: longest wait of {idle.told[1]} entries {idle.told[0]:.0f} ms")
    with Writing(database) as copying:
        began = time.perf_counter()
        record.copy(database, folder / "copy")
        copied = time.perf_counter() - began
    (folder / "copy").unlink()
    print(f"copy of the database alone: {copied:.2f} s, longest wait {copying.told[0]:.0f} ms")
    for _ in range(TIMES):
        target = folder / "one.zip"
        with Writing(database) as writing:
            began = time.perf_counter()
            manifest = make(target, source_of(folder), NOON)
            seconds = time.perf_counter() - began
        began = time.perf_counter()
        verify(target, Path(tempfile.mkdtemp(dir=folder)))
        longest, entries, refused = writing.told
        slow = "" if seconds <= MOST_SECONDS and longest <= MOST_STALL and not refused else "  FLAG"
        print(
            f"{manifest.size / 1e6:.0f} MB into {target.stat().st_size / 1e6:.0f} MB: "
            f"{seconds:.2f} s ({seconds / copied:.1f} times the copy), longest wait of {entries} "
            f"entries {longest:.0f} ms, {refused} refused; read through in "
            f"{time.perf_counter() - began:.2f} s{slow}"
        )


if __name__ == "__main__":
    main()
