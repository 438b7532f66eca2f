"""Which test cross would tell most: expected information against brute force and by its nature."""

from __future__ import annotations

from itertools import product
from math import log2

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import multinomial

from breeding.inheritance import telling
from breeding.inheritance.genotypes import Genotype, Sets, totals
from breeding.inheritance.loci import Locus
from breeding.inheritance.parents import Mating, exact_types
from breeding.inheritance.telling import best_testers, information, uncertainty
from tests.breeding.invented_loci import (
    DWARF,
    FOUR,
    TWO,
    B,
    P,
    T,
    V,
    by_places,
    copies,
    spread,
)

SAME = Mating(FOUR, FOUR, FOUR)
five = st.lists(st.sampled_from([0.0, 0.2, 1.0]), min_size=5, max_size=5).filter(any)


def by_hand(
    target: dict[Genotype, float],
    mate: dict[Genotype, float] | None,
    locus: Locus,
    seedlings: int,
    mating: Mating = SAME,
) -> float:
    """Mutual information from all pairs of genotypes and all tables, one by one."""
    types, counted = len(locus.types), locus.alleles.index(locus.counted)
    every = [row for row in product(range(seedlings + 1), repeat=types) if sum(row) == seedlings]
    others = mate or {None: 1.0}
    joint: dict[tuple[int, tuple[int, ...]], float] = {}
    for (one, weight), (other, chance) in product(target.items(), others.items()):
        share = weight * chance / sum(target.values()) / sum(others.values())
        if not share:
            continue
        ratio = [float(q) for q in exact_types(locus, one, other or one, mating).values()]
        for row in every:
            cell = (totals(one)[counted], row)
            joint[cell] = joint.get(cell, 0) + share * float(multinomial.pmf(row, seedlings, ratio))
    of_copies: dict[int, float] = {}
    of_row: dict[tuple[int, ...], float] = {}
    for (count, row), p in joint.items():
        of_copies[count] = of_copies.get(count, 0) + p
        of_row[row] = of_row.get(row, 0) + p
    return sum(
        p * log2(p / of_copies[count] / of_row[row]) for (count, row), p in joint.items() if p > 0
    )


@settings(max_examples=12, deadline=None)
@given(five, five, st.sampled_from([V, B, T]), st.integers(1, 5))
def test_information_is_the_mutual_information(
    target: list[float], mate: list[float], locus: Locus, seedlings: int
) -> None:
    one, other = spread(*target), spread(*mate)
    found = information(one, other, locus, SAME, seedlings)
    assert found == pytest.approx(by_hand(one, other, locus, seedlings), abs=1e-9)
    assert 0 <= found <= uncertainty(one, locus) + 1e-12


def test_information_of_a_selfed_plant() -> None:
    unsure = spread(0.2, 0.2, 0.2, 0.2, 0.2)
    found = information(unsure, None, V, SAME, 6)
    assert found == pytest.approx(by_hand(unsure, None, V, 6))
    assert found > information(unsure, unsure, V, SAME, 6)


def test_information_of_dwarfs_and_across_ploidies() -> None:
    dwarf = by_places(V, [0, 1, 0.5, 1, 1, 0, 0.5], DWARF)
    mating = Mating(DWARF, DWARF, DWARF)
    found = information(dwarf, dwarf, V, mating, 3)
    assert found == pytest.approx(by_hand(dwarf, dwarf, V, 3, mating))
    odd = Mating(FOUR, TWO, Sets((3,)))
    target, mate = spread(0.2, 0.5, 0.3, 0, 0), {((1, 1),): 0.5, ((0, 2),): 0.5}
    assert information(target, mate, V, odd, 4) == pytest.approx(by_hand(target, mate, V, 4, odd))


def test_information_grows_with_seedlings_to_what_is_not_known() -> None:
    target, mate = spread(0, 0.4, 0.3, 0, 0.3), copies(0)
    bits = [information(target, mate, V, SAME, n) for n in (0, 1, 5, 20, 60, 300)]
    assert bits == sorted(bits)
    assert bits[0] == 0
    assert bits[-1] == pytest.approx(uncertainty(target, V), abs=1e-6)


def test_information_cannot_tell_what_no_seedling_shows() -> None:
    """Three copies or four: by random chromosomes alike, told apart by double reduction."""
    target, mate = spread(0, 0, 0, 0.5, 0.5), copies(0)
    assert information(target, mate, V, SAME, 300) == pytest.approx(0, abs=1e-9)
    assert information(target, mate, V, Mating(FOUR, FOUR, FOUR, "1/7"), 300) > 0.9
    assert information(copies(2), mate, V, SAME) == 0
    assert information(target, copies(4), V, SAME) == 0


def test_information_with_thrown_tables_is_close_and_the_same_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    dice = np.random.default_rng(2)
    one, other = (by_places(P, dice.dirichlet(np.full(35, 0.4)).tolist()) for _ in range(2))
    exact = information(one, other, P, SAME, 20)
    monkeypatch.setattr(telling, "MOST_TABLES", 100)
    thrown = information(one, other, P, SAME, 20)
    assert thrown == pytest.approx(exact, abs=0.06)
    assert thrown == information(one, other, P, SAME, 20)


def test_best_testers_puts_the_plant_without_a_copy_first() -> None:
    """The breeder's rule: cross with the recessive to see what a plant carries."""
    target = spread(0, 0.4, 0.4, 0.2, 0)
    mates = {count: copies(count) for count in (4, 3, 2, 1, 0)} | {"itself": target}
    told = best_testers(target, mates, V, SAME, itself="itself")
    assert [key for key, _ in told if key != "itself"] == [0, 1, 2, 4, 3]
    assert [bits for _, bits in told[-2:]] == pytest.approx([0, 0])
    by_key = dict(told)
    assert by_key["itself"] == pytest.approx(information(target, None, V, SAME))
    assert by_key[2] == pytest.approx(information(target, copies(2), V, SAME))


def test_best_testers_of_a_recessive_wants_it_in_the_tester() -> None:
    target = spread(0, 0.3, 0.3, 0.4, 0)
    told = best_testers(target, {"pink": copies(0), "no pink in it": copies(4)}, T, SAME)
    assert [key for key, _ in told] == ["pink", "no pink in it"]


def test_best_testers_with_mates_of_other_sets() -> None:
    target = spread(0, 0.5, 0.5, 0, 0)
    matings = {"four": SAME, "two": Mating(FOUR, TWO, Sets((3,)))}
    told = dict(best_testers(target, {"four": copies(0), "two": copies(0, TWO)}, V, matings))
    assert told["four"] == pytest.approx(told["two"])
    assert best_testers(target, {}, V, SAME) == []


def test_uncertainty_counts_copies_and_not_genotypes() -> None:
    """Two copies in one pair or in two: the same number of copies."""
    assert uncertainty({((2, 0), (0, 2)): 0.5, ((1, 1), (1, 1)): 0.5}, V) == 0
    assert uncertainty(spread(1, 1, 0, 1, 1), V) == pytest.approx(2)


@pytest.mark.parametrize("seedlings", [-1, 1001])
def test_information_refuses_a_number_that_cannot_be(seedlings: int) -> None:
    with pytest.raises(ValueError, match="From 0 to 1,000"):
        information(copies(1), copies(0), V, SAME, seedlings)
