"""The garden's backups: where they lie, what goes into one, when one is made of its own accord.

A quiet thread of the serving process looks once a minute whether a day's work is done, and makes
the backup then, while people go on reading and writing.
"""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection, connections
from django.utils import timezone

from garden.backup import BackupRefused, Manifest, Source, copier, folder, make
from garden.backup.keeping import is_due
from garden.backup.lock import OPEN, Lock, holding
from garden.models import Garden, JournalLine

# A cookie that somebody reads in a backup opens nothing. Password hashes and calendar keys stay,
# so that people and phones' calendars find their way into the restored garden.
EMPTIED = ("django_session",)
BLANKED = (("garden_device", "session_key"),)
# Seconds: after the start, so that it opens quickly; and between two looks.
FIRST_LOOK, BETWEEN = 20.0, 60.0
# A page waits so long for a backup that somebody asked for, then shows that it is being made.
PATIENCE = 8.0
TELL_AFTER_DAYS = 3
log = logging.getLogger(__name__)


def backups() -> Path:
    """The folder of this garden's backups."""
    return Path(settings.DATA_DIR) / "backups"


def state() -> folder.State:
    """What is known of the backups. No query."""
    return folder.read_state(backups())


def note_for_owner() -> str:
    """What the owner should hear on opening the notebook; '' when all is well. No query."""
    known = state()
    if known.trouble:
        return f"The last backup failed. {known.trouble}"
    if len(known.unsaved) > TELL_AFTER_DAYS:
        return f"The work of {len(known.unsaved)} days is in no backup yet."
    return ""


def sqlite_file() -> Path:
    """The file that the record lies in; BackupRefused when it lies in none."""
    name = str(connection.settings_dict["NAME"])
    if connection.vendor != "sqlite" or "memory" in name or not Path(name).is_file():
        raise BackupRefused("This garden's record lies in no file of its own.")
    return Path(name)


def source() -> Source:
    """What goes into a backup of this garden as it stands."""
    snapshot: Callable[[Path], None]
    if connection.vendor == "sqlite":
        database = sqlite_file()
        wal = database.with_name(f"{database.name}-wal")
        size = sum(path.stat().st_size for path in (database, wal) if path.exists())
        snapshot = copier(database)
    else:
        from garden.serverbackup import brought_here, size_there

        size = size_there()
        snapshot = brought_here
    return Source(snapshot, size, Path(settings.PHOTOS_DIR), backups(), EMPTIED, BLANKED)


def is_being_made() -> bool:
    """Whether somebody makes a backup at this moment. No query."""
    if not backups().is_dir():
        return False
    with holding(backups() / "making.lock") as free:
        return not free


def back_up(target: Path | None = None, reason: str = "") -> tuple[Path, Manifest]:
    """Make a backup in the garden's folder, or at `target`; (file, manifest). BackupRefused.

    What happened stands in the state afterwards, for the folder's own backups.
    """
    here, now = backups(), timezone.now()
    here.mkdir(mode=0o700, exist_ok=True)
    if target is not None:
        return target, make(target, source(), now, reason)
    held, whole = (0 if reason else _newest_line()[0]), source()
    try:
        path = folder.new_name(here, _here(now), reason)
        manifest = make(path, whole, now, reason)
    except BackupRefused as error:
        _remember(trouble=str(error), tried=now.isoformat())
        raise
    told: dict[str, Any] = {"unsaved": (), "line": held} if not reason else {}
    _remember(
        made=now.isoformat(), name=path.name, size=path.stat().st_size, photos=manifest.photos,
        missing=len(manifest.missing), trouble="", tried="", **told,
    )  # fmt: skip
    if not reason:
        # What is made before a restore must not push out the very backup that is put back.
        folder.thin_out(here, _here(now))
    return path, manifest


def _remember(**values: Any) -> None:
    here = backups()
    try:
        folder.write_state(here, replace(folder.read_state(here), **values))
    except OSError as error:
        log.warning("The state of the backups could not be written: %s", error)


def _here(moment: datetime) -> datetime:
    """A moment by the garden's clock, without its zone. A query, unless nothing can be asked."""
    try:
        zone = Garden.get().zone
    except DatabaseError:
        # Before an upgrade the garden's row may be of another shape.
        zone = UTC
    return moment.astimezone(zone).replace(tzinfo=None)


def _newest_line() -> tuple[int, datetime | None]:
    """Key and arrival of the newest journal line. One query."""
    newest = JournalLine.objects.order_by("-id").values_list("id", "received_at").first()
    return newest or (0, None)


def look() -> bool:
    """Make a backup if one is due; whether one was made. Two queries."""
    known, now = state(), timezone.now()
    line, wrote = _newest_line()
    if line == known.line or wrote is None:
        return False
    day = _here(wrote).date().isoformat()
    if day not in known.unsaved:
        _remember(unsaved=(*known.unsaved, day))
    if not is_due(_here(now), _here(wrote), _moment(known.made), _moment(known.tried)):
        return False
    back_up()
    return True


def _moment(text: str) -> datetime | None:
    try:
        return _here(datetime.fromisoformat(text)) if text else None
    except ValueError:
        return None


class Watch(threading.Thread):
    """Looks after the garden's backups as long as it is open."""

    def __init__(self, first: float = FIRST_LOOK, between: float = BETWEEN) -> None:
        super().__init__(name="backups", daemon=True)
        self.first, self.between = first, between
        self._asked, self._done = threading.Event(), threading.Event()

    def run(self) -> None:
        wait = self.first
        while True:
            asked = self._asked.wait(wait)
            self._asked.clear()
            try:
                back_up() if asked else look()
            except BackupRefused as error:
                log.warning("%s", error)
            except Exception:
                # The next look is in a minute; the garden stays open whatever happens here.
                log.exception("The backup failed")
                _remember(
                    trouble="Something went wrong that nobody foresaw; the terminal tells more.",
                    tried=timezone.now().isoformat(),
                )
            finally:
                # A server that was gone for a while is asked anew.
                connections.close_all()
            if asked:
                self._done.set()
            wait = self.between

    def ask(self, patience: float = PATIENCE) -> bool:
        """Have a backup made now; whether it was done, or failed, within so many seconds."""
        self._done.clear()
        self._asked.set()
        return self._done.wait(patience)


_watch: Watch | None = None


def ask_now() -> bool:
    """Make a backup, or have it made; False while it is still being made. BackupRefused."""
    if _watch is None:
        back_up()
        return True
    return _watch.ask()


def watch_over() -> None:
    """Begin to look after the backups, in the process that serves."""
    global _watch
    if _watch is None:
        _watch = Watch()
        _watch.start()


def end_with_parent() -> None:
    """Let this serving process end when the one that began it is killed.

    Else it would go on with nobody to stop it, and with the lock of the garden.
    """
    import multiprocessing

    parent = multiprocessing.parent_process()
    if parent is not None:

        def follow() -> None:
            parent.join()
            # What is acknowledged is on disk; there is nothing to put away.
            os._exit(1)

        threading.Thread(target=follow, name="parent", daemon=True).start()


_open = Lock(Path(settings.DATA_DIR) / OPEN)


def hold() -> bool:
    """Have the data folder for this program alone, until it ends; False when another has it."""
    return _open.take()


def who_has_it() -> str:
    """A sentence about the program that has the garden open."""
    return f"This garden is open already{_open.holder()}. Close it first: Ctrl+C in its window."
