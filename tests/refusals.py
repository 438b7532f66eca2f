"""That a verb refuses: its sentence, the field it belongs to, and that nothing was written.

And that the database itself refuses, told in the same words whichever it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from garden.models import JournalLine
from garden.verbs import Act, Kept, Refused

KINDS = {"23505": "UNIQUE", "23514": "CHECK", "23502": "NOT NULL", "23503": "FOREIGN KEY"}


def rule_broken(error: IntegrityError) -> str:
    """'UNIQUE constraint failed: table.column, …' in SQLite's words, with the rule's name."""
    told = getattr(error.__cause__, "diag", None)
    if told is None:
        return str(error)
    columns = told.column_name or (told.message_detail or "").partition("(")[2].partition(")")[0]
    named = ", ".join(f"{told.table_name}.{column}" for column in columns.split(", ") if column)
    rule = told.constraint_name or ""
    return f"{KINDS[told.sqlstate]} constraint failed: {rule}: {named}"


def breaks(rule: str, write: Callable[[], object]) -> None:
    """Writing is refused by the rule of that name (a pattern), or by the unique columns named."""
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        write()
    assert re.search(rule, rule_broken(refusal.value)), rule_broken(refusal.value)


def refused(
    verb: Callable[..., Kept], doing: Act, sentence: str, field: str = "", **values: Any
) -> None:
    """The verb refuses these values with one sentence (a pattern) at one field ('' for none)."""
    lines = JournalLine.objects.count()
    with pytest.raises(Refused, match=sentence) as error:
        verb(doing, **values)
    assert list(error.value.messages) == [field]
    assert JournalLine.objects.count() == lines
