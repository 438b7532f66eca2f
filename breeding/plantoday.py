"""The planned crosses of a season by what can be done now: the list 'To cross today'."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import Enum
from typing import Any

from breeding.blooming import MONTH, GardenBloom, Span, in_store, open_now, the_bloom
from breeding.models import Bloom, Cross, PlannedCross, Pollen
from breeding.planseason import coming_season
from garden.models import Garden, Plant

# What opens within so many days is soon; what was expected and not noted is waited for as long.
SOON = timedelta(days=7)
Pair = tuple[int, int]


class Way(Enum):
    """Groups of the list in their order."""

    OPEN = "Both open"
    STORED = "With stored pollen"
    SOON = "Soon"
    LATER = "Later"
    MISSED = "Not as things stand"
    DONE = "Done"


class State(Enum):
    """How far a plant's bloom is this season, by what is noted."""

    CLOSED, OPEN, OVER = range(3)


@dataclass(slots=True)
class Line:
    """A planned cross as it stands today.

    `worked` counts flowers of the season in this direction, `other_way` in the other; `jars` is
    pollen of the pollen parent in store; `day` when it can be made as far as can be told, or until
    when; `keep` a parent whose pollen should be kept.
    """

    planned: PlannedCross
    worked: int = 0
    other_way: int = 0
    jars: list[Pollen] = field(default_factory=list)
    way: Way = Way.LATER
    reason: str = ""
    day: date | None = None
    keep: Plant | None = None

    @property
    def seed(self) -> Plant:
        return self.planned.seed_parent

    @property
    def pollen(self) -> Plant:
        return self.planned.pollen_parent

    @property
    def ready(self) -> bool:
        return self.way in (Way.OPEN, Way.STORED)


@dataclass(frozen=True, slots=True)
class Record:
    """What is known of this season: notes of bloom and pollen in store by plant, expected days."""

    season: int
    today: date
    blooms: Mapping[int, Bloom]
    stored: Mapping[int, list[Pollen]]
    bloom: GardenBloom
    spans: Mapping[int, Span]

    def state(self, plant: int) -> State:
        """As `open_now` has it: without an end noted, over a month after the last note."""
        bloom = self.blooms.get(plant)
        if bloom is None:
            return State.CLOSED
        lately = max(filter(None, (bloom.first_on, bloom.peak_on)), default=None)
        if bloom.last_on or lately is None or lately < self.today - MONTH:
            return State.OVER
        return State.OPEN

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
    pairs = list(planned.values_list("seed_parent", "pollen_parent", "flowers"))
    if not pairs:
        return None
    open_plants = open_now(garden, today)
    if not open_plants:
        return None
    worked, stored = worked_of(season), in_store(today)
    waiting = [
        (seed, pollen)
        for seed, pollen, flowers in pairs
        if worked.get((seed, pollen), 0) < flowers and seed in open_plants
    ]
    both = sum(pollen in open_plants for _, pollen in waiting)
    jars = sum(pollen in stored and pollen not in open_plants for _, pollen in waiting)
    return {"ready": both + jars, "stored": jars} if both + jars else None


def lines_of(garden: Garden, today: date) -> tuple[Record, list[Line]]:
    """Every planned cross of the season, those that can be made now first.

    Seven queries, and those of the garden's bloom.
    """
    season = season_now(garden, today, open_now(garden, today))
    planned = planned_of(season)
    parents = {key for each in planned for key in (each.seed_parent_id, each.pollen_parent_id)}
    bloom = the_bloom(garden, today)
    record = Record(
        season,
        today,
        {each.plant_id: each for each in Bloom.live.filter(season=season, plant__in=parents)},
        in_store(today),
        bloom,
        bloom.spans(sorted(parents), season),
    )
    worked = worked_of(season)
    lines = [_line(each, worked, record) for each in planned]
    order = list(Way)
    far = date.max
    return record, sorted(
        lines,
        key=lambda line: (
            order.index(line.way),
            line.day or far,
            line.seed.folded,
            line.planned.pk,
        ),
    )


def _line(planned: PlannedCross, worked: Mapping[Pair, int], record: Record) -> Line:
    seed, pollen = planned.seed_parent_id, planned.pollen_parent_id
    line = Line(
        planned,
        worked.get((seed, pollen), 0),
        worked.get((pollen, seed), 0),
        record.stored.get(pollen, []),
    )
    if line.worked >= planned.flowers:
        line.way = Way.DONE
        return line
    told = {State.OPEN: _seed_open, State.CLOSED: _seed_closed, State.OVER: _seed_over}
    told[record.state(seed)](line, record)
    return line


