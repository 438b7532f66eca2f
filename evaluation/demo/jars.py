"""Pollen put by in the story, for later in the season or for the next one. Free of Django."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from functools import partial

from evaluation.demo.cast import Parent
from evaluation.demo.choosing import Choosing
from evaluation.demo.diary import DESK, PHONE
from evaluation.demo.plans import Planned, recent_ones
from evaluation.demo.spring import Spring
from evaluation.demo.steps import Ref, Step

FOR_NEXT_YEAR = 3
BEFORE_THE_NOTEBOOK = 2
COLD = ("freezer, top drawer", "freezer, tin with rice", "fridge, jam jar with silica gel")
DRY = ("cellar shelf, matchbox", "kitchen, dry jar", "fridge door, paper twist")
# Few days after which dry pollen is thought good no more; cold pollen lasts one season longer.
DRY_DAYS = 42
END_OF_SEASON = (6, 30)


class Jars(Choosing):
    """What is taken, kept and thrown out; `jars` holds the jars at hand by plant and year."""

    def __init__(self, *story: object) -> None:
        super().__init__(*story)  # type: ignore[arg-type]
        self.spring = Spring(self.seed)
        self.jars: dict[tuple[str, int], str] = {}

    def kept(self, year: int) -> list[str]:
        """Keys of the plants whose pollen of a year is at hand."""
        return [plant for plant, taken in self.jars if taken == year]

    def jars_before(self) -> Iterator[Step]:
        """Jars that were there before the notebook was opened, written down with it."""
        year = self.first - 1
        with self.aside(f"jars {year}"):
            usable = [each for each in self.parents.values() if each.line and each.used_from < year]
            steps = [
                self.jar_of(plant, year, self.spring.span(plant, year).peak)
                for plant in self.dice.sample(recent_ones(usable), BEFORE_THE_NOTEBOOK)
            ]
        yield from steps

    def plan_jars(self, season: int, planned: list[Planned]) -> None:
        """Put on their days: pollen for flowers that open later, and some for the next spring."""
        early = {cross.pollen.key: cross.pollen for cross in planned
                 if cross.jar == "this" and cross.pollen}  # fmt: skip
        with self.aside(f"jars {season}"):
            usable = [each for each in self.parents.values() if each.line and self.is_open(each)]
            late = self.dice.sample(recent_ones(usable), self.jars_a_season())
        for plant in [*early.values(), *(each for each in late if each.key not in early)]:
            peak = self.spring.span(plant, season).peak
            self.on(peak, partial(self.store, plant, season))
        self.on(date(season, 7, 8), partial(self.throw_out, season - 1))

    def is_open(self, plant: Parent) -> bool:
        return plant.used_from <= self.day.year

    def jars_a_season(self) -> int:
        return max(1, round(FOR_NEXT_YEAR * self.scale))

    def store(self, plant: Parent, season: int) -> Iterator[Step]:
        with self.aside(f"jar {season} {plant.key}"):
            step = self.jar_of(plant, season)
        yield step

    def jar_of(self, plant: Parent, season: int, day: date | None = None) -> Step:
        """Tall ones, late in the season, are kept cold until the next spring."""
        taken = day or self.day
        key = f"jar:{season}:{plant.key}"
        self.jars[plant.key, season] = key
        cold = plant.iris_class == "TB"
        until = date(season + 1, *END_OF_SEASON) if cold else taken + timedelta(days=DRY_DAYS)
        return self.step(
            "store_pollen", key, at=DESK if day else PHONE, plant=plant.ref, day=day,
            place=self.dice.choice(COLD if cold else DRY),
            use_by=until if self.chance(0.8) else None,
        )  # fmt: skip

    def jar_opened(self, cross: Planned) -> None:
        """After the day's flowers the jar is empty, now and then."""
        season = self.day.year - (cross.jar == "last")
        if cross.pollen and (key := self.jars.get((cross.pollen.key, season))):
            with self.aside(f"opened {key} {self.day}"):
                if self.chance(0.5):
                    # The last flowers of the cross are worked within two days.
                    empty = partial(self.finish, cross.pollen.key, season, "used up")
                    self.on(self.day + timedelta(days=3), empty)

    def throw_out(self, year: int) -> Iterator[Step]:
        """What is left of last year's pollen; a jar at the back is forgotten."""
        for plant in self.kept(year):
            with self.aside(f"thrown out {year} {plant}"):
                forgotten = self.chance(0.15)
            if not forgotten:
                yield from self.finish(plant, year, "too old")

    def finish(self, plant: str, year: int, reason: str) -> Iterator[Step]:
        if key := self.jars.pop((plant, year), ""):
            with self.aside(f"finished {key}"):
                step = self.step("finish_pollen", pollen=Ref(key), reason=reason)
            yield step
