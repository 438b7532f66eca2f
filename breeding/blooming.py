"""When the garden's plants bloom, as their notes of all years tell it; held in memory."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.db.models import Q

from breeding.models import Bloom, BreedingVersion, Pollen
from breeding.pages.bloomdays import believed
from breeding.pages.bloomjars import spent
from garden.calendar import GardenCalendar
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.flowering import Flowering

MONTH = timedelta(days=30)
STAGES = (("first", "first_on"), ("peak", "peak_on"), ("last", "last_on"))
Key = tuple[int, int, str, date]


@dataclass(frozen=True, slots=True)
class Span:
    """When one plant blooms in one season, in day numbers: what is noted, else what is expected.

    Nine times in ten the first day lies within `low` to `high`, the last within `last_low` to
    `last_high`; a noted day is its own interval.
    """

    first: float
    peak: float
    last: float
    low: float
    high: float
    last_low: float
    last_high: float


@dataclass(frozen=True, slots=True)
class Meeting:
    """How another plant meets a chosen one in a season: chances, 0 to 1, that both are open on one
    day, that the chosen one is over before the other opens, and that it opens after its end."""

    together: float
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class GardenBloom:
    """The garden's bloom as of one version of its notes; days are counted from `start`."""

    key: Key
    calendar: GardenCalendar
    flowering: Flowering

    def day_of(self, day: date) -> float:
        """The day's number in its season."""
        return float((day - self.calendar.season_starts(self.calendar.season(day))).days)

    def date_of(self, season: int, day: float) -> date:
        """The date of a day's number in a season."""
        return self.calendar.season_starts(season) + timedelta(days=round(day))

    @property
    def noted(self) -> bool:
        """Whether anything was ever noted; before that, no day of the year can be told."""
        return bool(self.flowering.counted.get("note"))

    def spans(self, plants: Sequence[int], season: int) -> dict[int, Span]:
        """The bloom of plants in a season; nothing of it before the first note."""
        from breeding.flowering.flowering import REACH
        from breeding.flowering.layout import NO_YEAR
        from breeding.flowering.spans import spans

        if not plants or not self.noted:
            return {}
        bloom, at = self.flowering, self.flowering.layout.at(plants)
        first, peak, last = (
            bloom.posterior.value(at, *bloom.layout.rows(at, NO_YEAR, stage)) for stage in range(3)
        )
        part = ((peak - first) / (last - first).clip(min=1)).clip(0, 1)
        found = spans(bloom, at, season)
        reach = REACH * found.spread()[[0, 1], [0, 1]].clip(min=0) ** 0.5
        peaks = found.days[0] + part * (found.days[1] - found.days[0])
        columns = (found.days[0], peaks, found.days[1], found.days[0] - reach[0],
                   found.days[0] + reach[0], found.days[1] - reach[1],
                   found.days[1] + reach[1])  # fmt: skip
        rows = zip(*(column.tolist() for column in columns), strict=True)
        return {plant: Span(*row) for plant, row in zip(plants, rows, strict=True)}

    def meetings(self, plant: int, others: Sequence[int], season: int) -> dict[int, Meeting]:
        """How each of the others meets the plant in a season; n² over all of them."""
        from breeding.flowering.meeting import over_before, overlaps
        from breeding.flowering.spans import spans

        if not others or not self.noted:
            return {}
        found = spans(self.flowering, self.flowering.layout.at([plant, *others]), season)
        before = over_before(found)
        rows = zip(overlaps(found)[0, 1:].tolist(), before[0, 1:].tolist(),
                   before[1:, 0].tolist(), strict=True)  # fmt: skip
        return {other: Meeting(*row) for other, row in zip(others, rows, strict=True)}


_held: GardenBloom | None = None
_lock = threading.Lock()


def forget() -> None:
    """Let the held answer go; the next question reads all notes again."""
    global _held
    _held = None


def the_bloom(garden: Garden | None = None, today: date | None = None) -> GardenBloom:
    """The bloom of all plants, worked out again when a note, the stock or the day has moved.

    The day counts: a plant not yet open today tells something of this year. Three queries at most.
    """
    global _held
    garden = garden or Garden.get()
    today = today or garden.today()
    key = (BreedingVersion.now()[1], garden.stock_version, garden.hemisphere, today)
    held = _held
    if held is None or held.key != key:
        with _lock:
            held = _held
            if held is None or held.key != key:
                _held = held = _read(key, garden, today)
    return held


def _read(key: Key, garden: Garden, today: date) -> GardenBloom:
    from breeding.flowering import Noted, fit, place_of_letters

    calendar = garden.calendar
    noted, growing = [], {}
    columns = ("plant", "season", *(column for _, column in STAGES))
    for plant, season, *days in Bloom.live.filter(plant__struck=False).values_list(*columns):
        start = calendar.season_starts(season)
        # What was noted too long after the opening is no end of that bloom.
        held = believed(dict(zip(STAGES, days, strict=True)))
        for (stage, _), day in held.items():
            if day:
                noted.append(Noted(plant, season, stage, float((day - start).days)))
    for pk, iris_class, letter in Plant.live.values_list("pk", "iris_class", "season"):
        growing[pk] = (iris_class, place_of_letters(letter))
    season = calendar.season(today)
    now = float((today - calendar.season_starts(season)).days)
    return GardenBloom(key, calendar, fit(noted, growing, year=season, today=now))


def open_now(garden: Garden, today: date) -> dict[int, Bloom]:
    """This season's notes of plants that opened and are not over. A query.

    Where nobody noted the end, a plant is taken as over a month after its last note.
    """
    season = garden.calendar.season(today)
    since = today - MONTH
    lately = Q(first_on__range=(since, today)) | Q(peak_on__range=(since, today))
    notes = Bloom.live.filter(lately, season=season, last_on=None, plant__struck=False)
    return {each.plant_id: each for each in notes.select_related("plant")}


def in_store(today: date) -> dict[int, list[Pollen]]:
    """Pollen in store that is not past its day nor, without one, years old, by plant. A query."""
    found: dict[int, list[Pollen]] = {}
    for pollen in Pollen.live.filter(ended_on=None):
        if not spent(pollen, today):
            found.setdefault(pollen.plant_id, []).append(pollen)
    return found
