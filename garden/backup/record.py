"""The database's part of a backup: a copy made while others write, emptied of keys, checked."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from garden.backup.plain import BackupRefused

PATIENCE = 20
NEEDED = {"django_migrations", "garden_garden", "garden_journalline", "garden_person"}
CACHE = 64_000
SHOWN = 3


@dataclass(frozen=True, slots=True)
class Facts:
    """What a database holds: rows by table, migrations as 'app.name', the garden's name."""

    counts: dict[str, int]
    migrations: tuple[str, ...]
    garden: str
    photos: tuple[str, ...]


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[sqlite3.Connection]:
    # Not read-only: who may not write leaves the files of the write-ahead log behind.
    connection = sqlite3.connect(
        f"{path.resolve().as_uri()}?mode=rw", uri=True, timeout=PATIENCE, isolation_level=None
    )
    try:
        connection.execute(f"PRAGMA cache_size=-{CACHE}")
        yield connection
    finally:
        connection.close()


def copy(database: Path, fresh: Path) -> None:
    """Write the state of this moment to a new file, while others read and write.

    `VACUUM INTO` reads one snapshot: it holds up no writer and sees no half transaction.
    """
    os.close(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        with _opened(database) as connection:
            connection.execute("VACUUM INTO ?", (str(fresh),))
    except sqlite3.Error as error:
        raise BackupRefused(f"The garden could not be backed up: {error}.") from error


def take_out_keys(
    database: Path, tables: Iterable[str], columns: Iterable[tuple[str, str]]
) -> None:
    """Take all rows out of `tables` and the text out of `columns`, where they exist.

    What they said leaves the file too.
    """
    with _opened(database) as connection:
        connection.execute("PRAGMA secure_delete=ON")
        known = _tables(connection)
        for table in known & set(tables):
            connection.execute(f"DELETE FROM {_quoted(table)}")
        for table, column in columns:
            if table in known:
                connection.execute(f"UPDATE {_quoted(table)} SET {_quoted(column)} = ''")


def look_into(database: Path) -> Facts:
    """Check a copy through and through and say what it holds; BackupRefused if it is broken."""
    try:
        with _opened(database) as connection:
            _check(connection)
            return _facts(connection)
    except sqlite3.Error:
        raise BackupRefused("its database cannot be read") from None


def faults(database: Path) -> list[str]:
    """What SQLite's own checks find in a database; nothing is the good answer."""
    try:
        with _opened(database) as connection:
            return _found(connection)
    except sqlite3.Error as error:
        return [f"The database cannot be read: {error}."]


def _found(connection: sqlite3.Connection) -> list[str]:
    found = [row[0] for row in connection.execute("PRAGMA integrity_check")]
    said = [] if found == ["ok"] else [f"The database is damaged: {each}" for each in found]
    lost = [row[0] for row in connection.execute("PRAGMA foreign_key_check")]
    if lost:
        said.append(f"{len(lost)} rows refer to rows that are not there, in {sorted(set(lost))}.")
    return said


def _check(connection: sqlite3.Connection) -> None:
    # Views, triggers and virtual tables: nothing that a strange file brings along is run.
    strange = connection.execute(
        "SELECT name FROM sqlite_master WHERE type NOT IN ('table', 'index')"
        " OR sql LIKE 'CREATE VIRTUAL%'"
    ).fetchone()
    if strange or not _tables(connection) >= NEEDED:
        raise BackupRefused("its database is not that of a garden")
    if found := _found(connection):
        raise BackupRefused(f"its database is damaged ({'; '.join(found[:SHOWN])})")


def _tables(connection: sqlite3.Connection) -> set[str]:
    rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    return {row[0] for row in rows if not row[0].startswith("sqlite_")}


def _facts(connection: sqlite3.Connection) -> Facts:
    counts = {
        table: connection.execute(f"SELECT count(*) FROM {_quoted(table)}").fetchone()[0]
        for table in sorted(_tables(connection))
    }
    migrations = connection.execute("SELECT app || '.' || name FROM django_migrations ORDER BY 1")
    name = connection.execute("SELECT name FROM garden_garden").fetchone()
    photos: Iterable[tuple[str]] = ()
    if "garden_photo" in counts:
        photos = connection.execute("SELECT DISTINCT digest FROM garden_photo ORDER BY 1")
    return Facts(
        counts,
        tuple(row[0] for row in migrations),
        str(name[0]) if name else "",
        tuple(str(row[0]) for row in photos),
    )


def _quoted(table: str) -> str:
    return '"' + table.replace('"', '""') + '"'


def holds_a_garden(database: Path) -> bool:
    """Whether a garden stands in this file: somebody is in it, or it cannot be told."""
    if not database.exists() or not database.stat().st_size:
        return False
    try:
        with _opened(database) as connection:
            known = "garden_person" in _tables(connection)
            return bool(
                known and connection.execute("SELECT 1 FROM garden_person LIMIT 1").fetchone()
            )
    except sqlite3.Error:
        return True


def close_journal(database: Path) -> bool:
    """Bring all that stands beside a database into it; False while another has it open.

    Only a database that nobody else has open can leave write-ahead logging.
    """
    connection = sqlite3.connect(database, timeout=1, isolation_level=None)
    try:
        return bool(connection.execute("PRAGMA journal_mode=DELETE").fetchone()[0] == "delete")
    except sqlite3.OperationalError:
        return False
    finally:
        connection.close()
