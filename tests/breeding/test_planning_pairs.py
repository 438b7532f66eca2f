"""The table of pairs: columns, scores, directions, what is unknown and what is excluded."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.planning.candidates import Candidates, Weights
from breeding.planning.columns import scaled, spread
from breeding.planning.pairs import Pairs, pair_table

UNKNOWN = float("nan")
NAMES = ("Amsel", "Birke", "Cirrus", "Distel")
ONLY_MERIT = Weights(merit=1, chance=0, kinship=0, overlap=0, fertility=0)


def unrelated(n: int) -> np.ndarray:
    return np.eye(n) / 4


def table(merit: tuple[float, ...] = (4, 3, 2, 1), **more: object) -> Pairs:
    return pair_table(Candidates(NAMES[: len(merit)], merit), unrelated(len(merit)), **more)


def square(**values: float) -> np.ndarray:
    """A table of four plants from {'AB': value}: seed parent first."""
    told = np.full((4, 4), UNKNOWN)
    for pair, value in values.items():
        told["ABCD".index(pair[0]), "ABCD".index(pair[1])] = value
    return told


def test_pair_table__every_pair_once() -> None:
    pairs = table()
    found = {frozenset((pair.seed, pair.pollen)) for pair in pairs.best(99)}
    assert len(pairs) == len(found) == 6
    assert all(len(each) == 2 for each in found)


def test_pair_table__merit_is_the_parents_mean_with_its_error() -> None:
    candidates = Candidates("AB", (10, 4), (3, 4))
    pair = pair_table(candidates, unrelated(2)).pair(0)
    assert (pair.merit, pair.merit_error) == (7.0, 2.5)


def test_pair_table__keeps_chance_kinship_and_overlap_as_given() -> None:
    kinship = np.array([[0.25, 0.125], [0.125, 0.25]])
    both = [[0, 0.25], [0.25, 0]]
    days = [[0, 6.5], [6.5, 0]]
    pair = pair_table(Candidates("AB"), kinship, both, days).pair(0)
    assert (pair.chance, pair.kinship, pair.overlap) == (0.25, 0.125, 6.5)
    assert pair.merit is None


def test_direction__goes_to_the_higher_pod_set() -> None:
    pairs = table(fertility=square(AB=0.2, BA=0.6, AC=0.5, CA=0.1))
    turned, straight = pairs.pair(0), pairs.pair(1)
    assert (turned.seed, turned.pollen) == ("Birke", "Amsel")
    assert (turned.fertility, turned.other_way) == (0.6, 0.2)
    assert (straight.seed, straight.fertility, straight.other_way) == ("Amsel", 0.5, 0.1)


def test_direction__takes_the_known_one_and_the_listed_one() -> None:
    pairs = table(fertility=square(BA=0.1, AC=0.3, CA=0.3))
    known, alike, unknown = pairs.pair(0), pairs.pair(1), pairs.pair(2)
    assert (known.seed, known.fertility, known.other_way) == ("Birke", 0.1, None)
    assert (alike.seed, unknown.seed) == ("Amsel", "Amsel")
    assert "fertility" in unknown.unknown
    assert "fertility" not in known.unknown


def test_chance__is_that_of_the_direction_named() -> None:
    pairs = table(fertility=square(AB=0.2, BA=0.6), chance=square(AB=0.0, BA=0.5))
    assert pairs.pair(0).chance == 0.5


def test_score__is_the_sum_of_its_parts() -> None:
    days = np.arange(16.0).reshape(4, 4)
    pairs = table(overlap=days + days.T, chance=np.full((4, 4), 0.3))
    for pair in pairs.best(6):
        assert pair.score == pytest.approx(sum(pair.parts.values()))
        assert pair.parts["chance"] == 0


def test_score__ranks_by_the_only_column_weighed() -> None:
    best = table(weights=ONLY_MERIT).best(2)
    assert [(pair.seed, pair.pollen) for pair in best] == [("Amsel", "Birke"), ("Amsel", "Cirrus")]


def test_score__kinship_counts_against() -> None:
    kinship = unrelated(3)
    kinship[0, 1] = kinship[1, 0] = 0.125
    pairs = pair_table(Candidates("ABC"), kinship)
    assert pairs.score.argmin() == 0
    assert pairs.parts["kinship"][0] < 0 < pairs.parts["kinship"][1]


def test_score__weights_weigh() -> None:
    one = table(weights=ONLY_MERIT)
    three = table(weights=Weights(3, 0, 0, 0, 0))
    assert three.score == pytest.approx(3 * one.score)


def test_unknown__counts_as_the_mean_and_is_named() -> None:
    pairs = table(merit=(4, 3, UNKNOWN, 1))
    unknown = [pair for pair in pairs.best(6) if pair.merit is None]
    assert len(unknown) == 3
    assert {pair.parts["merit"] for pair in unknown} == {0.0}
    assert all("merit" in pair.unknown for pair in unknown)
    assert pairs.parts["merit"].sum() == pytest.approx(0)


def test_unknown__everything_but_kinship() -> None:
    pairs = pair_table(Candidates("AB"), unrelated(2))
    pair = pairs.best()[0]
    assert pair.score == 0
    assert pair.unknown == ("merit", "chance", "overlap", "fertility")


def test_limit__marks_and_leaves_out_but_keeps() -> None:
    kinship = unrelated(4)
    kinship[0, 1] = kinship[1, 0] = 0.125
    pairs = pair_table(Candidates(NAMES, (4, 3, 2, 1)), kinship, kin_limit=0.1)
    assert len(pairs) == 6
    assert pairs.pair(0).excluded
    assert len(pairs.best(99)) == 5
    assert len(pairs.best(99, with_excluded=True)) == 6


def test_limit__itself_is_allowed() -> None:
    kinship = unrelated(2)
    kinship[0, 1] = kinship[1, 0] = 0.125
    assert not pair_table(Candidates("AB"), kinship, kin_limit=0.125).pair(0).excluded


def test_best__of_one_candidate_is_nothing() -> None:
    pairs = pair_table(Candidates("A", (1,)), unrelated(1))
    assert len(pairs) == 0
    assert pairs.best() == []


def test_best__of_none_is_nothing() -> None:
    assert pair_table(Candidates(()), np.zeros((0, 0))).best() == []


def test_spread__is_not_set_by_one_odd_pair() -> None:
    column = np.r_[np.linspace(0, 1, 200), 5.0]
    assert spread(column) == pytest.approx(0.5 / 1.349, rel=0.02)


def test_spread__of_a_normal_column_is_its_deviation() -> None:
    column = np.random.default_rng(1).normal(50, 3, 20_000)
    assert spread(column) == pytest.approx(3, rel=0.02)


def test_spread__of_a_column_mostly_alike_is_not_lost() -> None:
    column = np.zeros(100)
    column[:5] = 0.25
    assert spread(column) == pytest.approx(column.std() / 2)


@pytest.mark.parametrize("column", [[UNKNOWN] * 3, [7.0] * 3, [7.0, UNKNOWN, 7.0], []])
def test_scaled__says_nothing_without_spread(column: list[float]) -> None:
    assert scaled(np.array(column)).tolist() == [0.0] * len(column)


@settings(max_examples=40)
@given(
    st.lists(st.floats(-50, 50), min_size=2, max_size=30),
    st.floats(0.1, 10),
    st.floats(-100, 100),
)
def test_scaled__has_no_unit(values: list[float], unit: float, zero: float) -> None:
    column = np.array(values)
    if np.ptp(column) > 1e-3:
        assert scaled(unit * column + zero) == pytest.approx(scaled(column), abs=1e-6)


@settings(max_examples=25)
@given(st.integers(2, 7), st.integers(0, 10_000))
def test_pair_table__order_of_candidates_does_not_matter(n: int, seed: int) -> None:
    dice = np.random.default_rng(seed)
    kinship = dice.random((n, n)) / 4
    kinship = (kinship + kinship.T) / 2
    pods, merit, order = dice.random((n, n)), dice.normal(0, 1, n), dice.permutation(n)
    keys = [f"P{at}" for at in range(n)]
    one = pair_table(Candidates(keys, merit), kinship, fertility=pods)
    at = np.ix_(order, order)
    other = pair_table(
        Candidates([keys[i] for i in order], merit[order]), kinship[at], fertility=pods[at]
    )
    scores = [{(p.seed, p.pollen): p.score for p in each.best(99)} for each in (one, other)]
    assert scores[0] == pytest.approx(scores[1])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kinship": np.eye(3)}, "kinship has a row"),
        ({"kinship": np.array([[0.25, 0.1], [0.2, 0.25]])}, "same both ways"),
        ({"kinship": np.full((2, 2), UNKNOWN)}, "known of every pair"),
        ({"chance": np.full((2, 2), 1.5)}, "chance holds a value"),
        ({"fertility": np.full((2, 2), -0.1)}, "fertility holds a value"),
        ({"overlap": np.full((2, 2), math.inf)}, "overlap holds a value"),
        ({"overlap": np.zeros(2)}, "overlap has a row"),
    ],
)
def test_pair_table__refuses(change: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        pair_table(Candidates("AB"), **{"kinship": unrelated(2), **change})


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"keys": "AA"}, "stands in the list once"),
        ({"keys": "AB", "merit": (1, 2, 3)}, "merit has one number"),
        ({"keys": "AB", "merit": (1, math.inf)}, "merit has one number"),
        ({"keys": "AB", "merit_error": (1, -1)}, "0 or more"),
    ],
)
def test_candidates__refuse(given: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Candidates(**given)


@pytest.mark.parametrize("weight", [-1.0, UNKNOWN, math.inf])
def test_weights__refuse(weight: float) -> None:
    with pytest.raises(ValueError, match="weight of overlap"):
        Weights(overlap=weight)
