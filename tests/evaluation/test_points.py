from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.ranking.points import (
    Criterion,
    judged_on,
    mark_of,
    places,
    points,
    reweighted,
    share_of,
    shares,
)

NONE = math.nan
FORM = Criterion("form", "Flower", "Form", 25, full=10)
BUDS = Criterion("buds", "Stalk", "Buds", 20, "count", least=4, full=10)
LEAN = Criterion("lean", "Stalk", "Lean", 15, "measure", least=20, full=0, unit="degrees")
HEALTHY = Criterion("healthy", "Plant", "Healthy", 30, "yes_no")
SEEN = Criterion(
    "seen", "Distinctiveness", "Seen before", 10, "choice",
    choices=(("often", 0), ("seldom", 0.5), ("never", 1)),
)  # fmt: skip
RUBRIC = (FORM, BUDS, LEAN, HEALTHY, SEEN)
mark = st.one_of(st.just(NONE), st.floats(-5, 30))
rows = st.tuples(
    mark, mark, mark, st.sampled_from([NONE, 0.0, 1.0]), st.sampled_from([NONE, 0.0, 1.0, 2.0])
)


@pytest.mark.parametrize(
    ("criterion", "value", "share"),
    [
        (BUDS, 3, 0),
        (BUDS, 7, 0.5),
        (BUDS, 12, 1),
        (LEAN, 20, 0),
        (LEAN, 5, 0.75),
        (LEAN, -3, 1),
        (HEALTHY, "Yes", 1),
        (HEALTHY, False, 0),
        (SEEN, " Seldom ", 0.5),
        (SEEN, 2, 1),
        (FORM, "7.5", 0.75),
    ],
)
def test_share_of__each_scale(criterion: Criterion, value: object, share: float) -> None:
    assert share_of(criterion, value) == pytest.approx(share)


@pytest.mark.parametrize("criterion", RUBRIC)
def test_share_of__nothing_said_is_missing(criterion: Criterion) -> None:
    assert math.isnan(share_of(criterion, None))
    assert math.isnan(share_of(criterion, ""))


