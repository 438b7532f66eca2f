"""Numbers to grow when the parents' copies are not known for certain."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from breeding.inheritance import seedlings_to_grow
from breeding.inheritance.expecting import expect, grow
from breeding.inheritance.mixtures import certain, mixture
from breeding.inheritance.raising import grow_for, reached
from tests.breeding.invented_loci import FOUR, T, V, copies, spread

chances = st.lists(
    st.sampled_from([0.0, 1 / 36, 1 / 12, 1 / 4, 1 / 2, 1.0]), min_size=1, max_size=6
)


@settings(max_examples=40, deadline=None)
@given(chances, st.integers(1, 6), st.sampled_from([0.5, 0.9, 0.95]), st.data())
def test_grow_is_the_smallest_number_over_all_readings(
    values: list[float], wanted: int, sure: float, data: st.DataObject
) -> None:
    weights = data.draw(st.lists(st.floats(0.1, 1), min_size=len(values), max_size=len(values)))
    shares = np.array(weights) / sum(weights)

    def enough(grown: int) -> bool:
        return float(shares @ binom.sf(wanted - 1, grown, values)) >= sure - 1e-9

    found = grow_for(mixture(values, weights), wanted, sure).seedlings
    if found is None:
        assert not enough(5000)
    else:
        assert enough(found)
        assert not float(shares @ binom.sf(wanted - 1, found - 1, values)) >= sure + 1e-9


@pytest.mark.parametrize(("grown", "wanted"), [(1, 1), (3, 5), (40, 3), (4000, 1900), (10**5, 1)])
def test_reached_agrees_with_the_binomial(grown: int, wanted: int) -> None:
    values, weights = [0.0, 1e-4, 0.3, 0.5, 1.0], [0.2] * 5
    expected = float(np.mean(binom.sf(wanted - 1, grown, values)))
    assert reached(mixture(values, weights), grown, wanted) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("weight", [0.1, 0.5, 0.9])
def test_grow_asks_for_more_than_the_mean_chance_would(weight: float) -> None:
    told = grow_for(mixture([1 / 2, 1 / 36], [weight, 1 - weight]))
    plug_in = seedlings_to_grow(told.chance.chance)
    assert told.seedlings is not None
    assert plug_in is not None
    assert told.seedlings > plug_in
    assert (told.fewest, told.most) == (5, 107)


def test_grow_of_a_certain_reading_is_exact() -> None:
    """One in 36^4, smaller than a float is read for, and no rounding at 99 % of one in four."""
    loci = expect([T], {"T": copies(1)}, {"T": copies(1)}, FOUR)
    assert grow(loci, {"T": "pink"}, probability=Fraction(99, 100)).seedlings == 17
    rare = certain(Fraction(1, 36**4))
    assert grow_for(rare).seedlings is None
    assert grow_for(rare, probability=Fraction(1, 100)).seedlings == 16881


def test_grow_when_the_type_may_be_impossible() -> None:
    told = grow(
        expect([T], {"T": spread(0, 0.5, 0, 0, 0.5)}, {"T": copies(1)}, FOUR), {"T": "pink"}
    )
    assert (told.seedlings, told.given_possible) == (None, 11)
    assert told.parts[0] == (
        "It is not sure that these parents can give it at all (probability 50 %), so that no "
        "number of seedlings makes 95 %."
    )
    assert told.parts[1] == "If they can, 11 seedlings give at least one with 95 %."


def test_grow_when_the_type_is_just_possible_enough() -> None:
    """With 96 % that it can come, 95 % is reached, at the price of many more seedlings."""
    told = grow_for(mixture([0, 1 / 4], [0.04, 0.96]))
    assert (told.seedlings, told.given_possible) == (16, 11)


def test_grow_says_what_cannot_come() -> None:
    told = grow(expect([T], {"T": copies(4)}, {"T": copies(1)}, FOUR), {"T": "pink"})
    assert (told.seedlings, told.given_possible, told.chance.possible) == (None, None, 0)
    assert told.parts == ("These parents cannot give it, by what is recorded.",)


def test_grow_says_its_answer_first() -> None:
    told = grow(expect([V], {"V": copies(4)}, {"V": copies(1)}, FOUR), {"V": "violet"})
    assert told.parts == ("1 seedling gives at least one with a probability of 95 %.",)
    several = grow(
        expect([V], {"V": spread(0, 0.5, 0.5, 0, 0)}, {"V": copies(0)}, FOUR), {"V": "none"}, 2
    )
    assert several.parts == (
        "22 seedlings give at least 2 with a probability of 95 %.",
        "By the parents' copies it may take from 8 to 27.",
    )


def test_grow_beyond_any_garden() -> None:
    told = grow_for(mixture([1e-6, 1e-7], [1, 1]))
    assert (told.seedlings, told.given_possible, told.fewest) == (None, None, None)
    assert told.parts == ("No number up to 100,000 gives at least one with 95 %.",)
    assert told.beyond
    maybe = grow_for(mixture([0, 1e-7], [1, 1]))
    assert maybe.parts[1] == "Even if they can, 100,000 seedlings are not enough."
    # That it cannot come at all is likelier than what is left to luck.
    assert not maybe.beyond


@pytest.mark.parametrize(("wanted", "sure"), [(0, 0.95), (1001, 0.95), (1, 0.0), (1, 1.0)])
def test_grow_refuses_what_cannot_be(wanted: int, sure: float) -> None:
    with pytest.raises(ValueError, match="From 1 to 1,000"):
        grow_for(mixture([0.5, 0.1], [1, 1]), wanted, sure)
