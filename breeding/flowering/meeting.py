"""Chances of being open together, from jointly normal first and last days."""

from __future__ import annotations

import numpy as np

from breeding.flowering.absorbing import Floats
from breeding.flowering.notes import Overlap
from breeding.flowering.spans import Spans

# Days are whole ones: what lies within half a day of a day's number is that day.
HALF = 0.5
LEAST = 1e-9
POINTS = 4096


def over_before(found: Spans) -> Floats:
    """(k, k): chances that the plant of the row is over before that of the column opens."""
    from scipy.special import ndtr

    variance = found.spread()
    gap = found.days[0][None, :] - found.days[1][:, None]
    square = variance[1, 1][:, None] + variance[0, 0][None, :] - 2 * found.between(1, 0)
    chances: Floats = ndtr((gap - HALF) / np.sqrt(np.maximum(square, LEAST)))
    return chances


def overlaps(found: Spans) -> Floats:
    """(k, k): chances of one day together: neither is over before the other opens.

    Those two cannot both happen, so that their chances add; exact for the normal model.
    """
    before = over_before(found)
    chances: Floats = np.clip(1 - before - before.T, 0, 1)
    np.fill_diagonal(chances, 1)
    return chances


def overlap(found: Spans) -> Overlap:
    """How the two plants of `found` meet.

    Expected days by a fixed net of 4,096 points over the four days, right to about a hundredth.
    """
    mean = np.array([found.days[0, 0], found.days[1, 0], found.days[0, 1], found.days[1, 1]])
    root = _root(_four(found))
    first_a, last_a, first_b, last_b = (mean[:, None] + root @ _net()).round(9)
    together = np.minimum(last_a, last_b) - np.maximum(first_a, first_b) + 1
    apart = np.maximum(first_a - last_b, first_b - last_a) - 1
    chances = overlaps(found)
    sure, a_first = _order(found)
    return Overlap(
        float(np.maximum(together, 0).mean()),
        float(chances[0, 1]),
        a_first,
        sure,
        float(np.maximum(apart, 0).mean()),
    )


def _order(found: Spans) -> tuple[float, bool]:
    """Chance of the likelier order of last days, and whether it is the first plant's end."""
    from scipy.special import ndtr

    later = float(found.days[1, 1] - found.days[1, 0])
    shared = found.between(1, 1)
    square = float(shared[0, 0] + shared[1, 1] - 2 * shared[0, 1])
    chance = float(ndtr(later / np.sqrt(max(square, LEAST))))
    return (chance, True) if chance >= 0.5 else (1 - chance, False)


def _four(found: Spans) -> Floats:
    """(4, 4): covariance of first and last day of the one plant, then of the other."""
    spread = np.empty((4, 4))
    for one in range(2):
        for other in range(2):
            spread[one::2, other::2] = found.between(one, other)
    return spread


def _root(spread: Floats) -> Floats:
    """A square root of a covariance that may be singular (days that are noted)."""
    values, vectors = np.linalg.eigh(spread)
    root: Floats = vectors * np.sqrt(np.maximum(values, 0))
    return root


def _net() -> Floats:
    """(4, POINTS): standard normal points spread evenly, the same at every call.

    References
    ----------
    Niederreiter 1992, Random Number Generation and Quasi-Monte Carlo Methods: sequences of
    multiples of irrational numbers, here powers of the root of x^5 = x + 1.
    """
    from scipy.special import ndtri

    root = 1.1673039782614187
    steps = root ** -np.arange(1.0, 5.0)
    net: Floats = ndtri((0.5 + steps[:, None] * np.arange(1, POINTS + 1)) % 1)
    return net
