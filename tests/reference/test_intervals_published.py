"""Intervals of a share against a published table.

Newcombe 1998, Stat. Med. 17:857–872, Table I, method 3 (Wilson's score), 95 %.
"""

from __future__ import annotations

import pytest

from evaluation.ranking.proportion import wilson


@pytest.mark.parametrize(
    ("count", "total", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson(count: int, total: int, low: float, high: float) -> None:
    found = wilson(count, total)
    assert (round(found.low, 4), round(found.high, 4)) == (low, high)
    assert found.share == count / total


@pytest.mark.parametrize("wrong", [(1, 0), (-1, 4), (5, 4)])
def test_wilson__impossible(wrong: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        wilson(*wrong)
