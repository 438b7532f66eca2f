from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import pytest

from breeding.lifeline import Thread, life_of
from breeding.models import Cross
from breeding.records import (
    count_up,
    harvest,
    line_out,
    note_pod,
    put_away,
    record_pollination,
    sow,
)
from evaluation.records import select_seedling
from garden.calendar import GardenCalendar
from garden.models import JournalLine
from garden.records import undo
from tests.cast import COUNTED, HARVESTED, IN_BLOOM, LINED_OUT, LOOKED, SOWN, WORKED

CALENDAR = GardenCalendar()


def told(cross: Cross) -> list[tuple[date, str, str, str]]:
    return [(e.day, e.step, e.text, e.detail) for e in Thread.of(cross).events()]


def following(cross: Cross, today: date) -> list[tuple[date, str, str]]:
    return [(n.day, n.key, n.text) for n in Thread.of(cross).next_steps(CALENDAR, today)]


def test_events__the_whole_story_in_order(cast) -> None:
    assert told(cast.cross) == [
        (WORKED, "worked", "2 flowers worked", ""),
        (LOOKED, "set", "1 pod set", ""),
        (LOOKED, "failed", "1 pod failed", "dried up"),
        (HARVESTED, "harvested", "40 seeds from 1 pod", ""),
        (SOWN, "sown", "30 seeds sown", ""),
        (COUNTED, "up", "18 seedlings standing", ""),
        (LINED_OUT, "out", "12 seedlings lined out", ""),
    ]


def test_events__speak_of_things(cast) -> None:
    things = {event.step: event.things for event in Thread.of(cast.cross).events()}
    assert things["worked"] == [cast.flower, cast.failed]
    assert (things["harvested"], things["sown"], things["out"]) == (
        [cast.cup], [cast.pot], [cast.row],
    )  # fmt: skip


def test_events__what_was_put_away(act, cast) -> None:
    put_away(act(), thing=cast.row, reason="dug")
    assert told(cast.cross)[-1] == (date(2026, 5, 20), "away", "Row put away", "dug")


def test_events__nothing_that_was_taken_back(act, cast) -> None:
    count_up(act(), pot=cast.pot, standing_now=3)
    undo(act(), line=JournalLine.objects.first())
    assert sum(step == "up" for _, step, _, _ in told(cast.cross)) == 1


def test_events__a_harvest_leads_to_its_cup(act, cast) -> None:
    cup = harvest(act(day=HARVESTED), pollination=cast.bee_flower, seeds=5).thing
    assert told(cast.bee_cross)[-1][2] == "5 seeds from 1 pod"
    assert Thread.of(cast.bee_cross).events()[-1].things == [cup]


def test_events__selected_seedlings(act, cast) -> None:
    one = select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing
    assert told(cast.cross)[-1] == (IN_BLOOM, "selected", "1 seedling selected", "wide falls")
    other = select_seedling(act(), row=cast.row, position=4).thing
    last = Thread.of(cast.cross).events()[-1]
    assert (last.text, last.things, last.detail) == ("2 seedlings selected", [one, other], "")


@pytest.fixture
def forked(act, cast) -> SimpleNamespace:
    """The story's thread with a second pod, cup, pot and row beside the first."""
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    flower = record_pollination(act(day=WORKED), **pair, tag=cast.tags[3]).thing
    cup = harvest(act(day=HARVESTED), pollination=flower, seeds=7).thing
    pot = sow(act(day=SOWN), cup=cup, seeds=7).thing
    count_up(act(day=COUNTED), pot=pot, standing_now=5)
    place = {"bed": cast.bed, "row": 2, "first": 1}
    row = line_out(act(day=LINED_OUT), pot=pot, **place, seedlings=4).thing
    count_up(act(), pot=pot, standing_now=1)
    seedling = select_seedling(act(), row=row, position=2).thing
    return SimpleNamespace(flower=flower, cup=cup, pot=pot, row=row, seedling=seedling)


WAY = ["worked", "harvested", "sown", "up", "out"]


@pytest.mark.parametrize(
    ("name", "steps"),
    [
        ("flower", [*WAY, "up", "selected"]),
        ("cup", [*WAY, "up", "selected"]),
        ("pot", [*WAY, "up", "selected"]),
        # What was counted in the pot after the row was lined out is no part of its way.
        ("row", [*WAY, "selected"]),
        ("seedling", [*WAY, "selected"]),
    ],
)
def test_branch__leads_to_a_thing_and_on_from_it(cast, forked, name, steps) -> None:
    branch = Thread.of(cast.cross).branch(getattr(forked, name))
    events = branch.events()
    assert [event.step for event in events] == steps
    texts = [event.text for event in events]
    assert texts[:3] == ["1 flower worked", "7 seeds from 1 pod", "7 seeds sown"]
    assert texts[4] == "4 seedlings lined out"


