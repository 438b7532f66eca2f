"""Recorded season letters as places."""

from __future__ import annotations

import pytest

from breeding.flowering import place_of_letters
from breeding.flowering.letters import STARTS

IN_ORDER = ["VE", "E", "EM", "M", "ML", "L", "VL"]


def test_letters_stand_in_their_order() -> None:
    places = [place_of_letters(letter) for letter in IN_ORDER]
    assert places == sorted(set(places))
    assert all(0 <= place <= 1 for place in places)


def test_letters_lie_even_about_midseason() -> None:
    for early, late in zip(IN_ORDER, reversed(IN_ORDER), strict=True):
        assert place_of_letters(early) + place_of_letters(late) == pytest.approx(1)


@pytest.mark.parametrize(
    ("text", "same"),
    [("M-L", "ML"), ("e", "E"), ("EML", "M"), ("ML & RE", "ML"), ("EE", "VE"), (" VL ", "VL")],
)
def test_letters_are_read_as_people_write_them(text: str, same: str) -> None:
    assert place_of_letters(text) == place_of_letters(same)


@pytest.mark.parametrize("text", ["", "RE", "spring", "?", "M?", "late"])
def test_letters_that_are_none_tell_nothing(text: str) -> None:
    assert place_of_letters(text) is None


def test_classes_start_in_the_order_of_the_standards() -> None:
    order = ["MDB", "SDB", "IB", "BB", "TB"]
    assert [STARTS[each] for each in order] == sorted(STARTS[each] for each in order)
