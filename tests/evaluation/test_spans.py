"""Positions written for a spade, and read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.spans import read_spans, spans, spans_text


def test_spans__neighbours_are_drawn_together() -> None:
    assert spans([3, 1, 2, 7, 7]) == [(1, 3), (7, 7)]
    assert spans_text(spans([3, 1, 2, 7])) == "1–3, 7"


@pytest.mark.parametrize(
    ("text", "positions"),
    [
        ("1-3, 7", [1, 2, 3, 7]),
        ("1–3 7", [1, 2, 3, 7]),
        (" 4 ;2 ", [2, 4]),
        ("1 - 3", [1, 2, 3]),
        ("1 – 3, 2", [1, 2, 3]),
        ("", []),
    ],
)
def test_read_spans__as_people_write_them(text: str, positions: list[int]) -> None:
    assert read_spans(text) == positions


@pytest.mark.parametrize("text", ["a", "3-1", "1-", "-4", "1-2-3", "1-99999999", "1–900000"])
def test_read_spans__nonsense_gets_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="position"):
        read_spans(text)


@given(st.sets(st.integers(1, 400)))
def test_read_spans__reads_what_was_written(positions: set[int]) -> None:
    assert read_spans(spans_text(spans(positions))) == sorted(positions)
