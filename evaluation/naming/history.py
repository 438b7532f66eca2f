"""The history that a registration tells: crossed, sown, first bloom, selected, named."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from breeding.lifeline import Thread
from evaluation.models import ProposedName, Seedling
from evaluation.naming.blooms import Season
from evaluation.sheets import Sheet
from garden.models import Plant
from garden.verbs import written

TOLD = {"worked": "Crossed", "harvested": "Harvested", "sown": "Sown", "out": "Lined out"}


@dataclass(frozen=True, slots=True)
class Dated:
    """One step with its day in words."""

    day: date
    step: str
    text: str

    @property
    def when(self) -> str:
        return written(self.day)


def history_of(
    plant: Plant, origin: Seedling | None, blooms: list[Season], sheets: list[Sheet]
) -> list[Dated]:
    """The steps in order of their days. Six queries for a plant bred here, and one."""
    steps = [*_bred(origin), *_bloomed(origin, blooms, sheets), *_named(plant)]
    return sorted(steps, key=lambda step: step.day)


def _bred(origin: Seedling | None) -> Iterator[Dated]:
    if origin is None:
        return
    for event in Thread.of(origin.cross).branch(origin).events():
        if event.step in TOLD:
            told = f"cross {origin.cross}, {event.text}" if event.step == "worked" else event.text
            yield Dated(event.day, TOLD[event.step], told)
    why = f": {origin.reason}" if origin.reason else ""
    yield Dated(
        origin.selected_on,
        "Selected",
        f"as {origin.code}, position {origin.position} of {origin.row}{why}",
    )


def _bloomed(origin: Seedling | None, blooms: list[Season], sheets: list[Sheet]) -> Iterator[Dated]:
    """The first bloom that anybody wrote down; of a bought plant it tells nothing."""
    if origin is None:
        return
    noted = [day for each in blooms for day in (each.first, each.peak, each.last) if day]
    days = [*noted, *(sheet.scoring.day for sheet in sheets), origin.selected_on]
    first = min(days)
    told = "noted that day" if first in noted else "seen in bloom"
    yield Dated(first, "First bloom", told)


def _named(plant: Plant) -> Iterator[Dated]:
    given = ProposedName.live.filter(plant=plant, state=ProposedName.State.CHOSEN)
    for each in given.select_related("person"):
        why = f": {each.settled_why}" if each.settled_why else ""
        yield Dated(each.settled_on, "Named", f"‘{each.text}’, proposed by {each.person}{why}")