def _seed_open(line: Line, record: Record) -> None:
    pollen = record.state(line.pollen.pk)
    if pollen is State.OPEN:
        line.way = Way.OPEN
        _first_over(line, record)
    elif line.jars:
        line.way = Way.STORED
        line.day = record.last(line.seed.pk)
        so_far = "is over" if pollen is State.OVER else "is not open yet"
        line.reason = f"{line.pollen} {so_far}: {where(line.jars)}"
    elif pollen is State.OVER:
        _missed(line, f"{line.pollen} is over, and none of its pollen is in store")
    else:
        _waits(line, record, line.pollen, f"{line.seed} is open")


def _seed_closed(line: Line, record: Record) -> None:
    pollen = record.state(line.pollen.pk)
    if pollen is State.OVER and not line.jars:
        _missed(line, f"{line.pollen} is over, and none of its pollen is in store")
    elif line.jars:
        _waits(line, record, line.seed, f"pollen {where(line.jars).removeprefix('stored pollen ')}")
    elif pollen is State.OPEN:
        _waits(line, record, line.seed, f"{line.pollen} is open")
        if _before(record.last(line.pollen.pk), line.day):
            line.keep = line.pollen
            line.reason += " and will probably be over: keep its pollen"
    else:
        _both_closed(line, record)


def _both_closed(line: Line, record: Record) -> None:
    seed, pollen = (record.first(plant.pk) for plant in (line.seed, line.pollen))
    later = line.pollen if seed and pollen and pollen > seed else line.seed
    _waits(line, record, later, "")
    if _before(record.last(line.pollen.pk), seed):
        line.reason += f"; {line.pollen} is expected to be over before: keep its pollen"
    elif _before(record.last(line.seed.pk), pollen):
        line.reason += (
            f"; {line.seed} is expected to be over before: only with pollen from another garden, "
            "or the other way round"
        )


def _seed_over(line: Line, record: Record) -> None:
    said = f"{line.seed} is over"
    if record.stored.get(line.seed.pk) and record.state(line.pollen.pk) is not State.OVER:
        said += "; the other way round it can be made: its pollen is in store"
    _missed(line, said)


def _waits(line: Line, record: Record, plant: Plant, begin: str) -> None:
    """It can be made when this plant opens."""
    day, last = record.first(plant.pk), record.last(plant.pk)
    begin = f"{begin}; " if begin else ""
    if day is None or last is None:
        line.way, line.reason = Way.LATER, f"{begin}{plant} is not open yet"
    elif last < record.today - SOON:
        _missed(line, f"{begin}{plant} was expected open until {short(last)} and never noted")
    elif day <= record.today:
        line.way, line.day = Way.SOON, day
        line.reason = f"{begin}{plant} was expected to open {short(day)}: look whether it has"
    else:
        line.way = Way.SOON if day <= record.today + SOON else Way.LATER
        line.day, line.reason = day, f"{begin}{plant} opens about {short(day)}"


def _first_over(line: Line, record: Record) -> None:
    """Until when both are expected open."""
    ends = [(end, plant) for plant in (line.seed, line.pollen) if (end := record.last(plant.pk))]
    if ends:
        line.day, plant = min(ends, key=lambda each: each[0])
        line.reason = f"until about {short(line.day)}, then {plant} will be over"


def _missed(line: Line, reason: str) -> None:
    line.way, line.reason = Way.MISSED, reason


def _before(one: date | None, other: date | None) -> bool:
    return one is not None and other is not None and one < other


def where(jars: Sequence[Pollen]) -> str:
    """'stored pollen in the fridge door'; the jar that keeps shortest first."""
    soonest = min(jars, key=lambda jar: (jar.use_by or date.max, jar.taken_on))
    until = f", good until {short(soonest.use_by)}" if soonest.use_by else ""
    return f"stored pollen in {soonest.place}{until}"


def short(day: date) -> str:
    """'3 Jun'."""
    return f"{day.day} {day:%b}"


def beginning(record: Record, lines: Sequence[Line]) -> tuple[Plant, date] | None:
    """The parent that is expected to open first, where nothing can be made for a while."""
    if any(line.way in (Way.OPEN, Way.STORED, Way.SOON) for line in lines):
        return None
    parents = {plant.pk: plant for line in lines for plant in (line.seed, line.pollen)}
    coming = [(day, plant.folded, plant) for key, plant in parents.items()
              if (day := record.first(key)) and day > record.today]  # fmt: skip
    return (min(coming)[2], min(coming)[0]) if coming else None
