"""What the garden's notes of bloom say: places, shifts, who is open when and with whom."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from breeding.flowering import meeting
from breeding.flowering.absorbing import Floats, Posterior
from breeding.flowering.closed import Sites
from breeding.flowering.components import Components, told
from breeding.flowering.diligence import Part, mean_sites, quantile
from breeding.flowering.layout import NO_YEAR, Layout, Turns
from breeding.flowering.notes import Overlap, Place, Shift
from breeding.flowering.spans import Spans, spans

# Half of 90 % on either side of the middle of a normal distribution.
REACH = 1.6448536269514722


@dataclass(frozen=True)
class Flowering:
    """The garden's bloom as its notes tell it; made by `fit`.

    All chances are for plants that bloom in the year at all. Whole days are counted: a plant is
    open from its first day to its last, both included. Plants and years that nothing is known of
    are allowed everywhere and get wide answers. `parts` say what follows from plants still closed,
    for each share of plants that may be noted this year; none where nothing is waited for.
    """

    layout: Layout
    turns: Turns
    centre: float
    components: Components
    counted: dict[str, int]
    posterior: Posterior
    parts: tuple[Part, ...]

    @cached_property
    def sites(self) -> Sites | None:
        """What closed plants say, over all shares of plants that may be noted."""
        return mean_sites(self.parts) if self.parts else None

    @property
    def told(self) -> tuple[str, ...]:
        """How much seasons, plants and notes differ, and which of it is estimated, in sentences."""
        return told(self.components, self.counted)

    def place(self, plant: Hashable) -> Place:
        """The plant's place in a usual year, noted or not."""
        at = self.layout.at([plant])
        rows = [self.layout.rows(at, NO_YEAR, stage) for stage in range(3)]
        first, peak, last = (float(self.posterior.value(at, *row)[0]) + self.centre for row in rows)
        error = float(np.sqrt(self.posterior.variance(at, *rows[0])[0]))
        years = int((self.turns.plant == at[0]).sum())
        return Place(
            first, peak, last, first - REACH * error, first + REACH * error, years,
            self._rests_on(int(at[0]), years),
        )  # fmt: skip

    def places(self, plants: Sequence[Hashable]) -> Floats:
        """(n, 2): usual first days of plants, and their standard errors."""
        at = self.layout.at(plants)
        row = self.layout.rows(at, NO_YEAR, 0)
        error = np.sqrt(self.posterior.variance(at, *row))
        return np.column_stack([self.posterior.value(at, *row) + self.centre, error])

    def shift(self, year: int) -> Shift:
        """By how many days the year is later than the mean of the seasons noted."""
        column, noted = self.layout.year(year), self.layout.columns(self.layout.years)
        row = np.zeros(self.layout.width)
        if len(noted) > 1:
            row[noted] = -1 / len(noted)
        row[column] += 1
        days, low, high = self._held(row)
        plants, waiting = len(self.turns_of(column)), len(self.sites_of(column))
        return Shift(days, low, high, plants, waiting, len(noted))

    def overlap(self, a: Hashable, b: Hashable, year: int) -> Overlap:
        """How two different plants meet in a year."""
        return meeting.overlap(self._spans([a, b], year))

    def overlaps(self, plants: Sequence[Hashable], year: int) -> Floats:
        """(n, n): chances, 0–1, that two plants are both open on one day at least; n² · shared.

        Plants are taken as different ones; each meets itself.
        """
        return meeting.overlaps(self._spans(plants, year))

    def turns_of(self, column: int) -> dict[int, int]:
        """Index of the plant's notes, by plant, in the year of that column."""
        here = np.nonzero(self.turns.year == column)[0]
        return dict(zip(self.turns.plant[here].tolist(), here.tolist(), strict=True))

    def sites_of(self, column: int) -> dict[int, int]:
        """Index of the site, by plant, of those still closed in the year of that column."""
        if self.sites is None:
            return {}
        here = np.nonzero(self.sites.column == column)[0]
        return dict(zip(self.sites.plant[here].tolist(), here.tolist(), strict=True))

    def _held(self, row: Floats) -> tuple[float, float, float]:
        """Mean of row · shared unknowns, and the ends of its 90 % interval."""
        if not self.parts:
            mean = float(row @ self.posterior.mean)
            reach = REACH * float(np.sqrt(row @ self.posterior.spread @ row))
            return mean, mean - reach, mean + reach
        weights = np.array([part.weight for part in self.parts])
        means = np.array([row @ part.mean for part in self.parts])
        errors = np.sqrt([row @ part.spread @ row for part in self.parts])
        low, high = (quantile(weights, means, errors, share) for share in (0.05, 0.95))
        return float(weights @ means), low, high

    def _spans(self, plants: Sequence[Hashable], year: int) -> Spans:
        return spans(self, self.layout.at(plants), year)

    def _rests_on(self, at: int, years: int) -> tuple[str, ...]:
        group = next(name for name, index in self.layout.groups.items()
                     if index == self.layout.group[at])  # fmt: skip
        of_class = int(
            (self.layout.group[np.unique(self.turns.plant)] == self.layout.group[at]).sum()
        )
        said = [f"noted in {years} year{'' if years == 1 else 's'}" if years else "never noted"]
        if group:
            said.append(f"{of_class or 'no'} noted plant{'' if of_class == 1 else 's'} of {group}")
        said.append("its recorded season" if self.layout.lettered[at] else "no recorded season")
        return tuple(said)
