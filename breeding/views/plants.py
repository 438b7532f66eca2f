"""A plant's page: its flower, its record, and the crosses it stands in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.models import Cross
from breeding.pages.locipages import copies_line
from breeding.plantlife import plant_events, plant_steps
from garden.models import Plant
from garden.views.common import journal_of

SHOWN = 12
SHOWN_PLACES = 40
SHOWN_PHOTOS = 60


@require_safe
def plant(request: HttpRequest, pk: int) -> HttpResponse:
    """One plant. A fixed number of queries."""
    plants = Plant.live.select_related("seed_parent", "pollen_parent")
    thing = get_object_or_404(plants, pk=pk)
    crosses = Cross.live.select_related("seed_parent", "pollen_parent").order_by(
        "-season", "number"
    )
    origins = thing.seedlings.filter(struck=False)
    origin = origins.select_related(
        "row__bed", "cross__seed_parent", "cross__pollen_parent"
    ).first()
    # Only what is in memory already: a page of the record does not wait for sums.
    copies = copies_line(request.garden, thing)
    placings = list(thing.placings.filter(struck=False).select_related("bed")[:SHOWN_PLACES])
    return render(
        request,
        "breeding/plant.html",
        {
            "plant": thing,
            "places": [placing for placing in placings if placing.until is None],
            "as_seed": crosses.filter(seed_parent=thing)[:SHOWN],
            "as_pollen": crosses.filter(pollen_parent=thing)[:SHOWN],
            "children": _children(thing),
            "origin": origin,
            "events": plant_events(thing, origin, placings),
            "next_steps": plant_steps(thing, request.garden.calendar, request.garden.today()),
            "copies": copies if copies and copies["told"] else None,
            "photos": list(thing.photos.filter(struck=False)[:SHOWN_PHOTOS]),
            "journal": journal_of(thing),
        },
    )


def _children(plant: Plant) -> list[Plant]:
    """Plants of the stock that have it as a parent."""
    seed = Plant.live.filter(seed_parent=plant).order_by("folded")[:SHOWN]
    pollen = Plant.live.filter(pollen_parent=plant).order_by("folded")[:SHOWN]
    return sorted({*seed, *pollen}, key=lambda child: child.folded)
