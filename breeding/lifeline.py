"""The life-line of a cross and of each thing along it: what happened, and what comes next."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from breeding import due
from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup
from garden.calendar import GardenCalendar
from garden.verbs import plural

STATE = Pollination.State
# The kinds of things along the thread, in its order; selected seedlings follow them.
STEPS = (Pollination, SeedCup, Pot, Row)


@dataclass(frozen=True)
class Event:
    """Something that happened along the thread, with the things it speaks of."""

    day: date
    step: str
    text: str
    things: list[Any] = field(default_factory=list)
    detail: str = ""
    # Of some things only the year is known, or told.
    year_only: bool = False


@dataclass(frozen=True)
class Next:
    """Something that is to be done next, and where."""

    day: date
    text: str
    thing: Any
    key: str


@dataclass(frozen=True)
class Thread:
    """Everything recorded along one cross, or the branch of it that one thing belongs to."""

    cross: Cross
    flowers: list[Pollination]
    cups: list[SeedCup]
    pots: list[Pot]
    counts: list[PotCount]
    rows: list[Row]
    # Selected seedlings, known only by what points back at the cross.
    seedlings: list[Any]
    # What only leads to a branch: nothing is next there, whatever became of the rest of it.
    behind: frozenset[Any] = frozenset()

    @classmethod
    def of(cls, cross: Cross) -> Thread:
        """The whole thread of a cross. Six queries, however long it is."""
        flowers = Pollination.live.filter(cross=cross).select_related("tag", "cup")
        return cls(
            cross,
            list(flowers),
            list(SeedCup.live.filter(cross=cross)),
            list(Pot.live.filter(cup__cross=cross).select_related("cup__cross")),
            list(PotCount.live.filter(pot__cup__cross=cross)),
            list(Row.live.filter(cross=cross).select_related("bed", "pot")),
            list(cross.seedlings.filter(struck=False).select_related("plant")),
        )

    def branch(self, thing: Any) -> Thread:
        """The part of the thread that leads to one of its things and on from it. No query."""
        at = STEPS.index(type(thing)) if type(thing) in STEPS else len(STEPS)
        parts = [self.flowers, self.cups, self.pots, self.rows, self.seedlings]
        parts[at] = [each for each in parts[at] if each.pk == thing.pk]
        for step in range(at + 1, len(parts)):
            parts[step] = [each for each in parts[step] if _any_led(parts[step - 1], [each])]
        for step in range(at - 1, -1, -1):
            parts[step] = [each for each in parts[step] if _any_led([each], parts[step + 1])]
        flowers, cups, pots, rows, seedlings = parts
        counts = [count for count in self.counts if count.pot_id in {pot.pk for pot in pots}]
        if at > STEPS.index(Pot):
            out = min((row.lined_out_on for row in rows), default=date.max)
            counts = [count for count in counts if count.day <= out]
        behind = frozenset(each for part in parts[:at] for each in part)
        return replace(
            self, flowers=flowers, cups=cups, pots=pots, counts=counts, rows=rows,
            seedlings=seedlings, behind=behind,
        )  # fmt: skip

    def goes_on(self, things: Iterable[Any]) -> list[Any]:
        """Those of `things` that are more than the way to this branch."""
        return [thing for thing in things if thing not in self.behind]

    def events(self) -> list[Event]:
        """What happened, in order of the days."""
        found = [
            *self._bloom(),
            *self._harvests(),
            *self._pots(),
            *self._rows(),
            *self._put_away(),
        ]
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
        for (day, _), flowers in by_cup.items():
            seeds = sum(flower.seeds or 0 for flower in flowers)
            text = f"{plural(seeds, 'seed')} from {plural(len(flowers), 'pod')}"
            yield Event(day, "harvested", text, [flowers[0].cup])

    def _pots(self) -> Iterator[Event]:
        pots = {pot.pk: pot for pot in self.pots}
        for pot in self.pots:
            yield Event(pot.sown_on, "sown", f"{plural(pot.seeds, 'seed')} sown", [pot])
        for count in self.counts:
            text = f"{plural(count.standing, 'seedling')} standing"
            yield Event(count.day, "up", text, [pots[count.pot_id]])

    def _rows(self) -> Iterator[Event]:
        for row in self.rows:
            text = f"{plural(row.seedlings, 'seedling')} lined out"
            yield Event(row.lined_out_on, "out", text, [row])
        chosen: dict[date, list[Any]] = defaultdict(list)
        for seedling in self.seedlings:
            chosen[seedling.selected_on].append(seedling)
        for day, seedlings in chosen.items():
            reason = seedlings[0].reason if len(seedlings) == 1 else ""
            text = f"{plural(len(seedlings), 'seedling')} selected"
            yield Event(day, "selected", text, seedlings, reason)

    def _put_away(self) -> Iterator[Event]:
        for thing in self.goes_on([*self.cups, *self.pots, *self.rows]):
            if thing.closed_on:
                text = f"{thing._meta.verbose_name.capitalize()} put away"
                yield Event(thing.closed_on, "away", text, [thing], thing.closed_reason)

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
        for cup in self.goes_on(self.cups):
            if cup.left and not cup.closed_on:
                day = calendar.sowing_due(cup.filled_on)
                yield Next(day, f"Sow {plural(cup.left, 'seed')} of cup {cup}", cup, "sow")

    def _next_pots(self, calendar: GardenCalendar, today: date) -> Iterator[Next]:
        for pot in self.goes_on(self.pots):
            if pot.closed_on:
                continue
            if pot.standing and pot.first_up_on:
                day = calendar.line_out_due(pot.first_up_on)
                yield Next(day, f"Line out {pot.standing} of pot {pot}", pot, "line-out")
            elif pot.up < pot.seeds and calendar.springs(pot.sown_on)[1] >= today:
                yield Next(
                    due.pot_count_due(calendar, pot, today), f"Count pot {pot}", pot, "count"
                )
        for row in self.goes_on(self.rows):
            if not row.closed_on:
                day = calendar.first_bloom_due(row.lined_out_on)
                if day >= today:
                    yield Next(day, f"First bloom in {row}", row, "bloom")


# How each kind of thing points back at the one that it came from.
POINTERS = {SeedCup: "cup_id", Pot: "pot_id", Row: "row_id"}


def _any_led(before: Iterable[Any], after: Iterable[Any]) -> bool:
    """Whether one thing of a step led to one of the next step."""
    return any(_led(one, other) for one in before for other in after)


def _led(one: Any, other: Any) -> bool:
    if isinstance(one, Pollination):
        return one.cup_id == other.pk
    return getattr(other, POINTERS[type(one)]) == one.pk


def life_of(thing: Any, calendar: GardenCalendar, today: date) -> dict[str, list[Any]]:
    """What a page tells of one thing along the thread, the steps further on included.

    {"events": [Event], "next_steps": [Next]}; what is next for the thing itself its page says in
    its own words. Six queries.
    """
    branch = Thread.of(thing.cross).branch(thing)
    steps = branch.next_steps(calendar, today)
    return {"events": branch.events(), "next_steps": [s for s in steps if s.thing != thing]}
