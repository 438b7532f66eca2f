from __future__ import annotations

import uuid
from datetime import date

import pytest

from breeding.invariants import first_violation
from breeding.models import Cross, Pollination, PotCount
from breeding.records import (
    correct,
    correct_cross,
    correct_parents,
    harvest,
    line_out,
    put_away,
    record_pollination,
    sow,
    spoil_tag,
)
from evaluation.records import select_seedling
from garden.models import Plant
from garden.records import (
    add_bed,
    change_garden,
    change_plant,
    correct_placing,
    place_plant,
    strike_plant,
    undo,
)
from tests import refusals
from tests.cast import HARVESTED, WORKED


def refused(verb, doing, sentence: str, field: str = "", **values) -> None:
    """As everywhere, with a reason, which every correction needs."""
    refusals.refused(verb, doing, sentence, field, **{"reason": "mistyped"} | values)


def test_correct__what_stood_there_stays_in_the_journal(act, cast) -> None:
    kept = correct(act(), thing=cast.flower, seeds=44, note="windy", reason=" recounted ")
    line = kept.line
    assert (kept.thing.seeds, kept.thing.note) == (44, "windy")
    assert line.reason == "recounted"
    (change,) = line.changed
    assert (change["before"], change["after"]) == (
        {"seeds": 40, "note": ""}, {"seeds": 44, "note": "windy"},
    )  # fmt: skip
    assert line.text == "Corrected flower under tag 10007: seeds 40 → 44, note nothing → windy"


def test_correct__sums_follow(act, cast) -> None:
    correct(act(), thing=cast.flower, seeds=44, reason="recounted")
    cast.cup.refresh_from_db()
    cast.cross.refresh_from_db()
    assert (cast.cup.seeds, cast.cup.left, cast.cross.seeds) == (44, 14, 44)


def test_correct__a_day_moves_the_cup_along(act, cast) -> None:
    correct(act(), thing=cast.flower, harvested_on=date(2024, 7, 30), reason="mistyped")
    cast.cup.refresh_from_db()
    assert cast.cup.filled_on == date(2024, 7, 30)


def test_correct__tag(act, cast) -> None:
    kept = correct(act(), thing=cast.flower, tag=cast.free_tag, reason="misread")
    assert kept.thing.tag.code == cast.free_tag
    assert kept.line.text.endswith("another tag")


def test_correct__own_tag_typed_with_a_space_is_no_change(act, cast) -> None:
    refused(correct, act(), "Nothing was changed", thing=cast.flower, tag=" 1000 7")


def test_correct__tag_of_another_flower(act, cast) -> None:
    refused(correct, act(), "Tag 10015 already hangs", "tag", thing=cast.flower, tag=cast.tags[1])


def test_correct__own_tag_set_aside_elsewhere(act, cast) -> None:
    undo_free = cast.sheet.tags.get(code=cast.free_tag)
    spoil_tag(act(), tag=undo_free, reason="torn")
    refused(correct, act(), "was set aside: torn", "tag", thing=cast.flower, tag=cast.free_tag)


def test_correct__row_moves_to_another_bed(act, cast) -> None:
    other = add_bed(act(), name="Short Bed", rows=1, positions=12).thing
    assert correct(act(), thing=cast.row, bed=other, reason="wrong bed").thing.bed == other


def test_correct__count(act, cast) -> None:
    count = PotCount.objects.get()
    correct(act(), thing=count, standing=15, reason="three were weeds")
    cast.pot.refresh_from_db()
    assert cast.pot.up == 15


