"""Whether the garden's database answers, and whether a garden can be kept in it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.management.base import CommandError
from django.db import OperationalError, connections
from django.db.backends.base.base import NO_DB_ALIAS, BaseDatabaseWrapper

from garden.database import PROBES, unfit

_looked_at: set[tuple[str, ...]] = set()


def nothing_by_nul(
    execute: Callable[..., Any], sql: str, params: Any, many: bool, context: dict[str, Any]
) -> Any:
    """PostgreSQL's text holds no NUL: nothing is found by one, and no search for it fails.

    To write one stays an error. The sign after it stands for it, so that order is as elsewhere.
    """
    if params and not many and sql.startswith("SELECT"):
        params = [
            part.replace("\x00", "\x01") if isinstance(part, str) else part for part in params
        ]
    return execute(sql, params, many, context)


def look_at(connection: BaseDatabaseWrapper, **_: Any) -> None:
    """Raise CommandError for a server's database that cannot hold a garden; once a process.

    Called for every new connection. Two short queries the first time.
    """
    if connection.vendor != "postgresql" or connection.alias == NO_DB_ALIAS:
        return
    if nothing_by_nul not in connection.execute_wrappers:
        connection.execute_wrappers.append(nothing_by_nul)
    where = tuple(str(connection.settings_dict[name]) for name in ("HOST", "PORT", "NAME"))
    if where in _looked_at:
        return
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_encoding")
        encoding = cursor.fetchone()[0]
        cursor.execute("SELECT text FROM unnest(%s::text[]) AS text ORDER BY text", [list(PROBES)])
        ordered = [text for (text,) in cursor.fetchall()]
    if wrong := unfit(encoding, ordered):
        connection.close()
        raise CommandError(wrong)
    _looked_at.add(where)


def reach(alias: str) -> None:
    """Raise CommandError, in a sentence, when the database does not answer or cannot be used."""
    try:
        connections[alias].ensure_connection()
    except OperationalError as error:
        said = str(error).strip().splitlines()[0]
        raise CommandError(f"The garden's database does not answer: {said}") from None
