"""Where photos lie: files named by their digest, written whole or not at all, for this account."""

from __future__ import annotations

import contextlib
import json
import os
import time
import uuid
from collections.abc import Callable
from datetime import date
from pathlib import Path

from garden.photos.plain import DIGEST, SIZES, CleanPhoto

WAITING_DAYS = 3
# A phone that sends and sends fills no disk.
MOST_WAITING = 100


class Shelf:
    """The photos of a garden: `ab/<digest>-<size>.jpg`, and those `waiting/` for their form."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, photo: CleanPhoto) -> None:
        """Put a photo on the shelf for good; it is on disk afterwards. Twice is as once."""
        for size, content in photo.files.items():
            self.put(photo.digest, size, content)

    def put(self, digest: str, size: str, content: bytes) -> None:
        """Put one size of a photo on the shelf for good, unless it is there."""
        path = self._place(digest, size)
        if not path.exists():
            _write(path, content, durable=True)

    def find(self, digest: str, size: str) -> Path | None:
        """A kept photo's file; None for one that is not here and for what is no digest."""
        return self._found(digest, size, self._place)

    def wait(self, photo: CleanPhoto) -> None:
        """Lay a photo by while its form is mended; those left lying are swept."""
        self._sweep()
        for size, content in photo.files.items():
            _write(self._by(photo.digest, size), content)
        taken = photo.taken_on.isoformat() if photo.taken_on else None
        told = {"width": photo.width, "height": photo.height, "taken_on": taken}
        # Last, so that a photo with its words is whole.
        _write(self._told(photo.digest), json.dumps(told).encode())

    def waiting(self, digest: str) -> CleanPhoto | None:
        """The photo that waits under this digest; None when none does or this is no digest."""
        if not DIGEST.fullmatch(digest):
            return None
        try:
            told = json.loads(self._told(digest).read_bytes())
            files = {size: self._by(digest, size).read_bytes() for size in SIZES}
        except FileNotFoundError:
            return None
        day = date.fromisoformat(told["taken_on"]) if told["taken_on"] else None
        return CleanPhoto(files, told["width"], told["height"], day, digest)

    def find_waiting(self, digest: str, size: str) -> Path | None:
        """The file of a photo that waits; None as in `find`."""
        return self._found(digest, size, self._by)

    def _found(self, digest: str, size: str, place: Callable[[str, str], Path]) -> Path | None:
        if size not in SIZES or not DIGEST.fullmatch(digest):
            return None
        path = place(digest, size)
        return path if path.is_file() else None

    def _place(self, digest: str, size: str) -> Path:
        return self.folder / digest[:2] / f"{digest}-{size}.jpg"

    def _by(self, digest: str, size: str) -> Path:
        return self.folder / "waiting" / f"{digest}-{size}.jpg"

    def _told(self, digest: str) -> Path:
        return self.folder / "waiting" / f"{digest}.json"

    def _sweep(self) -> None:
        """Throw away what has waited for days, and the oldest when very many wait."""
        folder = self.folder / "waiting"
        ages: dict[str, float] = {}
        with contextlib.suppress(FileNotFoundError):
            for entry in os.scandir(folder):
                mark = entry.name[:64]
                with contextlib.suppress(FileNotFoundError):
                    ages[mark] = max(ages.get(mark, 0.0), entry.stat().st_mtime)
        oldest = time.time() - WAITING_DAYS * 86_400
        by_age = sorted(ages, key=lambda mark: ages[mark], reverse=True)
        for at, mark in enumerate(by_age):
            if at >= MOST_WAITING - 1 or ages[mark] < oldest:
                for path in folder.glob(f"{mark}*"):
                    path.unlink(missing_ok=True)


def _write(path: Path, content: bytes, durable: bool = False) -> None:
    """Write a file of mode 600 under another name first, so that no half of it is ever seen."""
    for folder in (path.parent.parent, path.parent):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    fresh = path.with_name(f"{path.name}.{uuid.uuid4().hex}")
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            if durable:
                file.flush()
                os.fsync(file.fileno())
        os.replace(fresh, path)
    except OSError:
        fresh.unlink(missing_ok=True)
        raise
    if durable:
        _settle(path.parent)


def _settle(folder: Path) -> None:
    """Have the folder's own entry written; Windows knows no such thing."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
