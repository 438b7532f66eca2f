"""Which unknowns there are and where they stand; notes as rows of them."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from breeding.flowering.absorbing import Floats, Ints, Parts
from breeding.flowering.letters import ANY_SPREAD, START_SPREAD, STARTS
from breeding.flowering.notes import STAGES, Noted

Usual = Mapping[Hashable, tuple[str, float | None]]
# Shared unknowns: the garden's mean, days from one end of the letters to the other, days of bloom
# and days to the peak; then one start and one length for each group; then one shift a year.
MEAN, LETTER, LENGTH, PEAK, FIRST_GROUP = range(5)
# Means and standard deviations before any note, in days; from memory, and wide.
BEFORE = {MEAN: (0.0, 100.0), LETTER: (16.0, 5.0), LENGTH: (14.0, 5.0), PEAK: (5.0, 3.0)}
GROUP_LENGTH_SPREAD = 3.0
# The peak of a plant that blooms a day longer comes so much later.
OF_LENGTH = np.array([0.0, 0.4, 1.0])
NO_YEAR = -1


@dataclass(frozen=True)
class Layout:
    """Plants, groups and years by their index; one plant, group and year more stand for any other.

    Attributes
    ----------
    plants, groups, years : dict
        Index by plant, group ('' for none) and year.
    group, letter, lettered : ndarray of shape (plants + 1,)
        Index of the group; recorded place in the season less one half, 0 where none is recorded;
        whether one is recorded. The last plant stands for any that is unknown.
    """

    plants: dict[Hashable, int]
    groups: dict[str, int]
    years: dict[int, int]
    group: Ints
    letter: Floats
    lettered: Floats

    @property
    def width(self) -> int:
        """Number of shared unknowns, m."""
        return FIRST_GROUP + 2 * len(self.groups) + len(self.years) + 1

    def year(self, year: int) -> int:
        """Column of a year's shift; a year without notes has the last column."""
        start = FIRST_GROUP + 2 * len(self.groups)
        return start + self.years.get(year, len(self.years))

    def at(self, plants: Iterable[Hashable]) -> Ints:
        """Indices of plants; unknown ones get the last."""
        return np.array([self.plants.get(each, len(self.plants)) for each in plants], np.intp)

    def first(self, many: int) -> Layout:
        """Only the first plants, with the same groups and years, and the one for any other."""
        kept = np.append(np.arange(many), len(self.plants))
        plants = {plant: at for plant, at in self.plants.items() if at < many}
        picked = self.group[kept], self.letter[kept], self.lettered[kept]
        return Layout(plants, self.groups, self.years, *picked)

    def columns(self, years: Iterable[int]) -> Ints:
        """Columns of the shifts of years."""
        return np.array([self.year(each) for each in years], np.intp)

    def rows(self, at: Ints, column: Ints | int, stage: Ints | int) -> tuple[Floats, Floats]:
        """Coefficients (k, 2) of the plants' own unknowns and (k, m) of the shared ones.

        `column` is that of the year, or NO_YEAR for a usual one; `stage` an index of STAGES.
        """
        many = len(at)
        order, stages = np.arange(many), np.broadcast_to(stage, many)
        length: Floats = OF_LENGTH[stages]
        own: Floats = np.column_stack([np.ones(many), length])
        shared: Floats = np.zeros((many, self.width))
        shared[:, MEAN] = 1
        shared[:, LETTER] = self.letter[at]
        shared[:, LENGTH] = stages == 2
        shared[:, PEAK] = stages == 1
        shared[order, FIRST_GROUP + self.group[at]] = 1
        shared[order, FIRST_GROUP + len(self.groups) + self.group[at]] = length
        columns = np.broadcast_to(column, many)
        dated = columns != NO_YEAR
        shared[order[dated], columns[dated]] = 1
        return own, shared

    def before(self, year_spread: float) -> tuple[Floats, Floats]:
        """Means and variances, (m,) each, of the shared unknowns before any note."""
        mean, spread = np.zeros(self.width), np.full(self.width, year_spread)
        for column, (middle, reach) in BEFORE.items():
            mean[column], spread[column] = middle, reach
        for group, index in self.groups.items():
            known = group in STARTS
            mean[FIRST_GROUP + index] = STARTS.get(group, 0.0)
            spread[FIRST_GROUP + index] = START_SPREAD if known else ANY_SPREAD
            spread[FIRST_GROUP + len(self.groups) + index] = GROUP_LENGTH_SPREAD
        variance: Floats = np.square(spread)
        return mean, variance


def lay_out(noted: Sequence[Noted], usual: Usual) -> Layout:
    """Every plant, group and year that is noted or known, noted plants first."""
    mentioned = dict.fromkeys([*(each.plant for each in noted), *usual])
    plants = {each: at for at, each in enumerate(mentioned)}
    known = [usual.get(each, ("", None)) for each in plants] + [("", None)]
    groups = {each: at for at, each in enumerate(dict.fromkeys([group for group, _ in known]))}
    years = {each: at for at, each in enumerate(sorted({n.year for n in noted}))}
    return Layout(
        plants,
        groups,
        years,
        np.array([groups[group] for group, _ in known], np.intp),
        np.array([0.0 if place is None else place - 0.5 for _, place in known]),
        np.array([0.0 if place is None else 1.0 for _, place in known]),
    )


@dataclass(frozen=True)
class Turns:
    """Notes by plant and year, rows in the order of these.

    Attributes
    ----------
    plant, year : ndarray of shape (turns,)
        Index of the plant, column of the year.
    days : ndarray of shape (turns, 3)
        First, peak and last day; NaN where not noted.
    """

    plant: Ints
    year: Ints
    days: Floats

    @property
    def centre(self) -> float:
        """Mean of all days, from which they are counted so that sums of squares lose nothing."""
        return float(np.nanmean(self.days)) if len(self.days) else 0.0

    @property
    def many(self) -> Ints:
        """Notes of each turn, 1 to 3."""
        found: Ints = (~np.isnan(self.days)).sum(1)
        return found


def turns(noted: Sequence[Noted], layout: Layout) -> Turns:
    """Notes put together; of several for one stage the earliest first, the latest peak and last."""
    better = {"first": min, "peak": max, "last": max}
    held: dict[tuple[int, int], dict[str, float]] = {}
    for each in noted:
        own = held.setdefault((layout.plants[each.plant], layout.year(each.year)), {})
        before = own.get(each.stage, each.day)
        own[each.stage] = better[each.stage](before, float(each.day))
    days = np.array([[own.get(stage, np.nan) for stage in STAGES] for own in held.values()])
    keys = np.array(list(held), np.intp).reshape(-1, 2)
    return Turns(keys[:, 0], keys[:, 1], days.reshape(-1, 3))


def products(plant: Ints, own: Floats, shared: Floats, plants: int) -> Parts:
    """Sums of squares and products of rows, by plant: what normal equations are made of."""
    from scipy.sparse import csr_array

    rows, width = own.shape
    border = np.empty((plants, width, shared.shape[1]))
    squares = np.empty((plants, width, width))
    for at in range(width):
        gather = csr_array((own[:, at], (plant, np.arange(rows))), (plants, rows))
        border[:, at] = gather @ shared
        squares[:, at] = gather @ own
    return Parts(squares, border, shared.T @ shared)
