"""The folder of the backups: their names, what lies there, what is known of the last one."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from pathlib import Path

from garden.backup.disk import settle, write_whole
from garden.backup.keeping import Copy, kept

NAME = re.compile(
    r"haftbook-(\d{4}-\d\d-\d\d-\d{4})(?:-(?P<reason>before-upgrade|before-restore))?(?:-\d+)?\.zip"
)
STAMP = "%Y-%m-%d-%H%M"
MARK = "state.json"


@dataclass(frozen=True, slots=True)
class State:
    """What is known of the backups; moments are texts as `datetime.isoformat` writes them, in UTC.

    `line` is the newest journal line that the last one holds; `made`, `name`, `size` (bytes) and
    `photos` speak of the last one; `trouble` is what went wrong since, at `tried`; `unsaved` are
    the days ('2026-06-03') on which something was written that no backup has.
    """

    line: int = 0
    made: str = ""
    name: str = ""
    size: int = 0
    photos: int = 0
    missing: int = 0
    trouble: str = ""
    tried: str = ""
    unsaved: tuple[str, ...] = ()


def read_state(folder: Path) -> State:
    """What the state file says; an empty state where there is none that can be read."""
    try:
        told = json.loads((folder / MARK).read_bytes())
        known = {each.name: type(each.default) for each in fields(State)}
        right = {name: value for name, value in told.items() if name in known}
        right["unsaved"] = tuple(str(day) for day in right.get("unsaved", ()))
        if all(isinstance(value, known[name]) for name, value in right.items()):
            return State(**right)
    except (FileNotFoundError, ValueError, AttributeError, TypeError):
        pass
    return State()


def write_state(folder: Path, state: State) -> None:
    """Keep what is known."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    write_whole(folder / MARK, json.dumps(asdict(state), ensure_ascii=False).encode())


def new_name(folder: Path, now: datetime, reason: str = "") -> Path:
    """A name that is not taken: haftbook-2026-06-03-0712.zip by the garden's clock."""
    stem = "-".join(filter(None, ["haftbook", now.strftime(STAMP), reason]))
    path, at = folder / f"{stem}.zip", 1
    while path.exists():
        at += 1
        path = folder / f"{stem}-{at}.zip"
    return path


def copies(folder: Path) -> list[tuple[Copy, Path, int]]:
    """The backups that lie there, newest first: (copy, file, bytes). Other files are left alone."""
    return sorted(_copies(folder), reverse=True)


def _copies(folder: Path) -> Iterator[tuple[Copy, Path, int]]:
    if not folder.is_dir():
        return
    for path in folder.iterdir():
        known = NAME.fullmatch(path.name)
        if known and path.is_file() and not path.is_symlink():
            try:
                made = datetime.strptime(known[1], STAMP)
            except ValueError:
                continue
            yield Copy(made, path.name, bool(known["reason"])), path, path.stat().st_size


def thin_out(folder: Path, now: datetime) -> list[str]:
    """Erase the backups that are not worth their room any more; their names."""
    there = copies(folder)
    keep = kept((copy for copy, _, _ in there), now)
    gone = [path for copy, path, _ in there if copy not in keep]
    for path in gone:
        path.unlink(missing_ok=True)
    if gone:
        settle(folder)
    return [path.name for path in gone]
