"""Increase: the list, the counting walk, one plant's counts and years to come, corrections."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from garden.forms.base import keep
from garden.forms.increase import CorrectCountForm, CorrectTakenForm, CountStockForm, TakeOutForm
from garden.increasepages import listed, plant_page
from garden.increasing import Stop, spots_of, stops
from garden.models import Plant, StockCount, StockTaken
from garden.records import correct_stock_count, correct_taken, count_stock, take_out
from garden.verbs import Kept
from garden.views.common import form_page, journal_of, kept_at, page, recorders_only


@require_safe
def increase(request: HttpRequest) -> HttpResponse:
    """Plants that were counted, with what they make of a year. A fixed number of queries."""
    context = listed(request.GET.get("after", ""))
    return page(request, "garden/increase.html", "garden/increase.html", **context)


@require_safe
def stock_walk(request: HttpRequest) -> HttpResponse:
    """The places to be counted, in the order of a walk. A fixed number of queries."""
    every = request.GET.get("every") == "1"
    found = stops(request.garden.today(), every)
    left = [stop for stop in found if not stop.done]
    context = {"stops": found, "left": left, "every": every}
    return render(request, "garden/increase_walk.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """Count the fans of a plant in one place; on a walk the next place follows."""
    plant = get_object_or_404(Plant.live, pk=pk)
    spots = spots_of([pk]).get(pk, [])
    at, walk = request.GET.get("at", ""), request.GET.get("walk", "")
    form = CountStockForm(request.POST or None, spots=spots, at=at)
    if walk:
        # Place after place: the number pad is open when the page is.
        form.fields["number"].widget.attrs["autofocus"] = True
    if request.method == "POST" and (kept := keep(request, form, count_stock, plant=plant)):
        return _onward(request, kept, walk) if walk else kept_at(kept, "plant-increase", pk)
    return form_page(request, "garden/increase_count.html", form, plant=plant, walk=walk)


def _onward(request: HttpRequest, kept: Kept, walk: str) -> HttpResponse:
    """The next place of the walk that was not counted lately, else the list of places."""
    # A walk through every plant goes on through every plant.
    every = {"every": "1"} if walk == "every" else {}
    found = stops(request.garden.today(), bool(every))
    following = _after(found, kept.thing)
    if following is None:
        return kept_at(kept, "stock-walk", **every)
    return kept_at(kept, "count-stock", following.plant.pk, at=following.spot.key, walk=walk)


def _after(found: list[Stop], counted: StockCount) -> Stop | None:
    here = [at for at, stop in enumerate(found)
            if (stop.plant.pk, stop.spot.key) == (counted.plant_id, counted.spot)]  # fmt: skip
    start = here[0] + 1 if here else 0
    return next((stop for stop in [*found[start:], *found[:start]] if not stop.done), None)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that fans left a place."""
    plant = get_object_or_404(Plant.live, pk=pk)
    form = TakeOutForm(request.POST or None, spots=spots_of([pk]).get(pk, []))
    if request.method == "POST" and (kept := keep(request, form, take_out, plant=plant)):
        return kept_at(kept, "plant-increase", pk)
    return form_page(request, "garden/increase_take.html", form, plant=plant)


@require_safe
def plant_increase(request: HttpRequest, pk: int) -> HttpResponse:
    """A plant's counts, its yearly factor, and the years to come."""
    plant = get_object_or_404(Plant.live, pk=pk)
    context = plant_page(plant, request.garden, request.GET) | {"journal": journal_of(plant)}
    return page(request, "garden/increase_plant.html", "garden/_increase_ahead.html", **context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a count right."""
    thing = get_object_or_404(StockCount.live.select_related("plant", "bed"), pk=pk)
    form = CorrectCountForm(request.POST or None, initial=CorrectCountForm.standing(thing))
    return _corrected(request, form, correct_stock_count, thing, count=thing)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct_gone(request: HttpRequest, pk: int) -> HttpResponse:
    """Put right what was taken out."""
    thing = get_object_or_404(StockTaken.live.select_related("plant", "bed"), pk=pk)
    form = CorrectTakenForm(request.POST or None, initial=CorrectTakenForm.standing(thing))
    return _corrected(request, form, correct_taken, thing, gone=thing)


def _corrected(
    request: HttpRequest, form: Any, verb: Any, thing: StockCount | StockTaken, **named: Any
) -> HttpResponse:
    if request.method == "POST" and (kept := keep(request, form, verb, **named)):
        return kept_at(kept, "plant-increase", thing.plant_id)
    context = {"thing": thing, "plant": thing.plant, "gone": "gone" in named}
    return form_page(request, "garden/increase_correct.html", form, **context)
