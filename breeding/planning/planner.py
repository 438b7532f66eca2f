"""One question of a balanced set, and what was learned about it, for one limit after the other."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from breeding.planning.candidates import Floats, Ints
from breeding.planning.convex import curve
from breeding.planning.pairs import Pairs
from breeding.planning.pricing import Prices, bound_at, within_reach
from breeding.planning.products import MOST_PAIRS, solve_few, solve_few_least
from breeding.planning.programme import Found, Programme
from breeding.planning.solving import most_crosses, near, solve, solve_least
from breeding.planning.swapping import greedy

# The solver gets no more pairs than these.
MOST_SOLVED = 600
# A bound this close, in parts of the value, is reached.
CLOSE = 1e-6
ROUNDING = 1e-9
GOALS = ("score", "merit")


@dataclass(frozen=True, slots=True)
class Answer:
    """The best set within a limit, None if none was found; values are sums over its crosses.

    No set within the limit is above `bound`. `looked_at` pairs were given to the solver.
    """

    found: Found | None
    bound: float
    looked_at: int

    @property
    def proven(self) -> bool:
        """Whether there is no better set, or none at all."""
        if self.found is None:
            return self.bound == -inf
        return self.bound <= self.found.value + CLOSE * max(1.0, abs(self.found.value))


@dataclass(frozen=True, slots=True)
class Least:
    """The least kinship found, and what no set can be below."""

    found: Found
    bound: float
    proven: bool


class Planner:
    """Sets of N crosses of a pair table.

    Attributes
    ----------
    allowed : ndarray of int, shape (allowed pairs,)
        Their rows in the table; places in the programme are places in this list.
    possible : int
        Crosses that can be made, N at most.
    """

    def __init__(self, pairs: Pairs, crosses: int, most_uses: int | None, goal: str) -> None:
        if crosses < 1 or (most_uses is not None and most_uses < 1):
            raise ValueError("At least one cross, and each parent used at least once.")
        if goal not in GOALS:
            raise ValueError(f"The goal is one of {', '.join(GOALS)}.")
        self.pairs = pairs
        self.allowed: Ints = np.flatnonzero(~pairs.excluded)
        ends = np.r_[pairs.seed[self.allowed], pairs.pollen[self.allowed]]
        self.plants, places = np.unique(ends, return_inverse=True)
        first, second = places.reshape(2, len(self.allowed))
        kin = pairs.kin[np.ix_(self.plants, self.plants)] / (2.0 * crosses) ** 2
        kin = (kin + kin.T) / 2
        value = _values(pairs, goal)[self.allowed]
        uses = crosses if most_uses is None else min(most_uses, crosses)
        self.programme = Programme(first, second, value, kin, curve(kin), crosses, uses)
        self.prices = Prices(self.programme)
        # So few that all of them go to the solver at once.
        self.few = len(self.allowed) <= MOST_PAIRS
        self.possible = self._begin()

    def _begin(self) -> int:
        """Find a first set, so that later there is always one to better."""
        crosses = self.programme.crosses
        rows = greedy(self.programme, self.programme.value)
        if rows is None and len(self.allowed):
            rows = most_crosses(self.programme, 10.0)
        if rows is not None and len(rows) == crosses:
            self.programme.keep(rows)
        return 0 if rows is None else len(rows)

    def least(self, seconds: float) -> Least:
        """The least kinship that N crosses can have; as long as `possible` is N."""
        programme = self.programme
        if self.few:
            floor = solve_few_least(programme, np.arange(len(programme)), seconds).bound
        else:
            floor = self._least_of_many(seconds)
        best = self._least_found()
        floor = min(floor, best.kinship)
        return Least(best, floor, best.kinship <= floor + near(programme))

    def _least_of_many(self, seconds: float) -> float:
        floor, best = self.prices.least_kinship(), self._least_found()
        relaxed, missing = self.prices.lowest, best.kinship - floor
        if relaxed is None or missing <= near(self.programme):
            return floor
        rows, left = within_reach(relaxed, missing, self.programme.crosses, MOST_SOLVED)
        solved = solve_least(self.programme, rows, seconds)
        return max(floor, min(solved.bound, floor + left))

    def choose(self, limit: float, seconds: float) -> Answer:
        """The highest value within a limit, ∞ for none; as long as `possible` is N."""
        if limit < inf and self.prices.least_kinship() > limit + near(self.programme):
            return Answer(None, -inf, 0)
        if self.few:
            rows = np.arange(len(self.programme))
            solved = solve_few(self.programme, rows, limit, seconds)
            return self._answer(limit, solved.bound, len(rows))
        return self._of_many(limit, seconds)

    def _of_many(self, limit: float, seconds: float) -> Answer:
        relaxed = self.prices.at(limit)
        ceiling = bound_at(relaxed, limit)
        ceiling += ROUNDING * max(1.0, abs(ceiling))
        best = self.prices.improve(limit, relaxed)
        if best is None:
            self.least(seconds / 2)
            best = self.programme.best(limit)
        missing = inf if best is None else ceiling - best.value
        rows, left = within_reach(relaxed, missing, self.programme.crosses, MOST_SOLVED)
        few = limit < inf and len(rows) <= MOST_PAIRS
        solved = (solve_few if few else solve)(self.programme, rows, limit, seconds)
        return self._answer(limit, min(ceiling, max(solved.bound, ceiling - left)), len(rows))

    def _answer(self, limit: float, bound: float, looked_at: int) -> Answer:
        best = self.programme.best(limit)
        return Answer(best, bound if best is None else max(bound, best.value), looked_at)

    def rows(self, found: Found) -> tuple[int, ...]:
        """Rows of a set in the pair table, the pair of the highest score first."""
        rows = self.allowed[found.rows]
        return tuple(rows[np.argsort(-self.pairs.score[rows], kind="stable")].tolist())

    def _least_found(self) -> Found:
        found = self.programme.least()
        if found is None:
            raise ValueError("So many crosses cannot be made.")
        return found


def _values(pairs: Pairs, goal: str) -> Floats:
    """What is summed: the score, or merit with the table's mean for the unknown ones."""
    if goal == "score":
        return pairs.score
    merit = pairs.columns["merit"]
    known = ~np.isnan(merit)
    return np.where(known, merit, merit[known].mean() if known.any() else 0.0)
