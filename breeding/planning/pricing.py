"""What kinship must cost, so that the best programme just keeps to its limit."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf

import numpy as np

from breeding.planning.candidates import Ints
from breeding.planning.programme import CLOSE, Found, Programme
from breeding.planning.relaxing import Relaxed, highest, relax
from breeding.planning.swapping import FEW_CROSSES, greedy, shaken, swapped

# At least and at most so many prices for a limit, and none between two as near as this.
FEW, TRIES = 2, 7
NEAR = 1.1
# Frank-Wolfe steps at a price tried, and again at the best of them.
ROUNDS, POLISH = 90, 250
# Another price is tried if it may bring the bound nearer to the best set by this part.
ENOUGH = 0.1
# The next price keeps so far from those tried, in parts of their distance.
APART = 0.05
# Exchanges look at so many pairs, those of the highest gain.
POOL, SHAKEN_POOL = 1000, 400
STARTS = 4


@dataclass
class Prices:
    """Relaxed programmes by price, kept for the next limit; sets found stay with the programme.

    `lowest` is the relaxed programme where only kinship counts.
    """

    programme: Programme
    tried: list[Relaxed] = field(default_factory=list)
    lowest: Relaxed | None = None

    def least_kinship(self) -> float:
        """No set of whole crosses has less kinship than this; also looks for one with little."""
        if self.lowest is None:
            self.lowest = relax(self.programme, 1.0, 0.0, rounds=2 * ROUNDS)
            self._seen(self.lowest)
        return max(0.0, -self.lowest.bound)

    def free(self) -> Relaxed:
        """The relaxed programme where kinship costs nothing."""
        for each in self.tried:
            if not each.price:
                return each
        return self._try(0.0, None)

    def at(self, limit: float) -> Relaxed:
        """The relaxed programme with the least bound for a limit of kinship, of some tries.

        See `bound_at`.
        """
        if limit == inf:
            return self.free()
        self.free()
        self.least_kinship()
        for tries in range(TRIES):
            low, high = self._around(limit)
            if high is None:
                if low.kinship <= limit:
                    break
                self._try(self._first(low), low)
                continue
            price, promised = _meeting(low, high, limit)
            near = high.price <= NEAR * low.price
            if near or (tries >= FEW and promised >= self._enough(limit)):
                break
            self._try(price, high)
        best = min(self.tried, key=lambda each: bound_at(each, limit))
        return self._try(best.price, best, POLISH) if best.price else best

    def _enough(self, limit: float) -> float:
        """A bound that is worth no further try: most of the way to the best set is done."""
        now = min(bound_at(each, limit) for each in self.tried)
        best = self.programme.best(limit)
        return now - (ENOUGH * (now - best.value) if best else 0.0)

    def _around(self, limit: float) -> tuple[Relaxed, Relaxed | None]:
        """Those with the highest price that is too low, and with the lowest that is enough."""
        low = max((e for e in self.tried if e.kinship > limit or not e.price), key=_price)
        high = min(
            (e for e in self.tried if e.kinship <= limit and e.price > low.price),
            key=_price,
            default=None,
        )
        return low, high

    def _first(self, low: Relaxed) -> float:
        """Four times the price that was too low; at first what kinship costs on the whole way."""
        if low.price:
            return 4 * low.price
        most, least = self.programme.best(inf), self.programme.least()
        if most is None or least is None or most.kinship <= least.kinship:
            return max(float(np.ptp(self.programme.value)), 1.0)
        way = (most.value - least.value) / (most.kinship - least.kinship)
        return max(way, CLOSE)

    def _try(self, price: float, start: Relaxed | None, rounds: int = ROUNDS) -> Relaxed:
        found = relax(self.programme, price, rounds=rounds, start=start)
        self.tried.append(found)
        self._seen(found)
        return found

    def _seen(self, relaxed: Relaxed) -> None:
        """Keep its cut, and the set of whole crosses that lies nearest."""
        if relaxed.price:
            self.programme.cuts.append(relaxed.cut)
        rows = greedy(self.programme, relaxed.gain)
        if rows is not None:
            pool = highest(relaxed.gain, self._pool)
            swapped(self.programme, rows, pool, relaxed.price, relaxed.worth)

    @property
    def _pool(self) -> int:
        """Fewer pairs for a programme of many crosses, so that an exchange stays as quick."""
        crosses = self.programme.crosses
        return max(2 * crosses, POOL * FEW_CROSSES // max(crosses, FEW_CROSSES))

    def improve(self, limit: float, relaxed: Relaxed) -> Found | None:
        """The best set found within the limit, after exchanges from several others."""
        pool = highest(relaxed.gain, self._pool)
        starts = sorted(self.programme.found, key=lambda each: abs(each.kinship - limit))
        for each in starts[:STARTS]:
            swapped(self.programme, each.rows, pool, 0.0, 1.0, limit)
        best = self.programme.best(limit)
        if best is not None and bound_at(relaxed, limit) - best.value > CLOSE:
            best = shaken(
                self.programme, best, highest(relaxed.gain, min(SHAKEN_POOL, self._pool)), limit
            )
        return best


def bound_at(relaxed: Relaxed, limit: float) -> float:
    """No set of whole crosses within the limit has a higher value."""
    return relaxed.bound + (relaxed.price * (limit + CLOSE) if relaxed.price else 0.0)


def _meeting(low: Relaxed, high: Relaxed, limit: float) -> tuple[float, float]:
    """The price where the bounds to either side would meet if they were straight, and the bound.

    A bound is convex in the price, and its slope is what kinship stays below the limit.
    """
    fall, rise = limit - low.kinship, limit - high.kinship
    at_low, at_high = bound_at(low, limit), bound_at(high, limit)
    apart = high.price - low.price
    if rise - fall <= 0:
        return low.price + apart / 2, min(at_low, at_high)
    step = (at_high - at_low - rise * apart) / (fall - rise)
    held = min(max(step, APART * apart), (1 - APART) * apart)
    return low.price + held, at_low + fall * step


def _price(relaxed: Relaxed) -> float:
    return relaxed.price


def within_reach(relaxed: Relaxed, missing: float, crosses: int, most: int) -> tuple[Ints, float]:
    """The pairs that a better set may hold, and the bound on sets with any other pair.

    Parameters
    ----------
    relaxed : Relaxed
    missing : float
        How far the best set known stays below the relaxed bound.
    crosses, most : int
        At most so many pairs are handed back.

    Returns
    -------
    (ndarray of int, float)
        The second counts from the relaxed bound: no set with a pair left out comes nearer to it.
    """
    gain = relaxed.gain
    if len(gain) <= crosses:
        return np.arange(len(gain)), inf
    last = float(np.partition(gain, len(gain) - crosses)[len(gain) - crosses])
    lost = np.maximum(last - gain, 0.0)
    rows = np.flatnonzero(lost <= max(missing, 0.0))
    if len(rows) > most:
        rows = rows[np.argpartition(lost[rows], most - 1)[:most]]
    lost[rows] = inf
    return rows, float(lost.min())
