"""Whole crosses out of few pairs, exactly: each two crosses together are a variable of their own.

Then the programme's kinship is a sum, and no flat pieces are needed. As there are N crosses, each
one chosen goes with N − 1 others: these equations make the linear program so tight that few
branches are left. Variables grow with pairs², so that this is for some dozens.
"""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from breeding.planning.candidates import Ints
from breeding.planning.programme import CLOSE, Programme
from breeding.planning.solving import DONE, NONE, Solved, set_of

# With more pairs the solver is seldom done within seconds.
MOST_PAIRS = 48


def solve_few(programme: Programme, rows: Ints, limit: float, seconds: float) -> Solved:
    """The highest value of N of these pairs with kinship at most `limit`; as `solving.solve`."""
    answer = _answer(programme, rows, limit, seconds)
    if answer.status == NONE:
        return Solved(-inf, 1)
    bound = inf if answer.mip_dual_bound is None else -float(answer.mip_dual_bound)
    found = set_of(programme, rows, answer)
    if found is not None and answer.status == DONE and found.kinship <= limit + CLOSE:
        bound = min(bound, found.value)
    return Solved(bound, 1)


def solve_few_least(programme: Programme, rows: Ints, seconds: float) -> Solved:
    """The least kinship of N of these pairs; as `solving.solve_least`."""
    answer = _answer(programme, rows, None, seconds)
    if answer.status == NONE:
        return Solved(inf, 1)
    unit = (2.0 * programme.crosses) ** 2
    bound = 0.0 if answer.mip_dual_bound is None else float(answer.mip_dual_bound) / unit
    set_of(programme, rows, answer)
    return Solved(bound, 1)


def _answer(programme: Programme, rows: Ints, limit: float | None, seconds: float) -> Any:
    """Ask for the highest value within a limit; for the least kinship where that is None."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    m, both = len(rows), len(rows) * (len(rows) - 1) // 2
    crosses = float(programme.crosses)
    one, other = np.triu_indices(m, 1)
    kin = _between(programme, rows) * (2 * crosses) ** 2
    summed = np.r_[kin.diagonal(), 2 * kin[one, other]]
    used = np.hstack([_used(programme, rows), np.zeros((len(programme.kin), both))])
    constraints = [
        LinearConstraint(np.r_[np.ones(m), np.zeros(both)][None], crosses, crosses),
        LinearConstraint(used, -np.inf, float(programme.most_uses)),
        *(LinearConstraint(*each) for each in _together(m, crosses)),
    ]
    if limit is not None and limit < inf:
        top = (limit + CLOSE) * (2 * crosses) ** 2
        constraints.append(LinearConstraint(summed[None], -np.inf, top))
    return milp(
        summed if limit is None else np.r_[-programme.value[rows], np.zeros(both)],
        integrality=np.r_[np.ones(m), np.zeros(both)],
        bounds=Bounds(0.0, 1.0),
        constraints=constraints,
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )


def _together(m: int, crosses: float) -> list[tuple[Any, float, float]]:
    """Rows for the products: no more than either cross, N − 1 with each cross that is chosen."""
    from scipy import sparse

    one, other = np.triu_indices(m, 1)
    both, each = len(one), np.arange(len(one))
    found = [
        (
            sparse.csr_array(
                (np.r_[np.ones(both), -np.ones(both)], (np.r_[each, each], np.r_[m + each, cross])),
                (both, m + both),
            ),
            -np.inf,
            0.0,
        )
        for cross in (one, other)
    ]
    alone = np.arange(m)
    weights = np.r_[np.ones(2 * both), np.full(m, 1.0 - crosses)]
    places = (np.r_[one, other, alone], np.r_[m + each, m + each, alone])
    found.append((sparse.csr_array((weights, places), (m, m + both)), 0.0, 0.0))
    return found


def _used(programme: Programme, rows: Ints) -> Any:
    """Uses of each plant by each pair, shape (plants, pairs)."""
    used = np.zeros((len(programme.kin), len(rows)))
    for parent in (programme.first[rows], programme.second[rows]):
        used[parent, np.arange(len(rows))] += 1.0
    return used


def _between(programme: Programme, rows: Ints) -> Any:
    """What each two crosses add to the programme's kinship, shape (pairs, pairs)."""
    used = _used(programme, rows)
    return used.T @ programme.kin @ used
