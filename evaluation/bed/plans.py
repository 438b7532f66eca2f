"""The crosses that were planned, as they stand today."""

from __future__ import annotations

from breeding.pages.plantoday import Line, Way, lines_of
from evaluation.bed.pages import Asked, Page, Row, behind


def plan(asked: Asked) -> Page:
    """Planned crosses that can be made now or soon. Ten queries, and those of the bloom."""
    _, lines = lines_of(asked.garden, asked.today)
    near = [line for line in lines if line.way in (Way.OPEN, Way.STORED, Way.SOON)]
    return behind([(str(line.planned.pk), _line(line)) for line in near], asked)


def _line(line: Line) -> Row:
    return {
        "way": line.way.name,
        "seed": str(line.seed),
        "seed_pk": line.seed.pk,
        "pollen": str(line.pollen),
        "pollen_pk": line.pollen.pk,
        "goal": line.planned.goal.name,
        "worked": line.worked,
        "flowers": line.planned.flowers,
        "stands": line.stands,
        "fetch": line.fetch,
        "reason": line.reason,
    }
