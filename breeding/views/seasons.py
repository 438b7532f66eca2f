"""A cross and its season."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.lifeline import Thread
from breeding.models import Cross
from breeding.season import by_parent, funnel
from breeding.season import seasons as all_seasons
from garden.views.common import after, journal_of, page

PAGE = 50
MOST_SEEDLINGS = 60


def the_cross(code: str) -> Cross:
    crosses = Cross.live.select_related("seed_parent", "pollen_parent")
    return get_object_or_404(crosses, code=code)


@require_safe
def cross(request: HttpRequest, code: str) -> HttpResponse:
    """A cross: both parents, the life-line so far, and what comes next."""
    thing = the_cross(code)
    thread = Thread.of(thing)
    calendar, today = request.garden.calendar, request.garden.today()
    return render(
        request,
        "breeding/cross.html",
        {
            "cross": thing,
            "events": thread.events(),
            "next_steps": thread.next_steps(calendar, today),
            "seedlings": thread.seedlings[:MOST_SEEDLINGS],
            "journal": journal_of(thing),
        },
    )


@require_safe
def seasons(request: HttpRequest) -> HttpResponse:
    """The seasons with their funnels, the newest first, ten years at a time."""
    before = request.GET.get("before", "")
    before = int(before) if before.isascii() and before.isdigit() and len(before) == 4 else None
    known = all_seasons(before)
    older = known and Cross.live.filter(season__lt=known[-1][0]).exists()
    context = {"seasons": known, "before": before, "older": known[-1][0] if older else ""}
    return render(request, "breeding/seasons.html", context)


@require_safe
def season(request: HttpRequest, year: int) -> HttpResponse:
    """A season: its funnel, cross by cross and by parent."""
    if not 1900 <= year <= 2200:
        raise Http404
    crosses = Cross.live.filter(season=year).select_related("seed_parent", "pollen_parent")
    last = request.GET.get("after", "")
    rows, more = after(crosses, "number", last if last.isascii() and last.isdigit() else "", PAGE)
    context = {"year": year, "crosses": rows, "more": more}
    if not request.htmx:
        context |= {"funnel": funnel(year), "parents": [
            ("Seed parents", "seed", by_parent(year, "seed", 20)),
            ("Pollen parents", "pollen", by_parent(year, "pollen", 20)),
        ]}  # fmt: skip
    return page(request, "breeding/season.html", "breeding/_season_rows.html", **context)


@require_safe
def funnel_plot(request: HttpRequest, year: int) -> HttpResponse:
    """The season's funnel beside the two seasons before, as a plot."""
    from breeding.plots import funnel_svg

    shown = [pair for pair in all_seasons(year + 1, most=3) if pair[0] > year - 3]
    svg = funnel_svg(shown[::-1])
    return HttpResponse(svg, content_type="image/svg+xml")
