"""Gametes and ratios of tetraploids against the published models, as exact fractions.

Random chromosome segregation (double reduction 0; Muller 1914), random chromatid segregation (1/7;
Haldane 1930, J. Genet. 22:359–372) and complete equational segregation (1/6; Mather 1935,
J. Genet. 30:53–78); reviewed by Little 1945, Bot. Rev. 11:60–85. The gametes of the simplex and
duplex and the selfed simplex by random chromatids as printed in stored course notes; every other
row derived from enumerated chromatids. The figures 35 : 1 and 20.8 : 1, 5 : 1 and 3.67 : 1 printed
by Burnham 1962 and Allard 1960 are from memory.
"""

from __future__ import annotations

from fractions import Fraction as F
from itertools import combinations

import pytest

from breeding.inheritance import gamete_frequencies, progeny_frequencies

CHROMOSOME, CHROMATID, EQUATIONAL = F(0), F(1, 7), F(1, 6)
MODELS = (CHROMOSOME, CHROMATID, EQUATIONAL)
# Gametes with 2, 1 and 0 copies under the three models.
GAMETES = {
    1: [("0", "1/2", "1/2"), ("1/28", "12/28", "15/28"), ("1/24", "10/24", "13/24")],
    2: [("1/6", "4/6", "1/6"), ("3/14", "8/14", "3/14"), ("2/9", "5/9", "2/9")],
    3: [("1/2", "1/2", "0"), ("15/28", "12/28", "1/28"), ("13/24", "10/24", "1/24")],
}
# Chance of a seedling without any copy, under the three models.
NONE_LEFT = {
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


@pytest.mark.parametrize("dosage", GAMETES)
@pytest.mark.parametrize("model", range(3))
def test_gamete_frequencies__three_models(dosage: int, model: int) -> None:
    found = gamete_frequencies(dosage, double_reduction=MODELS[model])
    expected = [F(share) for share in GAMETES[dosage][model]]
    assert [found.get(copies, F(0)) for copies in (2, 1, 0)] == expected


@pytest.mark.parametrize("rate", [F(0), F(1, 25), F(1, 7), F(1, 6)])
def test_gamete_frequencies__general_formulas(rate: F) -> None:
    """α/4, (1−α)/2, (2+α)/4 of the simplex and (1+2α)/6, 2(1−α)/3 of the duplex."""
    simplex, duplex = (gamete_frequencies(d, double_reduction=rate) for d in (1, 2))
    assert [simplex.get(c, F(0)) for c in (2, 1, 0)] == [rate / 4, (1 - rate) / 2, (2 + rate) / 4]
    assert [duplex[c] for c in (2, 1, 0)] == [(1 + 2 * rate) / 6, 2 * (1 - rate) / 3,
                                             (1 + 2 * rate) / 6]  # fmt: skip


@pytest.mark.parametrize("pair", NONE_LEFT)
@pytest.mark.parametrize("model", range(3))
def test_progeny_frequencies__seedlings_without_a_copy(pair: tuple[int, int], model: int) -> None:
    found = progeny_frequencies(*pair, double_reduction=MODELS[model])
    assert found.get(0, F(0)) == F(NONE_LEFT[pair][model])
    assert sum(found.values()) == 1


def test_progeny_frequencies__selfed_duplex_and_simplex() -> None:
    """1 : 8 : 18 : 8 : 1 of 36; 9 : 48 : 82 : 48 : 9 of 196; 225 : 360 : 174 : 24 : 1 of 784."""
    chromosome = progeny_frequencies(2, 2)
    assert [chromosome[d] * 36 for d in range(5)] == [1, 8, 18, 8, 1]
    chromatid = progeny_frequencies(2, 2, double_reduction=CHROMATID)
    assert [chromatid[d] * 196 for d in range(5)] == [9, 48, 82, 48, 9]
    simplex = progeny_frequencies(1, 1, double_reduction=CHROMATID)
    assert [simplex[d] * 784 for d in range(5)] == [225, 360, 174, 24, 1]


@pytest.mark.parametrize("dosage", range(5))
def test_gamete_frequencies__random_chromatids_counted_out(dosage: int) -> None:
    """Any two of the eight chromatids: Haldane's model, enumerated."""
    chromatids = [1] * (2 * dosage) + [0] * (8 - 2 * dosage)
    pairs = [sum(pair) for pair in combinations(chromatids, 2)]
    found = gamete_frequencies(dosage, double_reduction=CHROMATID)
    assert found == {c: F(pairs.count(c), len(pairs)) for c in sorted(set(pairs))}
