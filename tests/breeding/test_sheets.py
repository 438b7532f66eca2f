"""A sheet of flowers in the proportions that are expected."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.inheritance.expecting import expect
from breeding.inheritance.outcomes import Outcome
from breeding.inheritance.sheets import sheet
from tests.breeding.invented_loci import FOUR, T, V, copies


def outcomes(*chances: float) -> list[Outcome]:
    return [Outcome({"V": str(at)}, chance, 0, 1) for at, chance in enumerate(chances)]


@given(st.lists(st.floats(0, 1), min_size=1, max_size=20).filter(any), st.integers(1, 96))
def test_sheet_deals_every_flower_within_one_of_its_share(
    chances: list[float], flowers: int
) -> None:
    told = sheet(outcomes(*chances), flowers)
    assert len(told.flowers) == flowers
    for each, count in told.counts:
        assert abs(count - flowers * each.chance / sum(chances)) < 1
    named = [each for each, _ in told.counts] + list(told.rare)
    assert sorted(each.types["V"] for each in named) == sorted(
        str(at) for at, chance in enumerate(chances) if chance
    )
    drawn = [each.chance for each in told.flowers]
    assert drawn == sorted(drawn, reverse=True)


def test_sheet_of_a_cross() -> None:
    """35 in 36 of the selfed duplex are violet: of 48 flowers one is white."""
    told = sheet(expect([V], {"V": copies(2)}, None, FOUR).outcomes)
    assert [(each.types["V"], count) for each, count in told.counts] == [
        ("violet", 47),
        ("none", 1),
    ]


def test_sheet_names_the_rare_ones_apart() -> None:
    parents = {"V": copies(2), "T": copies(2)}
    told = sheet(expect([V, T], parents, parents, FOUR).outcomes, 12)
    assert [(each.types, count) for each, count in told.counts] == [
        ({"V": "violet", "T": "other"}, 12)
    ]
    # Twice a third of a flower, and a hundredth.
    assert len(told.rare) == 3
    assert told.rare[-1].types == {"V": "none", "T": "pink"}
    assert len(told.flowers) == 12


def test_sheet_keeps_equal_shares_equal() -> None:
    told = sheet(outcomes(1 / 3, 1 / 3, 1 / 3), 48)
    assert [count for _, count in told.counts] == [16, 16, 16]
    assert [count for _, count in sheet(outcomes(1, 1, 1), 4).counts] == [2, 1, 1]


@pytest.mark.parametrize(("chances", "flowers"), [((), 48), ((0.0,), 48), ((1.0,), 0)])
def test_sheet_refuses_nothing(chances: tuple[float, ...], flowers: int) -> None:
    with pytest.raises(ValueError, match="A sheet needs"):
        sheet(outcomes(*chances), flowers)
