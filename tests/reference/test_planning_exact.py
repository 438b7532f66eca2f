"""Sets of crosses against cases worked by hand, against trying every set, and against the
closed form of optimal contributions.

Meuwissen (1997), Maximizing the response of selection with a predefined rate of inbreeding,
Journal of Animal Science 75:934-940: cited from memory; the closed form below is derived anew.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from breeding.pedigree import Pedigree
from breeding.planning.candidates import Candidates, Weights
from breeding.planning.choosing import balanced_set
from breeding.planning.convex import group_kinship
from breeding.planning.curve import trade_off
from breeding.planning.pairs import pair_table
from tests.breeding.planning_cases import a_table, related, try_all


# By hand: contributions 1/2, 1/4, 1/4; c'Kc = 1/4 · 1/4 + 2 · 1/16 · 1/4 + 2 · 1/2 · 1/4 · 1/8.
def test_group_kinship__of_two_crosses_with_one_parent_in_common() -> None:
    kinship = np.array([[0.25, 0.125, 0], [0.125, 0.25, 0], [0, 0, 0.25]])
    by_hand = Fraction(1, 16) + Fraction(1, 32) + Fraction(1, 32)
    assert group_kinship(kinship, np.array([2.0, 1.0, 1.0])) == float(by_hand)


# By hand: unrelated tetraploid founders have the kinship 1/4 with themselves, so that N crosses
# of 2N different ones have 1 / 8N, and N crosses of one with N others (1/4)(1/4 + 1/4N).
@pytest.mark.parametrize("crosses", [1, 2, 5])
def test_group_kinship__of_unrelated_founders(crosses: int) -> None:
    plants = 2 * crosses
    alone = np.ones(plants)
    one = np.r_[crosses, np.ones(crosses), np.zeros(plants - crosses - 1)]
    by_hand = Fraction(1, 4) * (Fraction(1, 4) + Fraction(1, 4 * crosses))
    assert group_kinship(np.eye(plants) / 4, alone) == pytest.approx(1 / (8 * crosses))
    assert group_kinship(np.eye(plants) / 4, one) == pytest.approx(float(by_hand))


# c'Kc is the mean kinship of all pairs of seedlings, each drawn anew: the pedigree's own sum.
def test_group_kinship__is_the_mean_kinship_of_the_seedlings() -> None:
    founders = dict.fromkeys("ABCD", (None, None))
    crosses = [("A", "B"), ("A", "C"), ("B", "D")]
    # Two seedlings of each cross, so that those drawn from one cross are different plants.
    bred = {f"{at}{sib}": pair for at, pair in enumerate(crosses) for sib in "xy"}
    pedigree = Pedigree({**founders, "E": ("A", "B"), **bred}, ploidy=4)
    between = pedigree.kinship_matrix([f"{at}x" for at in range(3)])
    sibs = [pedigree.kinship(f"{at}x", f"{at}y") for at in range(3)]
    np.fill_diagonal(between, sibs)
    n = np.array([2.0, 2.0, 1.0, 1.0])
    assert group_kinship(pedigree.kinship_matrix("ABCD"), n) == pytest.approx(between.mean())


# By trying every set of crosses.
@pytest.mark.parametrize("most_uses", [None, 2, 1])
@pytest.mark.parametrize(("plants", "crosses", "seed"), [(5, 2, 1), (6, 3, 2), (6, 4, 4)])
def test_balanced_set__is_the_best_of_all_sets(
    plants: int, crosses: int, seed: int, most_uses: int | None
) -> None:
    pairs = a_table(plants, seed, kin_limit=0.25)
    tried = try_all(pairs, crosses, most_uses)
    if not len(tried.values):
        assert balanced_set(pairs, crosses, None, most_uses).rows == ()
        return
    free = tried.kinships[tried.values.argmax()]
    for share in (0.0, 0.3, 1.0):
        limit = tried.least() + share * (free - tried.least())
        found = balanced_set(pairs, crosses, limit, most_uses)
        assert found.proven
        assert found.total == pytest.approx(tried.best(limit), abs=1e-6)
        assert found.bound == pytest.approx(found.total, abs=1e-4)
    assert balanced_set(pairs, crosses, None, most_uses).total == pytest.approx(tried.best())
    assert balanced_set(pairs, crosses, 0.5 * tried.least(), most_uses).rows == ()


# By trying every set: a point of the curve is the best set at its limit.
def test_trade_off__is_the_best_of_all_sets_at_each_limit() -> None:
    pairs = a_table(6, 8)
    tried = try_all(pairs, 3)
    points = trade_off(pairs, 3, points=5, seconds=4)
    assert len(points) > 2
    for point in points:
        assert point.total == pytest.approx(tried.best(point.limit), abs=1e-6)


def optimal_contributions(merit: np.ndarray, kinship: np.ndarray, limit: float) -> float:
    """Highest c'm with Σc = 1 and c'Kc = limit, contributions of any sign and size.

    With multipliers: c = K⁻¹(m − μ1) / 2λ; Σc = 1 and c'Kc = limit give λ and μ.
    """
    inverse = np.linalg.inv(kinship)
    ones = np.ones(len(merit))
    a, b, d = ones @ inverse @ ones, ones @ inverse @ merit, merit @ inverse @ merit
    return float(b / a + np.sqrt((d - b * b / a) * (limit - 1 / a)))


# Meuwissen (1997): whole crosses cannot pass the optimal contributions at the same kinship, and
# come near them where there are many.
@pytest.mark.parametrize("crosses", [2, 4, 8])
def test_balanced_set__stays_below_optimal_contributions(crosses: int) -> None:
    n = 12
    merit = np.random.default_rng(5).normal(0, 2, n)
    kinship = related(n, 5)
    only_merit = Weights(1, 0, 0, 0, 0)
    pairs = pair_table(Candidates(range(n), merit), kinship, weights=only_merit)
    least = 1 / np.linalg.inv(kinship).sum()
    limit = 1.5 * least + 0.02
    found = balanced_set(pairs, crosses, limit, goal="merit", seconds=2)
    assert found.merit is not None
    assert found.merit <= optimal_contributions(merit, kinship, limit) + 1e-9
    assert found.merit > merit.mean()


# By hand: four equal unrelated plants and two crosses; at the contributions 1/4 each c'm is the
# mean, and the closed form meets it at the least kinship 1/16.
def test_optimal_contributions__meet_the_set_where_all_contribute_alike() -> None:
    merit, kinship = np.array([4.0, 3, 2, 1]), np.eye(4) / 4
    pairs = pair_table(Candidates(range(4), merit), kinship)
    found = balanced_set(pairs, 2, 1 / 16, goal="merit")
    assert optimal_contributions(merit, kinship, 1 / 16) == pytest.approx(2.5)
    assert found.merit == 2.5
