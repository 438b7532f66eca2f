"""Kinship and inbreeding: what must hold for every pedigree, and the smallest ones."""

from __future__ import annotations

import random
from fractions import Fraction
from functools import cache
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.pedigree import Mode, Pedigree, PedigreeError, UnknownPlant
from breeding.pedigree import kinship as kernels
from breeding.pedigree import memory as memory_module
from breeding.pedigree.inbreeding import by_frontier, by_strips

Family = dict[int, tuple[int | None, int | None]]


@st.composite
def families(draw: st.DrawFn, most: int = 14) -> Family:
    many = draw(st.integers(1, most))
    parents: Family = {}
    for plant in range(many):
        one = st.one_of(st.none(), st.integers(0, plant - 1)) if plant else st.none()
        parents[plant] = (draw(one), draw(one))
    return parents


RATES = st.sampled_from([0.0, 1 / 7, 1 / 6])
SETS = st.sampled_from([2, 4, 6])


def by_definition(family: Family, sets: int, rate: Fraction):
    """Slow recursion in exact fractions, straight from the definitions; plants sorted by age."""
    alike = rate if sets == 4 else Fraction(0)
    founder = 2 * alike * (Fraction(sets, 2) - 1)
    founder /= sets + founder
    half = sets // 2

    @cache
    def inbreeding(i: int) -> Fraction:
        if family[i] == (None, None):
            return founder
        own = [founder if p is None else inbreeding(p) for p in family[i]]
        total = sum(half * (half - 1) * (alike + (1 - alike) * f) for f in own)
        if None not in family[i]:
            total += 2 * half * half * kinship(*family[i])
        return total / (sets * (sets - 1))

    @cache
    def kinship(i: int, j: int) -> Fraction:
        if i == j:
            return (1 + (sets - 1) * inbreeding(i)) / sets
        young, old = max(i, j), min(i, j)
        return sum((kinship(p, old) for p in family[young] if p is not None), Fraction(0)) / 2

    return inbreeding, kinship


@settings(max_examples=150)
@given(families(), SETS, st.sampled_from([Fraction(0), Fraction(1, 7), Fraction(1, 6)]))
def test_kinship__is_what_the_definitions_say(family: Family, sets: int, rate: Fraction) -> None:
    inbreeding, kinship = by_definition(family, sets, rate)
    pedigree = Pedigree(family, sets, float(rate))
    for a, b in product(family, family):
        assert pedigree.kinship(a, b) == pytest.approx(float(kinship(a, b)), abs=1e-12)
    assert pedigree.inbreedings() == pytest.approx(
        {plant: float(inbreeding(plant)) for plant in family}, abs=1e-12
    )


@given(families(), SETS, RATES, st.randoms(use_true_random=False))
def test_kinship__does_not_hang_on_the_order(
    family: Family, sets: int, rate: float, chance: random.Random
) -> None:
    order = list(family)
    chance.shuffle(order)
    straight = Pedigree(family, sets, rate).kinship_matrix(list(family))
    shuffled = Pedigree({plant: family[plant] for plant in order}, sets, rate)
    assert np.abs(straight - shuffled.kinship_matrix(list(family))).max() < 1e-13


@given(families(), SETS, RATES)
def test_kinship_matrix__is_symmetric_in_range_and_holds_every_kinship(
    family: Family, sets: int, rate: float
) -> None:
    pedigree = Pedigree(family, sets, rate)
    table = pedigree.kinship_matrix()
    assert (table == table.T).all()
    assert table.min() >= 0
    assert table.max() <= 1
    pairs = [[pedigree.kinship(a, b) for b in family] for a in family]
    assert np.abs(table - pairs).max() < 1e-13
    assert np.linalg.eigvalsh(table).min() > -1e-12


@given(families(), SETS, RATES)
def test_inbreeding__follows_from_self_kinship(family: Family, sets: int, rate: float) -> None:
    pedigree = Pedigree(family, sets, rate)
    for plant in family:
        inbred = (sets * pedigree.kinship(plant, plant) - 1) / (sets - 1)
        assert pedigree.inbreeding(plant) == pytest.approx(inbred, abs=1e-12)
        assert 0 <= pedigree.inbreeding(plant) <= 1
        related = 1 + (sets - 1) * pedigree.inbreeding(plant)
        assert pedigree.relationship(plant, plant) == pytest.approx(related, abs=1e-12)


