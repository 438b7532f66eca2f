"""Gametes, seedlings and numbers to grow: what must hold of all of them."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.inheritance import (
    chance_of_at_least,
    disomic_gamete_frequencies,
    gamete_frequencies,
    goodness_of_fit,
    progeny_frequencies,
    seedlings_to_grow,
)

RATES = st.sampled_from([F(0), F(1, 25), F(1, 7), F(1, 6)])


@given(st.integers(1, 8), st.data(), RATES)
def test_gametes__sum_to_one_and_keep_the_mean(ploidy: int, data: st.DataObject, rate: F) -> None:
    dosage = data.draw(st.integers(0, ploidy))
    found = gamete_frequencies(dosage, ploidy, rate)
    assert sum(found.values()) == 1
    assert sum(copies * share for copies, share in found.items()) == F(dosage, 2)


@given(st.integers(0, 4), st.integers(0, 4), RATES)
def test_progeny__parents_may_change_places(one: int, other: int, rate: F) -> None:
    found = progeny_frequencies(one, other, double_reduction=rate)
    assert found == progeny_frequencies(other, one, double_reduction=rate)


@given(st.integers(0, 4), RATES)
def test_gametes__of_the_other_allele_mirror(dosage: int, rate: F) -> None:
    one = gamete_frequencies(dosage, double_reduction=rate)
    other = gamete_frequencies(4 - dosage, double_reduction=rate)
    assert one == {2 - copies: share for copies, share in sorted(other.items(), reverse=True)}


def test_gametes__diploid_has_no_double_reduction() -> None:
    assert gamete_frequencies(1, 2, F(1, 7)) == {0: F(1, 2), 1: F(1, 2)}


def test_progeny__mixed_ploidy() -> None:
    """A simplex tetraploid on a diploid that carries one copy: 3 sets."""
    assert progeny_frequencies(1, 1, (4, 2)) == {0: F(1, 4), 1: F(1, 2), 2: F(1, 4)}


def test_disomic__two_copies_in_one_pair_or_in_two() -> None:
    assert disomic_gamete_frequencies((2, 0)) == {1: F(1)}
    assert disomic_gamete_frequencies((1, 1)) == {0: F(1, 4), 1: F(1, 2), 2: F(1, 4)}


@pytest.mark.parametrize(
    ("dosage", "ploidy", "rate"),
    [(5, 4, 0), (-1, 4, 0), (1, 0, 0), (1, 9, 0), (1, 4, 2), (1, 4, -0.1), (1, 4, "x"), (1, 6, 1)],
)
def test_gametes__impossible(dosage: int, ploidy: int, rate: object) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        gamete_frequencies(dosage, ploidy, rate)


def test_disomic__impossible() -> None:
    with pytest.raises(ValueError, match="0, 1 or 2"):
        disomic_gamete_frequencies((3,))


def test_gametes__a_float_is_read_as_the_fraction_it_stands_for() -> None:
    assert gamete_frequencies(1, double_reduction=1 / 7)[2] == F(1, 28)


@given(st.fractions(F(1, 60), F(59, 60), max_denominator=60), st.integers(1, 6))
def test_seedlings_to_grow__is_the_least_number(chance: F, at_least: int) -> None:
    number = seedlings_to_grow(chance, at_least)
    assert number is not None
    assert chance_of_at_least(chance, number, at_least) >= 0.95 - 1e-9
    assert chance_of_at_least(chance, number - 1, at_least) < 0.95 + 1e-9


def test_seedlings_to_grow__never_and_surely() -> None:
    assert seedlings_to_grow(0) is None
    assert seedlings_to_grow(1, 4) == 4
    assert seedlings_to_grow(F(1, 1_000_000)) is None


def test_fit__small_counts_are_counted_out() -> None:
    """3 of 12 where a quarter is expected: all tables are as likely or less."""
    assert goodness_of_fit((3, 9), (1, 3)).p == pytest.approx(1)
    assert goodness_of_fit((0, 7), (1, 3)).p == pytest.approx(0.75**7 + _upper(7))


def _upper(total: int) -> float:
    """Chance of the tables at the other end that are no likelier than none at all."""
    from math import comb

    told = [comb(total, k) * 0.25**k * 0.75 ** (total - k) for k in range(total + 1)]
    return sum(chance for chance in told[1:] if chance <= told[0])


def test_fit__what_cannot_come_is_named() -> None:
    found = goodness_of_fit((5, 1), (1, 0))
    assert (found.p, found.impossible) == (0.0, (1,))


def test_fit__many_types_are_thrown_for() -> None:
    counts = [12, 9, 8, 11, 10, 14, 9, 7, 3]
    found = goodness_of_fit(counts, [1] * 8 + [0.3])
    assert found.method == "simulated"
    assert 0.5 < found.p < 1


@pytest.mark.parametrize("wrong", [((1, 2), (1,)), ((0, 0), (1, 1)), ((1, -1), (1, 1)), ((), ())])
def test_fit__nonsense(wrong: tuple) -> None:
    with pytest.raises(ValueError, match="Counts and chances"):
        goodness_of_fit(*wrong)
