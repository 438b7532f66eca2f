"""Everything out: the record as plain tables, and such tables into an empty garden.

What a garden wrote is taken in again as it was, with its keys, its journal and what was struck out.
That is no import (those go through the verbs): a file that was changed since is refused.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection, models, transaction

from garden.carrying import AT_ONCE, carried_models, count_on
from garden.models import Device, Garden, JournalLine, Knock, Pairing, Person, Photo
from garden.models.people import new_feed_key
from garden.models.photos import the_shelf
from garden.outward import Column, Found, Kind, NotAsWritten, Table
from garden.photos.plain import SIZES
from garden.turns import writing

# Doors are no part of the notebook, and neither is what would open one.
LEFT_OUT = (Device, Pairing, Knock)
SECRET = {Person: ("password", "feed_key", "last_login")}
KINDS = {
    models.BooleanField: Kind.YES_NO,
    models.DateTimeField: Kind.MOMENT,
    models.DateField: Kind.DAY,
    models.DecimalField: Kind.EXACT,
    models.FloatField: Kind.NUMBER,
    models.IntegerField: Kind.WHOLE,
    models.AutoField: Kind.WHOLE,
    models.UUIDField: Kind.MARK,
    models.JSONField: Kind.PARTS,
    models.CharField: Kind.TEXT,
    models.TextField: Kind.TEXT,
}


def given_out() -> list[type[models.Model]]:
    """The models whose rows go out."""
    return [model for model in carried_models() if model not in LEFT_OUT]


def tables() -> list[Table]:
    """Every table that goes out. Rows are read when they are asked for, one query a table."""
    return [table_of(model) for model in given_out()]


def table_of(model: type[models.Model]) -> Table:
    """A model as a plain table."""
    fields = fields_of(model)
    words = (model.__doc__ or "").strip().partition("\n")[0]
    return Table(
        model._meta.db_table,
        words,
        tuple(_column(field) for field in fields),
        partial(_rows, model, [field.attname for field in fields]),
    )


def fields_of(model: type[models.Model]) -> list[Any]:
    """The fields that go out."""
    secret = SECRET.get(model, ())
    return [field for field in model._meta.concrete_fields if field.name not in secret]


def _column(field: Any) -> Column:
    target = field.target_field if field.is_relation else field
    kind = next(KINDS[each] for each in type(target).__mro__ if each in KINDS)
    refers = field.related_model._meta.db_table if field.is_relation else ""
    choices = tuple((str(value), str(word)) for value, word in field.flatchoices)
    words = str(field.help_text or field.verbose_name).capitalize()
    return Column(field.attname, kind, words, field.null, refers, choices)


def _rows(model: type[models.Model], names: list[str]) -> Iterator[tuple[Any, ...]]:
    return model._base_manager.order_by("pk").values_list(*names).iterator(AT_ONCE)


def photo_files() -> Iterator[Path]:
    """The files of every photo that the record names and the shelf holds."""
    shelf = the_shelf()
    for digest in Photo.objects.order_by("digest").values_list("digest", flat=True).distinct():
        yield from filter(None, (shelf.find(digest, size) for size in SIZES))


def is_empty() -> bool:
    """Whether nobody has written anything here yet."""
    return not (Person.objects.exists() or JournalLine.objects.exists())


def take_in(found: Found) -> dict[str, int]:
    """Put a book into this empty garden: rows by table. All or nothing; NotAsWritten otherwise.

    Nobody can sign in afterwards until the owner is given a password.
    """
    if not is_empty():
        raise NotAsWritten("Somebody has written in this garden already; it takes an empty one.")
    known = {model._meta.db_table: model for model in given_out()}
    if set(found.columns) != set(known):
        raise NotAsWritten("It holds other tables: it is of another version of Haftbook.")
    with writing():
        # What every garden begins with stands in the book as well.
        for model in reversed(given_out()):
            model._base_manager.all()._raw_delete(DEFAULT_DB_ALIAS)
        counts = {name: _put(model, found) for name, model in known.items()}
        count_on(DEFAULT_DB_ALIAS, given_out())
        _fits()
        transaction.on_commit(Garden.stock_moved)
    _shelve(found)
    return counts


def _put(model: type[models.Model], found: Found) -> int:
    table, count = table_of(model), 0
    names = [column.name for column in table.columns]
    rows_left = found.rows(table)
    while rows := list(islice(rows_left, AT_ONCE)):
        made = [model(**dict(zip(names, row, strict=True))) for row in rows]
        for one in made:
            _clean(one, table.name)
        try:
            model._base_manager.bulk_create(made)
        except DatabaseError as error:
            raise NotAsWritten(f"{table.name} does not fit: {error}.") from error
        count += len(made)
    return count


def _clean(one: models.Model, table: str) -> None:
    if isinstance(one, Person):
        one.set_unusable_password()
        one.feed_key = new_feed_key()
    # Keys are looked at together at the end; what may be left open is the form's affair.
    left_open = [
        field.name
        for field in one._meta.fields
        if field.is_relation or getattr(one, field.attname) in field.empty_values
    ]
    try:
        one.clean_fields(exclude=left_open)
    except ValidationError as error:
        raise NotAsWritten(f"{table}, key {one.pk}: {error.messages[0]}") from error


def _fits() -> None:
    """Every key leads to a row; looked at before the transaction ends."""
    try:
        connection.check_constraints()
    except DatabaseError as error:
        raise NotAsWritten(f"A row leads to one that is not there: {error}.") from error


def _shelve(found: Found) -> None:
    """The photos onto the shelf; their names are their digests."""
    wanted = set(Photo.objects.values_list("digest", flat=True))
    shelf = the_shelf()
    for name, total in found.photos.items():
        digest, _, size = name.removesuffix(".jpg").rpartition("-")
        content = found.photo(name)
        if digest in wanted and size in SIZES and hashlib.sha256(content).hexdigest() == total:
            shelf.put(digest, size, content)
