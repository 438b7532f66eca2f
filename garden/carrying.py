"""A garden carried from one database to another, and every table compared afterwards.

All that a garden recorded goes along with its keys. Left behind are sessions (people sign in
again) and what Django makes anew for itself in each database. Photos are no part of a database:
they stay in the data folder.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections, models, transaction
from django.db.migrations.executor import MigrationExecutor

# Made by Django itself in each database, or good for a day only.
LEFT_BEHIND = {"contenttypes", "auth", "sessions"}
AT_ONCE = 2_000


class NotCarried(Exception):
    """A sentence that says why a garden was not carried over; the target is as it was."""


def carried_models() -> list[type[models.Model]]:
    """What a garden recorded, table by table."""
    known = apps.get_models(include_auto_created=True)
    return [one for one in known if one._meta.managed and one._meta.app_label not in LEFT_BEHIND]


@contextmanager
def beside(settings: dict[str, Any], alias: str = "beside") -> Iterator[str]:
    """A second database under an alias, closed and forgotten afterwards."""
    both = {DEFAULT_DB_ALIAS: connections.settings[DEFAULT_DB_ALIAS], alias: settings}
    connections.settings[alias] = connections.configure_settings(both)[alias]
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias], connections.settings[alias]


def carry(
    source: str, target: str, carried: list[type[models.Model]] | None = None
) -> dict[str, int]:
    """Copy all rows between two database aliases of the same schema: rows by table.

    `carried` are the models when both have the schema of an earlier day; otherwise today's. All or
    nothing: one transaction on each side, and on PostgreSQL one moment of the source.
    Raises NotCarried when the target holds anything, or when a table differs afterwards.
    """
    carried = carried_models() if carried is None else carried
    with one_moment(source), transaction.atomic(using=target):
        if held := holdings(target, carried):
            raise NotCarried(f"The target is not empty: {told(held)}. Nothing was changed.")
        for model in carried:
            _copy(model, source, target)
        count_on(target, carried)
        counts = {}
        for model in carried:
            before, after = fingerprint(model, source), fingerprint(model, target)
            if before != after:
                raise NotCarried(
                    f"{model._meta.db_table} differs: {before[0]} rows, {after[0]} in the target. "
                    "Nothing was kept there."
                )
            counts[model._meta.db_table] = after[0]
    return counts


def told(counts: dict[str, int], most: int = 3) -> str:
    """'garden_plant 3, garden_bed 1 …'."""
    named = [f"{table} {count}" for table, count in counts.items()]
    return ", ".join(named[:most]) + (" …" if len(named) > most else "")


def holdings(alias: str, carried: list[type[models.Model]] | None = None) -> dict[str, int]:
    """Rows by table, of tables that hold any."""
    carried = carried_models() if carried is None else carried
    counted = {model._meta.db_table: model._base_manager.using(alias).count() for model in carried}
    return {table: count for table, count in counted.items() if count}


def strange_tables(alias: str) -> list[str]:
    """Tables of somebody else; a database that has some is not for a garden."""
    known = {model._meta.db_table for model in apps.get_models(include_auto_created=True)}
    found = connections[alias].introspection.table_names()
    return sorted(set(found) - known - {"django_migrations"})


def up_to_date(alias: str) -> bool:
    """Whether every migration has been made there."""
    executor = MigrationExecutor(connections[alias])
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())


@contextmanager
def one_moment(alias: str) -> Iterator[None]:
    """A transaction that sees the database as it is now, whoever writes meanwhile."""
    connection = connections[alias]
    outermost = not connection.in_atomic_block
    with transaction.atomic(using=alias):
        if connection.vendor == "postgresql" and outermost:
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


def fingerprint(model: type[models.Model], alias: str) -> tuple[int, str]:
    """Number of rows, and SHA-256 over their values as Python has them, in order of their keys."""
    names = [field.attname for field in model._meta.concrete_fields]
    rows = model._base_manager.using(alias).order_by("pk").values_list(*names)
    count, digest = 0, hashlib.sha256()
    for row in rows.iterator(AT_ONCE):
        count += 1
        digest.update(json.dumps(row, default=repr, sort_keys=True).encode())
    return count, digest.hexdigest()


def _copy(model: type[models.Model], source: str, target: str) -> None:
    """Foreign keys are looked at when the transaction ends, so that order does not matter."""
    rows = model._base_manager.using(source).order_by("pk").iterator(AT_ONCE)
    written = model._base_manager.using(target)
    waiting: list[models.Model] = []
    try:
        for row in rows:
            waiting.append(row)
            if len(waiting) == AT_ONCE:
                written.bulk_create(waiting)
                waiting = []
        written.bulk_create(waiting)
    except DatabaseError as error:
        table = model._meta.db_table
        raise NotCarried(f"{table} does not fit into the target: {error}") from error


def count_on(alias: str, carried: list[type[models.Model]]) -> None:
    """The next new row gets a key behind those that were carried."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), carried):
            cursor.execute(statement)
