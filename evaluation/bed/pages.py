"""Lists cut into answers that a thin line carries: at most so many rows, at most so many bytes."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from garden.models import Garden, Person

Row = dict[str, Any]
MOST_ROWS = 500
# Names that do not repeat shrink to somewhat more than half on their way: 15 kB there.
MOST_BYTES = 26_000


@dataclass(frozen=True, slots=True)
class Asked:
    """Who asks for a list, on which day, and behind which row it goes on ('' at its beginning)."""

    garden: Garden
    person: Person
    today: date
    after: str = ""

    @property
    def key(self) -> int:
        """The key of the row to go on behind, of lists in the order of their keys."""
        return int(self.after or 0)


@dataclass(frozen=True, slots=True)
class Page:
    """One answer: its rows, and the key to go on from; None at the end."""

    rows: list[Row]
    more: str | None


def plain(value: Any) -> bytes:
    """As JSON without a space too many."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()


def cut(rows: Iterable[tuple[str, Row]]) -> Page:
    """As many (key, row) as one answer takes, at least one."""
    taken: list[Row] = []
    last, size = "", 0
    for key, row in rows:
        told = {name: value for name, value in row.items() if value not in (None, "", [], {})}
        size += len(plain(told)) + 1
        if taken and (size > MOST_BYTES or len(taken) == MOST_ROWS):
            return Page(taken, last)
        taken.append(told)
        last = key
    return Page(taken, None)


def by_key(rows: QuerySet, asked: Asked) -> list[Any]:
    """The things behind the key asked for, one more than an answer takes. A query."""
    behind = rows.filter(pk__gt=asked.key) if asked.after else rows
    return list(behind.order_by("pk")[: MOST_ROWS + 1])


def behind(rows: Sequence[tuple[str, Row]], asked: Asked) -> Page:
    """The answer behind the key asked for, of a list that is gathered whole."""
    if not asked.after:
        return cut(rows)
    keys = [key for key, _ in rows]
    # What has left the list meanwhile leads nowhere: the list is asked for anew soon.
    return cut(rows[keys.index(asked.after) + 1 :]) if asked.after in keys else Page([], None)
