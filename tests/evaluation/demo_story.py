"""The demo's whole story, told once, with what nature knows of it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from django.conf import settings

from evaluation.demo.cast import Cast
from evaluation.demo.history import History, first_season
from evaluation.demo.plans import Planned
from evaluation.demo.steps import Step
from evaluation.demo.things import Planting

TODAY = date(2026, 11, 28)
CAST = Cast.read(settings.BASE_DIR / "fixtures" / "demo")


class Watched(History):
    """The story, with its rows and its plans kept for looking at them later."""

    def __init__(self) -> None:
        tags = (f"{number:06}" for number in range(100_000))
        super().__init__(CAST, first_season(TODAY), tags, 1.0, 20)
        self.rows: dict[str, Planting] = {}
        self.planned: list[Planned] = []
        self.begin()
        self.steps = list(self.tell(TODAY))

    def plan(self, season: int) -> list[Planned]:
        planned = super().plan(season)
        self.planned += planned
        return planned

    def line_out(self, pot: object, keep: bool) -> Iterator[Step]:
        yield from super().line_out(pot, keep)
        self.rows |= {planting.key: planting for planting in self.plantings}

    def of(self, verb: str) -> list[Step]:
        return [step for step in self.steps if step.verb == verb]
