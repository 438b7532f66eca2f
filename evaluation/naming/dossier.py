"""The registration dossier of a plant: gathered from the record, in the trade's order."""

from __future__ import annotations

from dataclasses import dataclass, field
from statistics import fmean
from typing import TYPE_CHECKING

from evaluation.comparing import Told, told_of
from evaluation.models import Candidate, Measuring, ProposedName, Seedling
from evaluation.naming.blooms import Season, seasons_of, with_tall
from evaluation.naming.history import Dated, history_of
from evaluation.naming.measures import Measure, measures_of
from evaluation.naming.parentage import parentage_of
from garden.irisclass import Measured, Verdict, class_of
from garden.models import Photo, Placing, Plant, StockCount
from garden.verbs import plural

if TYPE_CHECKING:
    from evaluation.merit import Merit

AUTHORITY = (
    "A name is registered with the international registration authority for the genus; its forms "
    "and its rules decide. What is checked here does not replace what they check."
)
STATES = ("open", "chosen")


@dataclass(frozen=True, slots=True)
class Year:
    """The scores of one season: how many, by how many people, their mean in points of 100."""

    season: int
    scores: int
    people: int
    mean: float | None


@dataclass
class Dossier:
    """All that a registration asks for; each part as it is recorded, nothing made up.

    `measures` by key of `evaluation.naming.measures`; `verdict` the class by them.
    """

    plant: Plant
    names: list[ProposedName]
    origin: Seedling | None
    measures: dict[str, list[Measure]]
    verdict: Verdict
    blooms: list[Season]
    parentage: str
    history: list[Dated]
    told: Told | None
    placings: list[Placing]
    counts: list[StockCount]
    photos: list[Photo]
    years: list[Year] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The name it has; else the one proposed, when there is but one."""
        if self.plant.name:
            return self.plant.name
        return self.names[0].text if len(self.names) == 1 else ""

    @property
    def title(self) -> str:
        """'Example Violet', or the number while no one name stands out."""
        return self.name or self.plant.label

    def newest(self, key: str) -> Measure | None:
        return next(iter(self.measures.get(key, ())), None)

    @property
    def merit_words(self) -> str:
        return self.told.words if self.told else ""

    @property
    def increases(self) -> list[tuple[int, str]]:
        """(year, counted fans by place and marks of increase in scores), the newest first."""
        found: dict[int, list[str]] = {}
        for count in self.counts:
            where = f"in {count.place}" if count.bed_id else f"({count.place})"
            told = f"{plural(count.number, 'fan')} {where}"
            found.setdefault(count.day.year, []).append(told)
        for each in self.placings:
            if each.increases is not None:
                told = f"{plural(each.increases, 'increase')} in {each}"
                found.setdefault(each.since.year, []).append(told)
        for sheet in self.told.sheets if self.told else ():
            for line in sheet.lines:
                if line.criterion.key == "increase" and line.said:
                    told = f"{line.said} in the score of {sheet.scoring.person}"
                    found.setdefault(sheet.scoring.season, []).append(told)
        return [(year, ", ".join(found[year])) for year in sorted(found, reverse=True)]


def dossier_of(plant: Plant, merit: Merit) -> Dossier:
    """Gather it. A fixed number of queries, and one a generation of ancestors."""
    names = ProposedName.live.filter(plant=plant, state__in=STATES).select_related("person")
    origins = plant.seedlings.filter(struck=False)
    origin = origins.select_related(
        "row__bed", "cross__seed_parent", "cross__pollen_parent"
    ).first()
    candidate = Candidate.live.filter(plant=plant).values_list("pk", flat=True).first()
    told = told_of([candidate], merit)[0] if candidate else None
    sheets = told.sheets if told else []
    measurings = Measuring.live.filter(plant=plant).select_related("person")
    measures = measures_of(plant, measurings, sheets)
    blooms = seasons_of(plant)
    photos = told.photos if told else list(Photo.live.filter(plant=plant).select_related("plant"))
    return Dossier(
        plant=plant,
        names=sorted(names, key=lambda each: (each.state != "chosen", each.pk)),
        origin=origin,
        measures=measures,
        verdict=class_of(_measured(measures, blooms), plant.iris_class),
        blooms=blooms,
        parentage=parentage_of(plant),
        history=history_of(plant, origin, blooms, sheets),
        told=told,
        placings=list(plant.placings.filter(struck=False).select_related("bed")),
        counts=list(plant.stockcounts.filter(struck=False).select_related("bed")),
        photos=photos,
        years=_years(told),
    )


def _measured(measures: dict[str, list[Measure]], blooms: list[Season]) -> Measured:
    newest = {key: each[0].value for key, each in measures.items()}
    return Measured(
        newest.get("height"), newest.get("flower_height"), newest.get("flower_width"),
        with_tall(blooms),
    )  # fmt: skip


def _years(told: Told | None) -> list[Year]:
    found: dict[int, list] = {}
    for sheet in told.sheets if told else ():
        found.setdefault(sheet.scoring.season, []).append(sheet)
    return [
        Year(
            season,
            len(sheets),
            len({sheet.scoring.person_id for sheet in sheets}),
            fmean(known) if (known := _percents(sheets)) else None,
        )
        for season, sheets in sorted(found.items(), reverse=True)
    ]


def _percents(sheets: list) -> list[float]:
    return [sheet.points.percent for sheet in sheets if sheet.points.percent is not None]
