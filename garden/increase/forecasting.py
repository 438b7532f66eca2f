"""The number of plants in the years to come, by simulation with fixed dice.

Each path draws sigma² as scaled inverse chi-square (its degrees of freedom are those it was
estimated with), the plant's mean as normal about its estimate, and each year's growth as normal
about that mean; so a number is log-t distributed where nothing is taken out. What is to be taken
leaves at the end of each year. The draws are the same for every question, so answers move
smoothly with what is asked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from garden.increase.vigour import Vigour

PATHS = 10_000
SEED = 2026
MOST_YEARS = 12
# No garden holds more; beyond it numbers are no longer told apart.
MOST_PLANTS = 1_000_000_000.0
# A whole plant is one even where a product of logarithms falls short of it in the last digits.
GRAIN = 1e-9


@dataclass(frozen=True, slots=True)
class Year:
    """A year to come: interval and middle of the number that stands after taking."""

    ahead: int
    low: int
    middle: int
    high: int
    taken: int


@dataclass(frozen=True, slots=True)
class Forecast:
    """Years to come, and the paths behind them (years by paths)."""

    years: tuple[Year, ...]
    paths: Any

    def chance(self, ahead: int, least: int) -> float:
        """The chance, 0-1, that at least so many whole plants stand `ahead` years from now."""
        return at_least(self.paths[ahead - 1], least)


def at_least(numbers: Any, least: int) -> float:
    """The share of paths on which at least so many whole plants stand."""
    return float((numbers >= least * (1 - GRAIN)).mean())


@lru_cache(maxsize=1)
def _dice() -> tuple[Any, Any]:
    """Standard normal draws: of the mean (paths) and of the years (years by paths)."""
    import numpy as np

    dice = np.random.default_rng(SEED)
    return dice.standard_normal(PATHS), dice.standard_normal((MOST_YEARS, PATHS))


@lru_cache(maxsize=32)
def _stretch(freedom: int) -> Any:
    """Draws of sigma over its estimate."""
    import numpy as np

    return np.sqrt(freedom / np.random.default_rng(SEED + 1).chisquare(freedom, PATHS))


def growths(vigour: Vigour, years: int) -> Any:
    """Simulated factors, years by paths.

    Raises ValueError beyond twelve years, below one, or without a known spread.
    """
    import numpy as np

    if not 1 <= years <= MOST_YEARS:
        raise ValueError(f"a forecast reaches from 1 to {MOST_YEARS} years")
    if not vigour.tells_spread:
        raise ValueError("no spread between years is known")
    mean, noise = _dice()
    stretch = _stretch(vigour.freedom)
    logs = vigour.mean + stretch * (
        math.sqrt(vigour.variance) * mean + vigour.spread * noise[:years]
    )
    return np.exp(np.clip(logs, -50.0, 50.0))


def walk(start: float, factors: Any, takes: Sequence[int]) -> Any:
    """Numbers after each year's growth and taking, years by paths; never below nothing."""
    import numpy as np

    numbers, rows = np.full(factors.shape[1], float(start)), []
    for factor, take in zip(factors, takes, strict=True):
        numbers = np.clip(numbers * factor, 0.0, MOST_PLANTS)
        numbers = np.maximum(numbers - take, 0.0)
        rows.append(numbers)
    return np.stack(rows)


def forecast(
    start: int, vigour: Vigour, years: int, takes: Sequence[int] | int = 0, share: float = 0.9
) -> Forecast:
    """The number of plants in each of the coming years.

    Parameters
    ----------
    start : plants now, 0 or more.
    vigour : with a known spread.
    years : how many, 1 to 12.
    takes : plants to be taken at the end of each year: one number for all, or one for each.
    share : chance, 0-1, with which the true number lies in the interval; its ends are widened to
        whole plants, the middle is the nearest whole one.

    Raises
    ------
    ValueError : below 0, not one taking for each year, or as `growths`.
    """
    import numpy as np

    each = [takes] * years if isinstance(takes, int) else list(takes)
    if start < 0 or len(each) != years or any(take < 0 for take in each):
        raise ValueError("plants and takings are 0 or more, one taking for each year")
    paths = walk(start, growths(vigour, years), each)
    ends = np.quantile(paths, [0.5 - share / 2, 0.5, 0.5 + share / 2], axis=1)
    told = tuple(
        Year(
            ahead,
            math.floor(low * (1 + GRAIN)),
            math.floor(middle + 0.5 + GRAIN),
            math.ceil(high * (1 - GRAIN)),
            take,
        )
        for ahead, (low, middle, high, take) in enumerate(zip(*ends, each, strict=True), 1)
    )
    return Forecast(told, paths)
