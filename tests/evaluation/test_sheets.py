"""Scores read back: the points of each under its own rubric, and all on one yardstick."""

from __future__ import annotations

import pytest

from evaluation.models import JudgingVersion, Rubric, Scoring
from evaluation.records import correct_score, revise_rubric, score
from evaluation.sheets import Sheet, sheets_of
from evaluation.yardstick import yardstick
from garden.records import undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def full() -> Rubric:
    return Rubric.live.get(name="Full hundred")


def first(**values: object) -> Sheet:
    return sheets_of(Scoring.live.filter(**values).order_by("pk"))[0]


def test_sheet__points_are_weights_times_shares(act, cast, full) -> None:
    marks = {"vigour": 4, "form": 5, "novelty": 1}
    score(act(), rubric=full, row=cast.row, position=4, marks=marks, stalk="T3 B2 B2 S1")
    sheet = first()
    # Vigour 12·4/5, branches 12·3/4, buds 13·(8 − 3)/7, form 9, novelty 10·1/2.
    assert sheet.points.earned == pytest.approx(9.6 + 9 + 13 * 5 / 7 + 9 + 5)
    assert sheet.points.possible == 12 + 12 + 13 + 9 + 10
    assert sheet.points.highest == pytest.approx(sheet.points.earned + 44)
    said = {line.criterion.key: line.said for line in sheet.lines}
    assert (said["buds"], said["branching"], said["novelty"]) == ("8", "3", "Something new")
    assert said["foliage"] == ""
    assert sheet.rests_on.startswith("judged on 56 of 100 points")
    assert str(sheet.stalk) == "T3 B2 B2 S1"


def test_sheets__queries_do_not_grow(act, cast, full, django_assert_num_queries) -> None:
    for position in range(1, 9):
        score(act(), rubric=full, row=cast.row, position=position, marks={"form": 3})
    with django_assert_num_queries(3):
        assert len(sheets_of(Scoring.live.all())) == 8


def test_yardstick__an_empty_garden(bare) -> None:
    assert len(yardstick()) == 0


def test_yardstick__a_score_keeps_its_own_rubric_and_is_weighed_anew(act, cast, full) -> None:
    marks = {"vigour": 0, "novelty": 2}
    score(act(), rubric=full, row=cast.row, position=4, marks=marks)
    before = first().points.percent
    assert before == pytest.approx(1000 / 22)
    revise_rubric(act(), rubric=full, weights={"novelty": 36}, reason="novelty sells")
    assert first().points.percent == before
    assert yardstick().percent[0] == pytest.approx(3600 / 48)


def test_yardstick__tried_weights_change_nothing(act, cast, full) -> None:
    score(act(), rubric=full, row=cast.row, position=4, marks={"vigour": 0, "novelty": 2})
    version = JudgingVersion.now()
    assert yardstick({"novelty": 12.0}, full).percent[0] == pytest.approx(50)
    assert yardstick().percent[0] == pytest.approx(1000 / 22)
    assert JudgingVersion.now() == version


def test_yardstick__a_score_with_a_note_alone_is_left_out(act, cast, full) -> None:
    score(act(), rubric=full, row=cast.row, position=4, marks={}, note="frost on it")
    assert len(yardstick()) == 0


def test_judging_version__moves_with_every_score_and_its_undoing(act, cast, full) -> None:
    kept = score(act(), rubric=full, row=cast.row, position=4, marks={"form": 3})
    one = JudgingVersion.now()
    correct_score(act(), scoring=kept.thing, marks={"form": 4}, reason="a slip of the thumb")
    two = JudgingVersion.now()
    correct_score(act(), scoring=kept.thing, marks={"form": 5}, reason="looked again")
    undo(act(), line=score(act(), rubric=full, row=cast.row, position=5, marks={"form": 1}).line)
    assert one < two < JudgingVersion.now()
    assert first().points.percent == 100
