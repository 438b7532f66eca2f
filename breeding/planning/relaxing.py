"""The best programme if crosses could be made in parts: a bound that no set can pass.

Kinship is given a price. The mixture of sets that is best at this price is found by Frank-Wolfe
steps with pairwise exchange; each step asks only for the N pairs of the highest gain, so that all
pairs take part, and gives a bound on every set of whole crosses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from breeding.planning.candidates import Floats, Ints
from breeding.planning.convex import Cut
from breeding.planning.programme import Programme

# Corners of the floor are rounded off by this much to either side of a whole number.
ROUNDED = 0.1
HALVINGS = 12
NOTHING = 1e-12
# Bound and mixture are the same when they differ by this part.
MEET = 1e-6


@dataclass(frozen=True)
class Relaxed:
    """What a price of kinship gives.

    Attributes
    ----------
    price : float
    worth : float
        1, or 0 where only kinship counts.
    bound : float
        worth × value − price × kinship of any set of whole crosses is no higher.
    gain : ndarray of float, shape (pairs,)
        Of each pair at the bound: a set without the N best loses at least the difference.
    cut : Cut
        The flat piece that gave the bound.
    kinship : float
        Of the best mixture, as the floor has it.
    mixture : (ndarray (sets, plants), ndarray (sets,), ndarray (sets,))
        Uses, values and shares of the sets mixed: a start for another price.
    """

    price: float
    worth: float
    bound: float
    gain: Floats
    cut: Cut
    kinship: float
    mixture: tuple[Floats, Floats, Floats]


def relax(
    programme: Programme,
    price: float,
    worth: float = 1.0,
    *,
    rounds: int = 150,
    start: Relaxed | None = None,
) -> Relaxed:
    """Maximise worth × value − price × kinship over mixtures of sets.

    Stops after `rounds`, or when bound and mixture meet. Time grows with
    rounds × (pairs + plants²).
    """
    mixing = _Mixing(programme, price, worth, start, rounds)
    best, best_gain, best_cut = np.inf, np.zeros(len(programme)), programme.curve.cut(mixing.n)
    for _ in range(rounds):
        slope, penalty = mixing.slope(mixing.n), mixing.penalty(mixing.n)
        cut = programme.curve.cut(mixing.n, slope)
        pull = price * cut.row + penalty
        gain = worth * programme.value - (pull[programme.first] + pull[programme.second])
        rows = highest(gain, programme.crosses)
        bound = float(gain[rows].sum() + price * cut.const + penalty.sum() * programme.most_uses)
        if bound < best:
            best, best_gain, best_cut = bound, gain, cut
        if best - mixing.height() <= MEET * abs(best) or not mixing.exchange(rows, pull):
            break
    return Relaxed(price, worth, best, best_gain, best_cut, mixing.kinship(), mixing.mixture())


def highest(gain: Floats, many: int) -> Ints:
    """Places of the `many` highest, in no order."""
    if many >= len(gain):
        return np.arange(len(gain))
    return np.argpartition(-gain, many - 1)[:many]


class _Mixing:
    """A mixture of sets, moved step by step towards the set of the highest gain."""

    def __init__(
        self, programme: Programme, price: float, worth: float, start: Relaxed | None, rounds: int
    ) -> None:
        self.programme, self.price, self.worth = programme, price, worth
        if start is None:
            rows = highest(worth * programme.value, programme.crosses)
            sets, values = programme.uses(rows)[None], programme.value[rows].sum()[None]
            shares = np.ones(1)
        else:
            sets, values, shares = start.mixture
        self.many = len(shares)
        self.sets = np.zeros((self.many + rounds, sets.shape[1]))
        self.values, self.shares = np.zeros((2, self.many + rounds))
        self.sets[: self.many], self.values[: self.many] = sets, values
        self.shares[: self.many] = shares
        self.n = shares @ sets
        # Uses above the most are held back by a spring; as stiff as gains are apart.
        pull = price * programme.curve.cut(self.n).row
        gain = worth * programme.value - (pull[programme.first] + pull[programme.second])
        limited = programme.most_uses < programme.crosses
        self.spring = float(np.ptp(gain)) if limited and len(gain) else 0.0

    def slope(self, n: Floats) -> Floats:
        """Of n² between whole numbers, corners rounded off."""
        whole = np.round(n)
        slope: Floats = 2 * whole + np.clip((n - whole) / ROUNDED, -1.0, 1.0)
        return slope

    def penalty(self, n: Floats) -> Floats:
        over: Floats = self.spring * np.maximum(n - self.programme.most_uses, 0.0)
        return over

    def kinship(self) -> float:
        whole = np.round(self.n)
        off = np.abs(self.n - whole)
        soft = np.where(off < ROUNDED, (off**2 / ROUNDED + ROUNDED) / 2, off)
        squares = whole**2 + 2 * whole * (self.n - whole) + soft
        curve = self.programme.curve
        return float(curve.own @ squares + self.n @ curve.rest @ self.n) - curve.slack

    def height(self) -> float:
        """What the mixture reaches, the spring's pull taken off."""
        over = np.maximum(self.n - self.programme.most_uses, 0.0)
        value = float(self.shares[: self.many] @ self.values[: self.many])
        held = self.spring / 2 * float(over @ over)
        return self.worth * value - self.price * self.kinship() - held

    def exchange(self, rows: Ints, pull: Floats) -> bool:
        """Give the share of the worst set in the mixture to this one, as far as it helps."""
        to, value = self.programme.uses(rows), float(self.programme.value[rows].sum())
        there = slice(0, self.many)
        gains = self.worth * self.values[there] - self.sets[there] @ pull
        worst = int(np.argmin(np.where(self.shares[there] > NOTHING, gains, np.inf)))
        way = to - self.sets[worst]
        far = self._far(way, value - float(self.values[worst]), float(self.shares[worst]))
        if far <= NOTHING:
            return False
        self.sets[self.many], self.values[self.many], self.shares[self.many] = to, value, far
        self.shares[worst] -= far
        self.many += 1
        self.n = self.n + far * way
        return True

    def _far(self, way: Floats, value: float, most: float) -> float:
        """The best step: where the slope along the way, ever falling, is nothing."""
        at = np.flatnonzero(way)
        n, way_at, own = self.n[at], way[at], self.programme.curve.own[at]
        pull = self.programme.curve.rest @ way
        level, bend = 2 * float(self.n @ pull), 2 * float(way @ pull)

        def rises(far: float) -> bool:
            here = n + far * way_at
            steep = self.price * own * self.slope(here) + self.penalty(here)
            curved = self.price * (level + far * bend)
            return self.worth * value - float(steep @ way_at) - curved > 0

        low, high = 0.0, most
        if rises(high):
            return high
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if rises(middle) else (low, middle)
        return low

    def mixture(self) -> tuple[Floats, Floats, Floats]:
        mixed = np.flatnonzero(self.shares[: self.many] > NOTHING)
        return self.sets[mixed], self.values[mixed], self.shares[mixed]
