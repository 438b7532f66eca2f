"""Sets of whole crosses, made better by exchanging one cross at a time."""

from __future__ import annotations

import numpy as np

from breeding.planning.candidates import Flags, Floats, Ints
from breeding.planning.programme import CLOSE, Found, Programme

MOST_SWAPS = 200
BETTER = 1e-12
SHAKES, LEAST_SHAKES, SEED = 30, 2, 1
# So many crosses are shaken as often as it says.
FEW_CROSSES = 12


def greedy(programme: Programme, gain: Floats) -> Ints | None:
    """The pairs of the highest gain, one after the other, that keep `most_uses`.

    None where this way ends before there are enough, which does not say that there is none.
    """
    used = np.zeros(len(programme.kin), dtype=int)
    rows: list[int] = []
    for row in np.argsort(-gain, kind="stable").tolist():
        parents = [programme.first[row], programme.second[row]]
        if (used[parents] < programme.most_uses).all():
            used[parents] += 1
            rows.append(row)
            if len(rows) == programme.crosses:
                return np.array(rows)
    return None


def swapped(
    programme: Programme,
    rows: Ints,
    pool: Ints,
    price: float,
    worth: float = 1.0,
    limit: float = np.inf,
) -> Found:
    """Exchange one cross for one of the pool, the best first, as long as something is gained.

    Parameters
    ----------
    programme : Programme
    rows : ndarray of int, shape (crosses,)
        A set that keeps `most_uses`.
    pool : ndarray of int, shape (pool,)
    price, worth : float
        Gained is worth × value − price × kinship.
    limit : float
        No exchange lifts kinship above it; from above it, the first ones lower it.

    Returns
    -------
    Found
        Remembered by the programme.

    Notes
    -----
    Each exchange takes crosses × pool.
    """
    rows = rows.copy()
    for _ in range(MOST_SWAPS):
        value, kinship, allowed = _exchanges(programme, rows, pool)
        now = programme.kinship(rows)
        if now > limit + CLOSE:
            gain = np.where(allowed, -kinship, -np.inf)
        else:
            gain = np.where(allowed, worth * value - price * kinship, -np.inf)
            gain[now + kinship > limit + CLOSE] = -np.inf
        out, into = np.unravel_index(int(np.argmax(gain)), gain.shape)
        if gain[out, into] <= BETTER:
            break
        rows[out] = pool[into]
    return programme.keep(rows)


def shaken(programme: Programme, best: Found, pool: Ints, limit: float) -> Found:
    """Give some crosses of the best set away at random, exchange anew, and keep what is better.

    The same answer each time: the dice are thrown anew from one seed.
    """
    dice = np.random.default_rng(SEED)
    away = max(1, programme.crosses // 4)
    # Of many crosses each shake takes the square of their number: fewer shakes, as much work.
    part = min(1.0, FEW_CROSSES / programme.crosses) ** 2
    for _ in range(max(LEAST_SHAKES, round(SHAKES * part))):
        rows = best.rows.copy()
        free = np.setdiff1d(pool, rows)
        if len(free) < away:
            break
        rows[dice.choice(len(rows), away, replace=False)] = dice.choice(free, away, replace=False)
        if programme.uses(rows).max() > programme.most_uses:
            continue
        found = swapped(programme, rows, pool, 0.0, 1.0, limit)
        if found.kinship <= limit + CLOSE and found.value > best.value:
            best = found
    return best


def _exchanges(programme: Programme, rows: Ints, pool: Ints) -> tuple[Floats, Floats, Flags]:
    """Of every exchange, shape (crosses, pool): change of value, of kinship, and may it be."""
    kin, n = programme.kin, programme.uses(rows)
    out = (programme.first[rows][:, None], programme.second[rows][:, None])
    into = (programme.first[pool][None], programme.second[pool][None])
    pull = 2 * kin @ n

    def alone(pair: tuple[Ints, Ints], sign: float) -> Floats:
        one, other = pair
        within: Floats = kin[one, one] + kin[other, other] + 2 * kin[one, other]
        return within + sign * (pull[one] + pull[other])

    between = sum(kin[one, other] for one in out for other in into)
    kinship = alone(out, -1.0) + alone(into, 1.0) - 2 * between
    value = programme.value[pool][None] - programme.value[rows][:, None]
    allowed = np.broadcast_to(~np.isin(pool, rows)[None], value.shape).copy()
    for parent in into:
        freed = (parent == out[0]).astype(int) + (parent == out[1])
        allowed &= n[parent] - freed < programme.most_uses
    return value, kinship, allowed
