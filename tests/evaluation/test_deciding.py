"""The verbs that choose: decisions with their letters, and what the spade took."""

from __future__ import annotations

import uuid
from datetime import date
from functools import partial

import pytest

from breeding.records import put_away, record_pollination
from evaluation.models import Candidate, ClearOut, Decision, Glance, Seedling
from evaluation.records import clear_out, decide, decide_at, glance, select_seedling
from evaluation.records.candidates import gone_from
from evaluation.records.deciding import MOST_AT_ONCE
from garden.models import Plant
from garden.records import place_plant, undo
from garden.verbs import Refused
from tests import refusals
from tests.cast import IN_BLOOM, LINED_OUT, Cast

pytestmark = pytest.mark.django_db
LATER = date(2026, 5, 28)
refused = partial(refusals.refused, decide)
not_dug = partial(refusals.refused, clear_out)


@pytest.fixture
def noted(act, cast: Cast) -> list[Candidate]:
    """Four seedlings that a walk called again, at positions 2, 5, 6 and 9."""
    for position in (2, 5, 6, 9):
        glance(act(), row=cast.row, position=position, found="again")
    return list(Candidate.live.order_by("position"))


def verdicts() -> list[tuple[int | None, str]]:
    return list(Candidate.live.order_by("position").values_list("position", "verdict"))


def test_decide__one_with_day_and_reason(act, noted) -> None:
    more = {"reason": " once more ", "day": LATER}
    kept = decide(act(day=LATER), candidates=noted[:1], verdict="watch", **more)
    decision = Decision.live.get()
    assert (decision.verdict, decision.reason, decision.day, decision.person) == (
        "watch", "once more", LATER, act().person,
    )  # fmt: skip
    assert (kept.thing, kept.thing.verdict, kept.thing.decided_on) == (noted[0], "watch", LATER)
    assert kept.line.text == "Watch: 24-001 at Long Bed 1/2, once more"
    assert set(kept.line.mentions.values_list("kind", flat=True)) >= {
        "evaluation.candidate", "breeding.row",
    }  # fmt: skip


def test_decide__many_in_one_line_each_with_its_own(act, noted) -> None:
    kept = decide(act(), candidates=noted, verdict="discard", reason="thin")
    assert kept.line.text == "Discard: 4 seedlings, thin"
    assert verdicts() == [(2, "discard"), (5, "discard"), (6, "discard"), (9, "discard")]
    assert list(Decision.live.values_list("reason", "day")) == [("thin", IN_BLOOM)] * 4


@pytest.mark.parametrize(("verdict", "letters"), [("keep", "AB"), ("parent", "AB"),
                                                  ("watch", ""), ("discard", "")])  # fmt: skip
def test_decide__what_stays_gets_its_letter(act, cast, noted, verdict, letters) -> None:
    decide(act(), candidates=noted[1:3], verdict=verdict, reason="broad falls")
    assert [each.code for each in Seedling.live.order_by("letter")] == [
        f"24-001{letter}" for letter in letters
    ]
    for seedling in Seedling.live.all():
        assert (seedling.reason, seedling.selected_on) == ("broad falls", IN_BLOOM)
        assert (seedling.plant.seed_parent, seedling.plant.pollen_parent) == (
            cast.teapot, cast.ledger,
        )  # fmt: skip
        candidate = Candidate.live.get(position=seedling.position)
        assert (candidate.plant, str(candidate)) == (seedling.plant, seedling.code)


def test_decide__a_letter_is_given_once(act, cast, noted) -> None:
    select_seedling(act(), row=cast.row, position=2)
    for verdict in ("keep", "parent"):
        decide(act(), candidates=noted[:1], verdict=verdict)
    assert [each.letter for each in Seedling.objects.all()] == ["A"]


def test_decide__plant_of_the_stock_needs_no_letter(act, cast) -> None:
    kept = decide_at(act(), plant=cast.oboe, verdict="parent")
    assert kept.line.text == "Use as parent: Oboe for Hannes"
    assert not Seedling.objects.exists()


