"""Whole crosses by integer programming, with flat pieces in place of the curve of kinship.

A set that the solver finds and that is above the limit gets a flat piece of its own, which
touches the curve there and so forbids it; then the solver is asked again.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf
from time import perf_counter
from typing import Any

import numpy as np

from breeding.planning.candidates import Floats, Ints
from breeding.planning.programme import CLOSE, Found, Programme
from breeding.planning.swapping import swapped

# Which answers of scipy's solver mean what.
DONE, STOPPED, NONE = 0, 1, 2
# The solver takes a row as kept when it misses by this much.
SOLVER_CLOSE = 1e-6


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver proved of the pairs that it was given.

    For the highest value, no set within the limit has more than `bound`, −∞ where there is none.
    For the least kinship, no set has less than `bound`. `rounds` counts the solver's runs.
    """

    bound: float
    rounds: int


@dataclass
class _Model:
    """Variables: a cross each, uses of each plant, kinship (in units of 1 / (2N)²)."""

    programme: Programme
    rows: Ints
    least: bool
    limit: float
    barred: list[Ints] = field(default_factory=list)

    def __post_init__(self) -> None:
        told = self.programme
        parents = np.r_[told.first[self.rows], told.second[self.rows]]
        self.plants, places = np.unique(parents, return_inverse=True)
        self.places = places.reshape(2, len(self.rows))
        self.unit = (2.0 * told.crosses) ** 2

    def fixed(self) -> tuple[Any, Floats]:
        """Uses are sums of crosses, and there are N crosses: an equation each."""
        from scipy import sparse

        m, n = len(self.rows), len(self.plants)
        each = np.arange(m)
        shape = (n, m)
        used = sparse.csr_array((np.ones(2 * m), (self.places.ravel(), np.r_[each, each])), shape)
        zero, one = sparse.csr_array((n, 1)), sparse.csr_array(np.ones((1, m)))
        upper = sparse.hstack([-used, sparse.eye_array(n), zero])
        lower = sparse.hstack([one, sparse.csr_array((1, n + 1))])
        right = np.r_[np.zeros(n), float(self.programme.crosses)]
        return sparse.vstack([upper, lower]).tocsr(), right

    def pieces(self) -> tuple[Floats, Floats]:
        """Rows below their right-hand sides: each flat piece below kinship, sets barred."""
        m, cuts = len(self.rows), self.programme.cuts if self.least or self.limit < inf else []
        table = np.zeros((len(cuts) + len(self.barred), m + len(self.plants) + 1))
        right = np.zeros(len(table))
        for at, cut in enumerate(cuts):
            table[at, m:-1] = cut.row[self.plants] * self.unit
            table[at, -1] = -1.0
            right[at] = cut.const * self.unit
        for at, rows in enumerate(self.barred, len(cuts)):
            table[at, :m] = np.isin(self.rows, rows)
            right[at] = self.programme.crosses - 1
        return table, right

    def solve(self, seconds: float) -> Any:
        from scipy.optimize import Bounds, LinearConstraint, milp

        m, n = len(self.rows), len(self.plants)
        equal, right = self.fixed()
        constraints = [LinearConstraint(equal, right, right)]
        table, top = self.pieces()
        if len(table):
            constraints.append(LinearConstraint(table, -np.inf, top))
        goal = np.zeros(m + n + 1)
        if self.least:
            goal[-1] = 1.0
        else:
            goal[:m] = -self.programme.value[self.rows]
        highest = np.full(m + n + 1, 1.0)
        highest[m:-1] = self.programme.most_uses
        highest[-1] = np.inf if self.least else (self.limit + CLOSE) * self.unit
        whole = np.zeros(m + n + 1)
        whole[:m] = 1
        options = {"time_limit": max(seconds, 0.05), "mip_rel_gap": 0.0}
        return milp(
            goal,
            integrality=whole,
            bounds=Bounds(0.0, highest),
            constraints=constraints,
            options=options,
        )


