"""Columns of the pair table brought to one scale, so that they may be added."""

from __future__ import annotations

import numpy as np

from breeding.planning.candidates import Floats

# Quartiles of a normal distribution stand this many standard deviations apart.
QUARTILES_APART = 1.3489795003921634
# A spread counts no less than this part of the standard deviation: see `spread`.
LEAST_PART = 0.5
# Below this part of the largest value, differences are rounding.
ROUNDING = 1e-12


def spread(column: Floats) -> float:
    """How far the known values of a column lie apart, on the scale of a standard deviation.

    Parameters
    ----------
    column : ndarray of float, shape (pairs,)
        NaN where unknown.

    Returns
    -------
    float
        The distance of the quartiles / 1.349, so that a few odd pairs hardly set the scale; but
        at least half of the standard deviation, as most pairs of a column may be alike (no
        chance of the type, no kinship) and the others are what it is read for. 0 where all known
        values are alike, or none is known.

    Examples
    --------
    >>> round(spread(np.array([0.0, 1.0, 2.0, 3.0, 4.0])), 2), spread(np.array([5.0, 5.0]))
    (1.48, 0.0)
    """
    known = column[~np.isnan(column)]
    if not len(known) or np.ptp(known) <= ROUNDING * np.abs(known).max():
        return 0.0
    low, high = np.quantile(known, (0.25, 0.75))
    return max(float(high - low) / QUARTILES_APART, LEAST_PART * float(known.std()))


def scaled(column: Floats) -> Floats:
    """A column as differences from its mean in units of its `spread`.

    An unknown value counts as the mean of the known ones, 0; a column without spread is 0
    throughout and says nothing.

    Examples
    --------
    >>> scaled(np.array([1.0, np.nan, 3.0])).tolist() == [-scaled(np.array([1.0, 3.0]))[1], 0,
    ...     scaled(np.array([1.0, 3.0]))[1]]
    True
    """
    unit = spread(column)
    if not unit:
        return np.zeros(len(column))
    away = (column - np.nanmean(column)) / unit
    away[np.isnan(away)] = 0.0
    return away
