"""The verbs that score: every score stands for itself, and none is ever lost or changed unseen."""

from __future__ import annotations

import threading
import uuid
from datetime import date
from functools import partial

import pytest
from django.db import connections

from breeding.records import put_away
from evaluation.models import Candidate, Criterion, Decision, Mark, Rubric, Scoring, Seedling
from evaluation.records import correct_score, score
from garden.models import JournalLine, Person
from garden.records import place_plant, undo
from garden.verbs import Refused
from tests import refusals
from tests.cast import IN_BLOOM, LINED_OUT, PASSWORD, Cast, act_of

pytestmark = pytest.mark.django_db
refused = partial(refusals.refused, score)


@pytest.fixture
def full(db: None) -> Rubric:
    return Rubric.live.get(name="Full hundred")


@pytest.fixture
def at(cast: Cast, full: Rubric) -> dict[str, object]:
    """A seedling of the row, and the rubric that it is scored under."""
    return {"rubric": full, "row": cast.row, "position": 4}


def marks_of(scoring: Scoring) -> dict[str, float]:
    return dict(Mark.live.filter(scoring=scoring).values_list("criterion__key", "value"))


def everything() -> list[tuple]:
    return [tuple(row) for kind in (Scoring, Mark) for row in kind.objects.values_list()]


def test_score__keeps_what_was_given_and_nothing_else(act, cast, at, full) -> None:
    kept = score(act(), **at, marks={"form": 4, "colour": 0, "vigour": None}, note=" frost ")
    scoring = kept.thing
    assert marks_of(scoring) == {"form": 4, "colour": 0}
    assert (scoring.rubric, scoring.note, scoring.day, scoring.season) == (
        full, "frost", IN_BLOOM, 2026,
    )  # fmt: skip
    assert (scoring.bed, scoring.bed_row) == (cast.bed, 1)
    assert kept.line.text == "Scored 24-001 at Long Bed 1/4 under Full hundred: 2 marks"
    candidate = Candidate.live.get()
    assert (candidate.scores, candidate.seen_on, candidate.verdict) == (1, IN_BLOOM, "")
    assert set(kept.line.mentions.values_list("kind", flat=True)) >= {
        "evaluation.candidate", "evaluation.scoring", "breeding.row",
    }  # fmt: skip


def test_score__of_several_people_are_kept_apart(act, at, helper_person) -> None:
    first = score(act(), **at, marks={"form": 5}).thing
    before = everything()
    other = score(act(helper_person), **at, marks={"form": 1}).thing
    again = score(act(day=date(2026, 5, 22)), **at, marks={"form": 3}).thing
    assert [row for row in before if row not in everything()] == []
    assert [marks_of(each) for each in (first, other, again)] == [
        {"form": 5}, {"form": 1}, {"form": 3},
    ]  # fmt: skip
    candidate = Candidate.live.get()
    assert (candidate.scores, candidate.seen_on) == (3, date(2026, 5, 22))


def test_score__same_entry_twice_counts_once(act, at) -> None:
    entry = uuid.uuid4()
    first = score(act(entry=entry), **at, marks={"form": 5})
    again = score(act(entry=entry), **at, marks={"form": 5})
    assert (again.again, again.thing, Scoring.live.count()) == (True, first.thing, 1)
    with pytest.raises(Refused, match="already kept with other words"):
        score(act(entry=entry), **at, marks={"form": 4})
    assert marks_of(first.thing) == {"form": 5}


def test_score__counts_follow_from_the_stalk_unless_typed(act, cast, at, full) -> None:
    scoring = score(act(), **at, marks={}, stalk="t3 b2,b2 s1").thing
    assert scoring.stalk == "T3 B2 B2 S1"
    assert marks_of(scoring) == {"buds": 8, "branching": 3}
    typed = score(act(), **at, marks={"buds": 9}, stalk="T3 B2").thing
    assert marks_of(typed) == {"buds": 9, "branching": 1}


