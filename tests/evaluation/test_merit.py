"""Merit in the garden: read from the scores, held in memory, never older than they are."""

from __future__ import annotations

import pytest

from evaluation.merit import criterion_values, reweighted, the_merit
from evaluation.models import Candidate, Rubric, Scoring
from evaluation.records import correct_score, decide, score
from garden.records import undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def full() -> Rubric:
    return Rubric.live.get(name="Full hundred")


@pytest.fixture
def scored(act, cast, full, helper_person) -> dict[int, Candidate]:
    """Positions 1 to 4, the first the best; the helper saw 1 and 2 and is milder."""
    for position, form in ((1, 5), (2, 4), (3, 2), (4, 1)):
        marks = {"form": form, "vigour": form, "novelty": 0}
        score(act(), rubric=full, row=cast.row, position=position, marks=marks)
        if position < 3:
            marks |= {"novelty": 2}
            score(act(helper_person), rubric=full, row=cast.row, position=position, marks=marks)
    return {each.position: each for each in Candidate.live.all()}


def test_merit__nothing_scored_yet(bare) -> None:
    assert the_merit().standings == {}


def test_merit__ranks_as_seen_and_says_what_it_rests_on(scored) -> None:
    told = the_merit()
    standings = [told.standings[scored[position].pk] for position in (1, 2, 3, 4)]
    merits = [each.merit for each in standings]
    assert merits == sorted(merits, reverse=True)
    assert all(each.low < each.merit < each.high for each in standings)
    assert [(each.scores, each.scorers, each.seasons) for each in standings] == [
        (2, 2, 1), (2, 2, 1), (1, 1, 1), (1, 1, 1),
    ]  # fmt: skip
    assert standings[0].groups == {"plant": 100.0, "flower": 100.0, "distinct": 50.0}
    assert "4 seedlings judged" in told.warnings[0]


def test_merit__the_milder_scorer_is_told(scored, owner, helper_person) -> None:
    effects = the_merit().scorers
    assert effects[helper_person.pk].value > effects[owner.pk].value
    assert effects[owner.pk].scores == 4


def test_merit__one_cross_alone_says_nothing_of_its_parents(scored, cast) -> None:
    worths = the_merit().worths
    assert worths[cast.teapot.pk].judged == worths[cast.ledger.pk].judged == 4
    assert worths[cast.teapot.pk].reliability == pytest.approx(0, abs=1e-9)


def test_merit__plants_beside_it_tell_what_the_parents_are_worth(scored, act, cast, full) -> None:
    score(act(), rubric=full, plant=cast.guest, marks={"form": 0, "vigour": 0, "novelty": 0})
    worths = the_merit().worths
    assert worths[cast.teapot.pk].value > 0 > worths[cast.guest.pk].value
    assert 0 < worths[cast.teapot.pk].reliability < 1


def test_merit__is_held_until_something_moves(
    scored, act, cast, full, django_assert_num_queries
) -> None:
    held = the_merit()
    with django_assert_num_queries(2):
        assert the_merit() is held
    kept = score(act(), rubric=full, row=cast.row, position=5, marks={"form": 5})
    assert Candidate.live.get(position=5).pk in the_merit().standings
    undo(act(), line=kept.line)
    assert set(the_merit().standings) == set(held.standings)


def test_merit__a_corrected_score_counts_as_it_stands_now(scored, act) -> None:
    before = the_merit().standings[scored[4].pk].merit
    last = Scoring.live.get(candidate=scored[4])
    marks = {"form": 5, "vigour": 5, "novelty": 0}
    correct_score(act(), scoring=last, marks=marks, reason="the wrong row")
    assert the_merit().standings[scored[4].pk].merit > before


def test_merit__a_selected_seedling_keeps_its_scores(scored, act) -> None:
    before = the_merit().standings[scored[1].pk]
    decide(act(), candidates=[scored[1]], verdict="keep")
    after = the_merit().standings[scored[1].pk]
    assert (after.scores, after.plain) == (before.scores, before.plain)


def test_reweighted__other_weights_another_order_and_nothing_written(scored, full) -> None:
    held = the_merit()
    told = reweighted({"novelty": 90.0}, full)
    assert told[scored[2].pk] > held.standings[scored[2].pk].merit - 40
    gap = held.standings[scored[1].pk].merit - held.standings[scored[3].pk].merit
    assert told[scored[1].pk] - told[scored[3].pk] != pytest.approx(gap)
    assert the_merit() is held


def test_criterion_values__mean_shares(scored) -> None:
    told = criterion_values(["novelty", "form"], [scored[1].pk, scored[4].pk])
    assert told == {
        scored[1].pk: {"novelty": 0.5, "form": 1.0}, scored[4].pk: {"novelty": 0.0, "form": 0.2},
    }  # fmt: skip
