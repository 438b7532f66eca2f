"""A row of a bed walked stretch after stretch: where it leads on, and what was found in the end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from breeding.models import Row
from evaluation.models import Glance
from evaluation.walking import Walk, counts_of, walks_of
from garden.calendar import REST_BEFORE_FIRST_BLOOM
from garden.models import JournalLine, Person

# Whoever says nothing for so long has left the row.
PAUSE = timedelta(minutes=10)


@dataclass(frozen=True)
class Walked:
    """What somebody found along all stretches of a row of a bed, and how long it took."""

    counts: list[tuple[str, int]]
    called: list[tuple[Row, int]]
    scored: int
    took: timedelta

    @property
    def positions(self) -> int:
        return sum(count for _, count in self.counts)

    @property
    def minutes(self) -> int:
        """Whole minutes, at least one."""
        return max(1, round(self.took / timedelta(minutes=1)))


def stretches(row: Row, day: date) -> list[Row]:
    """All stretches of the same row of the bed that stand and can bloom, in order. One query."""
    old_enough = day - REST_BEFORE_FIRST_BLOOM
    beside = Row.live.filter(
        bed=row.bed_id, row=row.row, closed_on=None, lined_out_on__lte=old_enough
    )
    return list(
        beside.select_related("bed", "cross__seed_parent", "cross__pollen_parent").order_by("first")
    )


def walks_along(person: Person, row: Row, day: date, backward: bool) -> list[Walk]:
    """This person's walks along every stretch of the row. Six queries."""
    return walks_of(person, stretches(row, day), day, backward)


def next_stretch(walks: Sequence[Walk], row: Row, backward: bool) -> Walk | None:
    """The walk along the next stretch in which something is left to look at; None at the end."""
    if backward:
        beyond = [walk for walk in reversed(walks) if walk.row.last < row.first]
    else:
        beyond = [walk for walk in walks if walk.row.first > row.last]
    return next((walk for walk in beyond if walk.next_after() is not None), None)


def walked(walks: Sequence[Walk]) -> Walked:
    """What these walks found. One query."""
    return Walked(
        counts_of(found for walk in walks for found in walk.found.values()),
        [(walk.row, at) for walk in walks for at in walk.called],
        sum(len(walk.scored) for walk in walks),
        took([look for walk in walks for look in walk.looks]),
    )


def took(looks: Sequence[Glance]) -> timedelta:
    """How long these looks took, long pauses left out. One query."""
    said = JournalLine.objects.filter(
        verb="glance",
        mentions__kind=Glance._meta.label_lower,
        mentions__thing_id__in=[look.pk for look in looks],
    )
    steps = pairwise(said.order_by("happened_at").values_list("happened_at", flat=True))
    return sum((later - one for one, later in steps if later - one < PAUSE), timedelta())
