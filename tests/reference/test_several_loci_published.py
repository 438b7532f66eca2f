"""Several loci and several alleles against published figures, as exact fractions.

Two characters of the pea, counted by Mendel 1866 (Versuche über Pflanzenhybriden): 315 : 101 : 108
: 32 beside 9 : 3 : 3 : 1, chi-square 196/417 (Fisher 1936, Ann. Sci. 1:115–137, and textbooks).
12 : 3 : 1, 9 : 3 : 4, 13 : 3 and 9 : 7 are the textbooks' ratios of one locus that hides another,
here derived. A tetraploid ABCD with double reduction 0.04 gives AA … DD 0.01 each and AB … CD 0.16
each, as printed in the manual of a haplotyping library of an archive of statistical packages.
35 : 1 of the selfed duplex as printed by Burnham 1962 and Allard 1960 is from memory.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction as F
from itertools import combinations

import pytest

from breeding.inheritance import (
    Confidence,
    Locus,
    Sets,
    Type,
    gametes,
    goodness_of_fit,
    joint_outcomes,
    progeny_of_loci,
)

TWO, FOUR = Sets((2,)), Sets((4,))
HYBRID, DUPLEX = ((1, 1),), ((2, 2),)


def dominant(symbol: str, shows: tuple[str, ...] = (), lacks: tuple[str, ...] = ()) -> Locus:
    """One copy is enough; `shows` and `lacks` are the loci hidden with it and without it."""
    return Locus(
        symbol, symbol, (symbol, symbol.lower()),
        (Type("yes", "there", ((symbol, 1),), hides=shows), Type("no", "not there", hides=lacks)),
        "invented", Confidence.SUPPOSED,
    )  # fmt: skip


def selfed(one: Locus, other: Locus, plant: tuple, sets: Sets, rate: F = F(0)) -> list[F]:
    both = {one.symbol: plant, other.symbol: plant}
    return list(progeny_of_loci((one, other), both, both, sets, rate).values())


def test_joint_outcomes__mendels_peas_of_two_characters() -> None:
    found = selfed(dominant("A"), dominant("B"), HYBRID, TWO)
    assert [16 * chance for chance in found] == [9, 3, 3, 1]
    fit = goodness_of_fit((315, 101, 108, 32), found)
    assert fit.chi_square == pytest.approx(196 / 417)
    assert fit.p == pytest.approx(0.925425, abs=1e-6)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        (dominant("A", shows=("B",)), dominant("B"), [12, 3, 1]),
        (dominant("A", lacks=("B",)), dominant("B"), [9, 4, 3]),
    ],
)
def test_joint_outcomes__one_locus_hides_another(one: Locus, other: Locus, ratio: list) -> None:
    assert [16 * chance for chance in selfed(one, other, HYBRID, TWO)] == ratio


def test_joint_outcomes__whites_of_either_kind_in_thirteen_of_sixteen() -> None:
    """An inhibitor over a pigment: 13 without, 3 with; two recessives: 9 with, 7 without."""
    held, pigment = dominant("I", shows=("V",)), dominant("V", lacks=("I",))
    found = progeny_of_loci(
        (pigment, held), {"V": HYBRID, "I": HYBRID}, {"V": HYBRID, "I": HYBRID}, TWO
    )
    coloured = found[(("V", "yes"), ("I", "no"))]
    assert (16 * coloured, 16 * (1 - coloured)) == (3, 13)
    one, other = dominant("A", lacks=("B",)), dominant("B", lacks=("A",))
    both = {"A": HYBRID, "B": HYBRID}
    assert 16 * progeny_of_loci((one, other), both, both, TWO)[(("A", "yes"), ("B", "yes"))] == 9


@pytest.mark.parametrize(
    ("rate", "dominants", "recessives"), [(F(0), 35, 1), (F(1, 7), 187, 9), (F(1, 6), 77, 4)]
)
def test_joint_outcomes__two_selfed_duplexes(rate: F, dominants: int, recessives: int) -> None:
    """(35 : 1) × (35 : 1), and the same by random chromatids and by full equation."""
    whole = (dominants + recessives) ** 2
    found = selfed(dominant("A"), dominant("B"), DUPLEX, FOUR, rate)
    expected = [dominants**2, dominants * recessives, dominants * recessives, recessives**2]
    assert [whole * chance for chance in found] == expected


def test_gametes__of_four_alleles_with_double_reduction() -> None:
    found = gametes(((1, 1, 1, 1),), 0.04)
    assert len(found) == 10
    for (part,), share in found.items():
        assert share == (F(1, 100) if 2 in part else F(16, 100))


@pytest.mark.parametrize("plant", ["AABC", "ABCD", "AAAB", "AABB"])
def test_gametes__random_chromatids_of_several_alleles_counted_out(plant: str) -> None:
    """Any two of the eight chromatids (Haldane 1930): double reduction 1/7."""
    drawn = Counter(tuple(map(pair.count, "ABCD")) for pair in combinations(plant * 2, 2))
    expected = {(part,): F(ways, 28) for part, ways in drawn.items()}
    assert gametes((tuple(map(plant.count, "ABCD")),), F(1, 7)) == expected


@pytest.mark.parametrize("rate", [F(0), F(1, 7), F(1, 6)])
def test_joint_outcomes__an_exact_sum_of_one(rate: F) -> None:
    found = selfed(dominant("A", shows=("B",)), dominant("B", lacks=("A",)), DUPLEX, FOUR, rate)
    assert sum(found) == 1


def test_joint_outcomes__of_floats_alone() -> None:
    chances = {"A": {"yes": 0.8, "no": 0.2}, "B": {"yes": 0.5, "no": 0.5}}
    found = joint_outcomes((dominant("A", shows=("B",)), dominant("B")), chances)
    assert list(found.values()) == pytest.approx([0.8, 0.1, 0.1])
