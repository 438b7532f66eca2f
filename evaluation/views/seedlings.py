"""Pages of seedlings."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.lifeline import life_of
from breeding.models import Row
from breeding.plantlife import plant_steps
from evaluation.forms.selecting import CorrectSeedlingForm, SelectForm
from evaluation.models import Seedling
from evaluation.records import correct_seedling, select_seedling
from garden.forms.base import keep
from garden.views.common import form_page, journal_of, kept_at, recorders_only

# A seedling selected in its bloom flowers again when a whole season lies between.
A_BLOOM = timedelta(days=120)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def select(request: HttpRequest, pk: int) -> HttpResponse:
    """Select a seedling of a row."""
    rows = Row.live.select_related("bed", "cross__seed_parent", "cross__pollen_parent")
    row = get_object_or_404(rows, pk=pk)
    form = SelectForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, select_seedling, row=row)):
        return kept_at(kept, "seedling", kept.thing.code)
    return form_page(request, "evaluation/select.html", form, row=row, cross=row.cross)


def the_seedling(code: str) -> Seedling:
    """A selected seedling with its plant, row and both parents; 404 when there is none."""
    seedlings = Seedling.live.select_related(
        "plant", "row__bed", "cross__seed_parent", "cross__pollen_parent"
    )
    return get_object_or_404(seedlings, code=code)


@require_safe
def seedling(request: HttpRequest, code: str) -> HttpResponse:
    """A selected seedling: both parents, where it stands, the plant it became."""
    thing = the_seedling(code)
    calendar, today = request.garden.calendar, request.garden.today()
    context = {
        "seedling": thing,
        "cross": thing.cross,
        "journal": journal_of(thing),
        "blooms_again": calendar.bloom_from.on_or_after(max(today, thing.selected_on + A_BLOOM)),
        "placed": thing.plant.placings.filter(struck=False, until=None).exists(),
        **life_of(thing, calendar, today),
        "next_steps": plant_steps(thing.plant, calendar, today),
    }
    return render(request, "evaluation/seedling.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, code: str) -> HttpResponse:
    """Correct what was written of a selected seedling."""
    thing = the_seedling(code)
    form = CorrectSeedlingForm(request.POST or None, seedling=thing)
    if request.method == "POST" and (kept := keep(request, form, correct_seedling, seedling=thing)):
        return kept_at(kept, "seedling", thing.code)
    return form_page(request, "evaluation/correct.html", form, seedling=thing, cross=thing.cross)
