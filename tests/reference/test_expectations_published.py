"""Expectations of crosses, numbers to grow and exact intervals against published values.

Ratios of tetraploids with complete dominance by random chromosomes, random chromatids (1/7; Haldane
1930, J. Genet. 22:359–372) and complete equational segregation (1/6; Mather 1935, J. Genet.
30:53–78), reviewed by Little 1945, Bot. Rev. 11:60–85; worked out from enumerated chromatids. The
ratios 35 : 1, 20.8 : 1, 3 : 1, 2.48 : 1, 5 : 1 and 3.67 : 1 as printed by Burnham 1962 and Allard
1960 are from memory. Numbers to grow after Sedcole 1977, Crop Sci. 17:667–668 (from memory,
worked out exactly). The rule of breeders, that a dominant in one parent reaches at least half and
in both at least three quarters of the seedlings: a list archive of iris growers, July 1997.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance.expecting import expect, grow
from breeding.inheritance.intervals import exact_interval
from tests.breeding.invented_loci import FOUR, V, copies, dominant, spread

MODELS = ("0", "1/7", "1/6")
# Copies in the two parents; share of recessive seedlings under the three models.
RECESSIVE = {
    (1, 1): ("1/4", "225/784", "169/576"),
    (2, 2): ("1/36", "9/196", "4/81"),
    (3, 3): ("0", "1/784", "1/576"),
    (1, 0): ("1/2", "15/28", "13/24"),
    (2, 0): ("1/6", "3/14", "2/9"),
    (3, 0): ("0", "1/28", "1/24"),
    (1, 2): ("1/12", "45/392", "13/108"),
    (1, 3): ("0", "15/784", "13/576"),
    (2, 3): ("0", "3/392", "1/108"),
    (4, 0): ("0", "0", "0"),
}
AT_LEAST = (1, 2, 3, 4, 5, 6, 8, 10, 15)
# The crosses at unlinked loci that give a seedling with every recessive, the rate of double
# reduction, how sure, and the numbers to grow.
GROW = [
    ([(1, 1)], "0", "19/20", (11, 18, 23, 29, 34, 40, 50, 60, 84)),
    ([(1, 0)], "0", "19/20", (5, 8, 11, 13, 16, 18, 23, 28, 40)),
    ([(2, 0)], "0", "19/20", (17, 27, 36, 45, 53, 61, 76, 91, 128)),
    ([(2, 0)], "1/7", "19/20", (13, 21, 28, 34, 41, 47, 59, 70, 98)),
    ([(1, 0)] * 3, "0", "19/20", (23, 37, 49, 60, 71, 82, 103, 123, 172)),
    ([(1, 2)], "0", "19/20", (35, 56, 74, 91, 108, 124, 155, 186, 259)),
    ([(1, 1)] * 2, "0", "19/20", (47, 75, 99, 122, 144, 166, 208, 248, 347)),
    ([(1, 0)] * 5, "0", "19/20", (95, 150, 200, 246, 291, 334, 418, 500, 697)),
    ([(2, 2)], "0", "19/20", (107, 169, 225, 277, 327, 376, 471, 563, 784)),
    ([(2, 2)], "1/7", "19/20", (64, 102, 135, 167, 197, 227, 284, 339, 473)),
    ([(1, 1)] * 3, "0", "19/20", (191, 302, 401, 494, 584, 671, 839, 1002, 1397)),
    ([(2, 0)] * 3, "0", "19/20", (646, 1023, 1358, 1673, 1975, 2269, 2837, 3389, 4724)),
    ([(2, 2)] * 2, "0", "19/20", (3881, 6147, 8158, 10047, 11861, 13623, 17037, 20351, 28361)),
    ([(1, 0)], "0", "99/100", (7, 11, 14, 17, 19, 22, 27, 33, 45)),
    ([(1, 1)], "0", "99/100", (17, 24, 31, 37, 43, 49, 60, 70, 96)),
    ([(2, 0)], "1/7", "99/100", (20, 29, 36, 44, 51, 57, 70, 83, 113)),
    ([(2, 2)], "0", "99/100", (164, 237, 300, 359, 414, 468, 572, 672, 911)),
    ([(2, 2)], "1/7", "99/100", (98, 142, 180, 216, 249, 282, 344, 405, 549)),
    ([(2, 0)] * 3, "0", "99/100", (993, 1432, 1813, 2167, 2503, 2828, 3452, 4053, 5491)),
]


@pytest.mark.parametrize("pair", RECESSIVE)
@pytest.mark.parametrize("model", range(3))
def test_expect__published_ratios(pair: tuple[int, int], model: int) -> None:
    """To the last bit of a float, and exactly in the readings."""
    seed, pollen = ({"V": copies(count)} for count in pair)
    share = F(RECESSIVE[pair][model])
    for parents in ((seed, pollen), (pollen, seed)):
        told = expect([V], *parents, FOUR, double_reduction=MODELS[model])
        found = told.chance_of({"V": "none"})
        assert (found.chance, found.low, found.high) == pytest.approx(
            (float(share),) * 3, rel=1e-14
        )
        assert found.possible == (1 if share else 0)
        (reading,) = told.explain("V", "none")
        assert reading.chances["none"] == share


@pytest.mark.parametrize(
    ("pair", "words"),
    [((1, 1), "3 in 4"), ((2, 2), "35 in 36"), ((2, 0), "5 in 6"), ((1, 2), "11 in 12"),
     ((3, 3), "all"), ((0, 0), "none")],
)  # fmt: skip
def test_explain__published_ratios_in_words(pair: tuple[int, int], words: str) -> None:
    told = expect([V], *({"V": copies(count)} for count in pair), FOUR)
    assert told.explain("V")[0].ratio == words


@pytest.mark.parametrize(("crosses", "rate", "sure", "numbers"), GROW)
def test_grow__published_numbers(
    crosses: list[tuple[int, int]], rate: str, sure: str, numbers: tuple[int, ...]
) -> None:
    loci = [dominant("ABCDE"[at]) for at in range(len(crosses))]
    seed, pollen = (
        {locus.symbol: copies(pair[side]) for locus, pair in zip(loci, crosses, strict=True)}
        for side in (0, 1)
    )
    told = expect(loci, seed, pollen, FOUR, double_reduction=rate)
    wanted = {locus.symbol: "plain" for locus in loci}
    found = tuple(grow(told, wanted, least, F(sure)).seedlings for least in AT_LEAST)
    assert found == numbers


def test_grow__published_numbers_of_the_dominant() -> None:
    """Three in four, of the selfed simplex."""
    told = expect([V], {"V": copies(1)}, None, FOUR)
    found = [grow(told, {"V": "violet"}, least).seedlings for least in AT_LEAST]
    assert found == [3, 5, 6, 8, 9, 11, 14, 17, 25]


weights = st.lists(st.floats(0.01, 1), min_size=4, max_size=4)


@settings(max_examples=20, deadline=None)
@given(weights, weights)
def test_expect__the_breeders_rule(one: list[float], other: list[float]) -> None:
    """A dominant in one parent: at least half; in both: at least three quarters, whatever else is
    not known. By double reduction the floors are 13/28 and 559/784."""
    seed, pollen = {"V": spread(0, *one)}, {"V": spread(0, *other)}
    for rate, half, three_quarters in (("0", F(1, 2), F(3, 4)), ("1/7", F(13, 28), F(559, 784))):
        for parent, floor in (({"V": copies(0)}, half), (pollen, three_quarters)):
            told = expect([V], seed, parent, FOUR, double_reduction=rate)
            found = told.chance_of({"V": "violet"})
            assert found.low >= float(floor) - 1e-12
            lowest = min(each.chances["violet"] for each in told.explain("V", most=16))
            assert lowest >= floor


def test_expect__the_breeders_rule_is_the_simplex() -> None:
    simplex, none = {"V": copies(1)}, {"V": copies(0)}
    assert expect([V], simplex, none, FOUR).explain("V")[0].ratio == "1 in 2"
    assert expect([V], simplex, simplex, FOUR).explain("V")[0].ratio == "3 in 4"


@pytest.mark.parametrize(
    ("count", "total", "low", "high"),
    [(81, 263, 0.2527, 0.3676), (15, 148, 0.0578, 0.1617), (0, 20, 0.0, 0.1684),
     (1, 29, 0.0009, 0.1776)],
)  # fmt: skip
def test_exact_interval__published(count: int, total: int, low: float, high: float) -> None:
    """Newcombe 1998, Stat. Med. 17:857–872, Table I, method 5 (Clopper–Pearson), 95 %."""
    found = exact_interval(count, total)
    assert (round(found[0], 4), round(found[1], 4)) == (low, high)
