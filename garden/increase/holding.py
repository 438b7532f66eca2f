"""How many to hold back, and how many may go, so that a promise is kept with some chance.

All answers are whole numbers found by halving, since every chance rises with what stands at the
start and falls with what is taken (the simulated years are the same for every question).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from garden.increase.forecasting import at_least, growths, walk
from garden.increase.vigour import Vigour

CHANCE = 0.9
MOST_ASKED = 1_000_000


def hold_back(
    need: int, vigour: Vigour, years: int, chance: float = CHANCE, take: int = 0
) -> int | None:
    """The fewest plants to keep now so that at least `need` stand in `years` years.

    Parameters
    ----------
    need : whole plants, 0 or more, wanted after that year's taking.
    vigour : with a known spread.
    years : 0 (now) to 12.
    chance : 0-1, with which it must be so.
    take : plants taken at the end of each year until then.

    Returns None when not even a million would do. Raises ValueError as `forecast`.
    """
    _sound(need, take)
    if years == 0:
        return need
    factors = growths(vigour, years)
    return _fewest(lambda start: at_least(walk(start, factors, [take] * years)[-1], need) >= chance)


def refill_from(need: int, vigour: Vigour, years: int, chance: float = CHANCE) -> int | None:
    """The fewest plants to keep from a sale so that within `years` years there were `need` again.

    Arguments and errors as `hold_back`; `years` from 1.
    """
    _sound(need, 0)
    factors = growths(vigour, years)
    return _fewest(
        lambda start: at_least(walk(start, factors, [0] * years).max(axis=0), need) >= chance
    )


def may_sell(
    start: int,
    vigour: Vigour,
    until: int,
    selling: int,
    keep: int,
    chance: float = CHANCE,
    take: int = 0,
) -> int:
    """The most that may be sold in each of `selling` years, the first `until` years from now.

    Parameters
    ----------
    start : plants now.
    vigour : with a known spread.
    until : years to the first sale, 1 or more; the last lies at most 12 years ahead.
    selling : number of years with a sale, 1 or more.
    keep : plants that must be left after every sale.
    chance : 0-1, that this holds in all those years together.
    take : plants taken in each year before the first sale.

    Returns the number a year; 0 also where `keep` is not kept without any sale. Raises ValueError
    as `forecast`.
    """
    _sound(start, keep, take)
    factors = growths(vigour, until + selling - 1)

    def kept(number: int) -> bool:
        takes = [take] * (until - 1) + [number] * selling
        left = walk(start, factors, takes)[until - 1 :] + _short(start, factors, takes)
        return at_least(left.min(axis=0), keep) >= chance

    low, high = 0, 1
    while high <= MOST_ASKED and kept(high):
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if kept(middle) else (low, middle)
    return low


def _short(start: int, factors: Any, takes: list[int]) -> Any:
    """Minus infinity on the paths that in any year had less than was to be taken, else 0."""
    import numpy as np

    after = walk(start, factors, takes)
    before = np.vstack([np.full((1, factors.shape[1]), float(start)), after[:-1]]) * factors
    sold = np.asarray(takes, dtype=float)[:, None]
    return np.where(before >= sold * (1 - 1e-9), 0.0, -np.inf).min(axis=0)


def _sound(*numbers: int) -> None:
    if min(numbers) < 0:
        raise ValueError("plants are 0 or more")


def _fewest(enough: Callable[[int], bool]) -> int | None:
    """The fewest with which it is enough; None beyond a million."""
    if enough(0):
        return 0
    high = 1
    while not enough(high):
        if high >= MOST_ASKED:
            return None
        high = min(high * 2, MOST_ASKED)
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high
