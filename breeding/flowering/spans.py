"""First and last days of many plants in one year, jointly normal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from breeding.flowering.absorbing import Floats, Ints
from breeding.flowering.solving import together

if TYPE_CHECKING:
    from breeding.flowering.flowering import Flowering

FIRST, LAST = 0, 2
# A noted first day leaves at least so many days until the last.
SHORTEST = 1.0


@dataclass(frozen=True)
class Spans:
    """Expected first and last days of plants, shape (k,), and how they vary together.

    `loads` (2, k, r) are the days' dependence on r independent standard normal things that plants
    share (this year's shift foremost); `own` (2, 2, k) the covariance of a plant's two days beside
    that.
    """

    days: Floats
    loads: Floats
    own: Floats

    def spread(self) -> Floats:
        """(2, 2, k): covariances of each plant's first and last day."""
        found: Floats = self.own + np.einsum("akr,bkr->abk", self.loads, self.loads)
        return found

    def between(self, one: int, other: int) -> Floats:
        """(k, k): covariances of one day of plants in rows with another of plants in columns."""
        found: Floats = self.loads[one] @ self.loads[other].T
        order = np.arange(len(found))
        found[order, order] += self.own[one, other]
        return found


def spans(bloom: Flowering, at: Ints, year: int) -> Spans:
    """First and last days of plants of index `at` (k,) in `year`, given all that is noted."""
    column = bloom.layout.year(year)
    rows = [bloom.layout.rows(at, column, stage) for stage in (FIRST, LAST)]
    seen, gains, noise = _seen(bloom, at, column)
    found = bloom.posterior
    root = np.linalg.cholesky(found.spread)
    days, loads, owns = [], [], []
    for stage, (own, shared) in enumerate(rows):
        own = own - gains[stage][:, None] * seen.own
        shared = shared - gains[stage][:, None] * seen.shared
        days.append(found.value(at, own, shared) + seen.pulled[stage])
        loads.append(found.load(at, own, shared) @ root)
        owns.append(own)
    covariance = np.einsum("akb,kbc,dkc->adk", np.array(owns), found.left[at], np.array(owns))
    expected = Spans(np.array(days) + bloom.centre, np.array(loads), covariance + noise)
    return _with_facts(expected, seen.facts)


@dataclass(frozen=True)
class _Seen:
    """What this year says of each plant itself: summed rows of its notes, pull on its two days."""

    own: Floats
    shared: Floats
    pulled: Floats
    facts: Floats


def _seen(bloom: Flowering, at: Ints, column: int) -> tuple[_Seen, Floats, Floats]:
    """What is seen, gains (2, k) of the two days from it, and the noise left over (2, 2, k)."""
    held, many = bloom.components, len(at)
    turn, note = held.turn**2, held.note**2
    seen = _Seen(
        np.zeros((many, 2)),
        np.zeros((many, bloom.layout.width)),
        np.zeros((2, many)),
        np.full((2, many), np.nan),
    )
    gains = np.zeros((2, many))
    noise = np.broadcast_to(np.array([[turn + note, turn], [turn, turn + note]])[:, :, None],
                            (2, 2, many)).copy()  # fmt: skip
    turns, sites = bloom.turns_of(column), bloom.sites_of(column)
    for k, plant in enumerate(at.tolist()):
        if plant in turns:
            days = bloom.turns.days[turns[plant]]
            stages = np.nonzero(~np.isnan(days))[0]
            own, shared = bloom.layout.rows(np.full(len(stages), plant), column, stages)
            seen.own[k], seen.shared[k] = own.sum(0), shared.sum(0)
            share = together(held, len(stages))
            gains[:, k] = share
            seen.pulled[:, k] = share * (days[stages] - bloom.centre).sum()
            noise[:, :, k] -= turn * len(stages) * share
            seen.facts[:, k] = days[[FIRST, LAST]]
        elif bloom.sites is not None and plant in sites:
            own, shared = bloom.layout.rows(np.array([plant]), column, FIRST)
            seen.own[k], seen.shared[k] = own[0], shared[0]
            sharp, pull = bloom.sites.sharp[sites[plant]], bloom.sites.pull[sites[plant]]
            loose = 1 + sharp * (turn + note)
            weigh = np.array([turn + note, turn])
            gains[:, k] = weigh * sharp / loose
            seen.pulled[:, k] = weigh * pull / loose
            noise[:, :, k] -= np.outer(weigh, weigh) * sharp / loose
    return seen, gains, noise


def _with_facts(found: Spans, facts: Floats) -> Spans:
    """Days that are noted stand as noted, and no bloom ends before it began."""
    noted = ~np.isnan(facts)
    days = np.where(noted, np.nan_to_num(facts), found.days)
    days[1] = np.where(noted[1], days[1], np.maximum(days[1], days[0] + SHORTEST))
    days[0] = np.where(noted[0], days[0], np.minimum(days[0], days[1] - SHORTEST))
    loads = np.where(noted[:, :, None], 0, found.loads)
    free = ~noted
    own = np.where(free[:, None] & free[None], found.own, 0)
    return Spans(days, loads, own)
