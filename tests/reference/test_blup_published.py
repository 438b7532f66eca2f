"""The mixed models of judging against published worked examples.

Mrode 2014, Linear Models for the Prediction of Animal Breeding Values, 3rd ed.: section 2.2 (the
relationship matrix), Example 3.1 (animal model) and Example 4.1 (repeatability model). Data and
printed solutions as seen in the book's pages; exact fractions worked out independently.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from scipy.sparse import csr_array

from breeding.pedigree import Pedigree
from breeding.pedigree.factors import factors
from evaluation.ranking.kin import Unit, family
from evaluation.ranking.mixed import Components, Equations, Solution

# A component that a textbook model does not have.
NONE = 1e-12
# Mrode 2014, p. 27.
SMALL = {
    "1": (None, None), "2": (None, None), "3": ("1", "2"), "4": ("1", None), "5": ("4", "3"),
    "6": ("5", "2"),
}  # fmt: skip
# Example 3.1: calf, sex, pre-weaning gain in kg.
CALVES = {
    "1": (None, None), "2": (None, None), "3": (None, None), "4": ("1", None), "5": ("3", "2"),
    "6": ("1", "2"), "7": ("4", "5"), "8": ("3", "6"),
}  # fmt: skip
GAINS = [("4", 0, 4.5), ("5", 1, 2.9), ("6", 1, 3.9), ("7", 0, 3.5), ("8", 0, 5.0)]
GAIN_SOLUTION = [0.098, -0.019, -0.041, -0.009, -0.186, 0.177, -0.249, 0.183]
GAIN_EXACT = [
    "500/5079", "-286/15237", "-626/15237", "-44/5079", "-2830/15237", "2695/15237",
    "-1267/5079", "1855/10158",
]  # fmt: skip
# Worked out independently; the book's own table of reliabilities was not seen.
GAIN_RELIABILITY = [
    "783/13544", "1927/121896", "10615/121896", "1959/13544", "17527/121896", "14071/121896",
    "1575/13544", "2103/13544",
]  # fmt: skip
# Example 4.1: cow, parity, herd-year-season, fat yield in kg.
COWS = {
    "1": (None, None), "2": (None, None), "3": (None, None), "4": ("1", "2"), "5": ("3", "2"),
    "6": ("1", "5"), "7": ("3", "4"), "8": ("1", "7"),
}  # fmt: skip
YIELDS = [
    ("4", 1, 1, 201), ("4", 2, 3, 280), ("5", 1, 1, 150), ("5", 2, 4, 200), ("6", 1, 2, 160),
    ("6", 2, 3, 190), ("7", 1, 1, 180), ("7", 2, 3, 250), ("8", 1, 2, 285), ("8", 2, 4, 300),
]  # fmt: skip
COW_VALUES = [10.148, -3.084, -7.063, 13.581, -18.207, -18.387, 9.328, 24.194]
# Printed as -17.229; with the exact ratio 7/3 it is -17.228.
COW_PERMANENT = [8.417, -7.146, -17.228, -1.390, 17.347]


def solved(
    parents: dict, named: list[str], rows: list[tuple], fixed: np.ndarray, components: Components
) -> tuple[Equations, Solution]:
    """A diploid model in which every animal stands in the pedigree."""
    kin = family([Unit(each, plant=each) for each in named], Pedigree(parents, ploidy=2))
    unit = np.array([named.index(row[0]) for row in rows])
    values = np.array([row[-1] for row in rows], dtype=float)
    design = csr_array(fixed.astype(float))
    equations = Equations(values, np.ones(len(rows)), unit, design, [], kin)
    return equations, equations.solve(components)


def in_order(equations: Equations, values: np.ndarray) -> list[float]:
    keys = equations.family.core.keys
    return [float(values[keys.index(name)]) for name in sorted(keys)]


@pytest.fixture(scope="module")
def gains() -> tuple[Equations, Solution]:
    sexes = np.array([[sex == 0, sex == 1] for _, sex, _ in GAINS])
    return solved(CALVES, sorted(CALVES), GAINS, sexes, Components(20, NONE, (), 40))


def test_relationships__mrode_section_2_2() -> None:
    """p. 32 prints the part of animals 1, 4 and 5; diagonal of the inverse worked out."""
    taken = factors(Pedigree(SMALL, ploidy=2))
    order = [taken.keys.index(name) for name in sorted(SMALL)]
    inverse = taken.inverse().toarray()[np.ix_(order, order)]
    printed = [[1, 0.5, 0.5], [0.5, 1, 0.625], [0.5, 0.625, 1.125]]
    seen = [0, 3, 4]
    assert np.linalg.inv(inverse)[np.ix_(seen, seen)] == pytest.approx(np.array(printed))
    diagonal = [11 / 6, 61 / 30, 5 / 2, 11 / 6, 38 / 15, 32 / 15]
    assert np.diag(inverse) == pytest.approx(np.array(diagonal))


def test_animal_model__mrode_example_3_1(gains) -> None:
    equations, solution = gains
    # 4.3585023: the book prints it cut, not rounded.
    assert (solution.fixed * 1000 // 1 / 1000).tolist() == [4.358, 3.404]
    found = in_order(equations, solution.additive)
    assert [round(value, 3) for value in found] == GAIN_SOLUTION
    assert found == pytest.approx([float(Fraction(value)) for value in GAIN_EXACT], abs=1e-10)
    exact = [float(Fraction("132821/30474")), float(Fraction("57637/16930"))]
    assert solution.fixed.tolist() == pytest.approx(exact, abs=1e-10)


def test_animal_model__reliabilities_of_example_3_1(gains) -> None:
    equations, solution = gains
    variance = np.diag(solution.inverse)[equations.parts[-1]]
    found = in_order(equations, 1 - variance / 20 / equations.family.core.diagonal)
    assert found == pytest.approx([float(Fraction(value)) for value in GAIN_RELIABILITY], abs=1e-9)


def test_animal_model__calves_without_offspring_need_no_place_in_the_pedigree() -> None:
    """Example 3.1 once more, calves 7 and 8 known by their parents only."""
    units = [Unit(name, plant=name) for name in "456"]
    units += [Unit("7", None, "4", "5"), Unit("8", None, "3", "6")]
    kin = family(units, Pedigree(CALVES, ploidy=2))
    assert len(kin.core.keys) == 6
    sexes = csr_array(np.array([[sex == 0, sex == 1] for _, sex, _ in GAINS], dtype=float))
    values = np.array([gain for *_, gain in GAINS])
    equations = Equations(values, np.ones(5), np.arange(5), sexes, [], kin)
    solution = equations.solve(Components(20, NONE, (), 40))
    found = kin.rows @ solution.additive + solution.extra
    assert found.round(3).tolist() == GAIN_SOLUTION[3:]


def test_repeatability_model__mrode_example_4_1() -> None:
    """HYS 1 and 3 are set to nought, as the book does it."""
    fixed = np.array([[p == 1, p == 2, h == 2, h == 4] for _, p, h, _ in YIELDS])
    named = ["4", "5", "6", "7", "8"]
    equations, solution = solved(COWS, named, YIELDS, fixed, Components(20, 12, (), 28))
    assert solution.fixed.round(3).tolist() == [175.472, 241.893, 44.065, 0.013]
    assert [round(v, 3) for v in in_order(equations, solution.additive)] == COW_VALUES
    assert solution.extra.round(3).tolist() == COW_PERMANENT
