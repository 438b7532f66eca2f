"""Bloom: the walk through the beds, the season's chart, one plant's years."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.models import Bloom
from breeding.pages import bloompages, bloomplant, bloomseason
from breeding.pages.bloomforms import BloomCorrectForm, BloomForm
from breeding.pages.bloomwalk import Stop, growing
from breeding.records import correct_bloom, note_bloom
from garden.forms.base import keep
from garden.models import Plant
from garden.verbs import EARLIEST_DAY, Kept
from garden.views.common import form_page, journal_of, kept_at, page, recorders_only

FIRST_YEAR = EARLIEST_DAY.year


def the_plant(pk: int) -> Plant:
    return get_object_or_404(Plant.live, pk=pk)


@require_safe
def bloom_walk(request: HttpRequest) -> HttpResponse:
    """Through the beds in bloom: the few plants that matter now, or bed by bed."""
    asked = bloompages.Walking.asked(request)
    context = bloompages.walk(request.garden, asked)
    return page(request, "breeding/bloom_walk.html", "breeding/_bloom_walk.html", **context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def bloom_note(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a plant opened, is at its peak or is over."""
    plant, asked = the_plant(pk), bloompages.Walking.asked(request)
    form = BloomForm(request.POST or None)
    kept = keep(request, form, note_bloom, plant=plant) if request.method == "POST" else None
    if request.htmx and request.method == "POST":
        return _line(request, asked, plant, form, kept)
    if kept and request.GET.get("to") == "plant":
        return kept_at(kept, "plant-bloom", plant.pk)
    if kept:
        return kept_at(kept, "bloom-walk", **asked.query)
    stop = bloompages.stop_of(request.garden, asked, plant)
    asks = bloompages.asked_of(stop, request.POST.get("stage") or request.GET.get("stage", ""))
    form["day"].label = asks.get("question", "Another day")
    form.initial["day"] = asks.get("likely") or (asked.day if asked.other_day else None)
    context = {"plant": plant, "bloom": stop.bloom, "stages": bloompages.stages_of(stop.bloom),
               "asks": asks, "walking": asked, "to": request.GET.get("to", "")}  # fmt: skip
    return form_page(request, "breeding/bloom_note.html", form, **context)


def _line(
    request: HttpRequest, asked: bloompages.Walking, plant: Plant, form: BloomForm,
    kept: Kept | None,
) -> HttpResponse:  # fmt: skip
    """The plant's line of the walk after a tap: what was noted with its undo, or why not."""
    if not kept:
        stop = bloompages.stop_of(request.garden, asked, plant)
        context = {"stop": stop, "walking": asked, "form": form}
        return render(request, "breeding/_bloom_stop.html", context, status=422)
    kept.line.undo_offered = kept.line.may_be_undone_by(request.user)
    stage = request.POST.get("stage", "")
    stop = Stop(plant, asked.day, bloompages.places_of(plant), kept.thing)
    every = growing(request.garden.calendar.season(asked.day), asked.day)
    context = {"stop": stop, "walking": asked, "noted": kept.line, "stage": stage,
               "before": bloompages.without(kept.thing, stage),
               **bloompages.counts(every, asked.day)}  # fmt: skip
    return render(request, "breeding/_bloom_noted.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def bloom_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Put right the days of one season's bloom."""
    bloom = get_object_or_404(Bloom.live.select_related("plant"), pk=pk)
    form = BloomCorrectForm(request.POST or None, initial=BloomCorrectForm.days_of(bloom))
    if request.method == "POST" and (kept := keep(request, form, correct_bloom, bloom=bloom)):
        return kept_at(kept, "plant-bloom", bloom.plant_id)
    return form_page(request, "breeding/bloom_correct.html", form, bloom=bloom, plant=bloom.plant)


@require_safe
def bloom_season(request: HttpRequest, year: int) -> HttpResponse:
    """Who blooms when in a season, and who with whom."""
    today = request.garden.today()
    if not FIRST_YEAR <= year <= request.garden.calendar.season(today) + 1:
        raise Http404
    context = bloomseason.season(request.garden, year, request.GET.get("plant", ""), today)
    return page(request, "breeding/bloom_season.html", "breeding/_bloom_season.html", **context)


@require_safe
def plant_bloom(request: HttpRequest, pk: int) -> HttpResponse:
    """One plant: its years, its place in the season, its fertility."""
    thing = the_plant(pk)
    context = bloomplant.plant(request.garden, thing) | {"journal": journal_of(thing)}
    return render(request, "breeding/plant_bloom.html", context)
