"""Means of many small samples leaned towards each other as far as they are alike.

Sources: DerSimonian and Laird (1986), "Meta-analysis in clinical trials", Controlled Clinical
Trials 7: 177-188, for the variance between; Morris (1983), "Parametric empirical Bayes inference:
theory and applications", Journal of the American Statistical Association 78: 47-55, for the
leaning, its correction for few samples and the variance that is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

# Morris's correction divides by k - 3: with fewer samples nothing is leaned.
LEAST_SAMPLES = 4


@dataclass(frozen=True, slots=True)
class Shrunk:
    """What pooling gives, in the order of the samples.

    `between` is the variance of the true means; `leaning` the share, 0-1, that the common mean
    has in each; `means` and `variances` the leaned means and what is left open of each.
    """

    common: float
    common_variance: float
    between: float
    leaning: tuple[float, ...]
    means: tuple[float, ...]
    variances: tuple[float, ...]


def shrink(means: Sequence[float], variances: Sequence[float]) -> Shrunk:
    """Pool sample means with their known variances.

    Parameters
    ----------
    means, variances : one of each sample, in the same order; at least one; variances of 0 only
        together (then nothing is leaned).

    Raises
    ------
    ValueError : of unlike length or empty; a variance below 0, or 0 beside others.

    A sample's share of the common mean is B = (k - 3)/(k - 1) · V/(V + A); its variance
    V(1 - B) + B² var(M) + 2/(k - 3) · B² (m - M)². Cost: linear in the number of samples.
    """
    if not means or len(means) != len(variances):
        raise ValueError("one variance for each mean, and at least one of them")
    if min(variances) < 0 or (min(variances) == 0) != (max(variances) == 0):
        raise ValueError("variances are above 0, or 0 all together")
    count = len(means)
    if max(variances) == 0:
        mean = sum(means) / count
        spread = sum((one - mean) ** 2 for one in means) / max(1, count - 1)
        nothing = (0.0,) * count
        return Shrunk(mean, spread / count, spread, nothing, tuple(means), nothing)
    between = between_variance(means, variances)
    weights = [1 / (one + between) for one in variances]
    common = sum(w * m for w, m in zip(weights, means, strict=True)) / sum(weights)
    open_common = 1 / sum(weights)
    pooled = count >= LEAST_SAMPLES
    damp = (count - 3) / (count - 1) if pooled else 0.0
    leaning = tuple(damp * one * w for one, w in zip(variances, weights, strict=True))
    leaned, left = [], []
    for mean, variance, share in zip(means, variances, leaning, strict=True):
        doubt = 2 / (count - 3) * share**2 * (mean - common) ** 2 if pooled else 0.0
        leaned.append((1 - share) * mean + share * common)
        left.append(variance * (1 - share) + share**2 * open_common + doubt)
    return Shrunk(common, open_common, between, leaning, tuple(leaned), tuple(left))


def between_variance(means: Sequence[float], variances: Sequence[float]) -> float:
    """The variance of the true means by the method of moments; 0 for fewer than two samples."""
    if len(means) < 2:
        return 0.0
    weights = [1 / one for one in variances]
    total = sum(weights)
    fixed = sum(w * m for w, m in zip(weights, means, strict=True)) / total
    apart = sum(w * (m - fixed) ** 2 for w, m in zip(weights, means, strict=True))
    scale = total - sum(w * w for w in weights) / total
    # At least 0, and exactly so where the sums cancel.
    return max(0.0, (apart - (len(means) - 1)) / scale) if scale > 0 else 0.0
