"""The class of an iris by what is measured of it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garden.irisclass import Measured, class_of, classes, said
from garden.models import IrisClass

LENGTHS = st.none() | st.floats(0.1, 300, allow_nan=False)


def test_class_of__without_a_height_tells_nothing() -> None:
    verdict = class_of(Measured(), "TB")
    assert (verdict.codes, verdict.against) == ((), ())
    assert verdict.warnings == ("Without a measured height no class can be told.",)


def test_class_of__says_what_contradicts_the_record() -> None:
    verdict = class_of(Measured(92), "BB")
    assert verdict.against == ("BB is 16 to 27½ in high; this one was 36.2 in.",)
    assert class_of(Measured(92), "TB").against == ()


def test_class_of__bloom_contradicts_too() -> None:
    told = class_of(Measured(55, with_tall=True), "IB").against
    assert told == (
        "IB blooms between SDB and TB; this one opens with the tall bearded ones here.",
    )


def test_class_of__asks_for_the_flower_only_where_it_matters() -> None:
    asks = [any("not measured" in each for each in class_of(Measured(height)).warnings)
            for height in (12, 55, 95)]  # fmt: skip
    assert asks == [False, True, False]


@pytest.mark.parametrize("recorded", ["", "AB", "SPECIES", "nonsense"])
def test_class_of__classes_without_limits_are_not_contradicted(recorded: str) -> None:
    assert class_of(Measured(300), recorded).against == ()


@given(LENGTHS, LENGTHS, LENGTHS, st.sampled_from([None, True, False]), st.text(max_size=4))
@settings(max_examples=60)
def test_class_of__never_fails_and_every_height_has_a_class(
    height: float | None, high: float | None, wide: float | None, tall: bool | None, recorded: str
) -> None:
    verdict = class_of(Measured(height, high, wide, tall), recorded)
    assert bool(verdict.codes) == (height is not None)
    assert all(each.endswith((".", "in")) for each in verdict.warnings + verdict.against)


def test_classes__are_those_of_the_stock() -> None:
    assert {each.code for each in classes().limits} <= set(IrisClass.values)


@pytest.mark.parametrize(
    ("value", "words"), [(27.5, "27½"), (8, "8"), (16.3, "16.3"), (0.5, "½"), (None, "")]
)
def test_said__as_inches_are_said(value: float | None, words: str) -> None:
    assert said(value) == words
