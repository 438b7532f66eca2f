"""The sums of fertility against what is known exactly.

Laplace's approximation (Tierney and Kadane 1986, J. Am. Stat. Assoc. 81:82-86) is exact for normal
observations: there the evidence is the multivariate normal density of the data and the effects are
Henderson's BLUP, n·v / (n·v + e) in a balanced table (Mrode 2014, Linear Models for the Prediction
of Animal Breeding Values, 3rd ed.). For counts it is held against quadrature. The negative binomial
(Lawless 1987, Can. J. Stat. 15:209-225) is held against another library's probabilities.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import binom, multivariate_normal, nbinom, norm

from breeding.fertility import Attempt, fit_pods
from breeding.fertility.likelihoods import binomial, negative_binomial
from breeding.fertility.quadrature import logistic_normal
from breeding.fertility.twoway import Model, Rows, climb

PARTS = (0.9, 0.6, 0.4)
ROWS = Rows(np.array([0, 0, 1, 1, 2, 2]), np.array([0, 1, 0, 1, 0, -1]), 3, 2)
SEEN = np.array([0.4, 1.1, -0.7, 0.2, 2.0, 1.4])


def normal(seen: np.ndarray, error: float):
    def curves(at, _):
        off = (seen - at) / error
        fits = -(off**2) / 2 - np.log(error) - np.log(2 * np.pi) / 2
        return fits, off / error, np.full(len(at), 1 / error**2)

    return curves


def whole_covariance(error: float) -> np.ndarray:
    """Of the rows, written out: mean, seed parent, known pollen parent, the row's own, error."""
    seed, pollen = ROWS.seed, ROWS.pollen
    spread = np.full((6, 6), 1.2**2)
    spread += PARTS[0] ** 2 * (seed[:, None] == seed)
    spread += PARTS[1] ** 2 * ((pollen[:, None] == pollen) & (pollen >= 0))
    return spread + np.diag(PARTS[2] ** 2 + PARTS[1] ** 2 * (pollen < 0) + error**2)


def test_evidence_of_normal_rows_is_their_density() -> None:
    peak = climb(Model(normal(SEEN, 0.7), True, (0.3, 1.2), PARTS), ROWS, PARTS)
    exact = multivariate_normal(np.full(6, 0.3), whole_covariance(0.7)).logpdf(SEEN)
    assert peak.evidence == pytest.approx(exact, abs=1e-8)


def test_effects_of_normal_rows_are_the_conditional_means() -> None:
    found = climb(Model(normal(SEEN, 0.7), True, (0.3, 1.2), PARTS), ROWS, PARTS).posterior
    right = np.linalg.solve(whole_covariance(0.7), SEEN - 0.3)
    for seed in range(3):
        beside = PARTS[0] ** 2 * (ROWS.seed == seed)
        assert found.own[seed, 0] == pytest.approx(beside @ right, abs=1e-8)
        left = PARTS[0] ** 2 - beside @ np.linalg.solve(whole_covariance(0.7), beside)
        assert found.own_spread()[seed, 0, 0] == pytest.approx(left, abs=1e-8)


def test_balanced_rows_are_shrunk_as_the_textbook_says() -> None:
    """Five seed parents × four pollen parents: 4·0.81 / (4·0.81 + 0.16 + 0.25) by hand."""
    rows = Rows(np.repeat(np.arange(5), 4), np.tile(np.arange(4), 5), 5, 4)
    seen = np.random.default_rng(8).normal(size=20)
    found = climb(Model(normal(seen, 0.5), True, (0, 5.0), PARTS), rows, PARTS).posterior
    own, means = found.own[:5, 0], seen.reshape(5, 4).mean(1)
    assert own - own[0] == pytest.approx(3.24 / 3.65 * (means - means[0]), abs=1e-8)


@pytest.mark.parametrize(("came", "worked"), [(0, 1), (3, 10), (0, 20), (35, 40)])
def test_evidence_of_one_binomial_row_is_near_quadrature(came: int, worked: int) -> None:
    """One row: mean, two parents and the row's own add up to one normal variable."""
    rows = Rows(np.zeros(1, int), np.zeros(1, int), 1, 1)
    curves = binomial(np.array([float(came)]), np.array([float(worked)]))
    peak = climb(Model(curves, True, (-0.4, 1.0), PARTS), rows, PARTS)
    spread = (1 + sum(part**2 for part in PARTS)) ** 0.5

    def density(logit: float) -> float:
        share = 1 / (1 + np.exp(-logit))
        return binom.pmf(came, worked, share) * norm.pdf(logit, -0.4, spread)

    exact = np.log(quad(density, -14, 14, points=[-3, 0, 3])[0])
    ways = np.log(binom.pmf(came, worked, 0.5)) + worked * np.log(2)
    assert peak.evidence + ways == pytest.approx(exact, abs=0.1)


def test_negative_binomial_is_the_librarys() -> None:
    """Variance mean + mean² / size; the sum over n lots has n times the size."""
    counted, lots, at = np.array([0.0, 7, 40]), np.array([1.0, 1, 3]), np.array([1.0, 2.5, 2.2])
    fits, _, _ = negative_binomial(counted, lots)(at, 2.5)
    mean, size = lots * np.exp(at), 2.5 * lots
    assert fits == pytest.approx(nbinom.logpmf(counted, size, size / (size + mean)))


@pytest.mark.parametrize("curves", [
    negative_binomial(np.array([0.0, 9, 30]), np.array([1.0, 2, 1])),
    binomial(np.array([0.0, 3, 8]), np.array([5.0, 7, 8])),
])  # fmt: skip
def test_slopes_and_bends_are_the_derivatives(curves) -> None:
    at, step = np.array([0.3, 1.2, 2.0]), 1e-4
    fits, slope, bend = curves(at, 2.5)
    above, below = curves(at + step, 2.5)[0], curves(at - step, 2.5)[0]
    assert slope == pytest.approx((above - below) / (2 * step), rel=1e-5, abs=1e-6)
    assert bend == pytest.approx(-(above - 2 * fits + below) / step**2, rel=1e-4, abs=1e-5)


@pytest.mark.parametrize(("mean", "variance"), [(0.0, 1.0), (-2.0, 0.5), (1.5, 2.0)])
def test_mean_of_a_logistic_normal_is_quadratures(mean: float, variance: float) -> None:
    def part(x: float, power: int) -> float:
        return norm.pdf(x, mean, variance**0.5) / (1 + np.exp(-x)) ** power

    one, two = (quad(part, -15, 15, (power,))[0] for power in (1, 2))
    middle, square = logistic_normal(np.array([mean]), np.array([variance]))
    assert middle[0] == pytest.approx(one, abs=1e-5)
    assert square[0] == pytest.approx(two - one**2, abs=1e-4)


def test_many_flowers_have_the_published_interval() -> None:
    """Newcombe 1998, Stat. Med. 17:857-872, Table I: 81 of 263, Wilson's 95 % is 0.2553 to 0.3662.

    With nothing else to go by a pair of 263 flowers is nearly that; ours holds 90 %, so it lies
    within, and its middle is drawn to the usual by less than a hundredth.
    """
    rate = fit_pods([Attempt("a", "b", 263, 81)]).pair("a", "b")
    assert 0.2553 < rate.low < rate.high < 0.3662
    assert rate.mean == pytest.approx(81 / 263, abs=0.01)
    reach = 1.6449 / 1.96 * (0.3662 - 0.2553)
    assert rate.high - rate.low == pytest.approx(reach, abs=0.004)
