"""A chance that is itself not known: what it may be, and how likely each value is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

# The share of the readings that an interval holds.
HELD = 0.9
# Values alike to so many decimals are one; more values than this are drawn together.
DECIMALS, MOST_VALUES = 12, 2048
# Rounding of sums of weights.
NEARLY = 1e-12


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance with what is not known about it; all numbers 0–1.

    `chance` is the mean over the readings of the parents' copies, `low` and `high` hold 90 % of
    the readings. `possible` is the probability of the readings in which it can come at all, and
    `if_possible` the chance given one of these; 0 when there is none.
    """

    chance: float
    low: float
    high: float
    possible: float
    if_possible: float


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """Values a number may have and their weights; `exact` when there is one, and it is certain.

    Attributes
    ----------
    values, weights : ndarray of float, shape (n,)
        Rising values, not negative; weights with the sum 1.
    exact : Fraction or None
    """

    values: Array
    weights: Array
    exact: Fraction | None = None

    @property
    def mean(self) -> float:
        return float(self.values @ self.weights)

    @property
    def possible(self) -> float:
        """Probability, 0–1, that the value is not 0."""
        return 1.0 if self.values[0] > 0 else float(self.weights[1:].sum())

    def quantile(self, share: float) -> float:
        """The smallest value that is not exceeded with the probability `share`."""
        import numpy as np

        at = int(np.searchsorted(self.weights.cumsum(), share - NEARLY))
        return float(self.values[min(at, len(self.values) - 1)])

    def chance(self, held: float = HELD) -> Chance:
        """The mixture as a chance with its interval."""
        possible, mean = self.possible, self.mean
        return Chance(
            chance=mean,
            low=self.quantile((1 - held) / 2),
            high=self.quantile((1 + held) / 2),
            possible=possible,
            if_possible=mean / possible if possible else 0.0,
        )

    def given_possible(self) -> Mixture | None:
        """The same without the value 0; None when nothing is left."""
        if self.values[0] > 0:
            return self
        if len(self.values) == 1:
            return None
        return Mixture(self.values[1:], self.weights[1:] / self.weights[1:].sum())

    def times(self, other: Mixture, most: int = MOST_VALUES) -> Mixture:
        """The product with an independent number, of at most about `most` values."""
        exact = None
        if self.exact is not None and other.exact is not None:
            exact = self.exact * other.exact
        values = (self.values[:, None] * other.values).ravel()
        weights = (self.weights[:, None] * other.weights).ravel()
        told = mixture(values, weights, exact)
        return told if len(told.values) <= most else told.drawn_together(most)

    def drawn_together(self, most: int) -> Mixture:
        """At most about `most` values, neighbours as their mean; the mean and 0 stay as they are.

        Each value left stands for at most 1/`most` of the weight, or is one value from before.
        """
        import numpy as np

        middle = self.weights.cumsum() - self.weights / 2
        drawer = 1 + np.minimum((middle * most).astype(int), most - 1)
        drawer[self.values == 0] = 0
        _, drawer = np.unique(drawer, return_inverse=True)
        weights = np.bincount(drawer, self.weights)
        values = np.bincount(drawer, self.weights * self.values) / weights
        return Mixture(values, weights, self.exact)


def mixture(
    values: Sequence[float] | Array,
    weights: Sequence[float] | Array,
    exact: Fraction | None = None,
) -> Mixture:
    """A mixture in order, equal values as one, weights scaled to the sum 1.

    Raises
    ------
    ValueError
        If the lengths differ, a number is negative, or no weight is left.

    Examples
    --------
    >>> told = mixture([0.25, 0, 0.25], [1, 2, 1])
    >>> told.mean, told.possible, told.given_possible().mean
    (0.125, 0.5, 0.25)
    """
    import numpy as np

    found, heavy = np.asarray(values, dtype=float), np.asarray(weights, dtype=float)
    if found.shape != heavy.shape or found.ndim != 1:
        raise ValueError("As many weights as values are needed.")
    if not (found >= 0).all() or not (heavy >= 0).all() or not heavy.sum() > 0:
        raise ValueError("Values and weights are not negative, and some weight is needed.")
    found, heavy = found[heavy > 0], heavy[heavy > 0]
    # However small, a chance is not none.
    apart = np.where(found > 0, found.round(DECIMALS), -1.0)
    each, place = np.unique(apart, return_inverse=True)
    if len(each) < len(found):
        sums = np.bincount(place, heavy)
        # The mean of the values as they came: rounding would blur a chance of one in a billion.
        found, heavy = np.bincount(place, heavy * found) / sums, sums
    else:
        order = found.argsort()
        found, heavy = found[order], heavy[order]
    return Mixture(found, heavy / heavy.sum(), exact)


def certain(value: Fraction) -> Mixture:
    """One value, known."""
    return mixture([float(value)], [1.0], value)


def product(mixtures: Iterable[Mixture], most: int = MOST_VALUES) -> Mixture:
    """The product of independent numbers; 1 when there are none."""
    return reduce(lambda one, other: one.times(other, most), mixtures, certain(Fraction(1)))
