"""A small garden's data folder for the tests of backups, without Django: a database and photos."""

from __future__ import annotations

import hashlib
import random
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from garden.backup import Source, copier

NOON = datetime(2026, 6, 3, 12, 0, tzinfo=UTC)
MIGRATIONS = ("garden.0001_the_stock", "garden.0002_photos")
TABLES = """
    CREATE TABLE django_migrations (id INTEGER PRIMARY KEY, app TEXT, name TEXT);
    CREATE TABLE django_session (session_key TEXT PRIMARY KEY, session_data TEXT);
    CREATE TABLE garden_garden (id INTEGER PRIMARY KEY, name TEXT);
    CREATE TABLE garden_person (id INTEGER PRIMARY KEY, name TEXT);
    CREATE TABLE garden_device (id INTEGER PRIMARY KEY, name TEXT, session_key TEXT);
    CREATE TABLE garden_journalline (id INTEGER PRIMARY KEY, text TEXT,
        person_id INTEGER REFERENCES garden_person (id));
    CREATE TABLE garden_photo (id INTEGER PRIMARY KEY, digest TEXT);
"""
COOKIE = "a-cookie-that-opens-the-garden-7731"


def connected(database: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(database, timeout=20, isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    return connection


def lay_out(folder: Path, lines: int = 50, photos: int = 3) -> Path:
    """A garden in `folder`: its database's path."""
    folder.mkdir(parents=True, exist_ok=True)
    database, chance = folder / "haftbook.sqlite3", random.Random(lines)
    with connected(database) as connection:
        connection.executescript(TABLES)
        connection.execute("BEGIN")
        for full in MIGRATIONS:
            connection.execute(
                "INSERT INTO django_migrations (app, name) VALUES (?, ?)", full.split(".")
            )
        connection.execute("INSERT INTO garden_garden VALUES (1, 'Garden by the Weir')")
        connection.execute("INSERT INTO garden_person VALUES (1, 'Wanda')")
        connection.execute("INSERT INTO garden_device VALUES (1, 'phone', ?)", [COOKIE])
        connection.execute("INSERT INTO django_session VALUES (?, 'signed in')", [COOKIE])
        for at in range(lines):
            text = f"line {at} {chance.random()}"
            connection.execute(
                "INSERT INTO garden_journalline (text, person_id) VALUES (?, 1)", [text]
            )
        for _ in range(photos):
            digest = put_photo(folder / "photos", chance.randbytes(2000))
            connection.execute("INSERT INTO garden_photo (digest) VALUES (?)", [digest])
        connection.execute("COMMIT")
    connection.close()
    return database


def put_photo(shelf: Path, large: bytes) -> str:
    """A picture's three files; its digest."""
    digest = hashlib.sha256(large).hexdigest()
    place = shelf / digest[:2]
    place.mkdir(parents=True, exist_ok=True)
    for size, content in (("large", large), ("middle", large[:900]), ("small", large[:300])):
        (place / f"{digest}-{size}.jpg").write_bytes(content)
    return digest


def source_of(folder: Path) -> Source:
    database = folder / "haftbook.sqlite3"
    return Source(
        copier(database), database.stat().st_size, folder / "photos", folder / "backups",
        ("django_session",), (("garden_device", "session_key"),),
    )  # fmt: skip


def contents(folder: Path) -> dict[str, str]:
    """Every file below a folder by its digest, locks left out."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.suffix != ".lock"
    }


def rows(database: Path) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables."""
    connection = sqlite3.connect(f"{database.as_uri()}?mode=ro", uri=True)
    try:
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        return {
            name: connection.execute(f'SELECT * FROM "{name}" ORDER BY 1').fetchall()
            for (name,) in sorted(tables.fetchall())
        }
    finally:
        connection.close()
