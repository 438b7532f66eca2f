"""Goals as they are listed and drawn: what is wanted, and how far this season's crosses are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from breeding.heredity import as_locus
from breeding.inheritance.loci import Locus
from breeding.inheritance.painting import paint
from breeding.models import Goal, PlannedCross
from breeding.models import Locus as LocusRecord
from breeding.pages.expected import Look
from breeding.pages.locuswords import looks_of
from breeding.pages.planrecord import worked_of
from breeding.pages.planwords import weight

GROUND, PIGMENT = "white", "violet"


@dataclass(frozen=True, slots=True)
class WantedType:
    """A wanted type with its flower and its hypothesis; `locus` None: the garden has it no more."""

    symbol: str
    name: str
    look: Look | None
    locus: Locus | None
    used: bool


@dataclass(slots=True)
class Progress:
    """Planned crosses of a season: how many there are, are begun, and have all their flowers."""

    planned: int = 0
    begun: int = 0
    done: int = 0
    flowers: int = 0
    worked: int = 0


@dataclass(frozen=True, slots=True)
class Listed:
    """A goal as it is listed."""

    goal: Goal
    wanted: list[WantedType]
    look: Look | None
    progress: Progress


def loci_of_garden() -> dict[str, tuple[Locus, bool]]:
    """By symbol every locus, and whether the garden works with it. A query."""
    return {each.symbol: (as_locus(each), each.used) for each in LocusRecord.live.all()}


def wanted_of(goal: Goal, loci: dict[str, tuple[Locus, bool]]) -> list[WantedType]:
    """The wanted types of a goal, in its order."""
    found = []
    for symbol, key in goal.wanted:
        locus, used = loci.get(symbol, (None, False))
        known = locus is not None and key in [each.key for each in locus.types]
        if locus is None or not known:
            found.append(WantedType(symbol, key, None, None, False))
        else:
            name = locus.type_named(key).name
            found.append(WantedType(symbol, name, looks_of(locus)[key], locus, used))
    return found


def look_of(goal: Goal, loci: dict[str, tuple[Locus, bool]]) -> Look | None:
    """One flower with all the wanted types; None where nothing is wanted."""
    types = {symbol: key for symbol, key in goal.wanted
             if symbol in loci and key in [each.key for each in loci[symbol][0].types]}  # fmt: skip
    if not types:
        return None
    there = [locus for locus, _ in loci.values()]
    of_ground = any("ground" in locus.type_named(types[locus.symbol]).paint
                    for locus in there if locus.symbol in types)  # fmt: skip
    fields = paint(there, types, {} if of_ground else {"pigment": PIGMENT})
    return Look({"standards": GROUND, "falls": GROUND, **fields})


def progress_of(season: int) -> dict[int | None, Progress]:
    """By goal how far the crosses of a season are. Two queries."""
    worked = worked_of(season)
    found: dict[int | None, Progress] = defaultdict(Progress)
    planned = PlannedCross.live.filter(season=season, dropped_on=None)
    columns = ("goal", "seed_parent", "pollen_parent", "flowers")
    for goal, seed, pollen, flowers in planned.values_list(*columns):
        one, so_far = found[goal], worked.get((seed, pollen), 0)
        one.planned += 1
        one.begun += so_far > 0
        one.done += so_far >= flowers
        one.flowers += flowers
        one.worked += min(so_far, flowers)
    return found


def listed(goals: Sequence[Goal], season: int) -> list[Listed]:
    """Goals with their flowers and how far they are. Three queries."""
    loci, progress = loci_of_garden(), progress_of(season)
    return [
        Listed(goal, wanted_of(goal, loci), look_of(goal, loci),
               progress.get(goal.pk, Progress()))
        for goal in goals
    ]  # fmt: skip


def trait_words(goal: Goal, titles: Sequence[tuple[str, str]]) -> list[dict[str, Any]]:
    """The traits of a goal with their titles and weights."""
    known = dict(titles)
    return [
        {"title": known.get(key, key), "weight": weight(float(number))}
        for key, number in goal.traits
        if float(number) > 0
    ]
