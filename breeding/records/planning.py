"""Verbs of planning: what is bred for, and the crosses to make for it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from breeding.models import Goal, Locus, PlannedCross
from breeding.records.common import fitting
from garden.models import IrisClass, Plant
from garden.verbs import Act, Refused, plural, verb, written

FIELDS = (
    "name", "words", "wanted", "traits", "weights", "pair_limit", "set_limit", "crosses",
    "iris_class", "least_chance",
)  # fmt: skip
MOST_PAIRS = 200
MOST_WEIGHT = 100.0
YEARS_AHEAD = 5


@verb
def add_goal(act: Act, **fields: Any) -> tuple[Goal, str]:
    """Write down what is bred for. Fields are those of `Goal`, by name."""
    goal = act.make(Goal(**_checked(fields, None)))
    return goal, f"Goal: {goal}"


@verb
def change_goal(act: Act, *, goal: Goal, reason: str = "", **fields: Any) -> tuple[Goal, str]:
    """Change a goal: its words, what is wanted, how pairs are weighed."""
    goal = _open(goal)
    act.reason = fitting(reason, 400, "reason")
    if not act.change(goal, **_checked(fields, goal)):
        raise Refused("Nothing was changed.")
    changed = ", ".join(act.changed[-1]["after"]).replace("_", " ")
    return goal, f"Changed the goal {goal}: {changed}"


@verb
def close_goal(act: Act, *, goal: Goal, reason: str, day: date | None = None) -> tuple[Goal, str]:
    """Say that a goal is reached or given up."""
    goal = _open(goal)
    reason = fitting(reason, 200, "reason")
    if not reason:
        raise Refused("Write what became of it.", "reason")
    act.change(goal, closed_on=act.day(day), closed_reason=reason)
    return goal, f"Closed the goal {goal}: {reason}"


@verb
def plan_crosses(
    act: Act,
    *,
    pairs: Sequence[Sequence[Any]],
    season: int,
    goal: Goal | None = None,
    note: str = "",
) -> tuple[Any, str]:
    """Plan crosses for a season; each pair is (seed parent, pollen parent, flowers to work).

    A pair that is planned already is left as it is.
    """
    if goal is not None:
        goal = _open(goal)
    this = act.garden.calendar.season(act.today)
    if not this <= season <= this + YEARS_AHEAD:
        raise Refused(f"Plan for {this} or one of the {YEARS_AHEAD} years after it.", "season")
    if not 1 <= len(pairs) <= MOST_PAIRS:
        raise Refused(f"Choose from 1 to {MOST_PAIRS} pairs.", "pairs")
    made = []
    for seed, pollen, flowers in pairs:
        planned = _pair(act, seed, pollen, int(flowers), season)
        if planned is not None:
            planned.goal, planned.note = goal, fitting(note, 400, "note")
            made.append(act.make(planned))
            act.mention(planned.seed_parent, planned.pollen_parent)
    if not made:
        raise Refused("These crosses are planned already.", "pairs")
    told = f"{made[0]}" if len(made) == 1 else f"{plural(len(made), 'cross', 'crosses')}, {season}"
    return goal or made[0], f"Planned {told}" + (f" for {goal}" if goal else "")


def _pair(act: Act, seed: Plant, pollen: Plant, flowers: int, season: int) -> PlannedCross | None:
    """The planned cross, not yet written; None when it is planned already."""
    found = {plant.pk: plant for plant in Plant.live.filter(pk__in=[seed.pk, pollen.pk])}
    for plant in (seed, pollen):
        if plant.pk not in found:
            raise Refused(f"{plant} was struck out of the stock.", "pairs")
    if not 1 <= flowers <= 500:
        raise Refused("Work from 1 to 500 flowers.", "flowers")
    pair = {"seed_parent": found[seed.pk], "pollen_parent": found[pollen.pk], "season": season}
    if PlannedCross.live.filter(**pair, dropped_on=None).exists():
        return None
    return PlannedCross(**pair, flowers=flowers)


@verb
def change_planned(
    act: Act, *, planned: PlannedCross, flowers: int, note: str = ""
) -> tuple[PlannedCross, str]:
    """Change how many flowers are to be worked for a planned cross, or its note."""
    planned = _standing(planned)
    if not 1 <= flowers <= 500:
        raise Refused("Work from 1 to 500 flowers.", "flowers")
    if not act.change(planned, flowers=flowers, note=fitting(note, 400, "note")):
        raise Refused("Nothing was changed.")
    return planned, f"Changed the plan: {planned}, {plural(flowers, 'flower')}"


@verb
def drop_planned(
    act: Act, *, planned: PlannedCross, reason: str, day: date | None = None
) -> tuple[PlannedCross, str]:
    """Take a planned cross off the list, with the reason."""
    planned = _standing(planned)
    reason = fitting(reason, 200, "reason")
    if not reason:
        raise Refused("Write why it is dropped.", "reason")
    act.change(planned, dropped_on=act.day(day), dropped_reason=reason)
    act.mention(planned.seed_parent, planned.pollen_parent)
    return planned, f"Dropped from the plan: {planned}: {reason}"


def _standing(planned: PlannedCross) -> PlannedCross:
    planned = PlannedCross.objects.select_related("seed_parent", "pollen_parent").get(pk=planned.pk)
    if planned.struck:
        raise Refused("This planned cross was struck out.")
    if planned.dropped_on:
        raise Refused(f"It was dropped on {written(planned.dropped_on)}: {planned.dropped_reason}.")
    return planned


def _open(goal: Goal) -> Goal:
    goal = Goal.objects.get(pk=goal.pk)
    if goal.struck:
        raise Refused("This goal was struck out.")
    if goal.closed_on:
        raise Refused(f"{goal} was closed on {written(goal.closed_on)}: {goal.closed_reason}.")
    return goal


def _checked(fields: dict[str, Any], goal: Goal | None) -> dict[str, Any]:
    if strange := set(fields) - set(FIELDS):
        raise Refused(f"{', '.join(sorted(strange))} is not recorded of a goal.")
    if "name" in fields or goal is None:
        fields = {**fields, "name": _name(fields.get("name", ""), goal)}
    if "words" in fields:
        fields = {**fields, "words": fitting(fields["words"], 1000, "words")}
    if fields.get("iris_class") and fields["iris_class"] not in IrisClass.values:
        raise Refused("Choose one of the classes.", "iris_class")
    for name in ("pair_limit", "set_limit"):
        if fields.get(name) is not None and not 0 <= fields[name] <= 1:
            raise Refused("A kinship lies between 0 and 1.", name)
    if not 0 <= fields.get("least_chance", 0) <= 1:
        raise Refused("A chance lies between 0 and 1.", "least_chance")
    if not 1 <= fields.get("crosses", 1) <= MOST_PAIRS:
        raise Refused(f"Plan from 1 to {MOST_PAIRS} crosses.", "crosses")
    weighed = [*fields.get("weights", {}).values(), *(w for _, w in fields.get("traits", ()))]
    if any(not 0 <= float(weight) <= MOST_WEIGHT for weight in weighed):
        raise Refused(f"A weight lies between 0 and {MOST_WEIGHT:g}.", "weights")
    _check_wanted(fields.get("wanted", ()), goal.wanted if goal else ())
    return fields


def _name(name: str, goal: Goal | None) -> str:
    name = fitting(name, 60, "name")
    if not name:
        raise Refused("Give the goal a name.", "name")
    if Goal.live.filter(name__iexact=name).exclude(pk=goal.pk if goal else None).exists():
        raise Refused(f"There is a goal ‘{name}’ already.", "name")
    return name


def _check_wanted(wanted: Sequence[Sequence[str]], before: Sequence[Sequence[str]]) -> None:
    """Each wanted type is one of its locus, and each locus named once.

    What was wanted before may stay, also of a locus or type that there is no more.
    """
    loci = {locus.symbol: locus for locus in Locus.live.all()} if wanted else {}
    symbols = [symbol for symbol, _ in wanted]
    if len(set(symbols)) < len(symbols):
        raise Refused("At each locus one type can be wanted.", "wanted")
    stays = [list(pair) for pair in before]
    for symbol, key in wanted:
        if [symbol, key] in stays:
            continue
        types = loci[symbol].types if symbol in loci else []
        if key not in [told["key"] for told in types]:
            raise Refused(f"There is no type ‘{key}’ at {symbol}.", "wanted")
