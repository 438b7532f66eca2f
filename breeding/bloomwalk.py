"""What somebody sees who goes through the beds in bloom, plant after plant."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from breeding.blooming import MONTH, GardenBloom, Span
from breeding.models import Bloom
from garden.models import Bed, Placing, Plant

# What is expected within so many days is asked for, and what was not noted then as long after.
AHEAD, MISSED = timedelta(days=3), timedelta(days=7)
NO_BED = "none"
TAPS = {Bloom.Stage.FIRST: "Open", Bloom.Stage.PEAK: "Peak", Bloom.Stage.LAST: "Over"}


@dataclass(frozen=True, slots=True)
class Stop:
    """A plant on the walk: where it stands, what is noted this season, what comes next and when."""

    plant: Plant
    places: tuple[Placing, ...] = ()
    bloom: Bloom | None = None
    expected: date | None = None

    @property
    def stage(self) -> str:
        """What one tap notes next; '' when its bloom is over."""
        return self.bloom.next_stage if self.bloom else Bloom.Stage.FIRST

    @property
    def tap(self) -> str:
        """'Open', 'Peak', 'Over'."""
        return TAPS[self.stage] if self.stage else ""

    def is_open(self, day: date) -> bool:
        """Whether its notes say that it is open on that day; without an end, for a month."""
        if self.bloom is None:
            return False
        last = max(filter(None, (self.bloom.first_on, self.bloom.peak_on)), default=None)
        if self.bloom.last_on or last is None:
            began = self.bloom.first_on or self.bloom.peak_on
            return began is not None and began <= day <= self.bloom.last_on
        return day - MONTH <= last and (self.bloom.first_on or last) <= day

    def due(self, day: date) -> bool:
        """Whether the next stage is expected about now."""
        if not self.stage or self.expected is None:
            return False
        return day - MISSED <= self.expected <= day + AHEAD


def place_key(placing: Placing) -> tuple[object, ...]:
    """Beds by name, positions as they are counted: 2-9 before 2-10."""
    parts = re.split(r"(\d+)", placing.position)
    numbers = tuple((int(part), "") if part.isdigit() and part.isascii() else (0, part.casefold())
                    for part in parts if part)  # fmt: skip
    return placing.bed.folded, numbers, placing.pk


def growing(season: int) -> list[Stop]:
    """Growing plants in the order of beds and positions, those without a place last. Three
    queries."""
    places: dict[int, list[Placing]] = defaultdict(list)
    for placing in Placing.live.filter(until=None, bed__struck=False).select_related("bed"):
        places[placing.plant_id].append(placing)
    blooms = {bloom.plant_id: bloom for bloom in Bloom.live.filter(season=season)}
    stops = [
        Stop(plant, tuple(sorted(places[plant.pk], key=place_key)), blooms.get(plant.pk))
        for plant in Plant.live.filter(status=Plant.Status.GROWING).order_by("folded")
    ]
    return sorted(stops, key=lambda stop: (not stop.places, *map(place_key, stop.places[:1])))


def beds_of(stops: Iterable[Stop]) -> list[Bed]:
    """The beds in which they stand, by name."""
    beds = {placing.bed for stop in stops for placing in stop.places}
    return sorted(beds, key=lambda bed: bed.folded)


def in_bed(stops: Iterable[Stop], bed: str) -> list[Stop]:
    """Those of one bed, by their positions in it; of no bed by 'none'."""
    if bed == NO_BED:
        return [stop for stop in stops if not stop.places]
    found = []
    for stop in stops:
        here = tuple(placing for placing in stop.places if str(placing.bed_id) == bed)
        if here:
            found.append(Stop(stop.plant, here, stop.bloom, stop.expected))
    return sorted(found, key=lambda stop: place_key(stop.places[0]))


def with_expected(stops: Sequence[Stop], bloom: GardenBloom, season: int) -> list[Stop]:
    """The same, each with the day on which its next stage is expected."""
    spans = bloom.spans([stop.plant.pk for stop in stops], season)
    return [
        Stop(stop.plant, stop.places, stop.bloom, _expected(stop, spans[stop.plant.pk], bloom,
                                                            season))
        if stop.stage and spans
        else stop
        for stop in stops
    ]  # fmt: skip


def _expected(stop: Stop, span: Span, bloom: GardenBloom, season: int) -> date:
    day = {Bloom.Stage.FIRST: span.first, Bloom.Stage.PEAK: span.peak,
           Bloom.Stage.LAST: span.last}[Bloom.Stage(stop.stage)]  # fmt: skip
    return bloom.date_of(season, day)


def due_now(stops: Iterable[Stop], day: date) -> list[Stop]:
    """The few that matter now, in the order in which they are expected."""
    waiting = [stop for stop in stops if stop.due(day)]
    return sorted(waiting, key=lambda stop: (stop.expected, stop.plant.folded))


def done_on(stops: Iterable[Stop], day: date) -> int:
    """How many plants something is noted of on that day."""
    blooms = [stop.bloom for stop in stops if stop.bloom]
    return sum(day in (bloom.first_on, bloom.peak_on, bloom.last_on) for bloom in blooms)


@dataclass(frozen=True, slots=True)
class Beginning:
    """When bloom usually begins here, and by which plant; None where only the calendar tells."""

    day: date
    plant: Plant | None
    years: int = 0


def beginning(stops: Sequence[Stop], bloom: GardenBloom, season: int) -> Beginning:
    """The usual first day of the earliest growing plant that was ever noted."""
    places = [
        (place.first, stop.plant, place.years)
        for stop in (stops if bloom.noted else ())
        if (place := bloom.flowering.place(stop.plant.pk)).years
    ]
    if not places:
        start = bloom.calendar.season_starts(season)
        return Beginning(bloom.calendar.bloom_from.on_or_after(start), None)
    first, plant, years = min(places, key=lambda each: each[0])
    return Beginning(bloom.date_of(season, first), plant, years)