def test_branch__of_a_flower_that_failed(cast, forked) -> None:
    branch = Thread.of(cast.cross).branch(cast.failed)
    assert [event.step for event in branch.events()] == ["worked", "failed"]


def test_branch__of_a_cup_with_two_pods_and_pots(act, cast) -> None:
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    flower = record_pollination(act(day=WORKED), **pair, tag=cast.tags[3]).thing
    harvest(act(day=HARVESTED), pollination=flower, seeds=7, cup=cast.cup)
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=7).thing
    thread = Thread.of(cast.cross)
    assert [e.text for e in thread.branch(cast.cup).events()][2:4] == [
        "47 seeds from 2 pods", "30 seeds sown",
    ]  # fmt: skip
    assert [e.text for e in thread.branch(pot).events()] == [
        "2 flowers worked", "1 pod set", "47 seeds from 2 pods", "7 seeds sown",
    ]  # fmt: skip
    assert [e.text for e in thread.branch(flower).events()][:2] == [
        "1 flower worked", "7 seeds from 1 pod",
    ]  # fmt: skip


def test_branch__what_only_leads_there_has_no_next_step(act, cast) -> None:
    put_away(act(), thing=cast.cup, reason="given away")
    branch = Thread.of(cast.cross).branch(cast.row)
    assert "away" not in [event.step for event in branch.events()]
    assert [step.key for step in branch.next_steps(CALENDAR, SOWN)] == ["bloom"]


def test_life_of__as_many_queries_wherever_it_is_asked(
    cast, forked, django_assert_num_queries
) -> None:
    for thing in (forked.flower, forked.pot, forked.seedling):
        asked = type(thing).objects.select_related(*PATHS[type(thing).__name__]).get(pk=thing.pk)
        with django_assert_num_queries(6):
            life = life_of(asked, CALENDAR, SOWN)
        assert asked not in [step.thing for step in life["next_steps"]]


PATHS = {"Pollination": ["cross"], "Pot": ["cup__cross"], "Seedling": ["cross"]}


def test_thread__as_many_queries_however_long(act, cast, django_assert_num_queries) -> None:
    def read() -> None:
        thread = Thread.of(Cross.objects.get(pk=cast.cross.pk))
        assert thread.events()
        assert thread.next_steps(CALENDAR, SOWN)
        assert [str(thing) for event in thread.events() for thing in event.things]

    with django_assert_num_queries(1 + 6):
        read()
    for seeds in (2, 3, 4):
        pot = sow(act(), cup=cast.cup, seeds=seeds).thing
        count_up(act(), pot=pot, standing_now=1)
    with django_assert_num_queries(1 + 6):
        read()


def test_next_steps__look_then_harvest(act, cast) -> None:
    assert following(cast.bee_cross, WORKED) == [(date(2024, 6, 21), "look", "Look at tag 10023")]
    note_pod(act(day=LOOKED), pollination=cast.bee_flower, pod_set=True)
    assert following(cast.bee_cross, LOOKED) == [
        (date(2024, 7, 29), "harvest", "Harvest tag 10023")
    ]


def test_next_steps__of_cup_pot_and_row(cast) -> None:
    assert following(cast.cross, LINED_OUT) == [
        (date(2024, 11, 25), "sow", "Sow 10 seeds of cup 24-001-1"),
        (date(2025, 5, 15), "line-out", "Line out 6 of pot 24-001-1-1"),
        (date(2026, 5, 10), "bloom", f"First bloom in {cast.row}"),
    ]


def test_next_steps__a_pot_in_its_springs(act, cast) -> None:
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=10).thing
    assert (date(2025, 3, 25), "count", f"Count pot {pot}") in following(cast.cross, SOWN)
    later = following(cast.cross, date(2027, 1, 1))
    assert f"Count pot {pot}" not in {text for _, _, text in later}


@pytest.mark.parametrize("name", ["cup", "pot", "row"])
def test_next_steps__nothing_of_what_was_put_away(act, cast, name: str) -> None:
    thing = getattr(cast, name)
    put_away(act(), thing=thing, reason="done")
    assert thing not in [step.thing for step in Thread.of(cast.cross).next_steps(CALENDAR, SOWN)]


def test_next_steps__no_first_bloom_in_the_past(cast) -> None:
    assert "bloom" not in {key for _, key, _ in following(cast.cross, date(2026, 5, 11))}


def test_next_steps__count_again_in_the_second_spring(act, cast) -> None:
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=5).thing
    count_up(act(), pot=pot, standing_now=0, day=COUNTED)
    text = f"Count pot {pot}"
    assert (date(2025, 4, 24), "count", text) in following(cast.cross, date(2025, 4, 12))
    assert (date(2026, 3, 25), "count", text) in following(cast.cross, date(2025, 8, 1))
