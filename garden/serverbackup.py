"""Backups of a garden that lies on a PostgreSQL server: the same file as of any other.

The rows are carried into a fresh SQLite file as of one moment, and back in one transaction.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection, connections, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from garden.backup import BackupRefused, record
from garden.carrying import LEFT_BEHIND, NotCarried, beside, carried_models, carry
from garden.database import sqlite

SESSIONS = "django_session"


def brought_here(fresh: Path) -> None:
    """Carry this garden, as of now, into a new SQLite file; BackupRefused.

    Its schema there is the one that it has here, also before an upgrade.
    """
    try:
        with beside(sqlite(fresh), "backup") as alias:
            models = _laid_out_as_here(alias)
            carry(DEFAULT_DB_ALIAS, alias, models)
    except (NotCarried, DatabaseError) as error:
        raise BackupRefused(f"The garden could not be backed up: {error}") from error
    if not record.close_journal(fresh):
        raise BackupRefused("The garden could not be backed up: its copy stayed open.")


def _laid_out_as_here(alias: str) -> list[Any]:
    """The migrations of this garden made in another database; its models as they were then."""
    executor = MigrationExecutor(connection)
    made = set(executor.loader.applied_migrations)
    newest = [
        node
        for node in made
        if node in executor.loader.graph.nodes
        and not any(
            child.key in made and child.key[0] == node[0]
            for child in executor.loader.graph.node_map[node].children
        )
    ]
    MigrationExecutor(connections[alias]).migrate(newest)
    state = executor.loader.project_state(newest)
    return [
        model
        for model in state.apps.get_models(include_auto_created=True)
        if model._meta.managed and model._meta.app_label not in LEFT_BEHIND
    ]


def size_there() -> int:
    """About how many bytes the garden takes; BackupRefused for one without a known schema.

    Two queries.
    """
    if not MigrationRecorder(connection).applied_migrations():
        raise BackupRefused("The garden could not be backed up: its schema is not known.")
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        return int(cursor.fetchone()[0])


def stands_there() -> bool:
    """Whether somebody's garden lies on the server. Two queries."""
    with connection.cursor() as cursor:
        if "garden_person" not in connection.introspection.table_names(cursor):
            return False
        cursor.execute("SELECT 1 FROM garden_person LIMIT 1")
        return cursor.fetchone() is not None


def bring_there(prepared: Path) -> None:
    """Let a checked SQLite file take the place of the garden on the server, in one transaction."""
    call_command("migrate", interactive=False, verbosity=0)
    try:
        with beside(sqlite(prepared), "backup") as alias:
            MigrationExecutor(connections[alias]).migrate(_newest(alias))
            with transaction.atomic():
                _empty()
                carry(alias, DEFAULT_DB_ALIAS)
    except (NotCarried, DatabaseError) as error:
        raise BackupRefused(f"The garden was not restored and is as it was. {error}") from error


def _newest(alias: str) -> list[tuple[str, str]]:
    return MigrationExecutor(connections[alias]).loader.graph.leaf_nodes()


def _empty() -> None:
    quote = connection.ops.quote_name
    tables = [model._meta.db_table for model in carried_models()] + [SESSIONS]
    with connection.cursor() as cursor:
        cursor.execute(f"TRUNCATE {', '.join(quote(table) for table in tables)}")


def tables_compared() -> set[str]:
    """Those that a backup brings along whichever database it comes from."""
    return {model._meta.db_table for model in carried_models()}
