"""Intervals around a share, against the published examples.

Source: R. G. Newcombe (1998), Two-sided confidence intervals for the single proportion: comparison
of seven methods, Statistics in Medicine 17, 857-872, table I, method 3 (score interval without
continuity correction), 95 %.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.ranking.proportion import wilson

PUBLISHED = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
]


@pytest.mark.parametrize(("count", "total", "low", "high"), PUBLISHED)
def test_wilson__published_to_the_printed_digits(
    count: int, total: int, low: float, high: float
) -> None:
    found = wilson(count, total)
    assert (round(found.low, 4), round(found.high, 4)) == (low, high)
    assert found.share == count / total


@pytest.mark.parametrize(("count", "total"), [(1, 0), (-1, 5), (6, 5), (0, 0)])
def test_wilson__refuses_what_is_no_share(count: int, total: int) -> None:
    with pytest.raises(ValueError, match="is no share"):
        wilson(count, total)


@pytest.mark.parametrize("confidence", [0, 1, -0.5, 95])
def test_wilson__refuses_an_impossible_confidence(confidence: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        wilson(1, 2, confidence)


@given(total=st.integers(1, 5000), data=st.data())
def test_wilson__bounds_solve_its_equation(total: int, data: st.DataObject) -> None:
    """|share - bound| is z standard errors at the bound itself: the interval by its definition."""
    count = data.draw(st.integers(0, total))
    found = wilson(count, total)
    assert 0 <= found.low <= found.share <= found.high <= 1
    for bound in (found.low, found.high):
        if 0 < bound < 1:
            error = (bound * (1 - bound) / total) ** 0.5
            assert abs(found.share - bound) / error == pytest.approx(1.959964, abs=1e-5)


@given(total=st.integers(1, 500), data=st.data())
def test_wilson__is_the_same_seen_from_the_other_side(total: int, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, total))
    one, other = wilson(count, total), wilson(total - count, total)
    assert (one.low, one.high) == pytest.approx((1 - other.high, 1 - other.low))


@pytest.mark.parametrize(
    ("count", "total", "words"),
    [
        (15, 148, "10 % (6.2 to 16 %)"),
        (0, 20, "0 % (0 to 16 %)"),
        (1, 100, "1.0 % (0.2 to 5.4 %)"),
        (5, 5, "100 % (57 to 100 %)"),
    ],
)
def test_proportion__words(count: int, total: int, words: str) -> None:
    assert wilson(count, total).words.replace("\u202f", " ") == words
