"""The verb of the look-over: one word at each position, and the walk that it belongs to."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from functools import partial

import pytest

from evaluation.models import Candidate, Glance, LookOver, Rubric
from evaluation.records import glance, score
from evaluation.records.looking import TAKEN_UP_WITHIN
from garden.records import undo
from garden.verbs import Refused
from tests import refusals
from tests.cast import IN_BLOOM

pytestmark = pytest.mark.django_db
refused = partial(refusals.refused, glance)


def found() -> list[tuple[int, str]]:
    return list(Glance.live.order_by("id").values_list("position", "found"))


@pytest.mark.parametrize("word", ["nothing", "again", "gap", "dead"])
def test_glance__keeps_what_was_found(act, cast, word) -> None:
    kept = glance(act(), row=cast.row, position=3, found=word, note=" red haft ")
    look = kept.thing
    assert (look.position, look.found, look.day, look.note) == (3, word, IN_BLOOM, "red haft")
    label = Glance.Found(word).label
    assert kept.line.text == f"{label} at position 3 of Long Bed, row 1, 1–12: red haft"
    assert Candidate.live.exists() is (word == "again")


def test_glance__again_notes_the_candidate_and_the_day_it_was_called(act, cast) -> None:
    glance(act(), row=cast.row, position=3, found="again")
    candidate = Candidate.live.get()
    assert (candidate.position, candidate.seen_on, candidate.scores) == (3, IN_BLOOM, 0)
    glance(act(day=date(2026, 5, 29)), row=cast.row, position=3, found="again")
    assert Candidate.live.get().seen_on == date(2026, 5, 29)


def test_glance__said_once_more_the_newer_word_counts(act, cast) -> None:
    glance(act(), row=cast.row, position=3, found="again", note="late")
    kept = glance(act(), row=cast.row, position=3, found="nothing")
    assert found() == [(3, "nothing")]
    assert kept.line.changed[0]["before"] == {"found": "again"}
    # Nobody calls it any more, and it stays known.
    assert Candidate.live.get().seen_on is None
    undo(act(), line=kept.line)
    assert found() == [(3, "again")]
    assert Candidate.live.get().seen_on == IN_BLOOM
    assert Glance.live.get().note == "late"


def test_glance__a_walk_left_is_taken_up_again(act, cast) -> None:
    last = IN_BLOOM + TAKEN_UP_WITHIN
    for position, day in ((1, IN_BLOOM), (2, last), (3, last + timedelta(days=2))):
        glance(act(day=day), row=cast.row, position=position, found="nothing")
    assert LookOver.live.get().began_on == IN_BLOOM
    glance(act(day=last + timedelta(days=6)), row=cast.row, position=1, found="nothing")
    assert LookOver.live.count() == 2


def test_glance__a_walk_begun_anew(act, cast) -> None:
    for anew in (False, True, False):
        glance(act(), row=cast.row, position=3, found="nothing", anew=anew, backward=anew)
    first, second = LookOver.live.order_by("id")
    assert (first.backward, second.backward) == (False, True)
    assert [Glance.live.filter(look_over=each).count() for each in (first, second)] == [1, 1]


def test_glance__everybody_walks_alone(act, cast, helper_person) -> None:
    glance(act(), row=cast.row, position=3, found="nothing")
    glance(act(helper_person), row=cast.row, position=3, found="again")
    assert found() == [(3, "nothing"), (3, "again")]
    assert [walk.person.name for walk in LookOver.live.order_by("id")] == ["Wanda", "Emil"]


def test_glance__refuses(act, cast, visitor) -> None:
    here = {"row": cast.row, "position": 3}
    refused(act(), "Say what you found", "found", **here, found="")
    refused(act(), "Say what you found", "found", **here, found="maybe")
    refused(act(), "has no position 13", "position", row=cast.row, position=13, found="nothing")
    refused(act(), "has not come yet", "day", **here, found="nothing", day=date(2026, 7, 1))
    refused(act(), "cannot have bloomed", "day", **here, found="again", day=date(2025, 9, 1))
    refused(act(), "was lined out", "day", **here, found="gap", day=date(2025, 6, 9))
    refused(act(), "at most 200", "note", **here, found="gap", note="x" * 201)
    refused(act(visitor), "Visitors read", **here, found="nothing")
    assert not LookOver.objects.exists()
    # A gap is seen before anything blooms.
    assert glance(act(), **here, found="gap", day=date(2025, 9, 1)).thing.pk


def test_glance__same_entry_twice_counts_once(act, cast) -> None:
    entry = uuid.uuid4()
    say = partial(glance, row=cast.row, position=3)
    assert not say(act(entry=entry), found="again").again
    assert say(act(entry=entry), found="again").again
    with pytest.raises(Refused, match="already kept with other words"):
        say(act(entry=entry), found="nothing")
    assert found() == [(3, "again")]


def test_undo__of_a_look(act, cast) -> None:
    kept = glance(act(), row=cast.row, position=3, found="again")
    undo(act(), line=kept.line)
    assert found() == []
    assert not Candidate.live.exists()


def test_undo__of_a_look_keeps_a_candidate_that_was_scored_since(act, cast) -> None:
    kept = glance(act(), row=cast.row, position=3, found="again")
    rubric = Rubric.live.get(name="First walk")
    day = date(2026, 5, 21)
    score(act(day=day), rubric=rubric, row=cast.row, position=3, marks={"flower": 4})
    undo(act(day=day), line=kept.line)
    candidate = Candidate.live.get()
    assert (found(), candidate.scores, candidate.seen_on) == ([], 1, day)
