"""Agreement against published values.

Data and correlations of Shrout & Fleiss (1979), Psychological Bulletin 86: 420-428, tables 2 to 4;
ICC(1, 1) and ICC(1, 4) as printed, the data and result of Siegel (1956) for Kendall's W, and the
four printed alphas of the 4 by 12 table of Krippendorff (2011) are quoted from memory. Values to
six decimals were computed apart from this code.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from evaluation.ranking.alpha import krippendorff, long_alpha
from evaluation.ranking.concordance import kendall_w
from evaluation.ranking.icc import components, icc, one_way_icc

NONE = math.nan
JUDGED = np.array(
    [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]], float
)
TARGET, JUDGE = (index.ravel() for index in np.indices(JUDGED.shape))


def test_icc__mean_squares_of_shrout_and_fleiss() -> None:
    got = icc(JUDGED)
    assert (got.units, got.scorers) == (6, 4)
    squares = (got.bms, got.wms, got.jms, got.ems)
    assert squares == pytest.approx((11.241667, 6.263889, 32.486111, 1.019444), abs=5e-7)


@pytest.mark.parametrize(
    ("form", "printed", "value"),
    [
        ("icc1_1", 0.17, 0.165742),
        ("icc2_1", 0.29, 0.289764),
        ("icc3_1", 0.71, 0.714841),
        ("icc1_k", 0.44, 0.442797),
        ("icc2_k", 0.62, 0.620051),
        ("icc3_k", 0.91, 0.909316),
    ],
)
def test_icc__six_forms_of_shrout_and_fleiss(form: str, printed: float, value: float) -> None:
    got = getattr(icc(JUDGED), form).value
    assert round(got, 2) == printed
    assert got == pytest.approx(value, abs=6e-7)


@pytest.mark.parametrize(
    ("form", "low", "high"),
    [
        ("icc1_1", -0.13293232487475096, 0.7225600623281211),
        ("icc2_1", 0.018786513374712027, 0.761084369648953),
        ("icc3_1", 0.34246476503392614, 0.9458582599553597),
    ],
)
def test_icc__intervals_of_the_published_table(form: str, low: float, high: float) -> None:
    got = getattr(icc(JUDGED), form)
    assert (got.low, got.high) == pytest.approx((low, high), abs=1e-9)


def test_unbalanced_forms__give_the_published_values_where_nothing_is_missing() -> None:
    whole = icc(JUDGED)
    parts = components(TARGET, JUDGE, JUDGED.ravel())
    assert vars(parts.agreement) == pytest.approx(vars(whole.icc2_1))
    assert vars(parts.consistency) == pytest.approx(vars(whole.icc3_1))
    assert vars(one_way_icc(TARGET, JUDGED.ravel())) == pytest.approx(vars(whole.icc1_1))
    # Mean squares, put into the expected ones of the two-way layout.
    assert parts.unit == pytest.approx((whole.bms - whole.ems) / 4)
    assert parts.scorer == pytest.approx((whole.jms - whole.ems) / 6)


def test_kendall_w__three_judges_and_six_candidates() -> None:
    got = kendall_w([[1, 6, 3, 2, 5, 4], [1, 5, 6, 4, 2, 3], [6, 3, 2, 5, 4, 1]])
    assert got.s == 25.5
    assert got.w == pytest.approx(float(Fraction(17, 105)), abs=1e-15)
    assert round(got.w, 2) == 0.16


FOUR_BY_TWELVE = [
    [1, 2, 3, 3, 2, 1, 4, 1, 2, NONE, NONE, NONE],
    [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, NONE, 3],
    [NONE, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, NONE],
    [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, NONE],
]
THREE_BY_FIFTEEN = [
    [NONE, NONE, NONE, NONE, NONE, 3, 4, 1, 2, 1, 1, 3, 3, NONE, 3],
    [1, NONE, 2, 1, 3, 3, 4, 3, NONE, NONE, NONE, NONE, NONE, NONE, NONE],
    [NONE, NONE, 2, 1, 3, 4, 4, NONE, 2, 1, 1, 3, 3, NONE, 4],
]


@pytest.mark.parametrize(
    ("table", "level", "alpha", "printed"),
    [
        (FOUR_BY_TWELVE, "nominal", 0.743421053, 0.743),
        (FOUR_BY_TWELVE, "ordinal", 0.815387504, 0.815),
        (FOUR_BY_TWELVE, "interval", 0.849107143, 0.849),
        (FOUR_BY_TWELVE, "ratio", 0.797402775, 0.797),
        (THREE_BY_FIFTEEN, "nominal", 0.691358025, 0.691),
        (THREE_BY_FIFTEEN, "ordinal", 0.806721420, 0.807),
        (THREE_BY_FIFTEEN, "interval", 0.810844893, 0.811),
        (THREE_BY_FIFTEEN, "ratio", 0.808943671, 0.809),
    ],
)
def test_krippendorff__tables_with_missing_marks(
    table: list, level: str, alpha: float, printed: float
) -> None:
    assert krippendorff(table, level) == pytest.approx(alpha, abs=6e-10)
    assert round(krippendorff(table, level), 3) == printed


def pairwise_alpha(table: np.ndarray, apart) -> float:
    """Alpha by its definition, pair by pair, as a second way."""
    units = [column[~np.isnan(column)] for column in table.T]
    units = [marks for marks in units if len(marks) > 1]
    every = np.concatenate(units)
    seen = sum(
        sum(apart(a, b) for a in marks for b in marks) / (len(marks) - 1) for marks in units
    ) / len(every)
    random = sum(apart(a, b) for a in every for b in every) / (len(every) * (len(every) - 1))
    return 1 - seen / random


@pytest.mark.parametrize(
    ("level", "apart"),
    [
        ("nominal", lambda a, b: float(a != b)),
        ("interval", lambda a, b: (a - b) ** 2),
        ("ratio", lambda a, b: ((a - b) / (a + b)) ** 2),
    ],
)
def test_krippendorff__equals_the_definition_pair_by_pair(level: str, apart) -> None:
    table = np.random.default_rng(4).integers(1, 6, (4, 25)).astype(float)
    table[np.random.default_rng(5).random(table.shape) < 0.4] = NONE
    assert krippendorff(table, level) == pytest.approx(pairwise_alpha(table, apart))
    scorer, unit = np.nonzero(~np.isnan(table))
    assert long_alpha(unit, table[scorer, unit], level) == krippendorff(table, level)
