"""A share of few, with what it may stand for. Free of Django, standard library only."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist


@dataclass(frozen=True, slots=True)
class Proportion:
    """`count` of `total`, with the interval around its share; all three 0 to 1."""

    count: int
    total: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.count / self.total

    @property
    def words(self) -> str:
        """'1.4 % (0.4 to 5.0 %)', held together by thin spaces before the signs."""
        low, high = _percent(self.low), _percent(self.high)
        return f"{_percent(self.share)}\u202f% ({low} to {high}\u202f%)"


def _percent(share: float) -> str:
    """Whole hundredths, with a decimal where they are few."""
    return f"{100 * share:.0f}" if not 0 < share < 0.0995 else f"{100 * share:.1f}"


def wilson(count: int, total: int, confidence: float = 0.95) -> Proportion:
    """The share `count` of `total` with Wilson's score interval, without continuity correction.

    Parameters
    ----------
    count, total : int
        Successes and trials, 0 <= count <= total, total >= 1.
    confidence : float
        Coverage aimed at, strictly between 0 and 1.

    Returns
    -------
    Proportion
        Bounds within 0 to 1; exactly 0 or 1 at the ends, where rounding would leave a trace.

    Raises
    ------
    ValueError
        When the counts are no counts, or the confidence is out of range.

    References
    ----------
    R. G. Newcombe (1998), Two-sided confidence intervals for the single proportion: comparison of
    seven methods. Statistics in Medicine 17, 857-872; method 3.

    Examples
    --------
    >>> found = wilson(15, 148)
    >>> round(found.low, 4), round(found.high, 4)
    (0.0624, 0.1605)
    """
    if total < 1 or not 0 <= count <= total:
        raise ValueError(f"{count} of {total} is no share.")
    if not 0 < confidence < 1:
        raise ValueError("The confidence lies between 0 and 1.")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    centre = 2 * count + z * z
    reach = z * sqrt(z * z + 4 * count * (total - count) / total)
    below = 2 * (total + z * z)
    low = 0.0 if count == 0 else (centre - reach) / below
    high = 1.0 if count == total else (centre + reach) / below
    return Proportion(count, total, low, high)