@pytest.mark.parametrize(
    ("criterion", "said", "words"),
    [
        (HEALTHY, 2, "Healthy: the mark is yes or no"),
        (SEEN, "sometimes", "“sometimes” is not one of its marks"),
        (SEEN, 3, "none of its choices"),
        (FORM, "fine", "“fine” is not one"),
        (FORM, [1], "is not one"),
        (FORM, "inf", "without end"),
    ],
)
def test_mark_of__refuses_in_a_sentence(criterion: Criterion, said: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        mark_of(criterion, said)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"weight": -1}, "Form: its points must be a number from 0 up"),
        ({"weight": NONE}, "Form: its points"),
        ({"scale": "stars"}, "no scale called “stars”"),
        ({"least": 3, "full": 3}, "cannot be the same value"),
        ({"full": math.inf}, "say what earns nothing"),
        ({"scale": "choice"}, "two words or more"),
        ({"scale": "choice", "choices": (("a", 0), ("A ", 1))}, "stands twice"),
        ({"scale": "choice", "choices": (("a", 0), ("b", 1.2))}, "between 0 and 1"),
    ],
)
def test_criterion__that_cannot_be_scored(given: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Criterion(**{"key": "form", "group": "Flower", "title": "Form", "weight": 5} | given)


def test_points__counted_by_hand() -> None:
    got = points(RUBRIC, [[8, 7, 5, 1, 1], [8, NONE, NONE, 0, NONE], [NONE] * 5])
    # 25*.8 + 20*.5 + 15*.75 + 30 + 10*.5 = 76.25 of 100; then 20 of 55; then nothing.
    assert got.earned == pytest.approx([76.25, 20, 0])
    assert got.possible == pytest.approx([100, 55, 0])
    assert got.percent == pytest.approx([76.25, 100 * 20 / 55, NONE], nan_ok=True)
    assert got.given == pytest.approx([1, 0.55, 0])
    assert got.lowest == pytest.approx([76.25, 20, 0])
    assert got.highest == pytest.approx([76.25, 65, 100])


def test_points__of_groups() -> None:
    got = points(RUBRIC, [[8, 7, NONE, 1, 1]])
    assert got.groups == ("Flower", "Stalk", "Plant", "Distinctiveness")
    assert got.group_full == pytest.approx([25, 35, 30, 10])
    assert got.group_earned[0] == pytest.approx([20, 10, 30, 5])
    assert got.group_possible[0] == pytest.approx([25, 20, 30, 10])
    assert got.group_percent[0] == pytest.approx([80, 50, 100, 50])


def test_points__of_no_seedlings() -> None:
    got = points(RUBRIC, np.empty((0, 5)))
    assert got.earned.shape == (0,)
    assert got.group_earned.shape == (0, 4)


@pytest.mark.parametrize(
    ("criteria", "marks", "words"),
    [
        ((), np.empty((1, 0)), "gives no points"),
        (reweighted([FORM], {"form": 0}), [[1]], "gives no points"),
        ((FORM, FORM), [[1, 2]], "the same key"),
        (RUBRIC, [[1, 2]], "one place for a mark"),
        (RUBRIC, [1, 2, 3, 1, 1], "one place for a mark"),
    ],
)
def test_points__refuses(criteria: tuple, marks: list, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        points(criteria, marks)


@given(st.lists(rows, min_size=1, max_size=6))
def test_points__lie_between_lowest_and_highest(marks: list) -> None:
    got = points(RUBRIC, marks)
    assert (got.lowest >= 0).all()
    assert (got.highest <= got.full + 1e-9).all()
    # However the missing marks are filled in, the total stays within.
    for fill in ([0, 0, 30, 0, 0], [10, 10, 0, 1, 2], [5, 6, 7, 1, 1]):
        filled = points(RUBRIC, np.where(np.isnan(marks), fill, marks)).earned
        assert (filled >= got.lowest - 1e-9).all()
        assert (filled <= got.highest + 1e-9).all()
    assert got.group_earned.sum(axis=1) == pytest.approx(got.earned)


@given(st.lists(rows, min_size=2, max_size=6), st.floats(0.01, 100))
def test_points__weights_times_a_number_change_no_percentage(marks: list, times: float) -> None:
    other = reweighted(RUBRIC, {each.key: each.weight * times for each in RUBRIC})
    once, scaled = points(RUBRIC, marks), points(other, marks)
    assert scaled.percent == pytest.approx(once.percent, nan_ok=True)
    assert scaled.earned == pytest.approx(once.earned * times)
    assert scaled.given == pytest.approx(once.given)


@given(st.lists(rows, min_size=1, max_size=6))
def test_shares__array_and_single_marks_agree(marks: list) -> None:
    single = [[share_of(c, m) for c, m in zip(RUBRIC, row, strict=True)] for row in marks]
    assert shares(RUBRIC, marks) == pytest.approx(np.array(single), nan_ok=True)


def test_reweighted__refuses_a_strange_key() -> None:
    with pytest.raises(ValueError, match="no criterion scent"):
        reweighted(RUBRIC, {"scent": 3})


def test_places__with_ties_and_missing() -> None:
    assert places([70, 90, NONE, 90, 50]).tolist() == [3, 1, 0, 1, 4]


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([8, 7, 5, 1, 1], "judged in full"),
        ([NONE] * 5, "not judged"),
        ([8, NONE, NONE, 1, 2], "judged on 65 of 100 points; stalk not judged"),
        ([8, NONE, 5, 1, 2], "judged on 80 of 100 points; no mark for buds"),
        ([NONE, NONE, NONE, 1, 2], "judged on 40 of 100 points; flower and stalk not judged"),
        (
            [NONE, NONE, 4, 1, 2],
            "judged on 55 of 100 points; flower not judged; no mark for buds",
        ),
    ],
)
def test_judged_on__says_what_is_missing(marks: list, words: str) -> None:
    assert judged_on(RUBRIC, marks) == words


def test_judged_on__a_mark_that_weighs_nothing_is_not_missed() -> None:
    assert judged_on([FORM, reweighted([BUDS], {"buds": 0})[0]], [8, NONE]) == "judged in full"
