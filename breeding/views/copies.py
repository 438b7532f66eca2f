"""Pages of copies: what one plant probably carries, and the type of its own flower."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.heredity import GardenCopies, Working, as_locus, the_copies
from breeding.models import Locus, Reading
from breeding.pages import plantcopies
from breeding.pages.lociforms import NoteTypeForm
from breeding.pages.locipages import copies_line
from breeding.pages.locuswords import looks_of
from breeding.records import note_type
from garden.forms.base import keep
from garden.models import Plant
from garden.views.common import form_page, kept_at, page, recorders_only


def the_plant(pk: int) -> Plant:
    return get_object_or_404(Plant.live, pk=pk)


@require_safe
def plant_copies(request: HttpRequest, pk: int) -> HttpResponse:
    """One plant at every locus; a locus whose copies are not in memory comes a moment later."""
    plant, held = the_plant(pk), the_copies(request.garden)
    testers_at, working = request.GET.get("testers", ""), asked_locus(request, held)
    if request.htmx and working:
        told = plantcopies.at_locus(held, plant, working, True)
        if testers_at:
            told |= plantcopies.testers_of(held, request.garden, plant, testers_at)
        whole, partial = "breeding/plant_copies.html", "breeding/_copies_locus.html"
        return page(request, whole, partial, told=told, plant=plant)
    patient = "worked" in request.GET or bool(testers_at)
    context = plantcopies.plant_page(held, request.garden, plant, testers_at, patient)
    return render(request, "breeding/plant_copies.html", context)


def asked_locus(request: HttpRequest, held: GardenCopies) -> Working | None:
    """The locus that a part of the page is asked for."""
    asked = request.GET.get("testers") or request.GET.get("locus", "")
    return next((each for each in held.working if each.locus.symbol == asked), None)


@require_safe
def line(request: HttpRequest, pk: int) -> HttpResponse:
    """The quiet line of a plant's page, after the page itself has come."""
    told = copies_line(request.garden, the_plant(pk), patient=True)
    return render(request, "breeding/_copies_line.html", {"copies": told})


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def note(request: HttpRequest, pk: int, symbol: str) -> HttpResponse:
    """Say of which type a plant's own flower is."""
    plant, record = the_plant(pk), get_object_or_404(Locus.live, symbol=symbol)
    locus, before = as_locus(record), Reading.live.filter(plant=plant, locus=record).first()
    types = {each.key: each.name for each in locus.types}
    form = NoteTypeForm(
        request.POST or None, types=types, initial={"type": before.type if before else ""}
    )
    if request.method == "POST" and (
        kept := keep(request, form, note_type, plant=plant, locus=record)
    ):
        return kept_at(kept, "plant-copies", plant.pk)
    drawn = zip(form["type"], looks_of(locus).values(), strict=True)
    context = {"plant": plant, "record": record, "before": before, "drawn": list(drawn)}
    return form_page(request, "breeding/type_noted.html", form, **context)
