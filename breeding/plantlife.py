"""The life-line of one plant: where it came from, what it stood in, and what comes next for it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, Min, Q, Sum
from django.utils import timezone

from breeding.due import FORGOTTEN_POD
from breeding.lifeline import Event, Next, Thread
from breeding.models import Cross, Pollination
from garden.calendar import GardenCalendar
from garden.models import JournalLine, Placing, Plant
from garden.verbs import plural

# (field of the cross, how a flower of such a cross is spoken of, the same of a pod)
SIDES = (
    ("seed_parent", "worked on it", "on it"),
    ("pollen_parent", "worked with its pollen", "of its pollen"),
)
SUMS = (("flowers", "flower"), ("pods", "pod"), ("seeds", "seed"), ("lined_out", "seedling"))


def plant_events(plant: Plant, origin: Any, placings: list[Placing]) -> list[Event]:
    """What happened with a plant, in order; of a season's crosses and choices only the year.

    `origin` is the seedling that it was, or None. Four queries, and six more for an `origin`.
    """
    found = [
        *(_bred_here(origin) if origin else _came(plant)),
        *_placed(placings),
        *_crossed(plant),
        *_parent_of(plant),
    ]
    return sorted(found, key=lambda event: (event.day.year, event.year_only, event.day))


def _bred_here(origin: Any) -> Iterator[Event]:
    """The way from the flower to the choice, under the number of the cross."""
    first, *others = Thread.of(origin.cross).branch(origin).events()
    yield Event(first.day, first.step, first.text, [origin.cross, *first.things])
    yield from others


def _came(plant: Plant) -> Iterator[Event]:
    if plant.year:
        text = f"Introduced by {plant.breeder}" if plant.breeder else "Introduced"
        yield Event(date(plant.year, 1, 1), "introduced", text, year_only=True)
    lines = JournalLine.objects.filter(
        mentions__kind=plant.record_kind, mentions__thing_id=plant.pk
    )
    if line := lines.select_related("person").order_by("mentions__line_id").first():
        yield Event(_local(line), "added", "Added to the stock", detail=f"by {line.person}")


def _local(line: JournalLine) -> date:
    return timezone.localtime(line.happened_at).date()


def _placed(placings: list[Placing]) -> Iterator[Event]:
    for placing in placings:
        fans = "" if placing.increases is None else plural(placing.increases, "increase")
        yield Event(placing.since, "placed", f"Stands in {placing}", [], fans)


def _crossed(plant: Plant) -> Iterator[Event]:
    """Its crosses by season, as far as their index goes: no set is sorted."""
    for side, _, _ in SIDES:
        seasons = (
            Cross.live.filter(**{side: plant})
            .order_by("-season")
            .values("season")
            .annotate(crosses=Count("pk"), **{f"all_{name}": Sum(name) for name, _ in SUMS})
        )
        for season in seasons:
            sums = [plural(season[f"all_{name}"], word) for name, word in SUMS
                    if season[f"all_{name}"]]  # fmt: skip
            text = f"{plural(season['crosses'], 'cross', 'crosses')} as {side.replace('_', ' ')}"
            day = date(season["season"], 1, 1)
            yield Event(day, "crossed", text, [], ", ".join(sums), year_only=True)


def _parent_of(plant: Plant) -> Iterator[Event]:
    # Those that have a name by now were selected as well.
    born = Plant.live.filter(Q(seed_parent=plant) | Q(pollen_parent=plant))
    chosen = born.filter(Q(kind="seedling") | Q(pk__in=born.filter(seedlings__struck=False)))
    years = chosen.exclude(year=None).order_by("year").values("year").annotate(many=Count("pk"))
    for each in years:
        text = f"{plural(each['many'], 'seedling')} selected from it"
        yield Event(date(each["year"], 1, 1), "parent", text, year_only=True)


def plant_steps(plant: Plant, calendar: GardenCalendar, today: date) -> list[Next]:
    """The pods on a plant or of its pollen, the nearest first. Two queries."""
    found = [step for side in SIDES for step in _pods(plant, side, calendar, today)]
    return sorted(found, key=lambda step: step.day)


def _pods(
    plant: Plant, side: tuple[str, str, str], calendar: GardenCalendar, today: date
) -> Iterator[Next]:
    parent, worked, pods = side
    forgotten = today - FORGOTTEN_POD
    # The season bounds the crosses that are looked through: a favourite has very many.
    season = calendar.season(forgotten - timedelta(days=1))
    hanging = Pollination.live.filter(
        day__gt=forgotten, cross__season__gte=season, **{f"cross__{parent}": plant}
    )
    states = {state: Q(state=state) for state in ("worked", "set")}
    told = hanging.aggregate(
        **{f"{state}_count": Count("pk", filter=asked) for state, asked in states.items()},
        **{f"{state}_day": Min("day", filter=asked) for state, asked in states.items()},
    )
    if told["worked_count"]:
        text = f"Look at {plural(told['worked_count'], 'flower')} {worked}"
        yield Next(calendar.pod_check_due(told["worked_day"]), text, None, "due-look")
    if told["set_count"]:
        text = f"Harvest {plural(told['set_count'], 'pod')} {pods}"
        yield Next(calendar.pod_ripe_due(told["set_day"]), text, None, "due-harvest")
