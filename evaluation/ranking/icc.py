"""Intraclass correlations: what part of the differences between marks is between the seedlings.

The six forms are those of Shrout & Fleiss (1979) [1]_, intervals as in McGraw & Wong (1996) [2]_:
(1, ·) scorers are not told apart, (2, ·) agreement in points, (3, ·) consistency, which forgives a
scorer who is stricter throughout; (·, 1) of one scorer's mark, (·, k) of the mean of k.

.. [1] Psychological Bulletin 86: 420-428.
.. [2] Psychological Methods 1: 30-46.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
# Sums of squares below this part of the total are rounding, not disagreement.
ROUNDING = 1e-13


@dataclass(frozen=True)
class Estimate:
    """A correlation with its interval; NaN where the marks cannot tell."""

    value: float
    low: float
    high: float

    def of_mean(self, k: float) -> Estimate:
        """The same of the mean of k scorers (Spearman-Brown)."""
        return Estimate(*(_stepped(each, k) for each in (self.value, self.low, self.high)))


@dataclass(frozen=True)
class Icc:
    """Mean squares of a complete table of n units by k scorers, and its six correlations.

    `bms` is between units, `wms` within units, `jms` between scorers, `ems` residual; `icc2_k` is
    ICC(2, k).
    """

    units: int
    scorers: int
    bms: float
    wms: float
    jms: float
    ems: float
    icc1_1: Estimate
    icc2_1: Estimate
    icc3_1: Estimate
    icc1_k: Estimate
    icc2_k: Estimate
    icc3_k: Estimate


@dataclass(frozen=True)
class Components:
    """Variance components of marks where not every scorer saw every unit.

    The components are unbiased and may come out below 0 by chance. `agreement` is ICC(2, 1),
    `consistency` ICC(3, 1); `per_unit` the number of marks a unit counts as having.
    """

    marks: int
    units: int
    scorers: int
    unit: float
    scorer: float
    residual: float
    per_unit: float
    agreement: Estimate
    consistency: Estimate


def _stepped(rho: float, k: float) -> float:
    if math.isnan(rho):
        return rho
    below = 1 + (k - 1) * rho
    return k * rho / below if below > 0 else -math.inf


def _f_quantile(one: float, two: float, level: float) -> float:
    # scipy.special alone: scipy.stats takes three times as long to import.
    from scipy.special import fdtri

    return float(fdtri(one, two, 0.5 + level / 2))


def _from_f(f: float, k: float) -> float:
    """Correlation of single marks from a ratio of mean squares; 1 when it is without end."""
    return 1 - k / (f + k - 1)


def _by_f(above: float, below: float, k: float, df: tuple[float, float], level: float) -> Estimate:
    """Forms (1, 1) and (3, 1): mean square of units `above` that of the error `below`."""
    f = _ratio(above, below)
    low = f / _f_quantile(*df, level)
    high = f * _f_quantile(df[1], df[0], level)
    return Estimate(*(_from_f(each, k) for each in (f, low, high)))


def _ratio(above: float, below: float) -> float:
    if below > 0:
        return above / below
    return math.inf if above > 0 else math.nan


def _agreement(
    squares: tuple[float, float, float], n: float, k: float, df: tuple[float, float, float],
    level: float,
) -> Estimate:  # fmt: skip
    """Form (2, 1) from mean squares (units, scorers, residual) and their degrees of freedom."""
    bms, jms, ems = squares
    below = bms + (k - 1) * ems + k * (jms - ems) / n
    if not below > 0:
        return Estimate(math.nan, math.nan, math.nan)
    rho = (bms - ems) / below
    # Satterthwaite's degrees of freedom of the mix of scorers' and residual mean squares.
    a, b = k * rho * jms, (n * (1 + (k - 1) * rho) - k * rho) * ems
    spread = a * a / df[1] + b * b / df[2]
    v = (a + b) ** 2 / spread if spread > 0 else df[2]
    # Where the two all but cancel, less than one degree of freedom says nothing.
    v = max(v, 1.0)
    f_low, f_high = _f_quantile(df[0], v, level), _f_quantile(v, df[0], level)
    rest = k * jms + (k * n - k - n) * ems
    low = n * (bms - f_low * ems) / (f_low * rest + n * bms)
    high = n * (f_high * bms - ems) / (rest + n * f_high * bms)
    return Estimate(rho, low, high)


def _centred(marks: Floats) -> Floats:
    """Deviations from the mean; just nothing where they are rounding."""
    apart = marks - marks.mean()
    alike = np.abs(apart).max() <= ROUNDING * np.abs(marks).max()
    return np.zeros_like(marks) if alike else apart


def _cleared(total: float, *squares: float) -> list[float]:
    return [0.0 if each < ROUNDING * total else float(each) for each in squares]


def icc(marks: ArrayLike, level: float = 0.95) -> Icc:
    """All six correlations of a complete table.

    Parameters
    ----------
    marks
        Shape (n, k): units by scorers, none missing; n and k at least 2.
    level
        Of the intervals, between 0 and 1.

    Raises
    ------
    ValueError
        When the table is too small or has holes.
    """
    table = np.asarray(marks, dtype=float)
    if table.ndim != 2 or min(table.shape) < 2:
        raise ValueError("Agreement needs two seedlings or more, each seen by two people or more.")
    if not np.isfinite(table).all():
        raise ValueError("A mark is missing: every scorer must have seen every seedling here.")
    n, k = table.shape
    table = _centred(table)
    total = float((table**2).sum())
    units = k * float((table.mean(axis=1) ** 2).sum())
    scorers = n * float((table.mean(axis=0) ** 2).sum())
    units, scorers, within, rest = _cleared(
        total, units, scorers, total - units, total - units - scorers
    )
    bms, wms = units / (n - 1), within / (n * (k - 1))
    jms, ems = scorers / (k - 1), rest / ((n - 1) * (k - 1))
    df = (n - 1.0, k - 1.0, (n - 1.0) * (k - 1))
    one = _by_f(bms, wms, k, (n - 1, n * (k - 1)), level)
    two = _agreement((bms, jms, ems), n, k, df, level)
    three = _by_f(bms, ems, k, (df[0], df[2]), level)
    means = (one.of_mean(k), two.of_mean(k), three.of_mean(k))
    return Icc(n, k, bms, wms, jms, ems, one, two, three, *means)


def one_way_icc(units: ArrayLike, values: ArrayLike, level: float = 0.95) -> Estimate:
    """ICC(1, 1) where units have unequal numbers of marks, shape (m,) each.

    The estimate is that of the analysis of variance, the interval that of Thomas & Hultquist
    (1978), Annals of Statistics 6: 582-587, by unweighted means. Both are those of `icc` when all
    units have the same number of marks.

    Raises
    ------
    ValueError
        With fewer than two units, or none with two marks.
    """
    values = np.asarray(values, dtype=float)
    _, unit, counts = np.unique(np.asarray(units), return_inverse=True, return_counts=True)
    n, marks = len(counts), len(values)
    if n < 2 or marks == n:
        raise ValueError("Agreement needs two seedlings or more, and some of them seen twice.")
    values = _centred(values)
    means = np.bincount(unit, values) / counts
    total = float((values**2).sum())
    between, within = _cleared(
        total, float(counts @ means**2), float(((values - means[unit]) ** 2).sum())
    )
    wms = within / (marks - n)
    k0 = (marks - float(counts @ counts) / marks) / (n - 1)
    f = _ratio(between / (n - 1), wms)
    harmonic = n / float((1 / counts).sum())
    unweighted = harmonic * float(means.var(ddof=1)) if between else 0.0
    bounds = _by_f(unweighted, wms, harmonic, (n - 1, marks - n), level)
    return Estimate(_from_f(f, k0), bounds.low, bounds.high)


def components(
    units: ArrayLike, scorers: ArrayLike, values: ArrayLike, level: float = 0.95
) -> Components:
    """Variance between units, scorers and the rest, by fitting constants (Henderson 1953).

    Henderson's third method: Biometrics 9: 226-252. Where every scorer saw every unit once, the
    result is exactly that of `icc`; elsewhere the intervals are approximate (its formulas with the
    effective numbers of marks). Costs O(m + n s²) for m marks, n units, s scorers.

    Parameters
    ----------
    units, scorers, values
        Shape (m,): a mark each. Scorers must be linked by units that several of them saw.

    Raises
    ------
    ValueError
        When the marks leave nothing to tell units, scorers and the rest apart.
    """
    values = np.asarray(values, dtype=float)
    _, unit = np.unique(np.asarray(units), return_inverse=True)
    _, scorer = np.unique(np.asarray(scorers), return_inverse=True)
    seen = np.zeros((int(unit.max(initial=-1)) + 1, int(scorer.max(initial=-1)) + 1))
    np.add.at(seen, (unit, scorer), 1.0)
    per_unit, per_scorer = seen.sum(axis=1), seen.sum(axis=0)
    # Scorers' differences once units are taken out, and how many of them can be told.
    design = np.diag(per_scorer) - (seen / per_unit[:, None]).T @ seen
    rank = int(np.linalg.matrix_rank(design, hermitian=True)) if len(values) else 0
    n, s, marks = len(per_unit), len(per_scorer), len(values)
    df = (n - (s - rank), rank, marks - n - rank)
    if min(df) < 1:
        raise ValueError("Too few seedlings seen by two people to tell them and scorers apart.")
    values = _centred(values)
    total = float((values**2).sum())
    own = values - (np.bincount(unit, values) / per_unit)[unit]
    told = np.bincount(scorer, own, minlength=s)
    of_scorers = float(told @ np.linalg.pinv(design, hermitian=True) @ told)
    rest = float((own**2).sum()) - of_scorers
    of_units = total - float((np.bincount(scorer, values) ** 2 / per_scorer).sum()) - rest
    of_units, of_scorers, rest = _cleared(total, of_units, of_scorers, rest)
    k = (marks - float((seen**2).sum(axis=0) @ (1 / per_scorer))) / df[0]
    m = (marks - float((seen**2).sum(axis=1) @ (1 / per_unit))) / df[1]
    bms, jms, ems = of_units / df[0], of_scorers / df[1], rest / df[2]
    return Components(
        marks, n, s, (bms - ems) / k, (jms - ems) / m, ems, k,
        agreement=_agreement((bms, jms, ems), m, k, df, level),
        consistency=_by_f(bms, ems, k, (df[0], df[2]), level),
    )  # fmt: skip
