"""How counts scatter about what is expected: log likelihood, slope and bend at each predictor."""

from __future__ import annotations

import numpy as np

from breeding.fertility.twoway import Curves
from breeding.flowering.absorbing import Floats

MOST = 30.0


def binomial(successes: Floats, trials: Floats) -> Curves:
    """Successes of trials, the predictor a logit; the third component is not looked at.

    Up to what does not move: the ways to choose. Parts of trials are allowed, and count for less.
    """

    def curves(at: Floats, _: float) -> tuple[Floats, Floats, Floats]:
        chance = 1 / (1 + np.exp(-np.clip(at, -MOST, MOST)))
        fits = successes * at - trials * np.logaddexp(0, at)
        return fits, successes - trials * chance, trials * chance * (1 - chance)

    return curves


def negative_binomial(counted: Floats, lots: Floats) -> Curves:
    """Things counted in so many lots, the predictor the log of the mean of one.

    One lot has the variance mean + mean² / size, with the size as third component; the sum over n
    equal lots is negative binomial too, of size n times as large.

    References
    ----------
    Lawless 1987, Negative binomial and mixed Poisson regression, Can. J. Stat. 15:209-225.
    """
    from scipy.special import gammaln

    def curves(at: Floats, size: float) -> tuple[Floats, Floats, Floats]:
        mean, sizes = lots * np.exp(np.clip(at, -MOST, MOST)), lots * size
        both = sizes + mean
        fits = gammaln(counted + sizes) - gammaln(sizes) - gammaln(counted + 1)
        fits += sizes * np.log(sizes / both) + counted * np.log(mean / both)
        slope = sizes * (counted - mean) / both
        return fits, slope, sizes * mean * (sizes + counted) / both**2

    return curves
