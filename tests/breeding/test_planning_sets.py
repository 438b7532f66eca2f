"""Balanced sets: what they keep to, what they say, and what they say when there is none."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.planning.candidates import Candidates
from breeding.planning.choosing import Chosen, balanced_set
from breeding.planning.convex import curve, group_kinship, uses
from breeding.planning.curve import trade_off
from breeding.planning.pairs import Pairs, pair_table
from tests.breeding.planning_cases import a_table, related, try_all


def unrelated(merit: tuple[float, ...]) -> Pairs:
    n = len(merit)
    return pair_table(Candidates(range(n), merit), np.eye(n) / 4)


def kinship_of(pairs: Pairs, chosen: Chosen) -> float:
    rows = list(chosen.rows)
    return group_kinship(pairs.kin, uses(pairs.seed[rows], pairs.pollen[rows], len(pairs.keys)))


@settings(max_examples=15)
@given(st.integers(3, 7), st.integers(1, 4), st.integers(0, 10_000), st.floats(0, 1))
def test_set__keeps_to_everything_and_says_what_it_is(
    n: int, crosses: int, seed: int, share: float
) -> None:
    pairs = a_table(n, seed, kin_limit=0.2)
    limit = 0.1 + 0.2 * share
    found = balanced_set(pairs, crosses, limit, 2, seconds=1)
    if found.rows:
        rows = list(found.rows)
        assert len(set(rows)) == crosses
        assert not pairs.excluded[rows].any()
        assert max(found.uses.values()) <= 2
        assert sum(found.uses.values()) == 2 * crosses
        assert found.kinship == pytest.approx(kinship_of(pairs, found))
        assert found.kinship <= limit + 1e-9
        assert found.total == pytest.approx(pairs.score[rows].sum())
        assert found.total <= found.bound
    else:
        assert found.total == 0
        assert found.words


def test_set__lowest_limit_uses_every_parent_once() -> None:
    found = balanced_set(unrelated((9, 8, 7, 3, 2, 1)), 3, limit=1 / 24)
    assert set(found.uses.values()) == {1}
    assert found.kinship == pytest.approx(1 / 24)
    assert found.proven


def test_set__without_limit_takes_the_highest_scores() -> None:
    pairs = a_table(12, 3)
    found = balanced_set(pairs, 5)
    assert found.total == pytest.approx(np.sort(pairs.score)[-5:].sum())
    assert found.limit is None
    assert found.proven


def test_set__most_uses_spreads_the_best_plant() -> None:
    pairs = unrelated((9, 1, 1.1, 1.2, 1.3))
    assert balanced_set(pairs, 4).uses[0] == 4
    assert balanced_set(pairs, 4, most_uses=2).uses[0] == 2


def test_set__excluded_pairs_are_never_chosen() -> None:
    kinship = np.eye(4) / 4
    kinship[0, 1] = kinship[1, 0] = 0.125
    pairs = pair_table(Candidates("ABCD", (9, 8, 1, 0)), kinship, kin_limit=0.1)
    found = balanced_set(pairs, 5)
    assert 0 not in found.rows
    assert found.allowed == 5


def test_set__merit_is_the_mean_of_what_is_known() -> None:
    pairs = unrelated((4, 2, float("nan")))
    found = balanced_set(pairs, 3, goal="merit")
    assert found.merit == 3
    assert found.total == pytest.approx(9)


def test_set__of_nothing_known_is_any_set() -> None:
    pairs = pair_table(Candidates("ABCD"), np.eye(4) / 4)
    found = balanced_set(pairs, 2, limit=0.0625)
    assert set(found.uses.values()) == {1}
    assert (found.total, found.merit, found.proven) == (0, None, True)


def test_set__best_cross_comes_first() -> None:
    pairs = a_table(8, 1)
    scores = pairs.score[list(balanced_set(pairs, 4, limit=0.2).rows)].tolist()
    assert scores == sorted(scores, reverse=True)


def test_set__the_same_question_gets_the_same_answer() -> None:
    pairs = a_table(9, 4)
    assert balanced_set(pairs, 3, 0.12).rows == balanced_set(pairs, 3, 0.12).rows


def test_limit_too_low__names_the_least_kinship() -> None:
    pairs = a_table(6, 2)
    least = try_all(pairs, 3).least()
    found = balanced_set(pairs, 3, limit=0.9 * least)
    assert (found.rows, found.proven, found.bound) == ((), True, -math.inf)
    assert found.least == pytest.approx(least)
    assert found.least_bound == pytest.approx(least, abs=1e-6)
    assert f"{least:.4f}" in found.words


def test_limit__of_exactly_the_least_kinship_is_kept() -> None:
    pairs = a_table(6, 5)
    tried = try_all(pairs, 2)
    found = balanced_set(pairs, 2, limit=tried.least())
    assert found.kinship == pytest.approx(tried.least())
    assert found.total == pytest.approx(tried.best(tried.least()))


@pytest.mark.parametrize("candidates", [0, 1])
def test_no_pair__is_told(candidates: int) -> None:
    pairs = pair_table(Candidates(range(candidates)), np.eye(candidates) / 4)
    found = balanced_set(pairs, 1, limit=0.5)
    assert found.rows == ()
    assert found.words == "There is no pair that may be crossed."
    assert trade_off(pairs, 1) == []


def test_no_pair_allowed__is_told() -> None:
    pairs = pair_table(Candidates("ABC"), np.full((3, 3), 0.25), kin_limit=0.1)
    found = balanced_set(pairs, 1)
    assert (found.rows, found.allowed, found.proven) == ((), 0, True)


def test_too_many_crosses__are_told_with_what_can_be_made() -> None:
    found = balanced_set(unrelated((1, 2, 3, 4, 5)), 4, most_uses=1)
    assert found.rows == ()
    assert "2 at most" in found.words


def test_most_uses__where_the_obvious_way_ends_too_early() -> None:
    # A × B is the best pair, but then C and D, too close to each other, have nobody left.
    kinship = np.eye(4) / 4
    kinship[2, 3] = kinship[3, 2] = 0.2
    pairs = pair_table(Candidates("ABCD", (9, 8, 1, 0)), kinship, kin_limit=0.1)
    found = balanced_set(pairs, 2, most_uses=1)
    assert len(found.rows) == 2
    assert found.proven


def test_kinship__of_the_same_plant_twice_is_no_trouble() -> None:
    kinship = related(6, 1)
    twice = kinship[np.ix_([0, 0, 1, 2, 3, 4, 5], [0, 0, 1, 2, 3, 4, 5])]
    pairs = pair_table(Candidates(range(7), range(7)), twice)
    tried = try_all(pairs, 3)
    limit = tried.least() * 1.1
    found = balanced_set(pairs, 3, limit)
    assert found.total == pytest.approx(tried.best(limit))


def test_kinship__that_rounding_made_indefinite_is_no_trouble() -> None:
    kinship = np.full((5, 5), 0.25)
    kinship -= 1e-9 * np.eye(5)
    assert np.linalg.eigvalsh(kinship)[0] < 0
    pairs = pair_table(Candidates(range(5), range(5)), kinship)
    assert balanced_set(pairs, 2, limit=0.25).proven
    assert balanced_set(pairs, 2, limit=0.2).rows == ()


def test_kinship__that_is_none_is_refused() -> None:
    kinship = np.array([[0.1, 0.5, 0], [0.5, 0.1, 0], [0, 0, 0.25]])
    with pytest.raises(ValueError, match="no kinship"):
        balanced_set(pair_table(Candidates("ABC"), kinship), 1)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"crosses": 0}, "one cross"),
        ({"crosses": 1, "most_uses": 0}, "at least once"),
        ({"crosses": 1, "limit": -0.1}, "between 0 and 1"),
        ({"crosses": 1, "limit": math.nan}, "between 0 and 1"),
        ({"crosses": 1, "goal": "luck"}, "score, merit"),
    ],
)
def test_set__refuses(given: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        balanced_set(unrelated((1, 2)), **given)


@pytest.mark.parametrize(("plants", "seed"), [(7, 1), (7, 2), (14, 3)])
def test_curve__never_falls(plants: int, seed: int) -> None:
    # 14 plants have too many pairs to give them all to the solver at once.
    pairs = a_table(plants, seed)
    points = trade_off(pairs, 4, points=4, most_uses=3, seconds=0.3)
    for one, other in pairwise(points):
        assert one.kinship < other.kinship
        assert one.total < other.total
        assert one.bound <= other.bound + 1e-9
    for point in points:
        assert point.kinship <= point.limit + 1e-9
        assert point.total <= point.bound
        assert max(point.chosen.uses.values()) <= 3


def test_curve__ends_are_the_least_kinship_and_the_free_set() -> None:
    pairs = a_table(6, 6)
    tried, points = try_all(pairs, 3), trade_off(pairs, 3, points=3, seconds=4)
    assert points[0].kinship == pytest.approx(tried.least())
    assert points[-1].total == pytest.approx(tried.best())


def test_curve__of_one_possible_set_is_one_point() -> None:
    points = trade_off(unrelated((1, 2)), 1)
    assert len(points) == 1
    assert points[0].chosen.rows == (0,)


def test_curve__of_one_point_is_refused() -> None:
    with pytest.raises(ValueError, match="two points"):
        trade_off(unrelated((1, 2)), 1, points=1)


@settings(max_examples=30)
@given(st.integers(1, 12), st.integers(0, 10_000))
def test_floor__is_nowhere_above_the_kinship_of_whole_crosses(n: int, seed: int) -> None:
    dice = np.random.default_rng(seed)
    kinship = related(n, seed)
    bent = curve(kinship)
    assert (bent.own >= 0).all()
    assert np.linalg.eigvalsh(bent.rest)[0] > -1e-9
    touch, whole = dice.random(n) * 3, dice.integers(0, 4, n).astype(float)
    for cut in (bent.cut(touch), bent.cut(touch, dice.random(n) * 6 - 1)):
        assert cut.row @ whole - cut.const <= whole @ kinship @ whole + 1e-7
    own = bent.cut(whole)
    assert own.row @ whole - own.const == pytest.approx(whole @ kinship @ whole, abs=1e-7)


def test_set__out_of_many_pairs_is_the_best_of_all_sets() -> None:
    # 55 pairs: a bound leaves most of them out before the solver is asked.
    pairs = a_table(11, 1)
    tried = try_all(pairs, 3)
    limit = (tried.least() + tried.kinships[tried.values.argmax()]) / 2
    found = balanced_set(pairs, 3, limit)
    assert found.total == pytest.approx(tried.best(limit), abs=1e-6)
    assert found.proven
    assert found.looked_at < found.allowed == 55
    assert balanced_set(pairs, 3, 0.7 * tried.least(), seconds=1).bound == -math.inf


def test_set__out_of_many_pairs_never_claims_too_much() -> None:
    pairs = a_table(11, 2)
    tried = try_all(pairs, 3, 1)
    for share in (0.05, 0.4):
        limit = tried.least() + share * (tried.kinships.max() - tried.least())
        found = balanced_set(pairs, 3, limit, 1, seconds=0.3)
        assert found.total <= tried.best(limit) + 1e-6 <= found.bound + 2e-6