@given(families(), RATES)
def test_kinship__of_half_founders_is_that_with_the_founder_put_in(
    family: Family, rate: float
) -> None:
    whole: dict = {}
    for plant, pair in family.items():
        known = [p for p in pair if p is not None]
        whole[plant] = (known[0], f"of {plant}") if len(known) == 1 else pair
        if len(known) == 1:
            whole[f"of {plant}"] = (None, None)
    found = Pedigree(family, 4, rate).kinship_matrix(list(family))
    put_in = Pedigree(whole, 4, rate).kinship_matrix(list(family))
    assert np.abs(found - put_in).max() < 1e-13


@given(families(), RATES)
def test_kinship__of_a_clone_is_that_of_its_plant(family: Family, rate: float) -> None:
    plant = max(family)
    cloned = {**family, "clone": (plant, None)}
    pedigree = Pedigree(cloned, 4, rate, gametes={"clone": ((4, 0.0), (0, 0.0))})
    assert pedigree.inbreeding("clone") == pytest.approx(pedigree.inbreeding(plant), abs=1e-12)
    for other in family:
        assert pedigree.kinship("clone", other) == pytest.approx(
            pedigree.kinship(plant, other), abs=1e-12
        )


@given(families())
def test_kinship__of_standard_dwarfs_is_the_diploid_one(family: Family) -> None:
    dwarfs = Pedigree(family, 4, 1 / 6, modes=dict.fromkeys(family, Mode.DISOMIC))
    diploid = Pedigree(family, 2)
    assert np.abs(dwarfs.kinship_matrix() - diploid.kinship_matrix()).max() < 1e-13
    assert dwarfs.inbreedings() == pytest.approx(diploid.inbreedings(), abs=1e-12)
    for a, b in product(family, family):
        assert dwarfs.kinship(a, b) == pytest.approx(diploid.kinship(a, b), abs=1e-13)
        assert dwarfs.relationship(a, b) == pytest.approx(diploid.relationship(a, b), abs=1e-12)


@given(families(most=30), RATES, st.integers(1, 60))
def test_inbreeding__is_the_same_by_frontier_and_by_strips(
    family: Family, rate: float, entries: int
) -> None:
    r = Pedigree(family, 4, rate)._recursion
    frontier, strips = by_frontier(r), by_strips(r, entries)
    assert np.abs(frontier.inbreeding - strips.inbreeding).max() < 1e-13
    assert np.abs(frontier.own_part - strips.own_part).max() < 1e-13


def test_kinship_matrix__of_many_sibs_is_symmetric_to_the_last_bit() -> None:
    family = {n: (None, None) if n < 9 else (n % 7, n % 9 % 5) for n in range(200)}
    table = Pedigree(family, 4, 1 / 7).kinship_matrix()
    assert (table == table.T).all()


@given(families(most=30), RATES)
def test_kinship_matrix__of_few_plants_is_cut_from_the_whole(family: Family, rate: float) -> None:
    pedigree, few = Pedigree(family, 4, rate), [max(family), 0, max(family)]
    whole = pedigree.kinship_matrix()[np.ix_(few, few)]
    assert np.abs(pedigree.kinship_matrix(few) - whole).max() < 1e-13
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(memory_module, "SMALL_TABLE", 0)
        assert np.abs(Pedigree(family, 4, rate).kinship_matrix(few) - whole).max() < 1e-13


@given(families(most=30), RATES)
def test_kinship_matrix__is_the_same_with_several_workers(family: Family, rate: float) -> None:
    alone = Pedigree(family, 4, rate)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kernels, "LARGE", -1)
        patch.setattr(kernels.os, "cpu_count", lambda: 3)
        together = Pedigree(family, 4, rate)
        assert (together.kinship_matrix() == alone.kinship_matrix()).all()
        assert together.inbreedings() == alone.inbreedings()


def test_kinship__remembers_nothing_wrong_between_questions(monkeypatch) -> None:
    monkeypatch.setattr(memory_module, "PATIENCE", 3)
    chance = random.Random(2)
    family = {n: (chance.randrange(n), chance.randrange(n)) if n > 3 else (None, None)
              for n in range(60)}  # fmt: skip
    warm = Pedigree(family, 4, 0.1)
    for _ in range(40):
        a, b = chance.randrange(60), chance.randrange(60)
        assert warm.kinship(a, b) == Pedigree(family, 4, 0.1).kinship(a, b)


