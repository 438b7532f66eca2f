"""The registration dossier of a plant, on the page and on paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from evaluation.naming.dossier import AUTHORITY, Dossier, dossier_of
from evaluation.naming.missing import missing_of
from evaluation.naming.parts import parts_of
from evaluation.views.choosing import merit_now
from garden.flower import Recipe
from garden.models import Plant
from garden.models.photos import the_shelf
from garden.verbs import written
from garden.views.printing import PAPERS, paper_asked, pdf_answer

SHOWN_PHOTOS, PRINTED_PHOTOS = 12, 2


def the_dossier(request: HttpRequest, pk: int) -> Dossier:
    plants = Plant.live.select_related("seed_parent", "pollen_parent")
    return dossier_of(get_object_or_404(plants, pk=pk), merit_now(request))


@require_safe
def dossier(request: HttpRequest, pk: int) -> HttpResponse:
    """All that a registration asks for. A fixed number of queries, and one a generation."""
    told = the_dossier(request, pk)
    context = {
        "told": told,
        "plant": told.plant,
        "parts": parts_of(told),
        "missing": missing_of(told),
        "photos": told.photos[:SHOWN_PHOTOS],
        "authority": AUTHORITY,
        "papers": PAPERS,
    }
    return render(request, "evaluation/dossier.html", context)


@require_safe
def dossier_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The dossier as PDF, with the newest photos."""
    from evaluation.naming.paper import dossier_pdf

    told = the_dossier(request, pk)
    paper = paper_asked(request)
    plant = told.plant
    pdf = dossier_pdf(
        told.title,
        parts_of(told),
        [each.text for each in missing_of(told)],
        garden=request.garden.name,
        day=written(request.garden.today()),
        paper=paper,
        flower=Recipe.from_mapping(plant.recipe_fields()) if plant.has_colours else None,
        photos=_pictures(told),
    )
    return pdf_answer(pdf, f"dossier-{plant.pk}-{paper}")


def _pictures(told: Dossier) -> list[tuple[bytes, str]]:
    """The newest photos whose files are there, with their captions."""
    found = []
    for photo in told.photos[:SHOWN_PHOTOS]:
        place = the_shelf().find(photo.digest, "middle")
        if place is not None:
            day = written(photo.taken_on) if photo.taken_on else ""
            found.append((place.read_bytes(), ", ".join(filter(None, (photo.caption, day)))))
    return found[:PRINTED_PHOTOS]
