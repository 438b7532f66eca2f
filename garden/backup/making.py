"""Making a backup: the database first, then the photos, then the seal, then a look at it."""

from __future__ import annotations

import hashlib
import os
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from garden.backup import record
from garden.backup.disk import appearing, need_room, workroom
from garden.backup.lock import holding
from garden.backup.plain import (
    DATABASE,
    MANIFEST,
    PHOTO,
    PIECE,
    SEAL,
    BackupRefused,
    Manifest,
    Part,
)
from garden.backup.reading import opened

# A garden's database shrinks to a fifth even so; harder pressing takes three times as long.
LEVEL = 1
SIZES = ("large", "middle", "small")


@dataclass(frozen=True, slots=True)
class Source:
    """What a garden consists of.

    `snapshot(path)` writes the whole record, as of one moment, as an SQLite file to a new path;
    `size` is about how many bytes that takes; `photos` is the shelf's folder; `room` is a folder
    for what is being made. `emptied` tables and `blanked` (table, column) would let somebody in who
    finds a backup: what they hold stays at home.
    """

    snapshot: Callable[[Path], None]
    size: int
    photos: Path
    room: Path
    emptied: tuple[str, ...] = ()
    blanked: tuple[tuple[str, str], ...] = ()


def copier(database: Path) -> Callable[[Path], None]:
    """The snapshot of a garden that is kept in an SQLite file."""
    return partial(record.copy, database)


def make(target: Path, source: Source, now: datetime, reason: str = "") -> Manifest:
    """Make a backup at `target`, which appears whole and checked or not at all.

    BackupRefused when another is being made, when the disk is too full, when a photo or the record
    cannot be read.
    """
    source.room.mkdir(mode=0o700, parents=True, exist_ok=True)
    with holding(source.room / "making.lock") as alone:
        if not alone:
            raise BackupRefused("A backup is being made at this moment.")
        try:
            with workroom(source.room, "making") as room:
                return _make(target, source, now, reason, room)
        except OSError as error:
            raise BackupRefused(f"The backup could not be written: {error}.") from error


def _make(target: Path, source: Source, now: datetime, reason: str, room: Path) -> Manifest:
    kept = sum(path.stat().st_size for _, path in _on_the_shelf(source.photos))
    beside = target.parent.stat().st_dev == room.stat().st_dev
    need_room(source.room, source.size)
    need_room(target.parent, source.size * (2 if beside else 1) + kept)
    copied = room / DATABASE
    source.snapshot(copied)
    record.take_out_keys(copied, source.emptied, source.blanked)
    # Photos come before their rows, so that whatever the copy names is on the shelf by now.
    shelf = list(_on_the_shelf(source.photos))
    with appearing(target, room) as fresh, ThreadPoolExecutor(1) as other:
        looking = other.submit(record.look_into, copied)
        with zipfile.ZipFile(fresh, "w", zipfile.ZIP_DEFLATED, compresslevel=LEVEL) as archive:
            files = {DATABASE: _put(archive, DATABASE, copied)}
            for name, path in shelf:
                # As it is: a picture is as small as it gets.
                files[name] = _put(archive, zipfile.ZipInfo(name), path)
            facts = _told(looking.result)
            manifest = Manifest(
                now, facts.garden, facts.migrations, facts.counts, files,
                _missing(facts.photos, files), reason,
            )  # fmt: skip
            archive.writestr(MANIFEST, manifest.to_bytes())
            archive.comment = SEAL + b"0" * 64
        # Another part of the file than what is read back meanwhile.
        sealing = other.submit(_seal, fresh)
        check_copy(fresh, manifest)
        sealing.result()
    return manifest


def _told(ask: Callable[[], record.Facts]) -> record.Facts:
    try:
        return ask()
    except BackupRefused as error:
        raise BackupRefused(f"The garden could not be backed up: {error}.") from None


def _on_the_shelf(folder: Path) -> Iterator[tuple[str, Path]]:
    """(name in the backup, file) of every kept photo, in order; nothing that waits or is half."""
    for path in sorted(folder.glob("[0-9a-f][0-9a-f]/*.jpg")):
        name = f"photos/{path.parent.name}/{path.name}"
        if PHOTO.fullmatch(name) and path.is_file() and not path.is_symlink():
            yield name, path


def photo_names(digest: str) -> list[str]:
    """The names of a photo's files in a backup."""
    return [f"photos/{digest[:2]}/{digest}-{size}.jpg" for size in SIZES]


def _missing(digests: tuple[str, ...], files: dict[str, Part]) -> tuple[str, ...]:
    return tuple(name for each in digests for name in photo_names(each) if name not in files)


def _put(archive: zipfile.ZipFile, name: str | zipfile.ZipInfo, path: Path) -> Part:
    digest, size = hashlib.sha256(), 0
    with path.open("rb") as file, archive.open(name, "w", force_zip64=True) as out:
        while piece := file.read(PIECE):
            digest.update(piece)
            out.write(piece)
            size += len(piece)
    return Part(size, digest.hexdigest())


def _seal(path: Path) -> None:
    """Write the digest of all that comes before it to the end of the file."""
    digest, left = hashlib.sha256(), path.stat().st_size - 64
    with path.open("rb+") as file:
        while left and (piece := file.read(min(PIECE, left))):
            digest.update(piece)
            left -= len(piece)
        file.seek(-64, os.SEEK_END)
        file.write(digest.hexdigest().encode())


def check_copy(path: Path, meant: Manifest) -> None:
    """Open a backup just written, and read every file of it back; BackupRefused if one differs."""
    with opened(path, sealed=False) as backup:
        if backup.manifest != meant:
            raise BackupRefused("The backup could not be read back as it was written.")
        for name in backup.manifest.files:
            backup.check(name)
