"""Whose turn it is to write, and what it means when the database says no.

Verbs look before they write and keep sums, so writers go one after the other on any database.
SQLite lets one in while the others sleep and retry unfairly: a queue in this process is fair. On
PostgreSQL, where other processes may write too, they queue at a lock of the database's own.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DataError, IntegrityError, OperationalError, connection, transaction

from garden.database import PATIENCE

_one_writer = threading.RLock()
QUEUE = 0x48616674
UNIQUE_VIOLATION = "23505"


class Busy(Exception):
    """Those who wrote before took too long. Nothing was kept; the same may be sent again."""


@contextmanager
def writing() -> Iterator[None]:
    """One transaction, one writer at a time; Busy when the turn does not come in PATIENCE."""
    if connection.vendor == "sqlite":
        with _turn(), transaction.atomic():
            yield
    else:
        with transaction.atomic():
            _queue()
            yield


@contextmanager
def _turn() -> Iterator[None]:
    if not _one_writer.acquire(timeout=PATIENCE):
        raise Busy
    try:
        yield
    finally:
        _one_writer.release()


def _queue() -> None:
    """Wait for one's turn in the database; it ends with the transaction. One query.

    Each later query sees what the writers before have committed (READ COMMITTED).
    """
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [QUEUE])
    except OperationalError as error:
        raise Busy from error


def broken_rule(error: IntegrityError | DataError) -> str:
    """What to say when the database refused to hold something; the same on any database."""
    if isinstance(error, DataError):
        return "Something here is too long or too large to be written down."
    if diagnosis := getattr(error.__cause__, "diag", None):  # PostgreSQL's
        unique = diagnosis.sqlstate == UNIQUE_VIOLATION
        rule = diagnosis.constraint_name or f"{diagnosis.table_name}.{diagnosis.column_name}"
    else:
        kind, _, rule = str(error).rpartition(": ")
        unique = kind.startswith("UNIQUE")
    if unique:
        return "This does not fit what is recorded: the same stands there already, written anew."
    return f"This does not fit what is recorded ({rule.replace('_', ' ')})."