def test_kinship__of_unrelated_founders_is_nothing() -> None:
    assert Pedigree({"A": (None, None), "B": (None, None)}, 4, 1 / 6).kinship("A", "B") == 0


def test_pedigree__may_be_empty() -> None:
    empty = Pedigree({})
    assert len(empty) == 0
    assert empty.inbreedings() == {}
    assert empty.kinship_matrix([]).shape == (0, 0)


def test_pedigree__may_be_a_single_plant() -> None:
    single = Pedigree({"A": (None, None)}, ploidy=4)
    assert single.kinship("A", "A") == 0.25
    assert single.kinship_matrix(["A"]).tolist() == [[0.25]]


def test_pedigree__gives_plain_numbers() -> None:
    pedigree = Pedigree({"A": (None, None), "S": ("A", "A")}, ploidy=4)
    numbers = [pedigree.kinship("A", "S"), pedigree.kinship("A", "A"), pedigree.inbreeding("S"),
               pedigree.relationship("A", "S"), *pedigree.inbreedings().values()]  # fmt: skip
    assert {type(number) for number in numbers} == {float}


def test_pedigree__takes_a_line_of_ten_thousand_generations() -> None:
    line = {0: (None, None)} | {n: (n - 1, n - 1) for n in range(1, 10_001)}
    pedigree = Pedigree(line, ploidy=4)
    assert pedigree.inbreeding(10_000) == pytest.approx(1)
    assert pedigree.kinship(10_000, 0) == pytest.approx(0.25)


def test_pedigree__tells_what_it_holds() -> None:
    family = {"A": (None, None), "S": ("A", None)}
    pedigree = Pedigree(family, ploidy=4, double_reduction=0.1, modes={"S": Mode.UNEVEN})
    assert (pedigree.keys(), len(pedigree)) == (["A", "S"], 2)
    assert ("A" in pedigree, "B" in pedigree) == (True, False)
    assert pedigree.parents("S") == ("A", None)
    assert (pedigree.ploidy("S"), pedigree.mode("S")) == (4, Mode.UNEVEN)
    assert (pedigree.mode("A"), pedigree.double_reduction) == (Mode.POLYSOMIC, 0.1)


@pytest.mark.parametrize("more", [{"modes": {"B": Mode.DISOMIC}}, {"gametes": {"B": ()}}])
def test_pedigree__refuses_to_be_told_of_unknown_plants(more: dict) -> None:
    with pytest.raises(UnknownPlant, match="B: no such plant"):
        Pedigree({"A": (None, None)}, **more)


def test_pedigree__does_not_follow_later_changes_of_the_mapping() -> None:
    family = {"A": (None, None), "B": (None, None), "C": ("A", "B")}
    before = Pedigree(family)
    family["C"] = ("A", "A")
    assert before.inbreeding("C") == 0
    assert Pedigree(family).inbreeding("C") == pytest.approx(1 / 6)


@pytest.mark.parametrize("ask", ["kinship", "relationship", "common_ancestors", "common_paths"])
def test_pedigree__names_an_unknown_plant(ask: str) -> None:
    with pytest.raises(UnknownPlant, match="Nobody: no such plant"):
        getattr(Pedigree({"A": (None, None)}), ask)("A", "Nobody")


def test_unknown_plant__is_a_key_error_and_a_pedigree_error() -> None:
    assert issubclass(UnknownPlant, KeyError)
    assert issubclass(UnknownPlant, PedigreeError)


@pytest.mark.parametrize("wrong", [["A"], None, {"A": None}, {"A": ("B",)}, {"A": 4}])
def test_pedigree__refuses_wrong_types(wrong: object) -> None:
    with pytest.raises(TypeError):
        Pedigree(wrong)


@pytest.mark.parametrize("rate", [-0.1, 1.1, float("nan")])
def test_pedigree__refuses_a_double_reduction_that_is_no_fraction(rate: float) -> None:
    with pytest.raises(ValueError, match="fraction"):
        Pedigree({"A": (None, None)}, double_reduction=rate)
