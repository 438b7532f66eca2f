"""Putting a backup in a garden's place: equal afterwards, and never half."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from garden.backup import BackupRefused, compare, make, put_in_place, record, shelve, verify
from garden.backup.making import photo_names
from garden.backup.plain import DATABASE
from garden.backup.restoring import photo_faults
from tests.backupcast import (
    MIGRATIONS,
    NOON,
    connected,
    contents,
    lay_out,
    put_photo,
    rows,
    source_of,
)

ROOT = Path(__file__).resolve().parents[2]
# A restore that kills itself at the given call of the operating system.
KILLED = """
import os, signal, sys
from pathlib import Path
from garden.backup import put_in_place, shelve, verify
backup, data, room, name, nth = *map(Path, sys.argv[1:4]), sys.argv[4], int(sys.argv[5])
calls, true = [0], getattr(os, name)
def counted(*given, **more):
    calls[0] += 1
    if calls[0] == nth:
        os.kill(os.getpid(), signal.SIGKILL)
    return true(*given, **more)
setattr(os, name, counted)
verify(backup, room)
shelve(backup, data / "photos", room)
put_in_place(room / "haftbook.sqlite3", data / "haftbook.sqlite3", data / "aside")
"""


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    lay_out(tmp_path / "old", lines=40, photos=2)
    make(tmp_path / "one.zip", source_of(tmp_path / "old"), NOON)
    return tmp_path / "one.zip"


def restored(backup: Path, data: Path) -> list[str]:
    """Restore, and say what differs afterwards."""
    room = backup.parent / "room"
    room.mkdir()
    manifest = verify(backup, room, set(MIGRATIONS)).manifest
    data.mkdir(exist_ok=True)
    shelve(backup, data / "photos", room)
    put_in_place(room / DATABASE, data / DATABASE, data / "aside")
    counts = {name: len(found) for name, found in rows(data / DATABASE).items()}
    return compare(manifest, counts, data / "photos")


def test_restored__is_what_was_backed_up(backup: Path, tmp_path: Path) -> None:
    assert restored(backup, tmp_path / "new") == []
    here, there = rows(tmp_path / "old" / DATABASE), rows(tmp_path / "new" / DATABASE)
    assert there.pop("django_session") == []
    del here["django_session"], here["garden_device"], there["garden_device"]
    assert here == there
    assert contents(tmp_path / "old/photos") == contents(tmp_path / "new/photos")
    assert len(contents(tmp_path / "new/photos")) == 6


def test_restored__over_another_garden_takes_nothing_of_its_journal(
    backup: Path, tmp_path: Path
) -> None:
    lay_out(tmp_path / "new", lines=500, photos=1)
    connection = connected(tmp_path / "new" / DATABASE)
    connection.execute("UPDATE garden_garden SET name = 'Another'")
    connection.close()
    log = tmp_path / "new" / f"{DATABASE}-wal"
    # A log that a killed program left: SQLite would play it into whatever lies beside it.
    keeper = connected(tmp_path / "new" / DATABASE)
    keeper.execute("UPDATE garden_garden SET name = 'Killed'")
    left = log.read_bytes()
    keeper.close()
    log.write_bytes(left)
    assert restored(backup, tmp_path / "new") == []
    assert rows(tmp_path / "new" / DATABASE)["garden_garden"] == [(1, "Garden by the Weir")]
    assert len(contents(tmp_path / "new/photos")) == 9


def test_restored__where_only_a_log_was_left(backup: Path, tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / f"{DATABASE}-wal").write_bytes(b"left over")
    assert restored(backup, tmp_path / "new") == []
    assert (tmp_path / "new/aside" / f"{DATABASE}-wal").read_bytes() == b"left over"


def test_restored__over_a_garden_that_nothing_can_read(backup: Path, tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / DATABASE).write_bytes(b"no database at all" * 500)
    assert record.holds_a_garden(tmp_path / "new" / DATABASE)
    assert restored(backup, tmp_path / "new") == []
    assert (tmp_path / "new/aside" / DATABASE).read_bytes().startswith(b"no database at all")


def test_restored__mends_a_photo_that_was_damaged(backup: Path, tmp_path: Path) -> None:
    shutil.copytree(tmp_path / "old/photos", tmp_path / "new/photos")
    damaged = next((tmp_path / "new/photos").rglob("*-large.jpg"))
    damaged.write_bytes(b"half a pict")
    assert restored(backup, tmp_path / "new") == []
    assert contents(tmp_path / "old/photos") == contents(tmp_path / "new/photos")


def test_restore__waits_for_nobody_who_has_the_database_open(backup: Path, tmp_path: Path) -> None:
    lay_out(tmp_path / "new")
    open_elsewhere = connected(tmp_path / "new" / DATABASE)
    open_elsewhere.execute("SELECT count(*) FROM garden_person").fetchone()
    before = rows(tmp_path / "new" / DATABASE)
    with pytest.raises(BackupRefused, match="Something has the garden's database open"):
        restored(backup, tmp_path / "new")
    assert rows(tmp_path / "new" / DATABASE) == before
    open_elsewhere.close()


@pytest.mark.parametrize(
    ("call", "nth"), [("open", 4), ("replace", 1), ("replace", 3), ("replace", 7), ("fsync", 20)]
)
def test_restore__killed_in_the_middle_leaves_the_old_or_the_new(
    backup: Path, tmp_path: Path, call: str, nth: int
) -> None:
    new, room = tmp_path / "new", tmp_path / "room"
    lay_out(new, lines=7, photos=1)
    room.mkdir()
    before = rows(new / DATABASE)
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(backup), str(new), str(room), call, str(nth)],
        cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)}, check=False,
    )  # fmt: skip
    assert done.returncode == -signal.SIGKILL, "it was not killed, so this shows nothing"
    after = rows(new / DATABASE)
    assert record.faults(new / DATABASE) == []
    assert after == before or len(after["garden_journalline"]) == 40
    digests = [digest for _, digest in after["garden_photo"]]
    assert digests
    assert photo_faults(new / "photos", digests, photo_names) == []


def test_compare__names_what_differs(backup: Path, tmp_path: Path) -> None:
    restored(backup, tmp_path / "new")
    manifest = verify(backup, _room(tmp_path)).manifest
    next((tmp_path / "new/photos").rglob("*-small.jpg")).unlink()
    counts = manifest.counts | {"garden_person": 2}
    wrong = compare(manifest, counts, tmp_path / "new/photos")
    assert wrong[0] == "garden_person: 2 rows in place of 1"
    assert wrong[1].endswith("-small.jpg is not what it was")
    assert len(wrong) == 2


def _room(tmp_path: Path) -> Path:
    (tmp_path / "another").mkdir()
    return tmp_path / "another"


def test_photo_faults__are_missing_and_changed_pictures(tmp_path: Path) -> None:
    whole, changed = (put_photo(tmp_path, content) for content in (b"one", b"two"))
    assert photo_faults(tmp_path, [whole, changed], photo_names) == []
    (tmp_path / changed[:2] / f"{changed}-large.jpg").write_bytes(b"tw0")
    (tmp_path / whole[:2] / f"{whole}-middle.jpg").unlink()
    said = photo_faults(tmp_path, [whole, changed], photo_names)
    assert [each.partition("-")[2] for each in said] == [
        "middle.jpg is missing.", "large.jpg is damaged.",
    ]  # fmt: skip


def test_faults__of_a_sound_database_are_none_and_of_a_damaged_one_are_said(tmp_path: Path) -> None:
    database = lay_out(tmp_path / "data", lines=2000)
    assert record.faults(database) == []
    with sqlite3.connect(database) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")
    connection.close()
    content = bytearray(database.read_bytes())
    content[8192:12288] = os.urandom(4096)
    database.write_bytes(content)
    assert record.faults(database)
