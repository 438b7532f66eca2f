"""Files that are on disk once written, whole or not at all, and for this account alone."""

from __future__ import annotations

import contextlib
import os
import shutil
import uuid
from collections.abc import Iterator
from pathlib import Path

from garden.backup.plain import BackupRefused

# Left free for the garden's own work while a backup is written.
SPARE = 50_000_000


def settle(folder: Path) -> None:
    """Have a folder's entries written; Windows knows no such thing."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def settle_file(path: Path) -> None:
    """Have a file's content written."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


@contextlib.contextmanager
def appearing(path: Path, room: Path | None = None) -> Iterator[Path]:
    """A new file to write to; at the end it takes the place of `path` at once.

    It grows in `room`, which is swept after a killed worker, if that is on the same disk.
    """
    near = room is not None and room.stat().st_dev == path.parent.stat().st_dev
    folder = room if room is not None and near else path.parent
    fresh = folder / f".{path.name}.{uuid.uuid4().hex[:12]}"
    os.close(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        yield fresh
        settle_file(fresh)
        os.replace(fresh, path)
    finally:
        fresh.unlink(missing_ok=True)
    settle(path.parent)


def write_whole(path: Path, content: bytes) -> None:
    """Write a small file."""
    with appearing(path) as fresh:
        fresh.write_bytes(content)


@contextlib.contextmanager
def workroom(folder: Path, name: str) -> Iterator[Path]:
    """A folder to work in that is gone afterwards; what killed workers left behind goes too.

    Only for who holds the lock that goes with `name`.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for left in folder.glob(f".{name}-*"):
        shutil.rmtree(left, ignore_errors=True)
    room = folder / f".{name}-{uuid.uuid4().hex[:12]}"
    room.mkdir(mode=0o700)
    try:
        yield room
    finally:
        shutil.rmtree(room, ignore_errors=True)


def need_room(folder: Path, size: int) -> None:
    """BackupRefused unless `size` bytes and some spare room are free where `folder` lies."""
    free = shutil.disk_usage(folder).free
    if free < size + SPARE:
        raise BackupRefused(
            f"The disk is too full: {megabytes(size + SPARE)} are needed in {folder}, "
            f"{megabytes(free)} are free."
        )


def megabytes(size: int) -> str:
    """'3.4 MB', '210 MB', '1.2 GB'."""
    if size >= 1_000_000_000:
        return f"{size / 1e9:.1f} GB"
    return f"{size / 1e6:.0f} MB" if size >= 10_000_000 else f"{size / 1e6:.1f} MB"