@pytest.mark.parametrize(
    ("name", "values", "field", "sentence"),
    [
        ("flower", {"reason": " ", "seeds": 3}, "reason", "Write why it is corrected"),
        ("flower", {"seeds": 40}, "", "Nothing was changed"),
        ("flower", {"state": "failed"}, "", "state cannot be corrected here"),
        ("cross", {"flowers": 3}, "", "flowers cannot be corrected here"),
        ("flower", {"stigmas": 4}, "stigmas", "Stigmas worked must be from 1 to 3"),
        ("flower", {"seeds": 0}, "seeds", "Seeds in a pod must be from 1 to 300"),
        ("flower", {"seeds": 29}, "seeds", "30 seeds sown from cup 24-001-1, which got only 29"),
        ("flower", {"day": date(2025, 6, 1)}, "day", "is not in season 2024"),
        ("flower", {"day": date(2027, 6, 1)}, "day", "has not come yet"),
        ("flower", {"looked_on": date(2024, 7, 29)}, "day", "lies before the look"),
        ("flower", {"looked_on": date(2024, 5, 1)}, "looked_on", "before the flower was worked"),
        ("flower", {"day": date(2024, 6, 21)}, "day", "is before the flower was worked on 21 June"),
        ("flower", {"harvested_on": date(2024, 11, 26)}, "day", "lies before the harvest"),
        ("failed", {"fail_reason": " "}, "fail_reason", "Say how it failed"),
        ("failed", {"seeds": 9, "harvested_on": WORKED}, "", "Nothing was changed"),
        ("bee_flower", {"looked_on": WORKED, "fail_reason": "x"}, "", "Nothing was changed"),
        ("flower", {"seeds": None, "looked_on": None}, "", "Nothing was changed"),
        ("flower", {"day": None}, "day", "cannot be null"),
        ("pot", {"seeds": 0}, "seeds", "Seeds sown must be from 1 to 20000"),
        ("pot", {"seeds": 17}, "seeds", "18 came up in pot 24-001-1-1, which got only 17 seeds"),
        ("pot", {"seeds": 41}, "seeds", "41 seeds sown from cup 24-001-1, which got only 40"),
        ("pot", {"sown_on": date(2024, 7, 1)}, "day", "lies before the harvest"),
        ("row", {"row": 5}, "row", "Rows of Long Bed must be from 1 to 4"),
        ("row", {"row": 0}, "row", "Rows of Long Bed must be from 1 to 4"),
        ("row", {"first": 0}, "first", "Positions of Long Bed must be from 1 to 30"),
        ("row", {"last": 31}, "last", "The last position must be from 1 to 30"),
        ("row", {"first": 13}, "last", "The last position must be from 13 to 30"),
        ("row", {"last": 19}, "last", "19 seedlings lined out of pot 24-001-1-1, .* only 18"),
        ("row", {"lined_out_on": date(2024, 11, 1)}, "day", "lies before the sowing"),
    ],
)  # fmt: skip
def test_correct__refused(act, cast, name, values, field, sentence) -> None:
    refused(correct, act(), sentence, field, thing=getattr(cast, name), **values)


def test_correct__count_below_what_was_lined_out(act, cast) -> None:
    refused(
        correct, act(), "12 seedlings lined out of pot 24-001-1-1, which had only 11", "last",
        thing=PotCount.objects.get(), standing=11,
    )  # fmt: skip


def test_correct__row_onto_another(act, cast) -> None:
    other = line_out(act(), pot=cast.pot, bed=cast.bed, row=1, first=13, seedlings=3).thing
    refused(correct, act(), "already holds seedlings", "first", thing=other, first=12, last=14)


def test_correct__row_away_from_a_selected_seedling(act, cast) -> None:
    select_seedling(act(), row=cast.row, position=12)
    refused(
        correct, act(), "Seedling 24-001A was selected at position 12", "last",
        thing=cast.row, last=11,
    )  # fmt: skip


def test_correct__row_into_a_struck_bed(act, cast) -> None:
    kept = add_bed(act(), name="Short Bed")
    undo(act(), line=kept.line)
    refused(correct, act(), "Short Bed was struck out", thing=cast.row, bed=kept.thing)


def test_correct__a_row_that_was_dug_from_a_bed_now_smaller(act, cast) -> None:
    put_away(act(), thing=cast.row, reason="dug")
    type(cast.bed).objects.filter(pk=cast.bed.pk).update(positions=5)
    assert correct(act(), thing=cast.flower, note="windy", reason="added").thing.note == "windy"


@pytest.fixture
def other_pod(act, cast) -> Pollination:
    """A second pod of the story's cross, alone in a second cup."""
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    flower = record_pollination(act(day=WORKED), **pair, tag=cast.tags[3]).thing
    harvest(act(day=HARVESTED), pollination=flower, seeds=7)
    flower.refresh_from_db()
    return flower


def test_correct__cup_that_a_pod_went_into(act, cast, other_pod) -> None:
    emptied = other_pod.cup
    kept = correct(act(), thing=other_pod, cup=cast.cup, reason="poured together")
    assert kept.line.text == "Corrected flower under tag 10031: cup 24-001-2 → 24-001-1"
    cast.cup.refresh_from_db()
    emptied.refresh_from_db()
    assert (cast.cup.seeds, emptied.struck) == (47, True)
    undo(act(), line=kept.line)
    for thing in (cast.cup, emptied, other_pod):
        thing.refresh_from_db()
    assert (cast.cup.seeds, emptied.seeds, emptied.struck) == (40, 7, False)
    assert other_pod.cup == emptied


