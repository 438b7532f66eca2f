"""The planned crosses of a season by what can be done now: the list 'To cross today'."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import Enum

from breeding.blooming import in_store, open_now, the_bloom
from breeding.models import Bloom, PlannedCross, Pollen
from breeding.pages.planrecord import (
    Pair,
    Record,
    State,
    places_of,
    planned_of,
    season_now,
    short,
    worked_of,
)
from garden.models import Garden, Plant
from garden.verbs import EARLIEST_DAY

# What opens within so many days is soon; what was expected and not noted is waited for as long.
SOON = timedelta(days=7)
# The list can be looked at for so long ahead.
AHEAD = timedelta(days=3 * 366)


class Way(Enum):
    """Groups of the list in their order."""

    OPEN = "Both open"
    STORED = "With stored pollen"
    SOON = "Soon"
    LATER = "Later"
    MISSED = "Not as things stand"
    DONE = "Done"


def day_asked(text: str, today: date) -> date:
    """A day of the address, some years ahead at most; today where it is none."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return today
    return day if EARLIEST_DAY <= day <= today + AHEAD else today


@dataclass(slots=True)
class Line:
    """A planned cross as it stands today.

    `worked` counts flowers of the season in this direction, `other_way` in the other; `jars` is
    pollen of the pollen parent in store; `day` when it can be made as far as can be told, or until
    when; `keep` a parent whose pollen is needed later and can be taken now; `put_by` says the same
    of one that may still be closed; `stands` and `fetch` where seed and pollen parent stand.
    """

    planned: PlannedCross
    worked: int = 0
    other_way: int = 0
    jars: list[Pollen] = field(default_factory=list)
    way: Way = Way.LATER
    reason: str = ""
    day: date | None = None
    keep: Plant | None = None
    put_by: Plant | None = None
    stands: str = ""
    fetch: str = ""

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
class PutBy:
    """Pollen to put by: of which plant, from when until when, and for which seed parents."""

    plant: Plant
    place: str
    open: bool
    first: date | None
    last: date | None
    seeds: list[tuple[Plant, date | None]]


def lines_of(garden: Garden, today: date, now: date | None = None) -> tuple[Record, list[Line]]:
    """Every planned cross of the season of a day, those that can be made then first.

    `now` is the present day where that is another one. Eight queries, and those of the garden's
    bloom.
    """
    now = now or today
    season = season_now(garden, today, open_now(garden, today))
    planned = planned_of(season)
    parents = {key for each in planned for key in (each.seed_parent_id, each.pollen_parent_id)}
    bloom = the_bloom(garden, now)
    record = Record(
        season,
        today,
        today > now,
        {each.plant_id: each for each in Bloom.live.filter(season=season, plant__in=parents)},
        {plant: taken for plant, jars in in_store(today).items()
         if (taken := [jar for jar in jars if jar.taken_on <= today])},
        bloom,
        bloom.spans(sorted(parents), season),
        places_of(parents),
    )  # fmt: skip
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


def to_put_by(record: Record, lines: Sequence[Line]) -> list[PutBy]:
    """Pollen for planned crosses whose seed parent opens later, the soonest gone first."""
    found: dict[int, PutBy] = {}
    for line in lines:
        if (plant := line.put_by) is None:
            continue
        of_plant = found.setdefault(plant.pk, PutBy(
            plant, record.place(plant.pk), record.state(plant.pk) is State.OPEN,
            record.first(plant.pk), record.last(plant.pk), [],
        ))  # fmt: skip
        of_plant.seeds.append((line.seed, record.first(line.seed.pk)))
    return sorted(found.values(), key=lambda each: (each.last or date.max, each.plant.folded))


def _line(planned: PlannedCross, worked: Mapping[Pair, int], record: Record) -> Line:
    seed, pollen = planned.seed_parent_id, planned.pollen_parent_id
    line = Line(
        planned,
        worked.get((seed, pollen), 0),
        worked.get((pollen, seed), 0),
        record.stored.get(pollen, []),
        stands=record.place(seed),
        fetch=record.place(pollen),
    )
    if line.worked >= planned.flowers:
        line.way = Way.DONE
        return line
    if not _seed_grows(line):
        _missed(line, f"{line.seed} grows here no more")
        return line
    told = {State.OPEN: _seed_open, State.CLOSED: _seed_closed, State.OVER: _seed_over}
    told[record.state(seed)](line, record)
    return line


def _seed_grows(line: Line) -> bool:
    return line.seed.status == Plant.Status.GROWING


def _pollen_state(line: Line, record: Record) -> State:
    """Of the pollen parent; one that grows here no more is over for good."""
    grows = line.pollen.status == Plant.Status.GROWING
    return record.state(line.pollen.pk) if grows else State.OVER


def _seed_open(line: Line, record: Record) -> None:
    pollen = _pollen_state(line, record)
    if pollen is State.OPEN:
        line.way = Way.OPEN
        _first_over(line, record)
    elif line.jars:
        line.way = Way.STORED
        line.day = record.last(line.seed.pk)
        so_far = f"{record.be} over" if pollen is State.OVER else "is not open yet"
        line.reason = f"{line.pollen} {so_far}: {where(line.jars)}"
    elif pollen is State.OVER:
        _missed(line, f"{line.pollen} {record.be} over, and none of its pollen is in store")
    else:
        _waits(line, record, line.pollen, f"{line.seed} {record.be} open")


def _seed_closed(line: Line, record: Record) -> None:
    pollen = _pollen_state(line, record)
    if pollen is State.OVER and not line.jars:
        _missed(line, f"{line.pollen} {record.be} over, and none of its pollen is in store")
    elif line.jars:
        _waits(line, record, line.seed, f"pollen {where(line.jars).removeprefix('stored pollen ')}")
    elif pollen is State.OPEN:
        _waits(line, record, line.seed, f"{line.pollen} {record.be} open")
        if _before(record.last(line.pollen.pk), line.day):
            line.put_by = line.pollen
            line.keep = None if record.ahead else line.pollen
            line.reason += " and will probably be over: keep its pollen"
    else:
        _both_closed(line, record)


def _both_closed(line: Line, record: Record) -> None:
    seed, pollen = (record.first(plant.pk) for plant in (line.seed, line.pollen))
    later = line.pollen if seed and pollen and pollen > seed else line.seed
    _waits(line, record, later, "")
    if _before(record.last(line.pollen.pk), seed):
        line.put_by = line.pollen
        line.reason += f"; {line.pollen} is expected to be over before: keep its pollen"
    elif _before(record.last(line.seed.pk), pollen):
        line.reason += (
            f"; {line.seed} is expected to be over before: only with pollen from another garden, "
            "or the other way round"
        )


def _seed_over(line: Line, record: Record) -> None:
    said = f"{line.seed} {record.be} over"
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


def beginning(record: Record, lines: Sequence[Line]) -> tuple[Plant, date] | None:
    """The parent that is expected to open first, where nothing can be made for a while."""
    if any(line.way in (Way.OPEN, Way.STORED, Way.SOON) for line in lines):
        return None
    parents = {plant.pk: plant for line in lines for plant in (line.seed, line.pollen)}
    coming = [(day, plant.folded, plant) for key, plant in parents.items()
              if (day := record.first(key)) and day > record.today]  # fmt: skip
    return (min(coming)[2], min(coming)[0]) if coming else None
