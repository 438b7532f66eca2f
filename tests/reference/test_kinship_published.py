"""Kinship, inbreeding and relationship against published values and exact cases.

Sources are named beside each check; those of the 71 cases stand in tests/data/kinship/cases.json.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from breeding.pedigree import Pedigree

FILE = Path(__file__).parent.parent / "data" / "kinship" / "cases.json"
CASES = json.loads(FILE.read_text(encoding="utf-8"))
# λ of an unreduced gamete is no rule of the garden: it has to be given with the plant.
GIVEN_GAMETES = {
    "mixed:4x_x_2x_unreduced_FDR_lam0.041", "mixed:4x_x_2x_unreduced_SDR_lam0.918",
    "published:hamilton_kerr_2018_table1",
}  # fmt: skip
CLOSE = {"abs": 1e-12, "rel": 0}


def number(fraction: str) -> float:
    return float(Fraction(fraction))


def parents_of(case: dict) -> tuple[dict, dict]:
    plants = case["plants"]
    return {a: tuple(p[:2]) for a, p in plants.items()}, {a: p[2] for a, p in plants.items()}


def from_ploidy(case: dict) -> Pedigree:
    """The case as a garden tells it: parents, ploidy and one rate of double reduction."""
    rates = {number(rate) for plant in case["plants"].values() for rate in plant[4]}
    return Pedigree(*parents_of(case), double_reduction=max(rates))


def from_gametes(case: dict) -> Pedigree:
    """The case with the copies and λ of every gamete."""
    gametes = {
        plant: tuple(zip(copies, map(number, rates), strict=True))
        for plant, (_, _, _, copies, rates) in case["plants"].items()
    }
    return Pedigree(*parents_of(case), gametes=gametes)


def told(pedigree: Pedigree, case: dict) -> dict:
    """Every number of the case, as the pedigree has it."""
    found = {plant: pedigree.inbreeding(plant) for plant in case["inbreeding"]}
    found |= {(plant, plant): pedigree.kinship(plant, plant) for plant in case["self_kinship"]}
    return found | {(a, b): pedigree.kinship(a, b) for a, b, _ in case["kinship"]}


def expected(case: dict) -> dict:
    found = {plant: number(value) for plant, value in case["inbreeding"].items()}
    found |= {(plant, plant): number(value) for plant, value in case["self_kinship"].items()}
    return found | {(a, b): number(value) for a, b, value in case["kinship"]}


def test_cases__are_all_there() -> None:
    assert len({case["id"] for case in CASES}) == 71
    assert all(case["source"] for case in CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_kinship__of_exact_cases_from_their_gametes(case: dict) -> None:
    assert told(from_gametes(case), case) == pytest.approx(expected(case), **CLOSE)


@pytest.mark.parametrize(
    "case", [c for c in CASES if c["id"] not in GIVEN_GAMETES], ids=lambda case: case["id"]
)
def test_kinship__of_exact_cases_from_their_ploidy(case: dict) -> None:
    assert told(from_ploidy(case), case) == pytest.approx(expected(case), **CLOSE)


# Mrode 2014, Linear Models for the Prediction of Animal Breeding Values, 3rd ed., section 2.2:
# pedigree p. 27, sub-matrix A(1, 4, 5) p. 32. The full matrix and the inverse are computed.
MRODE = {1: (None, None), 2: (None, None), 3: (1, 2), 4: (1, None), 5: (4, 3), 6: (5, 2)}
MRODE_A = [
    [1, 0, 0.5, 0.5, 0.5, 0.25],
    [0, 1, 0.5, 0, 0.25, 0.625],
    [0.5, 0.5, 1, 0.25, 0.625, 0.5625],
    [0.5, 0, 0.25, 1, 0.625, 0.3125],
    [0.5, 0.25, 0.625, 0.625, 1.125, 0.6875],
    [0.25, 0.625, 0.5625, 0.3125, 0.6875, 1.125],
]


def test_relationship__of_mrode_2014_section_2_2() -> None:
    pedigree = Pedigree(MRODE, ploidy=2)
    assert [[pedigree.relationship(a, b) for b in MRODE] for a in MRODE] == MRODE_A
    assert (2 * pedigree.kinship_matrix(MRODE)).tolist() == MRODE_A


def test_kinship_matrix__has_the_inverse_of_mrode_2014_section_2_2() -> None:
    import numpy as np

    inverse = np.linalg.inv(2 * Pedigree(MRODE, ploidy=2).kinship_matrix(MRODE))
    diagonal = [11 / 6, 61 / 30, 5 / 2, 11 / 6, 38 / 15, 32 / 15]
    assert inverse.diagonal().tolist() == pytest.approx(diagonal, **CLOSE)


def test_inbreeding__of_hamilton_and_kerr_2018_table_1() -> None:
    case = next(c for c in CASES if c["id"].startswith("published"))
    pedigree = from_gametes(case)
    # Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860, Table 1, individuals 1 to 8.
    published = [
        0, 0.0770650669, 0.2311952007, 0.041, 0, 0.1967860329, 0.1962859278, 0.1962859278,
    ]  # fmt: skip
    found = [pedigree.inbreeding(str(plant)) for plant in range(1, 9)]
    assert found == pytest.approx(published, abs=5e-11)
    assert pedigree.kinship("7", "8") == pytest.approx(0.2532967813, abs=5e-11)


# Founders of Hamilton & Kerr 2018: λ/(2+λ), the equilibrium of random mating.
@pytest.mark.parametrize(("rate", "founder"), [(0, 0), (1 / 7, 1 / 15), (1 / 6, 1 / 13)])
def test_inbreeding__of_founders(rate: float, founder: float) -> None:
    pedigree = Pedigree({"A": (None, None)}, ploidy=4, double_reduction=rate)
    assert pedigree.inbreeding("A") == pytest.approx(founder, **CLOSE)


def test_inbreeding__of_selfing_an_autotetraploid() -> None:
    # F' = 1/6 + 5/6 F (Kerr et al. 2012 with λ = 0): 1/6, 11/36, 91/216.
    line = {"S0": (None, None), **{f"S{n + 1}": (f"S{n}", f"S{n}") for n in range(3)}}
    found = [Pedigree(line, ploidy=4).inbreeding(f"S{n}") for n in range(4)]
    assert found == pytest.approx([0, 1 / 6, 11 / 36, 91 / 216], **CLOSE)
