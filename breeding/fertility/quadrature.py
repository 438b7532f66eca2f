"""Means of curves of a normal variable."""

from __future__ import annotations

from functools import cache

import numpy as np

from breeding.flowering.absorbing import Floats

REACH = 1.6448536269514722
POINTS = 15


@cache
def nodes(points: int = POINTS) -> tuple[Floats, Floats]:
    """Points and weights for the mean of a function of a standard normal variable."""
    at, weights = np.polynomial.hermite_e.hermegauss(points)
    return at, weights / weights.sum()


def logistic(at: Floats) -> Floats:
    """1 / (1 + e^-x)."""
    found: Floats = 1 / (1 + np.exp(-np.clip(at, -700, 700)))
    return found


def logistic_normal(mean: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of the logistic of normal variables, any shape.

    Examples
    --------
    >>> middle, spread = logistic_normal(np.zeros(1), np.ones(1))
    >>> float(round(middle[0], 3)), float(round(spread[0], 4))
    (0.5, 0.0434)
    """
    error = np.sqrt(variance)
    middle, square = np.zeros_like(mean), np.zeros_like(mean)
    for at, weight in zip(*nodes(), strict=True):
        value = logistic(mean + error * at)
        middle += weight * value
        square += weight * value**2
    return middle, np.maximum(square - middle**2, 0)


def one_logistic(mean: float, variance: float) -> tuple[float, float]:
    """The same for one variable."""
    middle, square = logistic_normal(np.array([mean]), np.array([variance]))
    return float(middle[0]), float(square[0])
