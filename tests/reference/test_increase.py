"""Growth from counts and pooled means against published examples."""

from __future__ import annotations

import math
from datetime import date

import pytest

from garden.increase import Span, observed, shrink, spread_of

# Adult female bears, 1959-1997: Morris and Doak (2002), Quantitative Conservation Biology, table
# 3.1, after Eberhardt et al. (1986). Counts and results from memory; that the counts give both
# results to the last digit speaks for them.
BEARS = (
    44, 47, 46, 44, 46, 45, 46, 40, 39, 39, 42, 39, 41, 40, 33, 36, 34, 39, 35, 34, 38, 36, 37, 41,
    39, 51, 47, 57, 48, 60, 65, 74, 69, 65, 57, 70, 81, 99, 99,
)  # fmt: skip

# Log relative risks and their variances of 13 trials: Colditz et al. (1994), "Efficacy of BCG
# vaccine in the prevention of tuberculosis", JAMA 271: 698-702; from the counts of cases and
# others, vaccinated and not. Counts from memory.
TRIALS = (
    (4, 119, 11, 128), (6, 300, 29, 274), (3, 228, 11, 209), (62, 13536, 248, 12619),
    (33, 5036, 47, 5761), (180, 1361, 372, 1079), (8, 2537, 10, 619), (505, 87886, 499, 87892),
    (29, 7470, 45, 7232), (17, 1699, 65, 1600), (186, 50448, 141, 27197), (5, 2493, 3, 2338),
    (27, 16886, 29, 17825),
)  # fmt: skip

# Eight coaching programmes: Rubin (1981), "Estimation in parallel randomized experiments",
# Journal of Educational Statistics 6: 377-401.
COACHED = (28, 8, -3, 7, -1, 1, 18, 12)
COACHED_ERRORS = (15, 10, 16, 11, 9, 11, 10, 18)


def _span(first: int, last: int, start: int, end: int) -> Span:
    """A span of exactly so many years of 365.25 days: only multiples of four are whole days."""
    begun = date(1900, 1, 1).toordinal()
    return Span(
        date.fromordinal(begun + round(365.25 * 4 * first)),
        date.fromordinal(begun + round(365.25 * 4 * last)),
        start,
        end,
    )


def test_observed__bears_as_published() -> None:
    pairs = zip(BEARS, BEARS[1:], strict=False)
    spans = [_span(at, at + 1, one, two) for at, (one, two) in enumerate(pairs)]
    mean, years = observed(spans)
    assert years == pytest.approx(4 * 38)
    # Four calendar years stand for one, so a year has a quarter of the published values.
    assert 4 * mean == pytest.approx(0.02134, abs=5e-6)
    variance, freedom = spread_of({"bears": spans})
    assert freedom == 37
    assert 4 * variance == pytest.approx(0.01305, abs=5e-6)


def test_observed__skipped_censuses_weigh_by_their_years() -> None:
    # Dennis, Munholland and Scott (1991), equation 24: the estimate needs first and last alone.
    kept = [0, 3, 5, 11, 20, 38]
    spans = [_span(a, b, BEARS[a], BEARS[b]) for a, b in zip(kept, kept[1:], strict=False)]
    assert 4 * observed(spans)[0] == pytest.approx(math.log(99 / 44) / 38)


def test_shrink__variance_between_trials_as_published() -> None:
    means = [math.log((a / (a + b)) / (c / (c + d))) for a, b, c, d in TRIALS]
    variances = [1 / a - 1 / (a + b) + 1 / c - 1 / (c + d) for a, b, c, d in TRIALS]
    found = shrink(means, variances)
    # DerSimonian and Laird's estimator on these trials: 0.3088, common -0.7141, error 0.1787;
    # the three figures are quoted in many textbooks (from memory) and follow from the counts.
    assert found.between == pytest.approx(0.3088, abs=5e-5)
    assert found.common == pytest.approx(-0.7141, abs=5e-5)
    assert math.sqrt(found.common_variance) == pytest.approx(0.1787, abs=5e-5)


def test_shrink__coaching_shows_nothing_between() -> None:
    found = shrink(COACHED, [error**2 for error in COACHED_ERRORS])
    # Gelman et al., Bayesian Data Analysis, section 5.5: common 7.7, variance 16.6 (from memory).
    assert found.between == 0
    assert found.common == pytest.approx(7.7, abs=0.05)
    assert found.common_variance == pytest.approx(16.6, abs=0.05)
    # Morris (1983): with nothing between the leaning is (k - 3)/(k - 1).
    assert found.leaning == pytest.approx([5 / 7] * 8)


def test_shrink__equal_variances_follow_morris() -> None:
    # Morris (1983), equal variances: B = (k-3) V / S, and
    # s² = V (1 - (k-1)/k B) + 2/(k-3) B² (y - mean)².
    means, variance = [0.1, 0.9, 1.4, 2.2, 0.4, 1.9], 0.25
    count, mean = len(means), sum(means) / len(means)
    squares = sum((one - mean) ** 2 for one in means)
    share = (count - 3) * variance / squares
    found = shrink(means, [variance] * count)
    assert found.leaning == pytest.approx([share] * count)
    for at, one in enumerate(means):
        assert found.means[at] == pytest.approx((1 - share) * one + share * mean)
        # Here var(M) is (V + A)/k with A by moments, and V/(V + A) = B (k-1)/(k-3).
        common = variance / (share * (count - 1) / (count - 3)) / count
        left = variance * (1 - share) + share**2 * common
        assert found.variances[at] == pytest.approx(
            left + 2 / (count - 3) * share**2 * (one - mean) ** 2
        )
