"""What a dossier still lacks, each with the form that mends it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse

from evaluation.naming.dossier import Dossier


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that is missing or contradicts itself, and where it is put right."""

    text: str
    link: str
    action: str
    contradiction: bool = False


def missing_of(told: Dossier) -> list[Missing]:
    """Contradictions first, then what is not recorded, in the order of the dossier. No query."""
    plant = told.plant
    change = reverse("plant-change", args=[plant.pk])
    found = [Missing(each, change, "Change the record", True) for each in told.verdict.against]
    found += [Missing(text, link, action) for text, link, action in _gaps(told, change)]
    return found


def _gaps(told: Dossier, change: str) -> Iterator[tuple[str, str, str]]:
    plant = told.plant
    names, measure = (reverse(name, args=[plant.pk]) for name in ("plant-names", "measure"))
    if not plant.name and not told.names:
        yield "No name is proposed.", names, "Propose a name"
    elif not plant.name and len(told.names) > 1:
        yield f"{len(told.names)} names are proposed; one is to be given.", names, "Choose a name"
    if not plant.number:
        yield "No seedling number.", change, "Change the record"
    if not plant.breeder:
        yield "Nobody is written down as breeder.", change, "Change the record"
    if not plant.iris_class:
        yield "No class.", change, "Change the record"
    height = told.newest("height")
    if height is None:
        yield "The height is not measured.", measure, "Measure it"
    elif height.day is None:
        yield "Who measured the height, and when, is not known.", measure, "Measure it"
    for keys, words in (
        (("branches", "buds"), "Branches and buds are not counted."),
        (("flower_height", "flower_width"), "The flower is not measured."),
    ):
        if not all(told.newest(key) for key in keys):
            yield words, measure, "Measure it"
    yield from _of_flower(told, change)


def _of_flower(told: Dossier, change: str) -> Iterator[tuple[str, str, str]]:
    plant = told.plant
    if not plant.season:
        yield "No season of bloom within the class.", change, "Change the record"
    if not told.blooms:
        bloom = reverse("bloom-note", args=[plant.pk])
        yield "No day of its bloom is noted.", bloom, "Note its bloom"
    if not plant.description:
        yield "The flower is not described.", change, "Describe it"
    if not plant.pattern:
        yield "No colour pattern.", change, "Describe it"
    if not told.parentage:
        yield "No parents are recorded.", change, "Change the record"
    if len(told.years) < 2:
        seen = "No season" if not told.years else "Only one season"
        yield f"{seen} with scores.", reverse("score-plant", args=[plant.pk]), "Score it"
    if not told.photos:
        yield "No photo.", reverse("photo-new", args=[plant.pk]), "Add a photo"