def test_decide__the_newest_day_counts(act, noted) -> None:
    one = noted[:1]
    decide(act(day=LATER), candidates=one, verdict="keep")
    decide(act(day=LATER), candidates=one, verdict="discard", day=date(2026, 5, 20))
    assert verdicts()[0] == (2, "keep")
    decide(act(day=LATER), candidates=one, verdict="watch")
    assert verdicts()[0] == (2, "watch")
    assert Decision.live.count() == 3


def test_decide__refuses(act, cast, noted, visitor) -> None:
    keep = {"verdict": "keep"}
    refused(act(), "at least one", "candidates", candidates=[], **keep)
    refused(act(), "At most 500", candidates=noted * (MOST_AT_ONCE // 4 + 1), **keep)
    refused(act(), "what is to become", "verdict", candidates=noted, verdict="eat")
    refused(act(), "has not come yet", "day", candidates=noted, day=date(2026, 7, 1), **keep)
    refused(act(visitor), "Visitors read", candidates=noted, **keep)
    refused(act(), "at most 400", "reason", candidates=noted, reason="x" * 401, **keep)
    Candidate.objects.filter(pk=noted[3].pk).update(struck=True)
    refused(act(), "was struck out", candidates=noted, **keep)
    assert not Decision.objects.exists()
    assert not Seedling.objects.exists()


def test_decide__keeps_nothing_of_a_row_that_was_put_away(act, cast, noted) -> None:
    put_away(act(), thing=cast.row, reason="dug over")
    refused(act(day=LATER), "was put away", "day", candidates=noted, verdict="keep")
    decide(act(day=LATER), candidates=noted, verdict="discard")


def test_decide__same_entry_twice_counts_once(act, noted) -> None:
    entry = uuid.uuid4()
    for again in (False, True):
        kept = decide(act(entry=entry), candidates=noted, verdict="keep")
        assert kept.again is again
    assert (Decision.live.count(), Seedling.live.count()) == (4, 4)
    with pytest.raises(Refused, match="already kept with other words"):
        decide(act(entry=entry), candidates=noted, verdict="discard")


def test_undo__of_many_takes_back_decisions_letters_and_plants(act, noted) -> None:
    plants = Plant.live.count()
    decide(act(), candidates=noted[:1], verdict="watch")
    kept = decide(act(), candidates=noted, verdict="keep")
    undo(act(), line=kept.line)
    assert verdicts() == [(2, "watch"), (5, ""), (6, ""), (9, "")]
    assert not Candidate.live.exclude(plant=None).exists()
    assert (Seedling.live.count(), Plant.live.count()) == (0, plants)
    decide(act(), candidates=noted[:1], verdict="keep")
    assert Seedling.live.get().letter == "E"


def test_undo__of_a_keep_while_its_plant_was_crossed_is_refused(act, cast, noted) -> None:
    kept = decide(act(), candidates=noted[:1], verdict="parent")
    plant = Seedling.live.get().plant
    record_pollination(act(), seed_parent=plant, pollen_parent=cast.ledger, tag=cast.free_tag)
    with pytest.raises(Refused, match="cannot be undone while"):
        undo(act(), line=kept.line)
    assert verdicts()[0] == (2, "parent")


def test_undo__of_the_newest_decision_leaves_the_one_before(act, noted) -> None:
    decide(act(), candidates=noted[:1], verdict="watch")
    kept = decide(act(day=LATER), candidates=noted[:1], verdict="discard")
    undo(act(), line=kept.line)
    assert (verdicts()[0], Candidate.live.get(position=2).decided_on) == ((2, "watch"), IN_BLOOM)


def test_decide_at__notes_a_seedling_that_nobody_noted(act, cast) -> None:
    kept = decide_at(act(), row=cast.row, position=7, verdict="keep", reason="never seen")
    assert kept.line.text == "Keep: 24-001A"
    assert verdicts() == [(7, "keep")]
    assert Decision.live.get().reason == "never seen"
    undo(act(), line=kept.line)
    assert verdicts() == []


def test_decide_at__finds_a_candidate_by_its_plant(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=7).thing.plant
    decide_at(act(), plant=plant, verdict="watch")
    assert verdicts() == [(7, "watch")]


def test_decide_at__refuses(act, cast) -> None:
    wrong = partial(refusals.refused, decide_at)
    there = {"row": cast.row, "position": 7}
    wrong(act(), "has no position 30", "position", row=cast.row, position=30, verdict="keep")
    wrong(act(), "which seedling", "position", verdict="keep")
    wrong(act(), "what is to become", "verdict", **there, verdict="eat")
    wrong(act(), "cannot have bloomed", "day", **there, verdict="keep", day=date(2025, 7, 1))
    assert not Candidate.objects.exists()
    # What rots is thrown away before it ever blooms.
    assert decide_at(act(), **there, verdict="discard", day=date(2025, 7, 1)).thing.pk


def test_clear_out__keeps_positions_as_spans(act, cast) -> None:
    kept = clear_out(act(), row=cast.row, positions=[3, 1, 2, 7, 3], reason=" thin ")
    dug = kept.thing
    assert (dug.positions, dug.reason, dug.day) == ([[1, 3], [7, 7]], "thin", IN_BLOOM)
    assert kept.line.text == "Dug out 4 seedlings of Long Bed, row 1, 1–12: 1–3, 7"
    assert gone_from(cast.row) == {1, 2, 3, 7}


def test_clear_out__may_come_before_any_bloom(act, cast) -> None:
    assert clear_out(act(), row=cast.row, positions=[4], day=LINED_OUT).thing.pk


def test_clear_out__refuses(act, cast, visitor) -> None:
    clear_out(act(), row=cast.row, positions=[3])
    glance(act(), row=cast.row, position=5, found="gap")
    row = {"row": cast.row}
    not_dug(act(), "Choose the positions", "positions", **row, positions=[])
    not_dug(act(), "has no position 13", "position", **row, positions=[2, 13])
    not_dug(act(), "has no position 0", "position", **row, positions=[0, 2])
    not_dug(act(), "any more at 3, 5", "positions", **row, positions=[2, 3, 4, 5])
    not_dug(act(), "was lined out", "day", **row, positions=[2], day=date(2025, 6, 9))
    not_dug(act(visitor), "Visitors read", **row, positions=[2])
    assert ClearOut.live.count() == 1


def test_clear_out__spares_what_is_kept_until_it_is_discarded_or_moved(act, cast, noted) -> None:
    decide(act(), candidates=noted[:2], verdict="keep")
    dig = {"row": cast.row, "positions": [1, 2, 3, 4, 5]}
    not_dug(act(), "24-001A stands at position 2 and is to stay", **dig)
    decide(act(), candidates=noted[:1], verdict="discard")
    not_dug(act(), "24-001B stands at position 5", **dig)
    place_plant(act(), plant=Seedling.live.get(letter="B").plant, bed=cast.bed, position="30")
    assert clear_out(act(), **dig).thing.positions == [[1, 5]]


def test_clear_out__watched_ones_are_dug_after_another_decision(act, cast, noted) -> None:
    decide(act(), candidates=noted[:1], verdict="watch")
    with pytest.raises(Refused, match="decided: watch"):
        clear_out(act(), row=cast.row, positions=[2])
    decide(act(), candidates=noted[:1], verdict="discard")
    assert clear_out(act(), row=cast.row, positions=[2]).thing.pk


def test_clear_out__same_entry_twice_and_undo(act, cast) -> None:
    entry = uuid.uuid4()
    kept = clear_out(act(entry=entry), row=cast.row, positions=[3, 4])
    assert clear_out(act(entry=entry), row=cast.row, positions=[3, 4]).again
    undo(act(), line=kept.line)
    assert gone_from(cast.row) == set()
    assert clear_out(act(), row=cast.row, positions=[4]).thing.pk


def test_gone__comes_back_when_a_later_look_finds_it(act, cast) -> None:
    glance(act(day=date(2026, 5, 18)), row=cast.row, position=5, found="dead")
    assert gone_from(cast.row) == {5}
    glance(act(day=date(2026, 5, 25)), row=cast.row, position=5, found="nothing", anew=True)
    assert gone_from(cast.row) == set()
    assert Glance.live.count() == 2
