"""Krippendorff's alpha: agreement of any number of scorers, marks missing or not.

Krippendorff (2011), *Computing Krippendorff's Alpha-Reliability*: one minus the disagreement seen
within units over the disagreement of marks paired at random.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
LEVELS = ("nominal", "ordinal", "interval", "ratio")


def krippendorff(marks: ArrayLike, level: str = "interval") -> float:
    """Alpha of a table with holes: 1 full agreement, 0 as at random, below 0 contrary.

    Parameters
    ----------
    marks
        Shape (m, n): scorers by units, NaN where a scorer did not see a unit. Units seen once are
        left out.
    level
        What distances between marks mean: one of ``LEVELS``.

    Returns
    -------
    float
        NaN when no unit was seen twice, or all marks are the same: nothing to compare.

    Raises
    ------
    ValueError
        For an unknown level, or marks below 0 at ratio level.
    """
    table = np.asarray(marks, dtype=float)
    if table.ndim != 2:
        raise ValueError("Marks come as a table of scorers by seedlings.")
    scorer, unit = np.nonzero(~np.isnan(table))
    return long_alpha(unit, table[scorer, unit], level)


def long_alpha(units: ArrayLike, values: ArrayLike, level: str = "interval") -> float:
    """`krippendorff` of marks one by one: units and values, shape (m,), a mark of a scorer each.

    Costs O(n v) memory for n units and v distinct values.
    """
    if level not in LEVELS:
        raise ValueError(f"level: unknown word {level!r}")
    values = np.asarray(values, dtype=float)
    if level == "ratio" and (values < 0).any():
        raise ValueError("Marks below 0 have no ratio: compare them by their distance instead.")
    _, unit, times = np.unique(np.asarray(units), return_inverse=True, return_counts=True)
    twice = times[unit] > 1
    if not twice.any():
        return math.nan
    _, unit = np.unique(unit[twice], return_inverse=True)
    known, value = np.unique(values[twice], return_inverse=True)
    counts = np.zeros((unit.max() + 1, len(known)))
    np.add.at(counts, (unit, value), 1.0)
    return _alpha(counts, known, level)


def _alpha(counts: Floats, known: Floats, level: str) -> float:
    """From how often each unit (rows) got each of the rising values `known` (columns)."""
    weights = 1 / (counts.sum(axis=1) - 1)
    pairs = (counts * weights[:, None]).T @ counts - np.diag(weights @ counts)
    totals = pairs.sum(axis=0)
    apart = _distances(known, totals, level)
    expected = float(totals @ apart @ totals)
    if expected == 0:
        return math.nan
    return 1 - (float(totals.sum()) - 1) * float((pairs * apart).sum()) / expected


def _distances(known: Floats, totals: Floats, level: str) -> Floats:
    """Squared distances of the values, shape (v, v)."""
    if level == "nominal":
        return 1.0 - np.eye(len(known))
    if level == "ordinal":
        # Ranks: all marks below, and half of those of the value itself.
        known = np.cumsum(totals) - totals / 2
    one, two = known[:, None], known[None, :]
    apart: Floats = one - two
    if level == "ratio":
        both = one + two
        apart = np.divide(apart, both, out=np.zeros_like(both), where=both > 0)
    return np.square(apart)