def test_correct__cup_that_still_holds_another_pod_stays(act, cast, other_pod) -> None:
    third = record_pollination(
        act(day=WORKED), seed_parent=cast.teapot, pollen_parent=cast.ledger, tag=cast.free_tag
    ).thing
    harvest(act(day=HARVESTED), pollination=third, seeds=5, cup=other_pod.cup)
    correct(act(), thing=third, cup=cast.cup, reason="mixed up")
    other_pod.cup.refresh_from_db()
    assert (other_pod.cup.seeds, other_pod.cup.struck) == (7, False)


def test_correct__cup_refused(act, cast, other_pod) -> None:
    bee_cup = harvest(act(day=HARVESTED), pollination=cast.bee_flower, seeds=5).thing
    refused(correct, act(), "holds seed of another cross", "cup", thing=other_pod, cup=bee_cup)
    refused(
        correct, act(), "30 seeds sown from cup 24-001-1, which got only 0", "seeds",
        thing=cast.flower, cup=other_pod.cup,
    )  # fmt: skip
    refused(correct, act(), "Nothing was changed", thing=cast.failed, cup=cast.cup)
    refused(correct, act(), "Nothing was changed", thing=other_pod, cup=None)
    put_away(act(), thing=cast.cup, reason="given away")
    refused(correct, act(), "Cup 24-001-1 was put away", thing=other_pod, cup=cast.cup)
    assert correct(act(), thing=cast.flower, cup=cast.cup, seeds=41, reason="recount").thing


@pytest.mark.parametrize("name", ["cup", "pot", "row"])
def test_correct__putting_away_taken_back(act, cast, name: str) -> None:
    thing = getattr(cast, name)
    put_away(act(), thing=thing, reason="frost")
    kept = correct(act(), thing=thing, closed_on=None, closed_reason="", reason="wrong label")
    assert (kept.thing.closed_on, kept.thing.closed_reason) == (None, "")
    assert "closed on 2026-05-20 → nothing" in kept.line.text
    assert "closed reason frost → nothing" in kept.line.text


def test_correct__day_and_reason_of_putting_away(act, cast) -> None:
    put_away(act(), thing=cast.pot, reason="frost")
    day = date(2026, 5, 1)
    kept = correct(act(), thing=cast.pot, closed_on=day, closed_reason="slugs", reason="looked up")
    assert (kept.thing.closed_on, kept.thing.closed_reason) == (day, "slugs")


@pytest.mark.parametrize(
    ("name", "values", "field", "sentence"),
    [
        ("pot", {"closed_on": None}, "closed_reason", "Empty the reason as well"),
        ("pot", {"closed_reason": " "}, "closed_reason", "Write why it is put away"),
        ("pot", {"closed_on": date(2025, 6, 9)}, "day", "lies before the last lining out"),
        ("cup", {"closed_on": date(2024, 11, 1)}, "day", "lies before the last sowing"),
        ("row", {"closed_on": date(2025, 6, 9)}, "closed_on", "is before it was lined out"),
        ("row", {"lined_out_on": date(2026, 5, 21)}, "lined_out_on", "before it was lined out"),
        ("cup", {"closed_on": date(2024, 7, 1)}, "closed_on", "before the seed was harvested"),
        ("row", {"closed_on": date(2027, 6, 9)}, "closed_on", "has not come yet"),
    ],
)  # fmt: skip
def test_correct__putting_away_refused(act, cast, name, values, field, sentence) -> None:
    put_away(act(), thing=getattr(cast, name), reason="frost")
    refused(correct, act(), sentence, field, thing=getattr(cast, name), **values)


def test_correct__putting_away_is_its_own_verb(act, cast) -> None:
    away = {"closed_on": date(2026, 5, 1), "closed_reason": "frost"}
    refused(correct, act(), "Nothing was changed", thing=cast.pot, **away)


def test_correct__a_row_taken_back_where_another_stands_now(act, cast) -> None:
    put_away(act(day=date(2026, 5, 1)), thing=cast.row, reason="dug")
    line_out(act(), pot=cast.pot, bed=cast.bed, row=1, first=3, seedlings=2)
    refused(
        correct, act(), "Long Bed, row 1, 3–4 already holds seedlings", "first",
        thing=cast.row, closed_on=None, closed_reason="",
    )  # fmt: skip


def test_correct__a_row_dug_before_its_seedling_was_selected(act, cast) -> None:
    select_seedling(act(), row=cast.row, position=12)
    put_away(act(), thing=cast.row, reason="dug")
    refused(
        correct, act(), "lies before selecting 24-001A on 20 May 2026", "day",
        thing=cast.row, closed_on=date(2026, 5, 19),
    )  # fmt: skip