def test_score__counts_beyond_full_marks_are_kept(act, at) -> None:
    assert marks_of(score(act(), **at, marks={"buds": 17}).thing) == {"buds": 17}


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("form", 6, "Form goes from 0 to 5"),
        ("form", -1, "Form goes from 0 to 5"),
        ("form", 2.5, "Form is a whole number"),
        ("form", float("nan"), "Form goes from 0 to 5"),
        ("buds", -1, "Buds goes from 0 to 1000"),
        ("buds", 1001, "Buds goes from 0 to 1000"),
        ("buds", float("inf"), "Buds goes from 0 to 1000"),
        ("novelty", 3, r"Seen before\? goes from 0 to 2"),
        ("novelty", 0.5, r"Seen before\? is a whole number"),
    ],
)
def test_score__mark_that_its_scale_cannot_hold(act, at, key, value, sentence) -> None:
    refused(act(), sentence, f"mark_{key}", **at, marks={key: value, "colour": 3})
    assert not Scoring.objects.exists()
    assert not Candidate.objects.exists()


def test_score__yes_or_no_is_0_or_1(act, cast, at, full) -> None:
    Criterion.objects.filter(rubric=full, key="form").update(scale="yes_no")
    refused(act(), "goes from 0 to 1", "mark_form", **at, marks={"form": 2})
    assert marks_of(score(act(), **at, marks={"form": 1}).thing) == {"form": 1}


def test_score__what_it_cannot_mean(act, cast, at, visitor) -> None:
    marks = {"marks": {"form": 3}}
    elsewhere = {**at, "position": 13}
    refused(act(), "no criterion smell, taste", **at, marks={"smell": 3, "taste": 1})
    refused(act(), "at least one mark", **at, marks={"form": None})
    refused(act(), "has no position 13", "position", **elsewhere, **marks)
    refused(act(), "cannot have bloomed", "day", **at, **marks, day=LINED_OUT)
    refused(act(), "has not come yet", "day", **at, **marks, day=date(2026, 6, 20))
    refused(act(), "terminal is missing", "stalk", **at, **marks, stalk="B2")
    refused(act(visitor), "Visitors read", **at, **marks)
    refused(act(), "which seedling", "position", rubric=at["rubric"], **marks)
    refused(act(), "what is to become", "verdict", **at, **marks, verdict="eat")


def test_score__row_put_away(act, cast, at) -> None:
    put_away(act(), thing=cast.row, reason="dug over")
    refused(
        act(), "was put away", "day", **at, marks={"form": 3}, day=date(2026, 5, 21)
    )  # fmt: skip


def test_score__rubric_that_was_struck_out(act, at, full) -> None:
    Rubric.objects.filter(pk=full.pk).update(struck=True)
    refused(act(), "was struck out", "rubric", **at, marks={"form": 3})


def test_score__with_a_note_alone(act, at) -> None:
    scoring = score(act(), **at, marks={}, note="mown over").thing
    assert marks_of(scoring) == {}


def test_score__decision_of_the_same_day_is_one_line(act, cast, at) -> None:
    kept = score(act(), **at, marks={"form": 5}, verdict="keep", reason="broad falls")
    decision = Decision.live.get()
    assert (decision.verdict, decision.reason, decision.day) == ("keep", "broad falls", IN_BLOOM)
    assert Seedling.live.get().code == "24-001A"
    assert Candidate.live.get().plant == Seedling.live.get().plant
    undo(act(), line=kept.line)
    assert not Scoring.live.exists()
    assert not Decision.live.exists()
    assert not Seedling.live.exists()
    candidate = Candidate.objects.get()
    assert (candidate.scores, candidate.verdict, candidate.plant) == (0, "", None)


def test_score__plant_of_the_stock_where_it_stands(act, cast, full) -> None:
    place_plant(act(day=date(2026, 4, 1)), plant=cast.oboe, bed=cast.bed, position="2")
    scoring = score(act(), rubric=full, plant=cast.oboe, marks={"form": 4}).thing
    assert (scoring.candidate.plant, scoring.bed, scoring.bed_row) == (cast.oboe, cast.bed, None)
    assert score(act(), rubric=full, plant=cast.guest, marks={"form": 4}).thing.bed is None


def test_score__selected_seedling_is_one_candidate_by_either_way(act, cast, at, full) -> None:
    score(act(), **at, marks={"form": 5}, verdict="keep")
    plant = Seedling.live.get().plant
    score(act(), rubric=full, plant=plant, marks={"form": 4})
    assert Candidate.live.get().scores == 2


