"""A plant's page: its flower, its record, and the crosses it stands in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from breeding.models import Cross
from garden.models import Plant
from garden.views.common import journal_of

SHOWN = 12


@require_GET
def plant(request: HttpRequest, pk: int) -> HttpResponse:
    """One plant. A fixed number of queries."""
    plants = Plant.live.select_related("seed_parent", "pollen_parent")
    thing = get_object_or_404(plants, pk=pk)
    crosses = Cross.live.select_related("seed_parent", "pollen_parent").order_by(
        "-season", "number"
    )
    return render(
        request,
        "breeding/plant.html",
        {
            "plant": thing,
            "places": thing.placings.filter(struck=False, until=None).select_related("bed")[:20],
            "as_seed": crosses.filter(seed_parent=thing)[:SHOWN],
            "as_pollen": crosses.filter(pollen_parent=thing)[:SHOWN],
            "children": _children(thing),
            "origin": thing.seedlings.filter(struck=False).select_related("row__bed").first(),
            "journal": journal_of(thing),
        },
    )


def _children(plant: Plant) -> list[Plant]:
    """Plants of the stock that have it as a parent."""
    seed = Plant.live.filter(seed_parent=plant).order_by("folded")[:SHOWN]
    pollen = Plant.live.filter(pollen_parent=plant).order_by("folded")[:SHOWN]
    return sorted({*seed, *pollen}, key=lambda child: child.folded)
