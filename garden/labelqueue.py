"""The print queue: what has no label yet, by kind, oldest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from garden.labelling import Kind, kinds
from garden.models import Labelled

SHOWN = 20
# A year's pots of a large garden; more is printed in turns.
MOST_COUNTED = 2_000


@dataclass(frozen=True, slots=True)
class Line:
    """A thing in the queue: as a form names it, its code, and words."""

    named: str
    code: str
    name: str
    small: str
    thing: Any


@dataclass(frozen=True, slots=True)
class Group:
    """What waits of one kind: how many, and the oldest of them."""

    kind: Kind
    count: int
    lines: list[Line]

    @property
    def more(self) -> int:
        return self.count - len(self.lines)


def waiting(kind: Kind) -> QuerySet[Any]:
    """What stands and has neither a label nor a word that it needs none, oldest first."""
    has = Labelled.live.filter(kind=kind.key, thing=OuterRef("pk"))
    return kind.standing().filter(~Exists(has))


def count_of(kind: Kind) -> int:
    """How many wait, counted up to a limit that keeps the page quick. A query."""
    return waiting(kind).order_by()[:MOST_COUNTED].count()


def lines(kind: Kind, things: Iterable[Any]) -> list[Line]:
    """Things as a list shows them."""
    return [
        Line(f"{kind.key}.{thing.pk}", kind.code_of(thing), *kind.told(thing), thing)
        for thing in things
    ]


def queue(shown: int = SHOWN) -> list[Group]:
    """Every kind that comes by itself, with what waits of it. Two queries a kind."""
    arising = [kind for kind in kinds() if kind.arises]
    return [group for kind in arising if (group := group_of(kind, shown)).count]


def group_of(kind: Kind, shown: int = SHOWN) -> Group:
    """What waits of one kind. Two queries."""
    count = count_of(kind)
    return Group(kind, count, lines(kind, waiting(kind)[:shown]) if count else [])
