"""What is known of a season's planned crosses: flowers worked, notes of bloom, pollen in store."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Any

from breeding.blooming import MONTH, GardenBloom, Span, in_store, open_now
from breeding.models import Bloom, Cross, PlannedCross, Pollen
from breeding.pages.bloomwalk import place_key
from breeding.pages.planseason import coming_season
from garden.models import Garden, Placing, Plant

Pair = tuple[int, int]


class State(Enum):
    """How far a plant's bloom is this season, by what is noted."""

    CLOSED, OPEN, OVER = range(3)


@dataclass(frozen=True, slots=True)
class Record:
    """What is known of a season on a day: notes of bloom, pollen in store, expected days, places.

    `today` is the day asked for; with `ahead` it is still to come, so that what is expected stands
    for what is noted.
    """

    season: int
    today: date
    ahead: bool
    blooms: Mapping[int, Bloom]
    stored: Mapping[int, list[Pollen]]
    bloom: GardenBloom
    spans: Mapping[int, Span]
    places: Mapping[int, list[Placing]]

    @property
    def be(self) -> str:
        return "will be" if self.ahead else "is"

    def state(self, plant: int) -> State:
        """As `open_now` has it: without an end noted, over a month after the last note."""
        first, last = self.first(plant), self.last(plant)
        if self.ahead and last and last < self.today:
            return State.OVER
        bloom = self.blooms.get(plant)
        noted = (bloom.first_on, bloom.peak_on, bloom.last_on) if bloom else ()
        if not any(day and day <= self.today for day in noted):
            return State.OPEN if self.ahead and first and first <= self.today else State.CLOSED
        return self._noted(*noted)

    def _noted(self, first: date | None, peak: date | None, last: date | None) -> State:
        lately = max((day for day in (first, peak) if day and day <= self.today), default=None)
        if last and last <= self.today or lately is None or lately < self.today - MONTH:
            return State.OVER
        return State.OPEN

    def place(self, plant: int) -> str:
        """'Pond bed 12; Long bed 3', '' where none is noted."""
        return "; ".join(map(str, self.places.get(plant, ())))

    def first(self, plant: int) -> date | None:
        """The day on which it is expected to open."""
        span = self.spans.get(plant)
        return self.bloom.date_of(self.season, span.first) if span else None

    def last(self, plant: int) -> date | None:
        """The last day on which it is expected open."""
        span = self.spans.get(plant)
        return self.bloom.date_of(self.season, span.last) if span else None


def planned_of(season: int) -> list[PlannedCross]:
    """The planned crosses of a season that stand. A query."""
    found = PlannedCross.live.filter(
        season=season, dropped_on=None, seed_parent__struck=False, pollen_parent__struck=False
    )
    return list(found.select_related("seed_parent", "pollen_parent", "goal"))


def places_of(plants: Collection[int]) -> dict[int, list[Placing]]:
    """Where plants stand, in the order of beds and positions. A query."""
    found: dict[int, list[Placing]] = {}
    placings = Placing.live.filter(until=None, bed__struck=False, plant__in=plants)
    for placing in sorted(placings.select_related("bed"), key=place_key):
        found.setdefault(placing.plant_id, []).append(placing)
    return found


def worked_of(season: int) -> dict[Pair, int]:
    """Flowers worked in a season by pair. A query."""
    crosses = Cross.live.filter(season=season, pollen_parent__isnull=False)
    return {
        (seed, pollen): flowers
        for seed, pollen, flowers in crosses.values_list("seed_parent", "pollen_parent", "flowers")
    }


def season_now(garden: Garden, today: date, open_plants: Mapping[int, Any]) -> int:
    """The season whose crosses are to be made: this one as long as anything is open."""
    calendar = garden.calendar
    return calendar.season(today) if open_plants else coming_season(calendar, today)


def to_cross_summary(garden: Garden, today: date) -> dict[str, int] | None:
    """How many planned crosses can be made today, for `breeding/_to_cross_line.html`.

    None where there is none. Four queries at most; no day is expected, so no sums are loaded.
    """
    season = garden.calendar.season(today)
    planned = PlannedCross.live.filter(season=season, dropped_on=None)
    planned = planned.filter(seed_parent__status=Plant.Status.GROWING)
    pairs = list(
        planned.values_list("seed_parent", "pollen_parent", "flowers", "pollen_parent__status")
    )
    if not pairs:
        return None
    open_plants = open_now(garden, today)
    if not open_plants:
        return None
    worked, stored = worked_of(season), in_store(today)
    waiting = [
        (seed, pollen, pollen in open_plants and status == Plant.Status.GROWING)
        for seed, pollen, flowers, status in pairs
        if worked.get((seed, pollen), 0) < flowers and seed in open_plants
    ]
    both = sum(fresh for _, _, fresh in waiting)
    jars = sum(pollen in stored and not fresh for _, pollen, fresh in waiting)
    return {"ready": both + jars, "stored": jars} if both + jars else None


def short(day: date) -> str:
    """'3 Jun'."""
    return f"{day.day} {day:%b}"