def test_correct_score__ones_own_with_a_reason(act, at) -> None:
    scoring = score(act(), **at, marks={"form": 5, "colour": 2}).thing
    kept = correct_score(
        act(), scoring=scoring, marks={"form": 4, "vigour": 3}, reason="a slip of the thumb"
    )
    assert marks_of(scoring) == {"form": 4, "vigour": 3}
    assert kept.line.reason == "a slip of the thumb"
    assert [(change["before"], change["after"]) for change in kept.line.changed] == [
        ({"value": 5.0}, {"value": 4.0}), ({"struck": False}, {"struck": True}),
    ]  # fmt: skip
    undo(act(), line=kept.line)
    assert marks_of(scoring) == {"form": 5, "colour": 2}


def test_correct_score__of_somebody_else_is_refused_even_to_the_owner(
    act, at, helper_person
) -> None:
    scoring = score(act(helper_person), **at, marks={"form": 5}).thing
    before = everything()
    refusals.refused(
        correct_score, act(), "Emil gave this score; nobody else changes it",
        scoring=scoring, marks={"form": 1}, reason="too kind",
    )  # fmt: skip
    assert everything() == before


def test_correct_score__what_it_cannot_mean(act, at) -> None:
    kept = score(act(), **at, marks={"form": 5}, note="firm")
    wrong = partial(refusals.refused, correct_score, act(), scoring=kept.thing)
    wrong("Write why", "reason", marks={"form": 4}, reason=" ")
    wrong("Nothing was changed", marks={"form": 5}, note="firm", reason="looked again")
    wrong("goes from 0 to 5", "mark_form", marks={"form": 9}, reason="looked again")
    wrong("no criterion", marks={"smell": 1}, reason="looked again")
    undo(act(), line=kept.line)
    wrong("was struck out", marks={"form": 4}, reason="looked again")


def test_correct_score__keeps_the_rubric_it_was_given_under(act, at, full) -> None:
    scoring = score(act(), **at, marks={"form": 5}).thing
    correct_score(act(), scoring=scoring, marks={"form": 4}, reason="looked again")
    scoring.refresh_from_db()
    assert (scoring.rubric, scoring.person, scoring.day) == (full, act().person, IN_BLOOM)


def test_undo__of_a_score_leaves_the_others(act, at, helper_person) -> None:
    mine = score(act(), **at, marks={"form": 5})
    score(act(helper_person), **at, marks={"form": 1}, day=date(2026, 5, 18))
    undo(act(), line=mine.line)
    assert [marks_of(each) for each in Scoring.live.all()] == [{"form": 1}]
    candidate = Candidate.live.get()
    assert (candidate.scores, candidate.seen_on) == (1, date(2026, 5, 18))
    with pytest.raises(Refused, match="already undone"):
        undo(act(), line=mine.line)


def test_undo__helper_cannot_take_back_the_owners_score(act, at, helper_person) -> None:
    mine = score(act(), **at, marks={"form": 5})
    with pytest.raises(Refused, match="they or the owner"):
        undo(act(helper_person), line=mine.line)


@pytest.mark.django_db(transaction=True)
def test_score__two_phones_at_once_lose_nothing(cast: Cast, owner: Person) -> None:
    """Three people score the same seedling, never noted before, at the same moment."""
    full = Rubric.live.get(name="Full hundred")
    people = [owner, *(Person.objects.create_user(name, PASSWORD) for name in ("Emil", "Tove"))]
    start, wrong = threading.Barrier(len(people)), []

    def one(person: Person, given: int) -> None:
        try:
            doing = [act_of(person) for _ in range(4)]
            start.wait()
            for each in doing:
                score(each, rubric=full, row=cast.row, position=7, marks={"form": given})
        except Exception as error:  # noqa: BLE001 - a thread has nobody to tell
            wrong.append(error)
        finally:
            connections.close_all()

    jobs = zip(people, (1, 3, 5), strict=True)
    threads = [threading.Thread(target=one, args=job) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    assert Candidate.live.get().scores == 12
    given = Mark.live.values_list("scoring__person__name", "value")
    assert sorted(given) == [("Emil", 3.0)] * 4 + [("Tove", 5.0)] * 4 + [("Wanda", 1.0)] * 4
    assert JournalLine.objects.filter(verb="score").count() == 12
