"""The chance of wanted types for all pairs at once, against one pair at a time."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance.gametes import gamete_frequencies, progeny_frequencies
from breeding.planning.chances import chance_of_all, chance_of_type, unions

COPIES = (0, 1, 2)
NONE = unions(COPIES, COPIES, lambda one, other: one + other == 0)
ANY = unions(COPIES, COPIES, lambda one, other: one + other > 0)


def shares(dosages: tuple[int, ...], rate: Fraction = Fraction(0)) -> np.ndarray:
    told = [gamete_frequencies(dosage, 4, rate) for dosage in dosages]
    return np.array([[float(each.get(copies, 0)) for copies in COPIES] for each in told])


@pytest.mark.parametrize("rate", [Fraction(0), Fraction(1, 7)])
def test_chance__of_every_pair_is_that_of_the_exact_fractions(rate: Fraction) -> None:
    found = chance_of_type(shares((0, 1, 2, 3, 4), rate), NONE)
    for seed in range(5):
        for pollen in range(5):
            exact = progeny_frequencies(seed, pollen, 4, rate).get(0, 0)
            assert found[seed, pollen] == pytest.approx(float(exact), abs=1e-12)


def test_chance__duplex_selfed_gives_one_in_thirty_six() -> None:
    assert chance_of_type(shares((2, 2)), NONE)[0, 1] == pytest.approx(1 / 36)


def test_chance__of_all_types_adds_up_to_one() -> None:
    plants = shares((0, 1, 2, 3))
    assert chance_of_type(plants, NONE) + chance_of_type(plants, ANY) == pytest.approx(1)


def test_chance__is_that_of_the_mixture_where_copies_are_uncertain() -> None:
    one, two = shares((1, 2))
    mixed = 0.25 * one + 0.75 * two
    known = chance_of_type(np.array([one, two]), NONE)
    found = chance_of_type(np.array([mixed, two]), NONE)
    assert found[0, 1] == pytest.approx(0.25 * known[0, 1] + 0.75 * known[1, 1])


def test_chance__is_unknown_with_an_unknown_parent() -> None:
    plants = shares((1, 2, 3))
    plants[1] = np.nan
    found = chance_of_type(plants, NONE)
    assert np.isnan(found[1]).all()
    assert np.isnan(found[:, 1]).all()
    assert not np.isnan(found[[0, 2]][:, [0, 2]]).any()


def test_chance__knows_seed_from_pollen() -> None:
    # Diploid pollen: gametes of one set, in another list.
    seed, pollen = shares((2, 4)), np.array([[1.0, 0.0], [0.5, 0.5]])
    shown = unions(COPIES, (0, 1), lambda one, other: one + other == 0)
    found = chance_of_type(seed, shown, pollen)
    assert found == pytest.approx(np.array([[1 / 6, 1 / 12], [0, 0]]))


def test_chance__of_several_loci_is_the_product() -> None:
    plants = shares((1, 2, 3))
    one, other = chance_of_type(plants, NONE), chance_of_type(plants, ANY)
    assert chance_of_all([one, other]) == pytest.approx(one * other)


def test_chance__that_cannot_come_needs_no_second_locus() -> None:
    never, unknown = np.zeros((1, 1)), np.full((1, 1), np.nan)
    assert chance_of_all([never, unknown]).tolist() == [[0.0]]
    assert np.isnan(chance_of_all([np.ones((1, 1)), unknown])).all()


def test_chance__of_no_locus_is_refused() -> None:
    with pytest.raises(ValueError, match="one locus at least"):
        chance_of_all([])


@pytest.mark.parametrize(
    ("plants", "shown", "words"),
    [
        ([[0.5, 0.4]], np.eye(2), "sum 1"),
        ([[1.5, -0.5]], np.eye(2), "sum 1"),
        ([[0.5, np.nan]], np.eye(2), "sum 1"),
        ([0.5, 0.5], np.eye(2), "a row for each plant"),
        ([[0.5, 0.5]], np.eye(3), "a row for each seed gamete"),
    ],
)
def test_chance__refuses(plants: list, shown: np.ndarray, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        chance_of_type(plants, shown)


@settings(max_examples=30)
@given(st.integers(1, 6), st.integers(1, 5), st.integers(0, 10_000))
def test_chance__is_the_sum_over_unions(plants: int, gametes: int, seed: int) -> None:
    dice = np.random.default_rng(seed)
    told = dice.dirichlet(np.ones(gametes), plants)
    shown = dice.random((gametes, gametes)) < 0.5
    found = chance_of_type(told, shown)
    slow = [
        [
            sum(told[i, g] * told[j, h] for g in range(gametes) for h in range(gametes)
                if shown[g, h])
            for j in range(plants)
        ]
        for i in range(plants)
    ]  # fmt: skip
    assert found == pytest.approx(np.array(slow), abs=1e-12)
    assert ((found >= 0) & (found <= 1)).all()
