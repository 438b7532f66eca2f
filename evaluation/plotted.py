"""What the plot of candidates shows: merit or any criterion against another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evaluation.choosing import Line, Ranking, lines_of
from evaluation.meritplot import Dot, merit_svg, undominated
from evaluation.models import Criterion, Rubric

if TYPE_CHECKING:
    from evaluation.merit import Merit

MERIT = "merit"
# What somebody looks for first: good, and never seen before.
FIRST = ("novelty", MERIT)
# So many points carry a number and stand in the table.
NUMBERED = 30


@dataclass(frozen=True, slots=True)
class Point:
    """A numbered candidate with its two values."""

    number: int
    line: Line
    x: float
    y: float
    free: bool


@dataclass(frozen=True, slots=True)
class Plot:
    """All dots of the plot, the numbered ones told, and how many candidates lack a value."""

    dots: list[Dot]
    numbered: dict[int, int]
    lacking: int

    @property
    def free(self) -> int:
        return sum(dot.free for dot in self.dots)


def axes() -> list[tuple[str, str]]:
    """What can be plotted: merit and the criteria of the newest rubrics. One query."""
    newest = Rubric.live.filter(replaced_by=None)
    criteria = Criterion.live.filter(rubric__in=newest).order_by("-rubric__purpose", "order")
    titles: dict[str, str] = {}
    for key, title in criteria.values_list("key", "title"):
        titles.setdefault(key, title)
    return [(MERIT, "Merit"), *titles.items()]


def title_of(axis: str, known: Sequence[tuple[str, str]]) -> str:
    """'Merit, points of 100', 'Form, % of full marks'."""
    name = dict(known)[axis]
    return f"{name}, points of 100" if axis == MERIT else f"{name}, % of full marks"


def plot_of(keys: Sequence[int], x: str, y: str, merit: Merit) -> Plot:
    """The dots of these candidates; the unbeaten and the best carry numbers."""
    columns = [_values(keys, axis, merit) for axis in (x, y)]
    known = [pk for pk in keys if all(pk in column for column in columns)]
    free = dict(zip(known, undominated([(columns[0][pk], columns[1][pk]) for pk in known]),
                    strict=True))  # fmt: skip
    # Unbeaten ones first, then those that are best in both together.
    order = sorted(known, key=lambda pk: (not free[pk], -columns[0][pk] - columns[1][pk], pk))
    told = sorted(order[:NUMBERED], key=lambda pk: (-columns[1][pk], -columns[0][pk], pk))
    numbered = {pk: at for at, pk in enumerate(told, 1)}
    dots = [
        Dot(
            columns[0][pk],
            columns[1][pk],
            numbered.get(pk, 0),
            free[pk],
            _span(pk, x, merit),
            _span(pk, y, merit),
        )
        for pk in known
    ]
    return Plot(dots, numbered, len(keys) - len(known))


def points_of(plot: Plot, ranking: Ranking) -> list[Point]:
    """The numbered candidates with their values, by number. Four queries."""
    by_number = {dot.number: dot for dot in plot.dots if dot.number}
    return [
        Point(at, line, by_number[at].x, by_number[at].y, by_number[at].free)
        for line in lines_of(plot.numbered, ranking)
        if (at := plot.numbered[line.candidate.pk])
    ]


def svg_of(plot: Plot, x: str, y: str, known: Sequence[tuple[str, str]]) -> str:
    return merit_svg(plot.dots, title_of(x, known), title_of(y, known))


def _values(keys: Sequence[int], axis: str, merit: Merit) -> dict[int, float]:
    if axis == MERIT:
        return {pk: merit.standings[pk].merit for pk in keys if pk in merit.standings}
    # The sums and their library are loaded when somebody first asks for them.
    from evaluation.merit import criterion_values

    shares = criterion_values([axis], list(keys))
    return {pk: 100 * given[axis] for pk, given in shares.items() if given.get(axis) is not None}


def _span(pk: int, axis: str, merit: Merit) -> tuple[float, float] | None:
    if axis != MERIT:
        return None
    return merit.standings[pk].low, merit.standings[pk].high
