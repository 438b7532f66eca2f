"""Cups and pots: sow, count, and their pages."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.due import pot_count_due
from breeding.forms import CountForm, SowForm
from breeding.lifeline import life_of
from breeding.models import Pot, SeedCup
from breeding.records import count_up, sow
from garden.forms.base import keep
from garden.views.common import form_page, journal_of, kept_at, recorders_only


def the_cup(code: str) -> SeedCup:
    cups = SeedCup.live.select_related("cross__seed_parent", "cross__pollen_parent")
    return get_object_or_404(cups, code=code)


def the_pot(code: str) -> Pot:
    pots = Pot.live.select_related("cup__cross__seed_parent", "cup__cross__pollen_parent")
    return get_object_or_404(pots, code=code)


@require_safe
def cup(request: HttpRequest, code: str) -> HttpResponse:
    """A cup: whose seed it holds, from which pods, and the pots sown from it."""
    thing = the_cup(code)
    return render(
        request,
        "breeding/cup.html",
        {
            "cup": thing,
            "cross": thing.cross,
            "pods": thing.pods.filter(struck=False).select_related("tag"),
            "pots": thing.pots.filter(struck=False),
            "due": request.garden.calendar.sowing_due(thing.filled_on),
            "journal": journal_of(thing),
            **life_of(thing, request.garden.calendar, request.garden.today()),
        },
    )


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def sow_cup(request: HttpRequest, code: str) -> HttpResponse:
    """Sow seed of a cup into one pot."""
    thing = the_cup(code)
    form = SowForm(request.POST or None, initial={"seeds": thing.left or ""})
    if request.method == "POST" and (kept := keep(request, form, sow, cup=thing)):
        return kept_at(kept, "pot", kept.thing.code)
    return form_page(request, "breeding/sow.html", form, cup=thing, cross=thing.cross)


@require_safe
def pot(request: HttpRequest, code: str) -> HttpResponse:
    """A pot: its sowing, its counts, the rows its seedlings stand in."""
    thing, calendar = the_pot(code), request.garden.calendar
    rows = list(thing.rows.filter(struck=False).select_related("bed"))
    counts = thing.counts.filter(struck=False)
    return render(
        request,
        "breeding/pot.html",
        {
            "pot": thing,
            "cross": thing.cross,
            "counts": [(count, count.lined_out_before(rows)) for count in counts],
            "rows": rows,
            "springs": calendar.springs(thing.sown_on),
            "count_on": pot_count_due(calendar, thing, request.garden.today()),
            "out_on": calendar.line_out_due(thing.first_up_on) if thing.first_up_on else None,
            "journal": journal_of(thing),
            **life_of(thing, request.garden.calendar, request.garden.today()),
        },
    )


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def count_pot(request: HttpRequest, code: str) -> HttpResponse:
    """Count the seedlings standing in a pot."""
    thing = the_pot(code)
    form = CountForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, count_up, pot=thing)):
        return kept_at(kept, "pot", thing.code)
    return form_page(request, "breeding/count.html", form, pot=thing, cross=thing.cross)
