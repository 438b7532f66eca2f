"""Kendall's W: do scorers put the same seedlings in the same order?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
# With more units than this, chi-square is close enough.
FEW_UNITS = 7
PERMUTATIONS = 4000


@dataclass(frozen=True)
class Concordance:
    """W (0 no common order, 1 the same order) of m scorers and n units.

    `s` is the sum of squared deviations of the rank sums, `p` the chance of a W as large when
    everybody ranks at random: by chi-square with n - 1 degrees of freedom, or, with 7 units or
    fewer, by 4,000 seeded permutations (`by_permutation`).
    """

    units: int
    scorers: int
    s: float
    w: float
    chi_square: float
    p: float
    by_permutation: bool


def ranks(marks: ArrayLike) -> Floats:
    """Ranks 1 to n along each row of (m, n), the mean rank for ties.

    >>> ranks([[5, 9, 5, 1]]).tolist()
    [[2.5, 4.0, 2.5, 1.0]]
    """
    table = np.asarray(marks, dtype=float)
    order = np.sort(table, axis=1)
    rows = [
        (np.searchsorted(line, row, "left") + np.searchsorted(line, row, "right") + 1) / 2
        for line, row in zip(order, table, strict=True)
    ]
    return np.array(rows).reshape(table.shape)


def kendall_w(marks: ArrayLike, seed: int = 26) -> Concordance:
    """Kendall's coefficient of concordance, corrected for ties.

    W = 12 S / (m² (n³ - n) - m Σ (t³ - t)), t the sizes of the ties of every scorer.
    Kendall & Babington Smith (1939), Annals of Mathematical Statistics 10: 275-287.

    Parameters
    ----------
    marks
        Shape (m, n): scorers by units, marks or ranks, none missing; m at least 2, n at least 2.

    Raises
    ------
    ValueError
        When the table is too small or has holes. W is NaN where every scorer ties all.
    """
    table = np.asarray(marks, dtype=float)
    if table.ndim != 2 or min(table.shape) < 2:
        raise ValueError("An order is shared by two people or more who saw two seedlings or more.")
    if not np.isfinite(table).all():
        raise ValueError("A mark is missing: every scorer must have seen every seedling here.")
    m, n = table.shape
    ranked = ranks(table)
    s = _s(ranked)
    ties = sum(float((sizes**3 - sizes).sum()) for sizes in map(_tied, table))
    most = (m * m * (n**3 - n) - m * ties) / 12
    if not most > 0:
        return Concordance(n, m, s, np.nan, np.nan, np.nan, by_permutation=False)
    w = s / most
    chi = m * (n - 1) * w
    few = n <= FEW_UNITS
    p = _permuted(ranked, s, seed) if few else _chi_tail(chi, n - 1)
    return Concordance(n, m, s, w, chi, p, by_permutation=few)


def _s(ranked: Floats) -> float:
    sums = ranked.sum(axis=-2)
    return float(((sums - sums.mean()) ** 2).sum())


def _tied(row: Floats) -> Floats:
    return np.unique(row, return_counts=True)[1].astype(float)


def _chi_tail(chi: float, df: int) -> float:
    from scipy.special import chdtrc

    return float(chdtrc(df, chi))


def _permuted(ranked: Floats, s: float, seed: int) -> float:
    rng = np.random.default_rng(seed)
    drawn = rng.permuted(np.broadcast_to(ranked, (PERMUTATIONS, *ranked.shape)), axis=2)
    sums = drawn.sum(axis=1)
    random = ((sums - sums.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
    # The order seen is one of those that could have come.
    return float((1 + (random >= s - 1e-9).sum()) / (1 + PERMUTATIONS))
