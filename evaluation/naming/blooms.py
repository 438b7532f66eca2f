"""When a plant blooms beside the tall bearded ones of the same garden, by what was noted."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from statistics import median

from breeding.models import Bloom
from breeding.pages.bloomdays import believed
from garden.models import IrisClass, Plant
from garden.verbs import plural

# So many tall ones must be noted in a season before a plant is laid beside them.
LEAST_TALL = 3
# From so many days before their middle on, a plant blooms before them: ours, for lack of a rule.
BEFORE = -7.0


@dataclass(frozen=True, slots=True)
class Season:
    """One season: first, peak and last day as noted; days behind the middle of the tall ones."""

    season: int
    first: date | None
    peak: date | None
    last: date | None
    behind: float | None
    tall: int

    @property
    def words(self) -> str:
        """'first flower 21 May, last 9 June; 4 days before the middle of 12 tall ones'."""
        named = (("first flower", self.first), ("peak", self.peak), ("over", self.last))
        told = ", ".join(f"{name} {day.day} {day:%B}" for name, day in named if day)
        return f"{told}; {self.beside}" if self.beside else told

    @property
    def beside(self) -> str:
        if self.behind is None:
            return ""
        days = round(abs(self.behind))
        if not days:
            return f"with the middle of {self.tall} tall bearded ones"
        way = "after" if self.behind > 0 else "before"
        return f"{plural(days, 'day')} {way} the middle of {self.tall} tall bearded ones"


def seasons_of(plant: Plant) -> list[Season]:
    """What was noted of its bloom, the newest season first. Two queries."""
    own = list(Bloom.live.filter(plant=plant).order_by("-season"))
    if not own:
        return []
    tall: dict[tuple[int, str], list[int]] = defaultdict(list)
    others = Bloom.live.filter(
        season__in=[each.season for each in own], plant__iris_class=IrisClass.TB,
        plant__struck=False,
    ).exclude(plant=plant)  # fmt: skip
    for season, first, peak in others.values_list("season", "first_on", "peak_on"):
        for stage, day in (("first_on", first), ("peak_on", peak)):
            if day:
                tall[(season, stage)].append(day.toordinal())
    return [_season(each, tall) for each in own]


def _season(bloom: Bloom, tall: dict[tuple[int, str], list[int]]) -> Season:
    behind, many = None, 0
    for stage in ("first_on", "peak_on"):
        day, others = getattr(bloom, stage), tall.get((bloom.season, stage), [])
        if day and len(others) >= LEAST_TALL:
            behind, many = day.toordinal() - median(others), len(others)
            break
    days = {name: getattr(bloom, name) for name in ("first_on", "peak_on", "last_on")}
    days = believed(days)
    return Season(bloom.season, days["first_on"], days["peak_on"], days["last_on"], behind, many)


def with_tall(seasons: list[Season]) -> bool | None:
    """Whether it blooms with the tall bearded ones (True) or before them; None: not known."""
    known = [each.behind for each in seasons if each.behind is not None]
    return median(known) > BEFORE if known else None
