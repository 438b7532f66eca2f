from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from evaluation.ranking.agreement import agreement
from evaluation.ranking.alpha import LEVELS, krippendorff
from evaluation.ranking.concordance import kendall_w, ranks
from evaluation.ranking.icc import components, icc, one_way_icc

NONE = math.nan
FORMS = ("icc1_1", "icc2_1", "icc3_1", "icc1_k", "icc2_k", "icc3_k")
points = st.integers(1, 10).map(float)
tables = st.tuples(st.integers(2, 8), st.integers(2, 5)).flatmap(
    lambda shape: arrays(float, shape, elements=points)
)


def values(table: np.ndarray) -> list[float]:
    return [getattr(icc(table), form).value for form in FORMS]


def long(table: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    unit, scorer = np.nonzero(~np.isnan(table))
    return unit, scorer, table[unit, scorer]


def simulated(units: int = 40, seed: int = 7, seen: float = 1.0) -> np.ndarray:
    """Marks of 4 scorers of different strictness; components 1, 1 and 0.25, some cells missing."""
    rng = np.random.default_rng(seed)
    marks = rng.normal(0, 1, (units, 1)) + rng.normal(0, 1, (1, 4)) + rng.normal(0, 0.5, (units, 4))
    marks[rng.random(marks.shape) >= seen] = NONE
    return marks


@given(tables, st.floats(-50, 50), st.floats(0.1, 20))
def test_icc__shift_and_scale_of_all_marks_change_nothing(table, shift, times) -> None:
    assert values(table * times + shift) == pytest.approx(values(table), abs=1e-6, nan_ok=True)


@given(tables, st.randoms(use_true_random=False))
def test_icc__order_of_units_and_scorers_changes_nothing(table, rng) -> None:
    rows, columns = list(range(table.shape[0])), list(range(table.shape[1]))
    rng.shuffle(rows)
    rng.shuffle(columns)
    mixed = table[rows][:, columns]
    assert values(mixed) == pytest.approx(values(table), abs=1e-9, nan_ok=True)


@given(tables)
def test_icc__strictness_of_a_scorer_leaves_consistency_alone(table) -> None:
    stricter = table - np.arange(table.shape[1]) * 3
    one, two = icc(table).icc3_1, icc(stricter).icc3_1
    assert vars(two) == pytest.approx(vars(one), abs=1e-9, nan_ok=True)


@given(tables)
def test_icc__values_lie_within_their_intervals(table) -> None:
    for form in FORMS[:3]:
        got = getattr(icc(table), form)
        if not math.isnan(got.value) and not math.isnan(got.low):
            assert got.low - 1e-9 <= got.value <= got.high + 1e-9


def test_icc__identical_scorers_agree_fully() -> None:
    got = icc([[1, 1, 1], [4, 4, 4], [6, 6, 6]])
    for form in FORMS:
        assert tuple(vars(getattr(got, form)).values()) == pytest.approx((1, 1, 1))


def test_icc__same_mark_everywhere_tells_nothing() -> None:
    assert all(math.isnan(value) for value in values(np.full((4, 3), 7.3)))


@pytest.mark.parametrize("bad", [[1, 2, 3], [[1, 2]], [[1], [2]], np.empty((0, 3))])
def test_icc__refuses_too_small_a_table(bad) -> None:
    with pytest.raises(ValueError, match="two seedlings or more"):
        icc(bad)


def test_icc__refuses_holes() -> None:
    with pytest.raises(ValueError, match="A mark is missing"):
        icc([[1, 2], [NONE, 3]])


def test_components__find_the_truth_with_marks_missing() -> None:
    got = components(*long(simulated(units=4000, seen=0.6)))
    assert got.unit == pytest.approx(1, abs=0.1)
    assert got.residual == pytest.approx(0.25, abs=0.02)
    assert got.consistency.value == pytest.approx(0.8, abs=0.02)
    assert got.consistency.low < 0.8 < got.consistency.high


def test_components__intervals_hold_the_truth() -> None:
    held = {"agreement": 0, "consistency": 0, "one way": 0}
    rng, runs = np.random.default_rng(11), 300
    for _ in range(runs):
        seen = rng.random((25, 4)) < 0.6
        seen[seen.sum(axis=1) < 2, :2] = True
        unit, scorer = np.nonzero(seen)
        merit, noise = rng.normal(0, 1, 25)[unit], rng.normal(0, 0.5, len(unit))
        got = components(unit, scorer, merit + rng.normal(0, 0.5, 4)[scorer] + noise)
        held["agreement"] += got.agreement.low < 1 / 1.5 < got.agreement.high
        held["consistency"] += got.consistency.low < 1 / 1.25 < got.consistency.high
        single = one_way_icc(unit, merit + noise)
        held["one way"] += single.low < 1 / 1.25 < single.high
    # 95% of 300, give or take three standard errors and a little for the approximation.
    assert all(0.9 < count / runs < 0.995 for count in held.values()), held


def test_components__of_groups_that_nothing_links() -> None:
    table = np.full((12, 4), NONE)
    table[:6, :2], table[6:, 2:] = simulated(12)[:6, :2], simulated(12)[6:, 2:]
    got = components(*long(table))
    assert got.marks == 24
    assert 0 < got.consistency.value < 1


@pytest.mark.parametrize(
    "marks",
    [
        ([], [], []),
        ([1], [1], [5.0]),
        ([1, 2], [1, 2], [5.0, 6.0]),
        ([1, 1], [1, 2], [5.0, 6.0]),
        ([1, 2, 3], [1, 1, 1], [5.0, 6.0, 7.0]),
    ],
)
def test_components__refuse_too_few_marks(marks: tuple) -> None:
    with pytest.raises(ValueError, match="Too few seedlings"):
        components(*marks)


def test_one_way_icc__refuses_marks_given_once() -> None:
    with pytest.raises(ValueError, match="seen twice"):
        one_way_icc([1, 2, 3], [4.0, 5.0, 6.0])


def test_ranks__with_ties() -> None:
    assert ranks([[5, 9, 5, 1], [1, 1, 1, 1]]).tolist() == [[2.5, 4, 2.5, 1], [2.5] * 4]


@given(tables)
def test_kendall_w__lies_between_nothing_and_one(table) -> None:
    got = kendall_w(table)
    assume(not math.isnan(got.w))
    assert -1e-12 <= got.w <= 1 + 1e-12
    assert 0 < got.p <= 1
    assert kendall_w(np.exp(table)).w == pytest.approx(got.w)


def test_kendall_w__same_order_with_ties_is_one() -> None:
    got = kendall_w([[1, 2, 2, 5, 7, 8], [2, 3, 3, 4, 5, 9], [1, 6, 6, 7, 8, 9]])
    assert got.w == pytest.approx(1)
    assert got.by_permutation
    assert got.p < 0.001


def test_kendall_w__opposite_orders_of_two_are_nothing() -> None:
    got = kendall_w([np.arange(9), -np.arange(9)])
    assert got.w == pytest.approx(0)
    assert not got.by_permutation
    assert got.p == pytest.approx(1)


def test_kendall_w__chi_square_and_permutations_tell_alike() -> None:
    rng = np.random.default_rng(2)
    table = rng.normal(0, 1, (6, 7)) + 0.5 * rng.normal(0, 1, 7)
    eight = np.column_stack([table, rng.normal(0, 1, 6)])
    permuted, by_chi = kendall_w(table), kendall_w(eight)
    from scipy.special import chdtrc

    assert permuted.by_permutation
    assert permuted.p == pytest.approx(chdtrc(6, permuted.chi_square), abs=0.03)
    assert by_chi.p == pytest.approx(chdtrc(7, by_chi.chi_square))


def test_kendall_w__all_tied_tells_nothing() -> None:
    assert math.isnan(kendall_w(np.ones((3, 4))).w)


@pytest.mark.parametrize("bad", [[1, 2], [[1, 2, 3]], [[1], [2]], [[1, NONE], [2, 3]]])
def test_kendall_w__refuses(bad) -> None:
    with pytest.raises(ValueError, match="seedling"):
        kendall_w(bad)


@given(st.lists(points, min_size=2, max_size=8), st.integers(2, 4), st.sampled_from(LEVELS))
def test_krippendorff__identical_scorers_are_one(marks, scorers, level) -> None:
    assume(len(set(marks)) > 1)
    assert krippendorff(np.tile(marks, (scorers, 1)), level) == pytest.approx(1)


@given(tables, st.sampled_from(LEVELS))
def test_krippendorff__is_at_most_one_and_a_unit_seen_once_changes_nothing(table, level) -> None:
    once = np.full((table.shape[1], 1), NONE)
    once[0] = 5
    got = krippendorff(table.T, level)
    assert math.isnan(got) or got <= 1 + 1e-12
    assert krippendorff(np.hstack([table.T, once]), level) == pytest.approx(got, nan_ok=True)


@given(tables)
def test_krippendorff__ordinal_asks_for_the_order_alone(table) -> None:
    got = krippendorff(table.T, "ordinal")
    assert krippendorff(np.exp(table.T), "ordinal") == pytest.approx(got, nan_ok=True)


def test_krippendorff__nothing_to_compare() -> None:
    assert math.isnan(krippendorff([[1, NONE], [NONE, 2]]))
    assert math.isnan(krippendorff([[3, 3], [3, 3]]))


def test_krippendorff__refuses() -> None:
    with pytest.raises(ValueError, match="level"):
        krippendorff([[1, 2], [1, 2]], "rank")
    with pytest.raises(ValueError, match="below 0"):
        krippendorff([[1, -2], [1, 2]], "ratio")
    with pytest.raises(ValueError, match="table"):
        krippendorff([1, 2])


def test_agreement__of_scorers_of_different_strictness() -> None:
    table = simulated()
    got = agreement(*long(table))
    assert (got.units, got.scorers, got.marks) == (40, 4, 160)
    assert vars(got.agreement) == pytest.approx(vars(icc(table).icc2_1))
    assert vars(got.consistency) == pytest.approx(vars(icc(table).icc3_1))
    assert got.agreement_of_mean.value == pytest.approx(icc(table).icc2_k.value)
    assert got.order.w == pytest.approx(kendall_w(table.T).w)
    assert got.alpha == pytest.approx(krippendorff(table.T))
    assert got.sentence.startswith(("Moderate agreement: intraclass", "Poor agreement: intraclass"))
    assert "from 40 seedlings, each seen by two or more of 4 people" in got.sentence
    assert "stricter than others" in got.sentence


def test_agreement__leaves_out_what_one_person_saw() -> None:
    table = simulated(units=60, seen=0.5)
    alone = (~np.isnan(table)).sum(axis=1) < 2
    assert alone.any()
    got, less = agreement(*long(table)), agreement(*long(table[~alone]))
    assert got == less
    assert got.units == (~alone).sum()
    # Common order is of those whom the same people saw.
    assert 3 <= got.order.units < got.units


def test_agreement__takes_names_and_the_mean_of_a_scorers_own_marks() -> None:
    table = simulated(units=8)
    unit, scorer, marks = long(table)
    names = np.array(["Ada", "Ben", "Cleo", "Dov"])[scorer]
    got = agreement(unit.astype(str), names, marks)
    twice = agreement(
        np.concatenate([unit, unit]).astype(str),
        np.concatenate([names, names]),
        np.concatenate([marks + 1, marks - 1]),
    )
    assert twice.agreement.value == pytest.approx(got.agreement.value)
    assert (twice.marks, got.marks) == (32, 32)


@pytest.mark.parametrize(
    ("table", "told"),
    [
        (np.empty((0, 3)), "none so far"),
        (simulated(units=6) * [1, NONE, NONE, NONE], "none so far"),
        (simulated(units=4), "4 so far, 5 are the fewest"),
    ],
)
def test_agreement__not_enough(table: np.ndarray, told: str) -> None:
    got = agreement(*long(table))
    assert got.sentence.startswith("Not enough seedlings seen by two people")
    assert told in got.sentence
    assert got.agreement is got.order is None


def test_agreement__same_marks_everywhere() -> None:
    got = agreement(*long(np.full((6, 3), 5.0)))
    assert got.sentence.startswith("Nothing to compare: every mark is the same")
    assert got.agreement is None


def test_agreement__full() -> None:
    got = agreement(*long(np.tile(np.arange(6.0), (3, 1)).T))
    assert got.agreement.value == pytest.approx(1)
    assert got.sentence.startswith("Very good agreement: intraclass correlation 1.00")
    assert "stricter" not in got.sentence


def test_agreement__of_words_has_alpha_alone() -> None:
    table = np.array([[0, 0], [1, 1], [2, 2], [1, 1], [0, 2], [2, 2]], float)
    got = agreement(*long(table), level="nominal")
    assert got.agreement is None
    assert got.sentence.startswith(f"Good agreement: alpha {got.alpha:.2f}")


def test_agreement__refuses() -> None:
    with pytest.raises(ValueError, match="its seedling and its scorer"):
        agreement([1, 2], [1], [3.0, 4.0])
    with pytest.raises(ValueError, match="level"):
        agreement([1], [1], [3.0], level="stars")


@given(arrays(float, (7, 3), elements=st.one_of(points, st.just(NONE))))
def test_agreement__any_marks_are_told_in_a_sentence(table) -> None:
    got = agreement(*long(table))
    assert got.sentence.endswith(".")
    assert "nan" not in got.sentence
    assert "inf" not in got.sentence
