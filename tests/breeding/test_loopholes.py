"""Ways round the rules that somebody found, and that stay closed."""

from __future__ import annotations

from datetime import date

import pytest

from breeding.invariants import violations
from breeding.models import Pollination, Pot, PotCount, SeedCup
from breeding.records import (
    correct,
    correct_cross,
    correct_parents,
    count_up,
    harvest,
    line_out,
    put_away,
    record_pollination,
    sow,
    spoil_tag,
)
from evaluation.records import select_seedling
from garden.models import JournalLine, Person
from garden.records import add_person, add_plant, change_garden, change_plant, import_plants, undo
from garden.verbs import Refused
from tests.cast import HARVESTED, IN_BLOOM, SOWN, noon

pytestmark = pytest.mark.django_db


def test_correct__count_cannot_pass_the_putting_away(act, cast) -> None:
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=5).thing
    count_up(act(), pot=pot, standing_now=3, day=date(2025, 4, 1))
    put_away(act(), thing=pot, reason="frost", day=date(2025, 5, 1))
    count = PotCount.live.get(pot=pot)
    with pytest.raises(Refused, match="its last count"):
        correct(act(), thing=count, reason="misread", day=date(2025, 6, 1))
    correct(act(), thing=count, reason="misread", day=date(2025, 4, 20))
    assert list(violations(cast.cross)) == []


def test_put_away__cup_not_before_its_last_harvest(act, cast) -> None:
    late = date(2024, 8, 20)
    flower = record_pollination(
        act(day=cast.flower.day),
        seed_parent=cast.teapot,
        pollen_parent=cast.ledger,
        tag=cast.free_tag,
    ).thing
    harvest(act(day=late), pollination=flower, seeds=3, cup=cast.cup)
    with pytest.raises(Refused, match="the last harvest"):
        put_away(act(), thing=cast.cup, reason="full", day=HARVESTED)


def test_line_out__dated_before_a_count_adds_to_what_came_up(act, cast) -> None:
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=10).thing
    count_up(act(), pot=pot, standing_now=10, day=date(2025, 6, 1))
    place = {"bed": cast.bed, "row": 3, "first": 1, "seedlings": 10, "day": date(2025, 5, 1)}
    with pytest.raises(Refused, match="20 came up in pot 24-001-1-2, which got only 10 seeds"):
        line_out(act(), pot=pot, **place)
    line_out(act(), pot=pot, **place, more_reason="a second sowing went into it")
    assert Pot.objects.get(pk=pot.pk).up == 20


def test_undo__does_not_bring_back_a_tag_that_was_set_aside(act, cast) -> None:
    moved = correct(
        act(), thing=cast.bee_flower, reason="misread", tag=cast.free_tag
    ).line  # fmt: skip
    spoil_tag(act(), tag=cast.bee_flower.tag, reason="torn")
    with pytest.raises(Refused, match="was struck out"):
        undo(act(), line=moved)


def test_change_plant__own_seedling_keeps_its_parents(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=2).thing.plant
    with pytest.raises(Refused, match="keeps its parents"):
        change_plant(act(), plant=plant, seed_parent=None)
    change_plant(act(), plant=plant, seed_parent=None, seed_parent_text="unknown")
    assert plant.pollen_parent == cast.ledger


def test_correct_cross__not_to_its_own_seedling(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=2).thing.plant
    change_plant(act(), plant=plant, seed_parent=cast.oboe, pollen_parent=cast.guest)
    with pytest.raises(Refused, match="its own parent|descends from"):
        correct_cross(
            act(), cross=cast.cross, seed_parent=plant, pollen_parent=cast.ledger, reason="slip"
        )


def test_correct_parents__leaves_no_cup_under_a_struck_cross(act, cast) -> None:
    kept = harvest(act(), pollination=cast.bee_flower, seeds=3)
    undo(act(), line=kept.line)
    SeedCup.objects.filter(pk=kept.thing.pk).update(struck=False)
    correct_parents(
        act(),
        pollination=cast.bee_flower,
        seed_parent=cast.postman,
        pollen_parent=cast.oboe,
        reason="seen",
    )
    assert SeedCup.objects.get(pk=kept.thing.pk).struck


def test_correct__note_after_a_change_of_hemisphere(act, cast) -> None:
    change_garden(act(), hemisphere="S")
    flower = Pollination.objects.get(pk=cast.flower.pk)
    correct(act(), thing=flower, reason="later", note="a windy day", day=flower.day)
    assert Pollination.objects.get(pk=flower.pk).note == "a windy day"


def test_record_pollination__seasons_a_century_apart_share_no_numbers(act, cast) -> None:
    with pytest.raises(Refused, match="24-001 is a cross of 2024"):
        record_pollination(
            act(),
            seed_parent=cast.oboe,
            pollen_parent=cast.guest,
            tag=cast.free_tag,
            day=date(1924, 6, 1),
        )


def test_day__is_measured_by_the_clock_that_received_it(act, cast) -> None:
    ahead = act(day=date(2026, 5, 21), received_at=noon(IN_BLOOM))
    with pytest.raises(Refused, match="has not come yet"):
        count_up(ahead, pot=cast.pot, standing_now=1, day=date(2026, 5, 22))


@pytest.mark.parametrize(
    "name", ["Quillon\u200b Teapot", "Quil\u00adlon Teapot", "QUILLON  TEAPOT", "‘Quillon Teapot’"]
)
def test_add_plant__no_second_plant_that_looks_the_same(act, cast, name: str) -> None:
    with pytest.raises(Refused, match="already in the stock"):
        add_plant(act(), name=name)


@pytest.mark.parametrize("name", ["\u200b", "\u2800", "\u3164", "unknown", "UNKNOWN"])
def test_add_plant__a_name_can_be_seen_and_means_a_plant(act, cast, name: str) -> None:
    with pytest.raises(Refused):
        add_plant(act(), name=name)


def test_import_plants__unknown_is_a_parent_that_nobody_knows(act, cast) -> None:
    import_plants(act(), text="name,seed_parent\nHat on a Fence,Unknown")
    line = JournalLine.objects.get(verb="import_plants")
    assert line.text.startswith("Took in 1 plant")
    with pytest.raises(Refused, match="‘Unknown’ stands for"):
        import_plants(act(), text="name\nUnknown")


@pytest.mark.parametrize(("name", "door"), [("ﬁnn", "finn"), ("Zoe\u0308", "Zoë")])
def test_add_person__can_sign_in_by_the_name_as_the_door_reads_it(act, client, name, door) -> None:
    add_person(act(), name=name, role="helper", password="three wet boots")
    assert client.login(username=door, password="three wet boots")
    with pytest.raises(Refused, match="already somebody"):
        add_person(act(), name=door.upper(), role="helper", password="three wet boots")
    assert Person.objects.filter(role="helper").count() == 1


def test_undo__takes_a_long_list_back_in_few_queries(
    act, cast, django_assert_max_num_queries
) -> None:
    names = "\n".join(f"Plank {n},{'Plank ' + str(n - 1) if n else ''}" for n in range(60))
    line = import_plants(act(), text=f"name,seed_parent\n{names}").line
    with django_assert_max_num_queries(60 + 90):
        undo(act(), line=line)
    line = import_plants(act(), text="name,seed_parent\n" + names.replace("Plank", "Board")).line
    add_plant(act(), name="Sawdust", seed_parent_text="", notes="")
    change_plant(act(), plant=cast.guest, seed_parent=cast.guest.__class__.live.get(name="Board 3"))
    with pytest.raises(Refused, match="Q 17-3 hangs on it"):
        undo(act(), line=line)
