"""Does what the story tells: each step through its verb, all in one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.conf import settings

from breeding import records as breeding
from breeding.models import Cross, Locus, Pollination, Row, Tag
from breeding.tagnumbers import tag_codes
from evaluation import records as evaluation
from evaluation.demo.cast import Cast
from evaluation.demo.darkroom import Darkroom
from evaluation.demo.history import tell
from evaluation.demo.steps import Picture, Ref, Step
from evaluation.models import Glance, Rubric, Scoring, Seedling
from garden import records as garden
from garden.models import Bed, Garden, JournalLine, Person, Photo, Plant, fold
from garden.records.people import check_password
from garden.verbs import Act, Kept, Refused, writing

ENTRIES = uuid.UUID("5f0f5a53-3f6e-4f0e-9d0b-6b6b1d5b8c11")
MOST_TAGS = 100_000
# What a step may do, and where it is found.
VERBS = {
    **{name: getattr(garden, name) for name in garden.__all__},
    **{name: getattr(breeding, name) for name in breeding.__all__},
    **{name: getattr(evaluation, name) for name in evaluation.__all__ if name != "letter_of"},
}


@dataclass(frozen=True)
class Loaded:
    """How much was written."""

    plants: int
    crosses: int
    flowers: int
    seedlings_lined_out: int
    looks: int
    scores: int
    selected: int
    photos: int
    lines: int

    def __str__(self) -> str:
        return (
            f"{self.plants} plants, {self.crosses} crosses, {self.flowers} flowers worked, "
            f"{self.seedlings_lined_out} seedlings lined out, {self.looks} looks and "
            f"{self.scores} scores, {self.selected} selected, {self.photos} photos, "
            f"{self.lines} lines in the journal"
        )


@dataclass
class Doing:
    """What is needed to turn steps into acts: people, and what earlier steps made."""

    password: str
    people: dict[str, Person]
    garden: Garden
    darkroom: Darkroom
    made: dict[str, Kept] = field(default_factory=dict)
    found: dict[str, Any] = field(default_factory=dict)
    steps: int = 0

    def do(self, step: Step) -> None:
        """Do one step; Refused when its verb refuses."""
        self.steps += 1
        act = Act(
            person=self.people[step.person],
            happened_at=step.at,
            device=step.device,
            entry=uuid.uuid5(ENTRIES, str(self.steps)),
            received_at=step.received_at,
            garden=self.garden,
        )
        values = {name: self._value(value, step) for name, value in step.values.items()}
        if step.verb == "add_person":
            values["password"] = self.password
        kept = VERBS[step.verb](act, **values)
        if step.key:
            self.made[step.key] = kept
        if isinstance(kept.thing, Person):
            self.people[kept.thing.name] = kept.thing
        if isinstance(kept.thing, Garden):
            self.garden = kept.thing

    def _value(self, value: Any, step: Step) -> Any:
        if isinstance(value, list):
            return [self._value(each, step) for each in value]
        if isinstance(value, Picture):
            return self.darkroom.picture(value, step.at)
        if not isinstance(value, Ref):
            return value
        if value.key not in self.made:
            return self._by_name(value.key)
        kept = self.made[value.key]
        if value.part == "line":
            return kept.line
        return getattr(kept.thing, value.part) if value.part else kept.thing

    def _by_name(self, key: str) -> Any:
        kind, _, name = key.partition(":")
        if kind == "rubric":  # another version may have come since
            return Rubric.live.get(purpose=name, replaced_by=None)
        if key not in self.found:
            if kind == "tag":
                self.found[key] = Tag.objects.get(code=name)
            elif kind == "locus":
                self.found[key] = Locus.live.get(symbol=name)
            else:
                kinds = {"plant": Plant, "bed": Bed}
                self.found[key] = kinds[kind].live.get(folded=fold(name))
        return self.found[key]


def load_demo(
    password: str,
    *,
    today: date | None = None,
    scale: float = 1.0,
    seed: int = 20,
    say: Callable[[str], object] = lambda line: None,
) -> Loaded:
    """Fill an empty garden with the demo story up to the evening before `today`.

    Parameters
    ----------
    password : with which each person of the demo signs in.
    today : the day on which the story ends; the present day when missing.
    scale : share of the crosses, above 0 to 1.
    seed : which story.
    say : is told each year of the story as it begins.

    Raises Refused when there are plants already, or when a verb refuses; nothing is kept then.
    """
    cast = Cast.read(settings.BASE_DIR / "fixtures" / "demo")
    with writing():
        place = Garden.get()
        if Plant.objects.exists():
            raise Refused("There are plants in this garden already; the demo needs an empty one.")
        if Person.objects.filter(name__iexact=cast.owner).exists():
            raise Refused(f"There is somebody called {cast.owner} here already.")
        check_password(password)
        # The first owner cannot be let in by anybody.
        owner = Person.objects.create_user(cast.owner, password, role=Person.Role.OWNER)
        tags = (code for _, code in tag_codes(place.next_tag, MOST_TAGS))
        steps = list(tell(cast, today or place.today(), tags, scale=scale, seed=seed))
        with Darkroom(photos_of(steps)) as darkroom:
            doing, year = Doing(password, {owner.name: owner}, place, darkroom), 0
            for number, step in enumerate(steps):
                if step.at.year > year:
                    year = step.at.year
                    say(f"  {year} … {number:,} of {len(steps):,} entries written")
                doing.do(step)
        # That this is the demo is not something that a person did, so no verb and no line says it.
        Garden.objects.filter(pk=place.pk).update(is_demo=True)
        return _count()


def photos_of(steps: list[Step]) -> list[tuple[Picture, datetime]]:
    """The pictures taken in a story, with their moments."""
    return [
        (value, step.at)
        for step in steps
        for value in step.values.values()
        if isinstance(value, Picture)
    ]


def _count() -> Loaded:
    return Loaded(
        plants=Plant.live.count(),
        crosses=Cross.live.count(),
        flowers=Pollination.live.count(),
        seedlings_lined_out=sum(row.seedlings for row in Row.live.all()),
        looks=Glance.live.count(),
        scores=Scoring.live.count(),
        selected=Seedling.live.count(),
        photos=Photo.live.count(),
        lines=JournalLine.objects.count(),
    )