def solve(programme: Programme, rows: Ints, limit: float, seconds: float) -> Solved:
    """The highest value of N of these pairs with kinship at most `limit`.

    Parameters
    ----------
    programme : Programme
        Sets found are remembered there, and flat pieces too.
    rows : ndarray of int, shape (pairs,)
    limit : float
        ∞ for none.
    seconds : float
        The whole time, about; what is proven by then is handed back.
    """
    model = _Model(programme, rows, False, limit)
    end, bound, rounds = perf_counter() + seconds, inf, 0
    while (left := end - perf_counter()) > 0:
        rounds += 1
        answer = model.solve(left)
        if answer.status == NONE:
            return Solved(-inf, rounds)
        if answer.mip_dual_bound is not None:
            bound = min(bound, -float(answer.mip_dual_bound))
        found = set_of(programme, rows, answer)
        if found is None or answer.status != DONE and found.kinship <= limit + CLOSE:
            break
        if found.kinship <= limit + CLOSE:
            # The bound is that of a finished search; rounding of the solver left out.
            return Solved(min(bound, found.value), rounds)
        _forbid(model, found)
        swapped(programme, found.rows, rows, 0.0, 1.0, limit)
        best = programme.best(limit)
        if best is not None and best.value >= bound - SOLVER_CLOSE:
            break
    return Solved(bound, rounds)


def solve_least(programme: Programme, rows: Ints, seconds: float) -> Solved:
    """The least kinship of N of these pairs; otherwise as `solve`."""
    model = _Model(programme, rows, True, inf)
    end, bound, rounds = perf_counter() + seconds, 0.0, 0
    while (left := end - perf_counter()) > 0:
        rounds += 1
        answer = model.solve(left)
        if answer.status == NONE:
            return Solved(inf, rounds)
        if answer.mip_dual_bound is not None:
            bound = max(bound, float(answer.mip_dual_bound) / model.unit)
        found = set_of(programme, rows, answer)
        if found is None:
            break
        swapped(programme, found.rows, rows, 1.0, 0.0)
        least = programme.least()
        if least is not None and least.kinship <= bound + near(programme):
            break
        _forbid(model, found)
    return Solved(bound, rounds)


def near(programme: Programme) -> float:
    """Kinships this close are the same to the solver, whose numbers are in units of 1 / (2N)²."""
    return CLOSE + 2 * SOLVER_CLOSE / (2.0 * programme.crosses) ** 2


def most_crosses(programme: Programme, seconds: float) -> Ints:
    """As many crosses as can be made, up to those wanted, whatever their value."""
    from scipy import sparse
    from scipy.optimize import Bounds, LinearConstraint, milp

    m, n = len(programme), len(programme.kin)
    each = np.arange(m)
    parents = (np.r_[programme.first, programme.second], np.r_[each, each])
    used = sparse.csr_array((np.ones(2 * m), parents), (n, m))
    answer = milp(
        -np.ones(m),
        integrality=np.ones(m),
        bounds=Bounds(0.0, 1.0),
        constraints=[
            LinearConstraint(used, -np.inf, np.full(n, float(programme.most_uses))),
            LinearConstraint(np.ones((1, m)), -np.inf, float(programme.crosses)),
        ],
        options={"time_limit": seconds},
    )
    return np.flatnonzero(answer.x > 0.5) if answer.x is not None else np.arange(0)


def set_of(programme: Programme, rows: Ints, answer: Any) -> Found | None:
    """The crosses that the solver chose; None if it ran out of time before any."""
    if answer.x is None:
        return None
    chosen = rows[answer.x[: len(rows)] > 0.5]
    return programme.keep(chosen) if len(chosen) == programme.crosses else None


def _forbid(model: _Model, found: Found) -> None:
    """A flat piece at this set; where rounding hides what it cuts off, the set itself is barred."""
    programme = model.programme
    cut = programme.curve.cut(programme.uses(found.rows))
    programme.cuts.append(cut)
    top = model.limit if not model.least else np.inf
    over = (found.kinship - top) * model.unit
    if not model.least and over < 10 * SOLVER_CLOSE:
        model.barred.append(found.rows)
