"""Verbs of planning: goals, and the crosses planned for them."""

from __future__ import annotations

import uuid

import pytest

from breeding.models import Goal, PlannedCross
from breeding.records import (
    add_goal,
    change_goal,
    change_planned,
    close_goal,
    drop_planned,
    plan_crosses,
)
from garden.records import strike_plant, undo
from tests.refusals import refused

SEASON = 2026


@pytest.fixture
def goal(act, stock) -> Goal:
    return add_goal(act(), name="Pink plicata", words="stitched pink", wanted=[["t", "pink"]]).thing


@pytest.fixture
def planned(act, stock, goal) -> PlannedCross:
    pairs = [(stock.teapot, stock.ledger, 4)]
    plan_crosses(act(), pairs=pairs, season=SEASON, goal=goal)
    return PlannedCross.live.get()


def test_add_goal__keeps_what_is_wanted(goal) -> None:
    assert (goal.name, goal.wanted, goal.crosses) == ("Pink plicata", [["t", "pink"]], 12)


@pytest.mark.parametrize(
    ("fields", "sentence", "field"),
    [
        ({"name": " "}, "Give the goal a name", "name"),
        ({"name": "x" * 61}, "too many", "name"),
        ({"wanted": [["t", "plaid"]]}, "no type ‘plaid’ at t", "wanted"),
        ({"wanted": [["Zz", "pink"]]}, "no type", "wanted"),
        ({"wanted": [["t", "pink"], ["t", "pink"]]}, "one type can be wanted", "wanted"),
        ({"pair_limit": 1.5}, "between 0 and 1", "pair_limit"),
        ({"set_limit": -0.1}, "between 0 and 1", "set_limit"),
        ({"crosses": 0}, "Plan from 1", "crosses"),
        ({"weights": {"merit": -1}}, "A weight lies", "weights"),
        ({"traits": [["buds", 1000]]}, "A weight lies", "weights"),
        ({"iris_class": "XX"}, "one of the classes", "iris_class"),
    ],
)
def test_add_goal__refuses(act, stock, fields, sentence, field) -> None:
    refused(add_goal, act(), sentence, field, **{"name": "Another", **fields})


def test_add_goal__a_name_once(act, goal) -> None:
    refused(add_goal, act(), "a goal ‘pink plicata’ already", "name", name="pink plicata")


def test_change_goal__and_undo(act, goal) -> None:
    kept = change_goal(act(), goal=goal, crosses=5, weights={"merit": 2.0})
    goal.refresh_from_db()
    assert (goal.crosses, goal.weights) == (5, {"merit": 2.0})
    undo(act(), line=kept.line)
    goal.refresh_from_db()
    assert (goal.crosses, goal.weights) == (12, {})


def test_change_goal__nothing_changed(act, goal) -> None:
    refused(change_goal, act(), "Nothing was changed", "", goal=goal, crosses=12)


def test_close_goal__takes_no_more_crosses(act, stock, goal) -> None:
    refused(close_goal, act(), "what became of it", "reason", goal=goal, reason=" ")
    close_goal(act(), goal=goal, reason="reached")
    pairs = [(stock.teapot, stock.ledger, 4)]
    refused(plan_crosses, act(), "closed on", "", pairs=pairs, season=SEASON, goal=goal)


def test_plan_crosses__keeps_each_pair(act, stock, goal, planned) -> None:
    assert (planned.seed_parent, planned.pollen_parent) == (stock.teapot, stock.ledger)
    assert (planned.flowers, planned.goal, planned.season) == (4, goal, SEASON)


def test_plan_crosses__what_is_planned_is_left_alone(act, stock, planned) -> None:
    pairs = [(stock.teapot, stock.ledger, 9), (stock.oboe, stock.ledger, 2)]
    kept = plan_crosses(act(), pairs=pairs, season=SEASON)
    assert PlannedCross.live.count() == 2
    assert kept.thing.flowers == 2
    refused(plan_crosses, act(), "planned already", "pairs", pairs=pairs, season=SEASON)


def test_plan_crosses__the_other_way_round_is_another_cross(act, stock, planned) -> None:
    plan_crosses(act(), pairs=[(stock.ledger, stock.teapot, 2)], season=SEASON)
    assert PlannedCross.live.count() == 2


def test_plan_crosses__for_this_season_or_a_coming_one(act, stock) -> None:
    pairs = [(stock.teapot, stock.ledger, 2)]
    refused(plan_crosses, act(), "Plan for 2026", "season", pairs=pairs, season=2025)
    refused(plan_crosses, act(), "Plan for 2026", "season", pairs=pairs, season=2040)
    refused(plan_crosses, act(), "Choose from 1", "pairs", pairs=[], season=SEASON)


def test_plan_crosses__with_plants_of_the_stock(act, stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="twice")
    pairs = [(stock.teapot, stock.guest, 2)]
    refused(plan_crosses, act(), "struck out", "pairs", pairs=pairs, season=SEASON)


def test_plan_crosses__the_same_entry_once(act, stock) -> None:
    entry, pairs = uuid.uuid4(), [(stock.teapot, stock.ledger, 2)]
    plan_crosses(act(entry=entry), pairs=pairs, season=SEASON)
    assert plan_crosses(act(entry=entry), pairs=pairs, season=SEASON).again
    assert PlannedCross.live.count() == 1


def test_change_planned__flowers_and_note(act, planned) -> None:
    change_planned(act(), planned=planned, flowers=9, note="both sides of the bed")
    planned.refresh_from_db()
    assert (planned.flowers, planned.note) == (9, "both sides of the bed")
    refused(change_planned, act(), "from 1 to 500", "flowers", planned=planned, flowers=0)


def test_drop_planned__makes_room_for_it_again(act, stock, planned) -> None:
    refused(drop_planned, act(), "Write why", "reason", planned=planned, reason="")
    drop_planned(act(), planned=planned, reason="no bloom this year")
    refused(drop_planned, act(), "was dropped on", "", planned=planned, reason="again")
    plan_crosses(act(), pairs=[(stock.teapot, stock.ledger, 3)], season=SEASON)
    assert PlannedCross.live.filter(dropped_on=None).get().flowers == 3