@pytest.mark.parametrize("name", ["cross", "flower", "cup", "pot", "row"])
def test_correct__first_note_needs_no_reason(act, cast, name: str) -> None:
    kept = correct(act(), thing=getattr(cast, name), note="windy")
    assert (kept.thing.note, kept.line.reason) == ("windy", "")
    assert kept.line.text.startswith("Note on ")
    assert kept.line.text.endswith(": windy")
    thing = kept.thing
    refused(correct, act(), "Write why", "reason", thing=thing, note="calm", reason="")


def test_correct__first_note_beside_another_change(act, cast) -> None:
    values = {"thing": cast.pot, "note": "windy", "seeds": 29}
    refused(correct, act(), "Write why", "reason", reason="", **values)


def test_first_violation__as_many_queries_however_many_rows(
    act, cast, django_assert_num_queries
) -> None:
    select_seedling(act(), row=cast.row, position=3)
    with django_assert_num_queries(9):
        assert first_violation(cast.cross) is None
    for first in (13, 15, 17):
        line_out(act(), pot=cast.pot, bed=cast.bed, row=1, first=first, seedlings=2)
    with django_assert_num_queries(9):
        assert first_violation(cast.cross) is None


def test_correct_placing__what_stood_there_stays_in_the_journal(act, cast) -> None:
    place = {"plant": cast.teapot, "bed": cast.bed, "position": "4", "increases": 3}
    placing = place_plant(act(day=WORKED), **place).thing
    other = add_bed(act(), name="Short Bed").thing
    since = date(2024, 5, 30)
    kept = correct_placing(
        act(), placing=placing, bed=other, position="5", increases=4, since=since, reason="misread"
    )
    assert (kept.thing.bed, kept.thing.position) == (other, "5")
    assert (kept.thing.increases, kept.thing.since) == (4, since)
    assert kept.line.reason == "misread"
    assert kept.line.text == (
        "Corrected where Quillon Teapot stands: Long Bed 4 with 3 increases since 1 June 2024 → "
        "Short Bed 5 with 4 increases since 30 May 2024"
    )
    undo(act(), line=kept.line)
    placing.refresh_from_db()
    assert (placing.bed, placing.position, placing.since) == (cast.bed, "4", WORKED)


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({}, "", "Nothing was changed"),
        ({"reason": " "}, "reason", "Write why it is corrected"),
        ({"increases": -1}, "increases", "counted from 0 to 5000"),
        ({"since": date(2026, 6, 1)}, "since", "has not come yet"),
        ({"since": date(2026, 5, 19)}, "since", "only until 1 May 2026"),
    ],
)
def test_correct_placing__refused(act, cast, values, field, sentence) -> None:
    place = {"bed": cast.bed, "position": "4", "increases": None}
    placing = place_plant(act(day=WORKED), plant=cast.teapot, **place).thing
    place_plant(act(day=date(2026, 5, 1)), plant=cast.teapot, **place)
    now = place | {"since": WORKED}
    refused(correct_placing, act(), sentence, field, placing=placing, **now | values)


def test_correct__struck_thing(act, cast) -> None:
    sown = sow(act(), cup=cast.cup, seeds=1)
    undo(act(), line=sown.line)
    refused(correct, act(), "struck out; there is nothing to correct", thing=sown.thing, seeds=2)


def test_correct__note_after_the_garden_moved_to_the_south(act, cast) -> None:
    change_garden(act(), hemisphere="S")
    assert correct(act(), thing=cast.flower, note="windy", reason="added").thing.note == "windy"


def test_correct__undone(act, cast) -> None:
    line = correct(act(), thing=cast.flower, seeds=44, reason="recounted").line
    undo(act(), line=line)
    cast.flower.refresh_from_db()
    cast.cup.refresh_from_db()
    assert (cast.flower.seeds, cast.cup.seeds) == (40, 40)


def test_correct__same_entry(act, cast) -> None:
    entry = uuid.uuid4()
    values = {"thing": cast.flower, "reason": "recounted"}
    correct(act(entry=entry), seeds=44, **values)
    assert correct(act(entry=entry), seeds=44, **values).again
    refused(correct, act(entry=entry), "already kept", seeds=45, **values)


def test_correct__visitor(act, cast, visitor) -> None:
    refused(correct, act(visitor), "Visitors read", thing=cast.flower, seeds=44)


def test_correct_parents__moves_the_flower(act, cast) -> None:
    kept = correct_parents(
        act(), pollination=cast.failed, seed_parent=cast.teapot, pollen_parent=cast.guest,
        reason="seen",
    )  # fmt: skip
    assert kept.thing.cross.code == "24-003"
    assert kept.line.text == "Tag 10015 moved from 24-001 to 24-003"
    cast.cross.refresh_from_db()
    assert (cast.cross.flowers, cast.cross.failed) == (1, 0)
    assert (kept.thing.cross.flowers, kept.thing.cross.failed) == (1, 1)


