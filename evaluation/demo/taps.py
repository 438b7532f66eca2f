"""Bloom as people in the story note it: one tap for first flower, peak or over. Free of Django."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import timedelta
from functools import partial

from evaluation.demo.cast import Parent
from evaluation.demo.jars import Jars
from evaluation.demo.steps import Step

WATCHED_IN_BLOOM = 40
STAGES = {"first": 0.75, "peak": 0.5, "last": 0.55}
# By how many days somebody is off, and at most: nobody notes what is worked later as over.
OFF = {"first": (0.3, 0.8, -1, 2), "peak": (0.0, 1.3, -3, 3), "last": (0.0, 1.1, -2, 3)}
NO_BLOOM = {("plant:18-027B", 2022)}


class Taps(Jars):
    """Who is watched, and which of its days are written down in which year."""

    def plan_taps(self, season: int) -> None:
        """Put this season's taps on their days: never all plants, never every stage."""
        for plant in self.watched(season):
            dice = random.Random(f"{self.seed} taps {season} {plant.key}")
            if (plant.key, season) in NO_BLOOM or dice.random() > _care(self.seed, plant):
                continue
            span, before = self.spring.span(plant, season), None
            for stage, share in STAGES.items():
                mean, spread, least, most = OFF[stage]
                off = min(max(round(dice.gauss(mean, spread)), least), most)
                day = getattr(span, stage) + timedelta(days=off)
                if dice.random() < share * max(self.scale, 0.2):
                    before = max(day, before or day)
                    self.on(before, partial(self.tap, plant, stage))

    def watched(self, season: int) -> list[Parent]:
        """Plants of the stock, the ones that are bred from first, and some chosen seedlings."""
        dice = random.Random(f"{self.seed} watched")
        stock = [each for each in self.parents.values() if each.key.startswith("plant:")]
        bred_from = [each for each in stock if each.line]
        old = [each for each in stock if not each.line]
        chosen = dice.sample(bred_from, WATCHED_IN_BLOOM * 3 // 4)
        chosen += dice.sample(old, WATCHED_IN_BLOOM // 4)
        young = [
            each for each in self.parents.values()
            if not each.key.startswith("plant:") and _care(self.seed, each) > 0.75
        ]  # fmt: skip
        return [each for each in [*chosen, *young] if each.used_from <= season]

    def tap(self, plant: Parent, stage: str) -> Iterator[Step]:
        with self.aside(f"tap {self.day} {plant.key} {stage}"):
            step = self.step("note_bloom", plant=plant.ref, stage=stage)
        yield step


def _care(seed: str, plant: Parent) -> float:
    """In which share of the years somebody notes this plant's bloom at all."""
    return random.Random(f"{seed} care {plant.key}").uniform(0.3, 0.95)
