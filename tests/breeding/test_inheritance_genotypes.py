"""Genotypes of any number of alleles: what must hold of their gametes and seedlings."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from fractions import Fraction as F
from itertools import combinations
from math import comb

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance import (
    Sets,
    disomic_gamete_frequencies,
    gamete_frequencies,
    gamete_states,
    gametes,
    genotypes,
    progeny,
    progeny_frequencies,
    totals,
    united,
)
from breeding.inheritance.genotypes import at_random, gamete_matrix, gamete_sizes, unions
from breeding.pedigree import Mode

RATES = st.sampled_from([F(0), F(1, 25), F(1, 7), F(1, 6)])
FOUR, TWO, DWARF = Sets((4,)), Sets((2,)), Sets((2, 2))
PLAIN = st.sampled_from([TWO, FOUR, DWARF, Sets((6,)), Sets((8,))])


@st.composite
def plants(draw: st.DrawFn, sets: st.SearchStrategy[Sets] = PLAIN, alleles: int = 0) -> tuple:
    found = genotypes(draw(sets), alleles or draw(st.integers(2, 4)))
    return found[draw(st.integers(0, len(found) - 1))]


@pytest.mark.parametrize(
    ("sets", "alleles", "number"),
    [(FOUR, 2, 5), (FOUR, 4, 35), (DWARF, 2, 9), (TWO, 3, 6), (Sets((8,)), 4, 165), (FOUR, 1, 1)],
)
def test_genotypes__number(sets: Sets, alleles: int, number: int) -> None:
    found = genotypes(sets, alleles)
    assert len(found) == len(set(found)) == number
    assert list(found) == sorted(found)


def test_genotypes__of_two_alleles_stand_at_their_copies() -> None:
    assert [totals(genotype)[0] for genotype in genotypes(FOUR, 2)] == [0, 1, 2, 3, 4]


@pytest.mark.parametrize(
    ("ploidy", "mode", "groups"),
    [(2, Mode.DISOMIC, (2,)), (4, Mode.DISOMIC, (2, 2)), (4, Mode.POLYSOMIC, (4,)),
     (4, Mode.UNEVEN, (4,)), (3, Mode.DISOMIC, (3,)), (6, Mode.DISOMIC, (2, 2, 2))],
)  # fmt: skip
def test_sets__from_the_record(ploidy: int, mode: Mode, groups: tuple[int, ...]) -> None:
    assert Sets.of(ploidy, mode).groups == groups
    assert Sets.of(ploidy, mode).ploidy == ploidy


@pytest.mark.parametrize("groups", [(), (0,), (9,), (4, 0), (5, 4), (-1, 4)])
def test_sets__that_no_plant_has(groups: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="from 1 to 8 sets"):
        Sets(groups)


@settings(max_examples=40)
@given(plants(), RATES)
def test_gametes__sum_to_one_and_keep_the_mean_of_every_allele(plant: tuple, rate: F) -> None:
    found = gametes(plant, 0 if sum(plant[0]) > 6 else rate)
    assert sum(found.values()) == 1
    for at, copies in enumerate(totals(plant)):
        assert sum(totals(gamete)[at] * share for gamete, share in found.items()) == F(copies, 2)


@settings(max_examples=40)
@given(plants(alleles=3), RATES, st.permutations(range(3)))
def test_gametes__do_not_know_the_names_of_alleles(plant: tuple, rate: F, order: list) -> None:
    """Alleles renamed before the gametes are drawn, or after: the same."""

    def renamed(genotype: tuple) -> tuple:
        return tuple(tuple(part[at] for at in order) for part in genotype)

    before = gametes(renamed(plant), rate)
    assert before == {renamed(gamete): share for gamete, share in gametes(plant, rate).items()}


@pytest.mark.parametrize("ploidy", range(1, 9))
@pytest.mark.parametrize("rate", [F(0), F(1, 25), F(1, 7), F(1, 6)])
def test_gametes__of_two_alleles_are_those_of_dosages(ploidy: int, rate: F) -> None:
    for dosage in range(ploidy + 1):
        sums: Counter[int] = Counter()
        for gamete, share in gametes(((dosage, ploidy - dosage),), rate).items():
            sums[gamete[0][0]] += share
        assert dict(sums) == gamete_frequencies(dosage, ploidy, rate)


@settings(max_examples=40)
@given(plants(alleles=4), RATES)
def test_gametes__with_alleles_taken_together(plant: tuple, rate: F) -> None:
    """Four alleles, the last three called one: what two alleles give."""
    merged = tuple((part[0], sum(part[1:])) for part in plant)
    sums: Counter[tuple] = Counter()
    for gamete, share in gametes(plant, rate).items():
        sums[tuple((part[0], sum(part[1:])) for part in gamete)] += share
    assert dict(sums) == gametes(merged, rate)


@pytest.mark.parametrize("copies", [(0, 0), (1, 0), (1, 1), (2, 0), (2, 1), (2, 2)])
def test_gametes__of_pairs_are_disomic(copies: tuple[int, int]) -> None:
    sums: Counter[int] = Counter()
    for gamete, share in gametes(tuple((had, 2 - had) for had in copies), F(1, 6)).items():
        sums[totals(gamete)[0]] += share
    assert dict(sums) == disomic_gamete_frequencies(copies)


def test_gametes__of_six_sets_counted_out() -> None:
    """Three of six sets with three alleles, each draw as likely."""
    drawn = Counter(tuple(map(each.count, "ABC")) for each in combinations("AAABBC", 3))
    expected = {(part,): F(ways, comb(6, 3)) for part, ways in drawn.items()}
    assert gametes(((3, 2, 1),)) == expected


def test_gametes__unreduced_are_the_whole_plant() -> None:
    assert gametes(((1, 3),), F(1, 6), size=4) == {((1, 3),): 1}
    assert gametes(((1, 1), (0, 2)), size=4) == {((1, 1), (0, 2)): 1}


def test_gametes__of_an_odd_plant_are_small_or_large() -> None:
    found = gametes(((1, 2),))
    assert found == {((0, 1),): F(1, 3), ((1, 0),): F(1, 6), ((0, 2),): F(1, 6), ((1, 1),): F(1, 3)}
    assert set(found) <= set(gamete_states(Sets((3,)), 2))


@pytest.mark.parametrize(
    ("plant", "rate", "size"),
    [(((1, -1),), 0, None), (((1, 1), (1, 1, 0)), 0, None), (((1, 1), (1, 1)), 0, 3),
     (((1, 3),), 0, 5), (((1, 3),), 2, None), (((4, 4),), 1, None), (((0, 0),), 0, None)],
)  # fmt: skip
def test_gametes__impossible(plant: tuple, rate: int, size: int | None) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        gametes(plant, rate, size)


@settings(max_examples=25)
@given(plants(st.sampled_from([FOUR, DWARF, TWO]), 2), st.data(), RATES)
def test_progeny__totals_are_those_of_the_parents(
    plant: tuple, data: st.DataObject, rate: F
) -> None:
    sets = Sets(tuple(map(sum, plant)))
    other = data.draw(plants(st.just(sets), 2))
    found = progeny(plant, other, sets, rate)
    assert sum(found.values()) == 1
    mean = sum(totals(child)[0] * share for child, share in found.items())
    assert mean == F(totals(plant)[0] + totals(other)[0], 2)
    assert found == progeny(other, plant, sets, rate)


@pytest.mark.parametrize("rate", [F(0), F(1, 7), F(1, 6)])
def test_progeny__of_two_alleles_are_those_of_dosages(rate: F) -> None:
    for seed, pollen in [(0, 3), (1, 1), (2, 2), (1, 4), (3, 2)]:
        found = progeny(((seed, 4 - seed),), ((pollen, 4 - pollen),), FOUR, rate)
        by_copies = {totals(child)[0]: share for child, share in found.items()}
        assert by_copies == progeny_frequencies(seed, pollen, double_reduction=rate)


def test_progeny__of_two_diploids_by_an_unreduced_gamete() -> None:
    sizes = gamete_sizes(TWO, TWO, Sets((3,)))
    assert sizes == ((1, 2), (2, 1))
    found = progeny(((1, 1),), ((0, 2),), Sets((3,)), sizes=sizes[1])
    assert found == {((1, 2),): 1}


def test_progeny__of_an_odd_parent_only_what_adds_up() -> None:
    found = progeny(((3, 0),), ((0, 4),), FOUR)
    assert found == {((2, 2),): 1}
    with pytest.raises(ValueError, match="make 8 sets"):
        progeny(((3, 0),), ((0, 4),), Sets((8,)))


@pytest.mark.parametrize(
    ("seed", "pollen", "child", "sizes"),
    [(FOUR, FOUR, FOUR, ((2, 2),)), (FOUR, DWARF, FOUR, ((2, 2),)), (TWO, TWO, FOUR, ((2, 2),)),
     (FOUR, TWO, Sets((3,)), ((2, 1),)), (FOUR, TWO, FOUR, ((2, 2),)), (TWO, TWO, Sets((7,)), ()),
     (Sets((3,)), Sets((3,)), Sets((3,)), ((1, 2), (2, 1))),
     (FOUR, FOUR, Sets((6,)), ((2, 4), (4, 2)))],
)  # fmt: skip
def test_gamete_sizes__in_the_likeliest_way(
    seed: Sets, pollen: Sets, child: Sets, sizes: tuple
) -> None:
    assert gamete_sizes(seed, pollen, child) == sizes


def test_united__group_by_group_side_by_side_or_in_one() -> None:
    assert united(((1, 0), (0, 1)), ((0, 1), (0, 1)), DWARF) == ((1, 1), (0, 2))
    assert united(((2, 0),), ((0, 2),), DWARF) == ((2, 0), (0, 2))
    assert united(((2, 0),), ((0, 2),), DWARF, swap=True) == ((0, 2), (2, 0))
    assert united(((1, 0), (0, 1)), ((0, 2),), FOUR) == ((1, 3),)


def test_united__says_when_the_groups_cannot_be_told() -> None:
    with pytest.raises(ValueError, match="which copies lie in which"):
        united(((1, 0), (0, 1)), ((0, 2),), DWARF)
    with pytest.raises(ValueError, match="do not make a plant of 4"):
        united(((1, 0),), ((0, 2),), FOUR)


def test_unions__deal_out_what_cannot_be_told() -> None:
    """Four copies, one of them of the first allele: in either pair as likely."""
    found = unions(((1, 0), (0, 1)), ((0, 2),), DWARF)
    assert found == {((0, 2), (1, 1)): F(1, 2), ((1, 1), (0, 2)): F(1, 2)}
    assert unions(((2, 0),), ((0, 2),), FOUR) == {((2, 2),): 1}


@given(plants(st.just(FOUR), 4), RATES)
@settings(max_examples=20)
def test_gamete_matrix__says_the_same_as_the_fractions(plant: tuple, rate: F) -> None:
    table, states = gamete_matrix(FOUR, 4, rate), gamete_states(FOUR, 4)
    row = table[genotypes(FOUR, 4).index(plant)]
    assert row.sum() == pytest.approx(1)
    found = gametes(plant, rate)
    assert row.tolist() == pytest.approx([float(found.get(state, 0)) for state in states])


def test_gamete_matrix__is_kept_and_cannot_be_spoilt() -> None:
    table = gamete_matrix(FOUR, 2, 0.1)
    assert gamete_matrix(FOUR, 2, F(1, 10)) is table
    with pytest.raises(ValueError, match="read-only"):
        table[0, 0] = 2


@pytest.mark.parametrize("sets", [TWO, FOUR, DWARF, Sets((3,)), Sets((6,)), Sets((8,))])
@pytest.mark.parametrize("rate", [0, 0.1, F(1, 6)])
def test_at_random__is_a_chance_with_the_right_mean(sets: Sets, rate: F) -> None:
    if sets.ploidy == 8 and rate:
        rate = F(1, 10)
    found = at_random(sets, (0.5, 0.3, 0.2), rate)
    copies = [totals(genotype) for genotype in genotypes(sets, 3)]
    assert found.sum() == pytest.approx(1)
    for at, share in enumerate((0.5, 0.3, 0.2)):
        mean = sum(chance * each[at] for chance, each in zip(found, copies, strict=True))
        assert mean == pytest.approx(sets.ploidy * share)


@pytest.mark.parametrize("rate", [0, 0.04, F(1, 7), F(1, 6)])
def test_at_random__keeps_the_inbreeding_of_double_reduction(rate: F) -> None:
    """Two copies of a tetraploid differ by 2pq(1 − α/(2+α))."""
    found = at_random(FOUR, (0.3, 0.7), rate)
    differ = sum(chance * copies * (4 - copies) / 6 for copies, chance in enumerate(found))
    assert differ == pytest.approx(2 * 0.3 * 0.7 * (1 - float(rate) / (2 + float(rate))))


@pytest.mark.parametrize("sets", [FOUR, Sets((6,))])
def test_at_random__stays_as_it_is_when_plants_mate_at_random(sets: Sets) -> None:
    every = genotypes(sets, 2)
    before = at_random(sets, (0.4, 0.6), F(1, 10))
    after = dict.fromkeys(every, 0.0)
    for one, share in zip(every, before, strict=True):
        for other, chance in zip(every, before, strict=True):
            for child, came in progeny(one, other, sets, F(1, 10)).items():
                after[child] += share * chance * float(came)
    assert list(after.values()) == pytest.approx(before.tolist())


@pytest.mark.parametrize("shares", [(), (0, 0), (0.5, -0.1)])
def test_at_random__nonsense(shares: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="Shares of alleles"):
        at_random(FOUR, shares)


def test_inheritance__loads_nothing_heavy() -> None:
    told = (
        "import sys, breeding.inheritance, breeding.inheritance.genotypes, "
        "breeding.inheritance.painting, breeding.inheritance.reading; "
        "print([name for name in ('numpy', 'scipy', 'matplotlib', 'networkx', 'django') "
        "if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"
