"""The one folder that holds what a garden owns: database, secrets, files. Free of Django."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path


def data_folder(path: str | Path) -> Path:
    """The folder at `path`, made on first use and readable by its owner alone."""
    folder = Path(path).expanduser().resolve()
    # Whatever is written from now on is for this account alone, in an older folder too.
    os.umask(0o077)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _for_its_owner(folder, 0o700)
    return folder


def _for_its_owner(path: Path, mode: int) -> None:
    """Shut others out of what was open to them; of somebody else's it is not ours to say."""
    known = path.stat()
    me = os.getuid() if hasattr(os, "getuid") else None
    if known.st_mode & 0o077 and known.st_uid == me:
        with contextlib.suppress(OSError):
            path.chmod(mode)


def write_secret(path: Path, text: str) -> None:
    """Write `text` to a file that only its owner can read; never through a readable moment."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def secret_key(folder: Path) -> str:
    """The garden's signing key (50 or more characters), made on first start and then kept."""
    path = folder / "secret-key"
    with contextlib.suppress(FileNotFoundError):
        _for_its_owner(path, 0o600)
        return path.read_text(encoding="utf-8").strip()
    fresh = folder / f"secret-key.{os.getpid()}"
    write_secret(fresh, secrets.token_urlsafe(64))
    # The first of two processes that start at once wins; the other reads what it wrote.
    with contextlib.suppress(FileExistsError):
        os.link(fresh, path)
    fresh.unlink()
    return path.read_text(encoding="utf-8").strip()
