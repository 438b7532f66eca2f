"""Looking a backup through, and putting it in the place of a garden.

Photos are named by their digest and never changed, so that those of a backup may join the shelf
beforehand; then one rename puts the new record in the place of the old one. Whatever is killed in
the middle leaves the old garden, with some pictures more, or the new one.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import sqlite3
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from garden.backup import record
from garden.backup.disk import appearing, need_room, settle, settle_file
from garden.backup.plain import DATABASE, PHOTO, PIECE, BackupRefused, Manifest
from garden.backup.reading import Backup, opened

BESIDE = ("-wal", "-shm", "-journal")


@dataclass(frozen=True, slots=True)
class Read:
    """A backup that was read through: its file's bytes and what it says of itself, all true."""

    path: Path
    size: int
    manifest: Manifest


@contextlib.contextmanager
def speaking_of(path: Path) -> Iterator[None]:
    """Make what is wrong with a backup a sentence that names its file."""
    try:
        yield
    except BackupRefused as error:
        raise BackupRefused(f"{path.name} cannot be used: {error}.") from None
    except OSError as error:
        raise BackupRefused(f"{path.name} cannot be read: {error.strerror or error}.") from None


def verify(path: Path, room: Path, known: Collection[str] | None = None) -> Read:
    """Read a backup to its last byte and compare all that it says; BackupRefused with a sentence.

    `room` is an empty folder to work in; the database is left in it. With the migrations that this
    Haftbook knows, a backup of a newer one is refused. Nothing but `room` is written to.
    """
    with speaking_of(path), opened(path) as backup:
        _database(backup, room, known)
        for name in backup.manifest.files:
            if name != DATABASE:
                backup.check(name)
        return Read(path, path.stat().st_size, backup.manifest)


def _database(backup: Backup, room: Path, known: Collection[str] | None) -> Path:
    """The backup's database in `room`, checked through and compared with its manifest."""
    manifest = backup.manifest
    need_room(room, manifest.files[DATABASE].size)
    unpacked = room / DATABASE
    backup.unpack(DATABASE, unpacked)
    facts = record.look_into(unpacked)
    if known is not None and (newer := set(facts.migrations) - set(known)):
        raise BackupRefused(
            "it comes from a newer Haftbook, which this one cannot read "
            f"({min(newer)}): bring this one up to date"
        )
    differing = [
        table
        for table in {**facts.counts, **manifest.counts}
        if facts.counts.get(table) != manifest.counts.get(table)
    ]
    if differing or facts.migrations != manifest.migrations:
        raise BackupRefused("its record is not the one that it says it holds")
    return unpacked


def shelve(path: Path, shelf: Path, room: Path) -> None:
    """Put the photos of a backup on the shelf: those that it does not have, or not so.

    Each grows in `room` first.
    """
    with speaking_of(path), opened(path) as backup:
        need_room(shelf.parent, backup.manifest.size)
        for name in backup.manifest.files:
            if name != DATABASE:
                _to_the_shelf(backup, name, shelf, room)


def _to_the_shelf(backup: Backup, name: str, shelf: Path, room: Path) -> None:
    """Put one picture where it belongs, unless the very same lies there."""
    known = PHOTO.fullmatch(name)
    if known is None:
        raise BackupRefused("it holds files that no garden has")
    place = shelf / known[1] / name.rpartition("/")[2]
    if digest_of(place) == backup.manifest.files[name].sha256:
        return
    for folder in (shelf, place.parent):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with appearing(place, room) as fresh:
        fresh.unlink()
        backup.unpack(name, fresh)


def digest_of(path: Path) -> str:
    """SHA-256 of a file; '' where there is none."""
    digest = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while piece := file.read(PIECE):
                digest.update(piece)
    except FileNotFoundError:
        return ""
    return digest.hexdigest()


def put_in_place(prepared: Path, database: Path, aside: Path) -> None:
    """Let a checked database take the place of the garden's own, by one rename.

    The old one must be closed; one that SQLite cannot even close is first copied to `aside`.
    BackupRefused while something has it open.
    """
    if database.exists():
        _close(database, aside)
    elif any(path.exists() for path in _beside(database)):
        set_aside(database, aside)
        _clear_beside(database)
    settle_file(prepared)
    os.replace(prepared, database)
    settle(database.parent)


def _close(database: Path, aside: Path) -> None:
    """Leave nothing beside the old database that the new one would take for its own."""
    try:
        closed = record.close_journal(database)
    except sqlite3.DatabaseError:
        set_aside(database, aside)
        _clear_beside(database)
        return
    if not closed:
        raise BackupRefused("Something has the garden's database open. Close it first.")


def _beside(database: Path) -> list[Path]:
    return [database.with_name(database.name + end) for end in BESIDE]


def set_aside(database: Path, aside: Path) -> None:
    """Copy a database that no backup can be made of, with what lies beside it, to a folder."""
    aside.mkdir(mode=0o700, parents=True, exist_ok=True)
    for path in (database, *_beside(database)):
        if path.exists():
            shutil.copy2(path, aside / path.name)
            settle_file(aside / path.name)
    settle(aside)


def _clear_beside(database: Path) -> None:
    for path in _beside(database):
        path.unlink(missing_ok=True)


def compare(manifest: Manifest, counts: dict[str, int], shelf: Path) -> list[str]:
    """What of a restored garden is not as its backup says: tables, photos. Nothing is right."""
    wrong = [
        f"{table}: {counts.get(table, 0)} rows in place of {count}"
        for table, count in manifest.counts.items()
        if counts.get(table) != count
    ]
    for name, part in manifest.files.items():
        if name != DATABASE and digest_of(shelf / name.removeprefix("photos/")) != part.sha256:
            wrong.append(f"{name} is not what it was")
    return wrong


def photo_faults(
    shelf: Path, digests: Collection[str], names: Callable[[str], list[str]]
) -> list[str]:
    """What is wrong with the photos on a shelf: missing ones, and pictures that changed.

    A photo's name is the digest of its largest size; the smaller ones can only be missing.
    """
    wrong = []
    for digest in digests:
        for name in names(digest):
            path = shelf / name.removeprefix("photos/")
            if not path.is_file():
                wrong.append(f"{name} is missing.")
            elif name.endswith("-large.jpg") and digest_of(path) != digest:
                wrong.append(f"{name} is damaged.")
    return wrong
