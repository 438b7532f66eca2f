"""Reading a backup without believing it: nothing is unpacked by a name that stands in the file."""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from garden.backup.plain import (
    DATABASE,
    HEX,
    LARGEST_MANIFEST,
    MANIFEST,
    PIECE,
    SEAL,
    BackupRefused,
    Manifest,
    is_ours,
)

# A small garden's database is mostly empty pages and shrinks to a hundredth; none to less.
MOST_SHRUNK, SMALL = 200, 50_000_000
# What the ZIP library raises for files that are none, or none any more.
UNREADABLE = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError,
    ValueError, OverflowError, KeyError, IndexError, MemoryError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Backup:
    """An open backup whose list of contents fits what lies in it; its files are still unread."""

    path: Path
    manifest: Manifest
    archive: zipfile.ZipFile

    def check(self, name: str) -> None:
        """Read a file of the backup to its end; BackupRefused when it is not what it should be."""
        for _ in self._pieces(name):
            pass

    def unpack(self, name: str, to: Path) -> None:
        """Write a file of the backup to a new path, and have it on disk; BackupRefused as above."""
        handle = os.open(to, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            for piece in self._pieces(name):
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())

    def _pieces(self, name: str) -> Iterator[bytes]:
        part, size, digest = self.manifest.files[name], 0, hashlib.sha256()
        try:
            with self.archive.open(name) as file:
                while piece := file.read(PIECE):
                    size += len(piece)
                    if size > part.size:
                        raise BackupRefused(f"it is damaged: {name} is longer than it should be")
                    digest.update(piece)
                    yield piece
        except UNREADABLE:
            raise BackupRefused(f"it is damaged: {name} cannot be read") from None
        if (size, digest.hexdigest()) != (part.size, part.sha256):
            raise BackupRefused(f"it is damaged: {name} is not what it was")


@contextlib.contextmanager
def opened(path: Path, sealed: bool = True) -> Iterator[Backup]:
    """Open a backup; BackupRefused with the rest of a sentence that begins 'It cannot be used: '.

    `sealed=False` leaves the digest of the whole unchecked, for who has just worked it out.
    """
    if not path.is_file():
        raise BackupRefused("there is no such file")
    if sealed:
        _check_seal(path)
    with contextlib.ExitStack() as stack:
        try:
            archive = stack.enter_context(zipfile.ZipFile(path))
            names = _names(archive, path.stat().st_size)
            manifest = Manifest.read(archive.read(MANIFEST))
        except UNREADABLE:
            raise BackupRefused("it is damaged") from None
        if names != {*manifest.files, MANIFEST} or DATABASE not in manifest.files:
            raise BackupRefused("its files are not those of its list of contents")
        for name, part in manifest.files.items():
            if archive.getinfo(name).file_size != part.size:
                raise BackupRefused(f"it is damaged: {name} has another size than it should have")
        yield Backup(path, manifest, archive)


def _check_seal(path: Path) -> None:
    digest, left = hashlib.sha256(), path.stat().st_size - 64
    with path.open("rb") as file:
        start = file.read(64)
        file.seek(max(0, left - len(SEAL)))
        tail = file.read()
        if not (tail.startswith(SEAL) and HEX.fullmatch(tail[len(SEAL) :].decode("latin-1"))):
            raise BackupRefused(_broken_or_strange(start))
        file.seek(0)
        while left and (piece := file.read(min(PIECE, left))):
            digest.update(piece)
            left -= len(piece)
    if digest.hexdigest().encode() != tail[len(SEAL) :]:
        raise BackupRefused("it is damaged: it is not as it was written")


def _broken_or_strange(start: bytes) -> str:
    ours = start.startswith(b"PK\x03\x04") and start[30:].startswith(DATABASE.encode())
    return "it is damaged: its end is missing" if ours else "it is no backup of a garden"


def _names(archive: zipfile.ZipFile, size: int) -> set[str]:
    """The names in an archive; BackupRefused for one that no garden wrote."""
    infos = archive.infolist()
    names = {info.filename for info in infos}
    if len(names) != len(infos):
        raise BackupRefused("a name stands in it twice")
    for info in infos:
        kind = stat.S_IFMT(info.external_attr >> 16)
        if not is_ours(info.filename) or kind not in (0, stat.S_IFREG) or info.flag_bits & 1:
            raise BackupRefused("it holds files that no garden has")
    packed = sum(info.compress_size for info in infos)
    unpacked = sum(info.file_size for info in infos)
    if packed > size or unpacked > SMALL + MOST_SHRUNK * size:
        raise BackupRefused("it would unpack to more than any garden")
    if MANIFEST not in names:
        raise BackupRefused("it is no backup of a garden")
    if archive.getinfo(MANIFEST).file_size > LARGEST_MANIFEST:
        raise BackupRefused("its list of contents is endless")
    return names
