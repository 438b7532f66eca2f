"""The life-line of a cross: what happened, when, how much, and what comes next."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from breeding import due
from breeding.models import Cross, Pollination, Pot, Row, SeedCup
from garden.calendar import GardenCalendar
from garden.verbs import plural

STATE = Pollination.State


@dataclass(frozen=True)
class Event:
    """Something that happened along the thread, with the things it speaks of."""

    day: date
    step: str
    text: str
    things: list[Any] = field(default_factory=list)
    detail: str = ""


@dataclass(frozen=True)
class Next:
    """Something that is to be done next, and where."""

    day: date
    text: str
    thing: Any
    key: str


@dataclass(frozen=True)
class Thread:
    """Everything recorded along one cross. Five queries, however long it is."""

    cross: Cross
    flowers: list[Pollination]
    cups: list[SeedCup]
    pots: list[Pot]
    rows: list[Row]

    @classmethod
    def of(cls, cross: Cross) -> Thread:
        flowers = Pollination.live.filter(cross=cross).select_related("tag", "cup")
        pots = Pot.live.filter(cup__cross=cross).select_related("cup__cross")
        rows = Row.live.filter(cross=cross).select_related("bed", "pot")
        return cls(
            cross,
            list(flowers),
            list(SeedCup.live.filter(cross=cross)),
            list(pots.prefetch_related("counts")),
            list(rows),
        )

    def events(self) -> list[Event]:
        """What happened, in order of the days."""
        found = [*self._bloom(), *self._harvests(), *self._pots(), *self._rows()]
        return sorted(found, key=lambda event: event.day)

    def _bloom(self) -> Iterator[Event]:
        worked: dict[date, list[Pollination]] = defaultdict(list)
        looked: dict[tuple[date, bool], list[Pollination]] = defaultdict(list)
        for flower in self.flowers:
            worked[flower.day].append(flower)
            if flower.looked_on:
                failed = flower.state == STATE.FAILED
                looked[(flower.looked_on, failed)].append(flower)
        for day, flowers in worked.items():
            yield Event(day, "worked", f"{plural(len(flowers), 'flower')} worked", flowers)
        for (day, failed), flowers in looked.items():
            text = f"{plural(len(flowers), 'pod')} {'failed' if failed else 'set'}"
            reasons = ", ".join(sorted({flower.fail_reason for flower in flowers} - {""}))
            yield Event(day, "failed" if failed else "set", text, flowers, reasons)

    def _harvests(self) -> Iterator[Event]:
        by_cup: dict[tuple[date, int], list[Pollination]] = defaultdict(list)
        for flower in self.flowers:
            if flower.harvested_on:
                by_cup[(flower.harvested_on, flower.cup_id)].append(flower)
        cups = {cup.pk: cup for cup in self.cups}
        for (day, cup_id), flowers in by_cup.items():
            seeds = sum(flower.seeds or 0 for flower in flowers)
            text = f"{plural(seeds, 'seed')} from {plural(len(flowers), 'pod')}"
            yield Event(day, "harvested", text, [cups[cup_id]])

    def _pots(self) -> Iterator[Event]:
        for pot in self.pots:
            yield Event(pot.sown_on, "sown", f"{plural(pot.seeds, 'seed')} sown", [pot])
            for count in pot.counts.all():
                if not count.struck:
                    text = f"{plural(count.standing, 'seedling')} standing"
                    yield Event(count.day, "up", text, [pot])
        for thing in [*self.cups, *self.pots, *self.rows]:
            if thing.closed_on:
                text = f"{thing._meta.verbose_name.capitalize()} put away"
                yield Event(thing.closed_on, "away", text, [thing], thing.closed_reason)

    def _rows(self) -> Iterator[Event]:
        for row in self.rows:
            text = f"{plural(row.seedlings, 'seedling')} lined out"
            yield Event(row.lined_out_on, "out", text, [row])

    def next_steps(self, calendar: GardenCalendar, today: date) -> list[Next]:
        """What comes next for each part of the thread, the nearest first."""
        found = [
            *self._next_flowers(calendar),
            *self._next_pots(calendar, today),
        ]
        return sorted(found, key=lambda step: step.day)

    def _next_flowers(self, calendar: GardenCalendar) -> Iterator[Next]:
        for flower in self.flowers:
            if flower.state == STATE.WORKED:
                day = calendar.pod_check_due(flower.day)
                yield Next(day, f"Look at tag {flower.tag}", flower, "look")
            elif flower.state == STATE.SET:
                day = calendar.pod_ripe_due(flower.day)
                yield Next(day, f"Harvest tag {flower.tag}", flower, "harvest")
        for cup in self.cups:
            if cup.left and not cup.closed_on:
                day = calendar.sowing_due(cup.filled_on)
                yield Next(day, f"Sow {plural(cup.left, 'seed')} of cup {cup}", cup, "sow")

    def _next_pots(self, calendar: GardenCalendar, today: date) -> Iterator[Next]:
        for pot in self.pots:
            if pot.closed_on:
                continue
            if pot.standing and pot.first_up_on:
                day = calendar.line_out_due(pot.first_up_on)
                yield Next(day, f"Line out {pot.standing} of pot {pot}", pot, "line-out")
            elif pot.up < pot.seeds and calendar.springs(pot.sown_on)[1] >= today:
                yield Next(due.pot_count_due(calendar, pot), f"Count pot {pot}", pot, "count")
        for row in self.rows:
            if not row.closed_on:
                day = calendar.first_bloom_due(row.lined_out_on)
                if day >= today:
                    yield Next(day, f"First bloom in {row}", row, "bloom")
