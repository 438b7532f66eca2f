"""What somebody sees who goes through the beds in bloom, plant after plant."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from breeding.blooming import MONTH, GardenBloom, Span
from breeding.models import Bloom
from garden.models import Bed, Placing, Plant
from garden.verbs import EARLIEST_DAY

# What is expected within so many days is asked for, and what was not noted then as long after.
AHEAD, MISSED = timedelta(days=3), timedelta(days=7)
NO_BED = "none"
# So long after the day on which a plant is likely over, a tap means no longer the day it is made.
LATE = timedelta(days=14)
TAPS = {Bloom.Stage.FIRST: "Open", Bloom.Stage.PEAK: "Peak", Bloom.Stage.LAST: "Over"}
ASKED = {Bloom.Stage.FIRST: "When did it open?", Bloom.Stage.PEAK: "When was its peak?",
         Bloom.Stage.LAST: "When was it over?"}  # fmt: skip
FIELDS = {Bloom.Stage.FIRST: "first_on", Bloom.Stage.PEAK: "peak_on", Bloom.Stage.LAST: "last_on"}


def stage_on(bloom: Bloom | None, day: date) -> str:
    """What one tap notes on a day: nothing noted may come after it, nor the end before it; else ''.

    Where the opening was missed, the peak is followed by the end.
    """
    if bloom is None:
        return Bloom.Stage.FIRST
    noted = [getattr(bloom, name) for name in FIELDS.values()]
    for at, stage in enumerate(FIELDS):
        before = max(filter(None, noted[:at]), default=day)
        after = min(filter(None, noted[at + 1 :]), default=date.max)
        if not noted[at] and before <= day < after:
            return stage
    return ""


@dataclass(frozen=True, slots=True)
class Stop:
    """A plant on the walk of a day: where it stands, what is noted, what comes next and when.

    `days` are those expected of each stage; none before the garden's first note.
    """

    plant: Plant
    day: date
    places: tuple[Placing, ...] = ()
    bloom: Bloom | None = None
    days: dict[str, date] = field(default_factory=dict)

    @property
    def stage(self) -> str:
        """What one tap notes next; '' when its bloom is over, and before the day noted last."""
        return stage_on(self.bloom, self.day)

    @property
    def tap(self) -> str:
        """'Open', 'Peak', 'Over'."""
        return TAPS[Bloom.Stage(self.stage)] if self.stage else ""

    @property
    def expected(self) -> date | None:
        """The day expected of what comes next."""
        return self.days.get(self.stage)

    @property
    def over(self) -> date | None:
        """The day on which it is likely over."""
        return self.days.get(Bloom.Stage.LAST)

    def likely(self, stage: str) -> date | None:
        """The day expected of a stage so far as it is past and fits what is noted."""
        if (day := self.days.get(stage)) is None:
            return None
        noted = [getattr(self.bloom, name, None) for name in FIELDS.values()]
        at = list(FIELDS).index(Bloom.Stage(stage))
        after = min(filter(None, [*noted[at + 1 :], self.day]))
        return max(min(day, after), max(filter(None, noted[:at]), default=EARLIEST_DAY))

    @property
    def late(self) -> bool:
        """Whether its bloom is likely long over, so that the day has to be asked for."""
        return bool(self.stage and self.over and self.day > self.over + LATE)

    @property
    def asks(self) -> str:
        """What is asked for when it is late: the end of what opened, the opening of the rest."""
        return Bloom.Stage.LAST if self.bloom and self.late else self.stage

    @property
    def question(self) -> str:
        """'When was it over?'"""
        return ASKED[self.asks] if self.asks else ""

    @property
    def peaks(self) -> bool:
        """Whether its opening may have been missed, so that it is at its peak already."""
        peak = self.days.get(Bloom.Stage.PEAK)
        return bool(self.bloom is None and not self.late and peak and peak <= self.day)

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


def growing(season: int, day: date) -> list[Stop]:
    """Growing plants in the order of beds and positions, those without a place last. Three
    queries."""
    places: dict[int, list[Placing]] = defaultdict(list)
    for placing in Placing.live.filter(until=None, bed__struck=False).select_related("bed"):
        places[placing.plant_id].append(placing)
    blooms = {bloom.plant_id: bloom for bloom in Bloom.live.filter(season=season)}
    stops = [
        Stop(plant, day, tuple(sorted(places[plant.pk], key=place_key)), blooms.get(plant.pk))
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
            found.append(replace(stop, places=here))
    return sorted(found, key=lambda stop: place_key(stop.places[0]))


def with_expected(stops: Sequence[Stop], bloom: GardenBloom, season: int) -> list[Stop]:
    """The same, each with the day on which its next stage is expected."""
    spans = bloom.spans([stop.plant.pk for stop in stops], season)
    if not spans:
        return list(stops)
    return [_expected(stop, spans[stop.plant.pk], bloom, season) for stop in stops]


def _expected(stop: Stop, span: Span, bloom: GardenBloom, season: int) -> Stop:
    if not stop.stage:
        return stop
    days = (bloom.date_of(season, day) for day in (span.first, span.peak, span.last))
    return replace(stop, days=dict(zip(TAPS, days, strict=True)))


def due_now(stops: Iterable[Stop], day: date) -> list[Stop]:
    """The few that matter now, in the order in which they stand: one way through the beds."""
    return [stop for stop in stops if stop.due(day)]


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
