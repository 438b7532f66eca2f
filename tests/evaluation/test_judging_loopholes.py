"""Ways round the rules of judging that were once open."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse

from evaluation.clearing import spade_rows
from evaluation.merit import the_merit
from evaluation.models import Candidate, Criterion, Mark, Rubric, Scoring
from evaluation.ranking.mixed import NotSolvable
from evaluation.records import (
    clear_out,
    correct_score,
    decide,
    decide_at,
    glance,
    revise_rubric,
    score,
    write_rubric,
)
from evaluation.records.rubrics import fields_of
from evaluation.spadework import Fate
from garden.records import undo
from garden.verbs import Refused
from tests.cast import IN_BLOOM, LINED_OUT

pytestmark = pytest.mark.django_db
LATER = IN_BLOOM + timedelta(days=3)


@pytest.fixture
def full() -> Rubric:
    return Rubric.live.get(name="Full hundred")


def test_score__stays_under_the_rubric_its_form_was_opened_with(
    owner_client, act, cast, full
) -> None:
    revise_rubric(act(), rubric=full, weights={"form": 12.0}, reason="form counts")
    address = reverse("score-seedling", args=[cast.row.pk, 5]) + f"?rubric={full.pk}"
    assert owner_client.post(address, {"mark_form": "4"}).status_code == 303
    assert Scoring.live.get().rubric == full


@pytest.mark.parametrize("rubric", ["999999", "abc", "9" * 40])
def test_score__under_no_rubric_is_not_kept(owner_client, cast, rubric: str) -> None:
    address = reverse("score-seedling", args=[cast.row.pk, 5]) + f"?rubric={rubric}"
    assert owner_client.post(address, {"mark_form": "4"}).status_code == 404
    assert not Scoring.objects.exists()


def test_keep__of_two_people_keeps_its_letter(act, cast, helper_person) -> None:
    first = decide_at(act(), row=cast.row, position=5, verdict="keep")
    decide(act(helper_person, day=LATER), candidates=[first.thing], verdict="keep")
    with pytest.raises(Refused, match="whoever stays has a letter"):
        undo(act(), line=first.line)
    assert Candidate.live.get().plant is not None


def test_rubric__an_older_change_is_not_undone_under_a_newer(act, full) -> None:
    kept = revise_rubric(act(), rubric=full, weights={"form": 12.0}, reason="form counts")
    revise_rubric(act(), rubric=kept.thing, weights={"form": 11.0}, reason="a little less")
    with pytest.raises(Refused, match="version 3 hangs on it"):
        undo(act(), line=kept.line)
    assert Rubric.live.filter(name=full.name, replaced_by=None).count() == 1


def test_dug_out__nothing_is_seen_there_any_more(act, cast, full) -> None:
    clear_out(act(), row=cast.row, positions=[5])
    late, place = act(day=LATER), {"row": cast.row, "position": 5}
    for verb, values in (
        (score, {"rubric": full, "marks": {"form": 3}}),
        (glance, {"found": "again"}),
        (decide_at, {"verdict": "keep"}),
    ):
        with pytest.raises(Refused, match="was dug out on 20 May 2026"):
            verb(late, **place, **values)


def test_decide__not_before_it_was_lined_out(act, cast, full) -> None:
    score(act(), rubric=full, row=cast.row, position=5, marks={"form": 3})
    day = LINED_OUT - timedelta(days=1)
    with pytest.raises(Refused, match="lined out"):
        decide(act(), candidates=[Candidate.live.get()], verdict="watch", day=day)


def test_correct__does_not_roll_back_what_was_not_seen(owner_client, act, cast, full) -> None:
    kept = score(act(), rubric=full, row=cast.row, position=5, marks={"form": 3, "colour": 3})
    correct_score(act(), scoring=kept.thing, marks={"form": 1, "colour": 3}, reason="a slip")
    stale = {"marks": {"form": 3, "colour": 5}, "reason": "sun", "stands": kept.line.pk}
    with pytest.raises(Refused, match="since you opened it"):
        correct_score(act(), scoring=kept.thing, **stale)
    assert Mark.live.get(criterion__key="form").value == 1


def test_correct__down_to_nothing_is_an_undo(act, cast, full) -> None:
    kept = score(act(), rubric=full, row=cast.row, position=5, marks={"form": 3})
    with pytest.raises(Refused, match="Nothing would be left"):
        correct_score(act(), scoring=kept.thing, marks={}, reason="empty")


def test_decide_many__too_many_are_refused_whole(owner_client, cast) -> None:
    Candidate.objects.bulk_create(
        Candidate(plant=None, row=cast.row, position=at, noted_on=IN_BLOOM) for at in range(1, 602)
    )
    keys = ",".join(str(pk) for pk in Candidate.objects.values_list("pk", flat=True))
    answer = owner_client.post(reverse("decide-many"), {"candidates": keys, "verdict": "discard"})
    assert answer.status_code == 422
    assert "At most 500 at once" in answer.content.decode()
    assert not Candidate.live.exclude(verdict="").exists()


def test_candidate__a_number_that_is_no_key_is_nowhere(owner_client, bare) -> None:
    assert owner_client.get("/candidates/99999999999999999999999/").status_code == 404


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"scale": "points", "least": 0.5, "full": 0.7}, "whole numbers from 0 to 20"),
        ({"scale": "points", "least": -100, "full": 5}, "whole numbers from 0 to 20"),
        ({"scale": "count", "least": -5, "full": -1}, "whole numbers from 0 to 1000"),
        ({"title": "Foliage"}, "same name"),
        ({"weight": 5e-324}, "1 at least"),
    ],
)
def test_rubric__that_nobody_could_score_with(act, full, change: dict, said: str) -> None:
    criteria = [fields_of(each) for each in Criterion.objects.filter(rubric=full)[:2]]
    if "weight" in change:
        criteria = criteria[:1]
    criteria[0] |= change
    with pytest.raises(Refused, match=said):
        write_rubric(act(day=date(2026, 5, 20)), name="Mine", purpose="full", criteria=criteria)


def test_undo__of_one_call_leaves_the_call_of_another(act, cast, helper_person) -> None:
    mine = glance(act(), row=cast.row, position=5, found="again")
    glance(act(helper_person), row=cast.row, position=5, found="again")
    undo(act(), line=mine.line)
    assert Candidate.live.get(position=5).seen_on == IN_BLOOM


def test_undo__of_the_only_call_takes_the_seedling_back(act, cast) -> None:
    undo(act(), line=glance(act(), row=cast.row, position=5, found="again").line)
    assert not Candidate.live.exists()


def test_spade__waits_where_somebody_looked_again_after_the_discard(act, cast, full) -> None:
    decide_at(act(), row=cast.row, position=5, verdict="discard")
    score(act(day=LATER), rubric=full, row=cast.row, position=5, marks={"form": 5})
    spot = next(each for each in spade_rows([cast.row], 0)[0].spots if each.position == 5)
    assert (spot.fate, spot.told) == (Fate.LEAVE, "seen since")


def test_clear_out__takes_nothing_that_is_watched(act, cast) -> None:
    decide_at(act(), row=cast.row, position=5, verdict="watch")
    with pytest.raises(Refused, match="decided: watch"):
        clear_out(act(), row=cast.row, positions=[4, 5])


def test_merit__cannot_be_solved_is_said_and_no_fault(
    owner_client, act, cast, full, monkeypatch
) -> None:
    score(act(), rubric=full, row=cast.row, position=5, marks={"form": 3})

    def fails(*_: object, **__: object) -> None:
        raise NotSolvable("Seasons cannot be told apart.")

    monkeypatch.setattr("evaluation.ranking.ranking.rank", fails)
    assert the_merit().warnings == ("Seasons cannot be told apart.",)
    for name in ("candidates", "worths", "scorers", "merit-plot"):
        assert owner_client.get(reverse(name)).status_code == 200


def test_merit__one_score_makes_nobody_sure(act, cast, full) -> None:
    score(act(), rubric=full, row=cast.row, position=5, marks={"form": 3})
    told = the_merit().standings[Candidate.live.get().pk]
    assert told.high - told.low > 5


def test_decide__the_same_one_named_twice_is_decided_once(act, cast) -> None:
    one = decide_at(act(), row=cast.row, position=5, verdict="watch").thing
    decide(act(), candidates=[one, one], verdict="keep")
    assert one.decisions.filter(verdict="keep").count() == 1