def test_correct_parents__strikes_out_a_cross_left_empty(act, cast) -> None:
    correct_parents(
        act(), pollination=cast.bee_flower, seed_parent=cast.postman, pollen_parent=cast.oboe,
        reason="seen",
    )  # fmt: skip
    assert Cross.objects.get(pk=cast.bee_cross.pk).struck


@pytest.mark.parametrize(
    ("name", "parents", "field", "sentence"),
    [
        ("failed", ("teapot", "ledger"), "", "parents that stand there already"),
        ("flower", ("teapot", "guest"), "", "already lies in cup 24-001-1"),
        ("failed", ("teapot", None), "pollen_parent", "Choose the pollen parent"),
    ],
)
def test_correct_parents__refused(act, cast, name, parents, field, sentence) -> None:
    seed, pollen = (getattr(cast, parent) if parent else None for parent in parents)
    pair = {"seed_parent": seed, "pollen_parent": pollen}
    refused(correct_parents, act(), sentence, field, pollination=getattr(cast, name), **pair)


@pytest.mark.parametrize(
    ("verb", "thing"),
    [(correct_parents, {"pollination": "failed"}), (correct_cross, {"cross": "cross"})],
)
def test_correct_parents_or_cross__struck_plant(act, cast, verb, thing: dict) -> None:
    strike_plant(act(), plant=cast.guest, reason="")
    ((key, name),) = thing.items()
    pair = {"seed_parent": cast.guest, "pollen_parent": cast.oboe, key: getattr(cast, name)}
    refused(verb, act(), "Q 17-3 was struck out", "seed_parent", **pair)


def test_correct_cross__everything_stays_together(act, cast) -> None:
    kept = correct_cross(
        act(), cross=cast.cross, seed_parent=cast.teapot, pollen_parent=None, pollen_unknown=True,
        reason="not sure any more",
    )  # fmt: skip
    assert (kept.thing.code, kept.thing.pollen_unknown, kept.thing.flowers) == ("24-001", True, 2)
    assert kept.line.text == "24-001 is Quillon Teapot × unknown"
    assert kept.line.changed[0]["before"]["pollen_parent"] == cast.ledger.pk


def test_correct_cross__combination_of_another(act, cast) -> None:
    refused(
        correct_cross, act(), "24-002 of this season already has these parents", "seed_parent",
        cross=cast.cross, seed_parent=cast.postman, pollen_parent=None, pollen_unknown=True,
    )  # fmt: skip


def test_correct_cross__nothing_changed(act, cast) -> None:
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    refused(correct_cross, act(), "Nothing was changed", cross=cast.cross, **pair)


def test_correct_cross__struck(act, cast) -> None:
    flower = record_pollination(
        act(), seed_parent=cast.guest, pollen_parent=cast.oboe, tag=cast.free_tag
    )
    undo(act(), line=flower.line)
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.oboe}
    refused(correct_cross, act(), "Cross 26-001 was struck out", cross=flower.thing.cross, **pair)


def test_correct_cross__selected_seedlings_follow(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=3).thing.plant
    corrected = correct_cross(
        act(), cross=cast.cross, seed_parent=cast.guest, pollen_parent=None, pollen_unknown=True,
        reason="seen",
    )  # fmt: skip
    plant.refresh_from_db()
    assert (plant.seed_parent, plant.pollen_parent) == (cast.guest, None)
    assert plant.pollen_parent_text == "unknown"
    undo(act(), line=corrected.line)
    plant.refresh_from_db()
    assert (plant.seed_parent, plant.pollen_parent, plant.pollen_parent_text) == (
        cast.teapot, cast.ledger, "",
    )  # fmt: skip


def test_correct_cross__parents_corrected_on_their_own_stay(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=3).thing.plant
    change_plant(act(), plant=plant, pollen_parent=cast.postman)
    correct_cross(
        act(), cross=cast.cross, seed_parent=cast.guest, pollen_parent=cast.oboe, reason="seen"
    )
    assert Plant.objects.get(pk=plant.pk).pollen_parent == cast.postman


def test_correct_cross__its_own_seedling_is_no_parent(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=3).thing.plant
    refused(
        correct_cross, act(), "24-001A cannot be its own parent", "seed_parent",
        cross=cast.cross, seed_parent=plant, pollen_parent=cast.ledger,
    )  # fmt: skip
