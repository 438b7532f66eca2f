"""The lock of a data folder: one program at a time has the garden open.

The system holds it and lets go of it when the program ends, however it ends; a file left behind
means nothing. A child process shares what its parent holds.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

OPEN = "open.lock"
# Windows locks bytes and lets nobody read them; these lie far behind the words.
FAR = 1 << 30


class Lock:
    """A lock by a file of this name; free until `take` says that it was taken."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._handle: int | None = None

    def take(self) -> bool:
        """Take the lock without waiting; False when another holds it."""
        if self._handle is not None:
            return False
        handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        if not _locked(handle):
            os.close(handle)
            return False
        os.ftruncate(handle, 0)
        os.write(handle, str(os.getpid()).encode())
        self._handle = handle
        return True

    def let_go(self) -> None:
        """Free the lock; a child that still has it keeps it."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None

    def holder(self) -> str:
        """The process that took it last, in words; '' when the file does not tell."""
        with contextlib.suppress(OSError):
            told = self.path.read_bytes()[:20]
            return f" (process {told.decode()})" if told.isdigit() else ""
        return ""


def _locked(handle: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, FAR, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
            os.lseek(handle, 0, os.SEEK_SET)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


@contextlib.contextmanager
def holding(path: Path) -> Iterator[bool]:
    """Whether the lock could be taken; freed at the end."""
    lock = Lock(path)
    taken = lock.take()
    try:
        yield taken
    finally:
        lock.let_go()
