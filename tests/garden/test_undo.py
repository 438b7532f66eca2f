"""Taking back, for every verb: what it made is struck out, what it changed returns."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup, Tag, TagBatch
from breeding.records import (
    correct,
    correct_cross,
    correct_parents,
    count_up,
    harvest,
    line_out,
    note_pod,
    print_tags,
    put_away,
    record_pollination,
    sow,
    spoil_tag,
)
from evaluation.models import Seedling
from evaluation.records import select_seedling
from garden.models import Bed, Fact, Garden, JournalLine, JournalMention, Placing, Plant
from garden.records import (
    add_bed,
    add_plant,
    change_bed,
    change_plant,
    import_plants,
    place_plant,
    strike_plant,
    undo,
)
from garden.verbs import Act, Kept, Refused
from tests.cast import Cast

FACTS = (
    Bed, Cross, Placing, Plant, Pollination, Pot, PotCount, Row, SeedCup, Seedling, Tag, TagBatch,
)  # fmt: skip

# What somebody does in the garden of the story, by verb.
DOINGS: dict[str, Callable[[Act, Cast], Kept]] = {
    "add_plant": lambda act, cast: add_plant(act, name="Kettle Moon", seed_parent=cast.oboe),
    "change_plant": lambda act, cast: change_plant(act, plant=cast.guest, seed_parent=cast.oboe),
    "strike_plant": lambda act, cast: strike_plant(act, plant=cast.guest, reason="twice"),
    "place_plant": lambda act, cast: place_plant(act, plant=cast.guest, bed=cast.bed),
    "import_plants": lambda act, cast: import_plants(
        act, text="name,seed_parent,bed\nChild,Moon,New Bed\nMoon,,New Bed"
    ),
    "add_bed": lambda act, cast: add_bed(act, name="Short Bed"),
    "change_bed": lambda act, cast: change_bed(
        act, bed=cast.bed, name="Longest Bed", rows=9, positions=90
    ),
    "print_tags": lambda act, cast: print_tags(act, count=3),
    "spoil_tag": lambda act, cast: spoil_tag(
        act, tag=Tag.objects.get(code=cast.free_tag), reason="torn"
    ),
    "record_pollination, first of its cross": lambda act, cast: record_pollination(
        act, seed_parent=cast.guest, pollen_parent=cast.oboe, tag=cast.free_tag
    ),
    "record_pollination, a selfing": lambda act, cast: record_pollination(
        act, seed_parent=cast.guest, pollen_parent=cast.guest, tag=cast.free_tag
    ),
    "note_pod": lambda act, cast: note_pod(act, pollination=cast.bee_flower, pod_set=True),
    "harvest": lambda act, cast: harvest(act, pollination=cast.bee_flower, seeds=7),
    "sow": lambda act, cast: sow(act, cup=cast.cup, seeds=10),
    "sow, more than there is": lambda act, cast: sow(
        act, cup=cast.cup, seeds=30, more_reason="counted badly"
    ),
    "count_up": lambda act, cast: count_up(act, pot=cast.pot, standing_now=8),
    "count_up, more than were sown": lambda act, cast: count_up(
        act, pot=cast.pot, standing_now=30, more_reason="two stuck together"
    ),
    "line_out": lambda act, cast: line_out(
        act, pot=cast.pot, bed=cast.bed, row=2, first=1, seedlings=6
    ),
    "line_out, more than came up": lambda act, cast: line_out(
        act, pot=cast.pot, bed=cast.bed, row=2, first=1, seedlings=9, more_reason="late ones"
    ),
    "put_away cup": lambda act, cast: put_away(act, thing=cast.cup, reason="given away"),
    "put_away pot": lambda act, cast: put_away(act, thing=cast.pot, reason="thrown out"),
    "put_away row": lambda act, cast: put_away(act, thing=cast.row, reason="dug"),
    "correct": lambda act, cast: correct(act, thing=cast.flower, seeds=44, reason="recounted"),
    "correct_parents, cross left empty": lambda act, cast: correct_parents(
        act, pollination=cast.bee_flower, seed_parent=cast.postman, pollen_parent=cast.oboe,
        reason="seen",
    ),
    "correct_parents, into a cross that is there": lambda act, cast: correct_parents(
        act, pollination=cast.bee_flower, seed_parent=cast.teapot, pollen_parent=cast.ledger,
        reason="seen",
    ),
    "correct_cross": lambda act, cast: correct_cross(
        act, cross=cast.cross, seed_parent=cast.teapot, pollen_parent=cast.guest, reason="seen"
    ),
    "select_seedling": lambda act, cast: select_seedling(act, row=cast.row, position=3),
}  # fmt: skip


def standing() -> dict[str, dict[int, tuple]]:
    """Every fact that stands, with all its fields; a tag stands while its sheet does."""
    facts = {model: model.live.all() for model in FACTS}
    facts[Tag] = facts[Tag].filter(batch__struck=False)
    return {
        model.__name__: {row[0]: row for row in rows.values_list()} for model, rows in facts.items()
    }


@pytest.mark.parametrize("name", DOINGS)
def test_undo__puts_everything_back(act, cast, name: str) -> None:
    before = standing()
    kept = DOINGS[name](act(), cast)
    assert standing() != before
    taken_back = undo(act(), line=kept.line)
    assert standing() == before
    assert taken_back.line.undoes == kept.line
    assert taken_back.line.text == f"Undone: {kept.line.text}"[:400]


@pytest.mark.parametrize("name", DOINGS)
def test_undo__of_the_undo_does_it_again(act, cast, name: str) -> None:
    kept = DOINGS[name](act(), cast)
    done = standing()
    taken_back = undo(act(), line=kept.line)
    again = undo(act(), line=taken_back.line)
    assert standing() == done
    undo(act(), line=again.line)
    assert standing() != done


@pytest.mark.parametrize("name", DOINGS)
def test_undo__erases_nothing(act, cast, name: str) -> None:
    kept = DOINGS[name](act(), cast)
    sizes = {model: model.objects.count() for model in FACTS}
    lines = JournalLine.objects.count()
    undo(act(), line=kept.line)
    assert {model: model.objects.count() for model in FACTS} == sizes
    assert JournalLine.objects.count() == lines + 1


def refused_undo(act: Callable[..., Any], line: JournalLine, sentence: str) -> None:
    before = standing()
    with pytest.raises(Refused, match=sentence):
        undo(act(), line=line)
    assert standing() == before


def line_of(thing: Fact, verb: str) -> JournalLine:
    """The line by which `verb` wrote or changed `thing`."""
    spoken = JournalMention.objects.filter(kind=thing.record_kind, thing_id=thing.pk)
    return JournalLine.objects.filter(verb=verb, mentions__in=spoken).order_by("id").first()


def test_undo__twice(act, cast) -> None:
    line = add_bed(act(), name="Short Bed").line
    undo(act(), line=line)
    refused_undo(act, line, "already undone")


def test_undo__same_entry_again(act, cast) -> None:
    line = add_bed(act(), name="Short Bed").line
    first = undo(act(entry=(entry := uuid.uuid4())), line=line)
    again = undo(act(entry=entry), line=line)
    assert (again.again, again.line) == (True, first.line)


def test_undo__another_persons_line(act, cast, helper_person) -> None:
    line = add_bed(act(), name="Short Bed").line
    with pytest.raises(Refused, match="Wanda recorded this; they or the owner can undo it"):
        undo(act(helper_person), line=line)


def test_undo__ones_own_line(act, cast, helper_person) -> None:
    line = add_bed(act(helper_person), name="Short Bed").line
    assert undo(act(helper_person), line=line).thing.struck


def test_undo__a_helpers_line_by_the_owner(act, cast, helper_person) -> None:
    line = add_bed(act(helper_person), name="Short Bed").line
    assert undo(act(), line=line).thing.struck


def test_undo__visitor(act, cast, visitor) -> None:
    line = add_bed(act(), name="Short Bed").line
    with pytest.raises(Refused, match="Visitors read"):
        undo(act(visitor), line=line)


@pytest.mark.parametrize(
    ("thing", "verb", "sentence"),
    [
        ("flower", "record_pollination", "its seed is in cup 24-001-1"),
        ("flower", "note_pod", "was changed again since"),
        ("cup", "harvest", "30 seeds sown from cup 24-001-1, which got only 0"),
        ("pot", "sow", "hangs on it"),
        ("bed", "add_bed", "row Long Bed, row 1, 1–12 hangs on it"),
        ("sheet", "print_tags", "tag 10007 hangs on a flower"),
        ("teapot", "add_plant", "plant Oboe for Hannes hangs on it"),
        ("ledger", "add_plant", "plant Oboe for Hannes hangs on it"),
        ("postman", "add_plant", "cross 24-002 hangs on it"),
    ],
)
def test_undo__refused_while_something_hangs_on_it(
    act, cast, thing: str, verb: str, sentence: str
) -> None:
    refused_undo(act, line_of(getattr(cast, thing), verb), sentence)


def test_undo__row_with_a_selected_seedling(act, cast) -> None:
    select_seedling(act(), row=cast.row, position=3)
    refused_undo(act, line_of(cast.row, "line_out"), "judged seedling 24-001A hangs on it")


def test_undo__seedling_that_was_used(act, cast) -> None:
    kept = select_seedling(act(), row=cast.row, position=3)
    record_pollination(
        act(), seed_parent=kept.thing.plant, pollen_parent=cast.guest, tag=cast.free_tag
    )
    refused_undo(act, kept.line, "cross 26-001 hangs on it")


def test_undo__the_count_that_a_row_rests_on(act, cast) -> None:
    count_up(act(day=date(2025, 5, 1)), pot=cast.pot, standing_now=4)
    refused_undo(act, line_of(cast.pot, "count_up"), "12 seedlings lined out of pot .* only 4")


def test_undo__cross_stays_for_its_other_flowers(act, cast) -> None:
    first = record_pollination(
        act(), seed_parent=cast.guest, pollen_parent=cast.oboe, tag=cast.tags[-1]
    )
    record_pollination(act(), seed_parent=cast.guest, pollen_parent=cast.oboe, tag=cast.tags[-2])
    undo(act(), line=first.line)
    cross = Cross.live.get(pk=first.thing.cross_id)
    assert cross.flowers == 1


def test_undo__numbers_are_never_given_again(act, cast) -> None:
    for _ in range(3):
        flower = record_pollination(
            act(), seed_parent=cast.guest, pollen_parent=cast.oboe, tag=cast.free_tag
        )
        undo(act(), line=flower.line)
        pot = sow(act(), cup=cast.cup, seeds=1)
        undo(act(), line=pot.line)
        seedling = select_seedling(act(), row=cast.row, position=3)
        undo(act(), line=seedling.line)
    assert list(Cross.objects.filter(season=2026).values_list("code", flat=True)) == [
        "26-001", "26-002", "26-003",
    ]  # fmt: skip
    assert list(Pot.objects.filter(struck=True).values_list("code", flat=True)) == [
        "24-001-1-2", "24-001-1-3", "24-001-1-4",
    ]  # fmt: skip
    assert [seedling.letter for seedling in Seedling.objects.all()] == ["A", "B", "C"]


def test_undo__tag_numbers_are_never_given_again(act, bare) -> None:
    first = print_tags(act(), count=3)
    undo(act(), line=first.line)
    second = print_tags(act(), count=3).thing
    old = set(Tag.objects.filter(batch=first.thing).values_list("code", flat=True))
    new = set(Tag.objects.filter(batch=second).values_list("code", flat=True))
    assert len(old | new) == 6


def test_undo__again_when_the_tag_hangs_elsewhere_meanwhile(act, cast) -> None:
    pair = {"seed_parent": cast.guest, "tag": cast.free_tag}
    taken_back = undo(
        act(), line=record_pollination(act(), pollen_parent=cast.oboe, **pair).line
    ).line
    record_pollination(act(), pollen_parent=cast.teapot, **pair)
    refused_undo(act, taken_back, "does not fit what is recorded")


def test_undo__again_when_the_position_is_taken_meanwhile(act, cast) -> None:
    place = {"pot": cast.pot, "bed": cast.bed, "row": 2, "first": 1, "seedlings": 2}
    taken_back = undo(act(), line=line_out(act(), **place).line).line
    line_out(act(), **place)
    refused_undo(act, taken_back, "already holds seedlings of 24-001")


def test_undo__again_when_what_it_hangs_on_is_gone(act, cast) -> None:
    filled = harvest(act(), pollination=cast.bee_flower, seeds=7)
    sown = sow(act(), cup=filled.thing, seeds=7)
    taken_back = undo(act(), line=sown.line).line
    undo(act(), line=filled.line)
    refused_undo(act, taken_back, "cup 24-002-1 was struck out")


def test_undo__again_when_the_tag_sheet_is_gone(act, cast) -> None:
    sheet = print_tags(act(), count=1)
    tag = Tag.objects.get(batch=sheet.thing)
    flower = record_pollination(
        act(), seed_parent=cast.guest, pollen_parent=cast.oboe, tag=tag.code
    )
    taken_back = undo(act(), line=flower.line).line
    undo(act(), line=sheet.line)
    refused_undo(act, taken_back, f"tag {tag} was struck out")


def test_undo__again_and_undone_while_something_hangs_on_it(act, cast) -> None:
    sown = sow(act(), cup=cast.cup, seeds=10)
    again = undo(act(), line=undo(act(), line=sown.line).line).line
    count_up(act(), pot=sown.thing, standing_now=2)
    refused_undo(act, again, "hangs on it")


def test_undo__a_flower_that_moved_leaves_right_sums_behind(act, cast) -> None:
    moved = correct_parents(
        act(), pollination=cast.bee_flower, seed_parent=cast.teapot, pollen_parent=cast.ledger,
        reason="seen",
    )  # fmt: skip
    cast.cross.refresh_from_db()
    assert cast.cross.flowers == 3
    undo(act(), line=moved.line)
    cast.cross.refresh_from_db()
    assert cast.cross.flowers == 2


def test_undo__speaks_of_both_crosses(act, cast) -> None:
    moved = correct_parents(
        act(), pollination=cast.bee_flower, seed_parent=cast.teapot, pollen_parent=cast.ledger,
        reason="seen",
    )  # fmt: skip
    line = undo(act(), line=moved.line).line
    spoken = set(line.mentions.filter(kind="breeding.cross").values_list("thing_id", flat=True))
    assert spoken == {cast.cross.pk, cast.bee_cross.pk}


def test_undo__the_name_was_given_to_another_meanwhile(act, cast) -> None:
    line = strike_plant(act(), plant=cast.guest, reason="twice").line
    add_plant(act(), number="Q 17-3")
    refused_undo(act, line, "does not fit what is recorded")


def test_undo__the_garden_keeps_its_next_tag(act, bare) -> None:
    print_tags(act(), count=3)
    ahead = Garden.objects.get().next_tag
    undo(act(), line=JournalLine.objects.get())
    assert Garden.objects.get().next_tag == ahead
