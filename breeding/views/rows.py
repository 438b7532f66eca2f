"""Rows: line out, and what stands where."""

from __future__ import annotations

from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.forms import LineOutForm
from breeding.lifeline import life_of
from breeding.models import Row
from breeding.records import line_out
from breeding.views.sowing import the_pot
from garden.forms.base import keep
from garden.models import Bed
from garden.views.common import form_page, journal_of, kept_at, recorders_only


def next_place() -> dict[str, int]:
    """Where lining out goes on: behind the row lined out last. Two queries."""
    standing = Row.live.filter(closed_on=None)
    last = standing.order_by("-lined_out_on", "-id").select_related("bed").first()
    if last is None:
        return {"row": 1, "first": 1}
    end = standing.filter(bed=last.bed, row=last.row).aggregate(end=Max("last"))
    if end["end"] >= last.bed.positions:
        return {"bed": last.bed_id, "row": min(last.row + 1, last.bed.rows), "first": 1}
    return {"bed": last.bed_id, "row": last.row, "first": end["end"] + 1}


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def line_out_pot(request: HttpRequest, code: str) -> HttpResponse:
    """Set seedlings of a pot into a row."""
    pot = the_pot(code)
    start = {} if request.method == "POST" else next_place() | {"seedlings": pot.standing or ""}
    form = LineOutForm(request.POST or None, initial=start)
    if request.method == "POST" and (kept := keep(request, form, line_out, pot=pot)):
        return kept_at(kept, "row", kept.thing.pk)
    return form_page(request, "breeding/line_out.html", form, pot=pot, cross=pot.cross)


@require_safe
def row(request: HttpRequest, pk: int) -> HttpResponse:
    """One stretch of seedlings: both parents, where it stands, what was selected in it."""
    rows = Row.live.select_related("bed", "pot", "cross__seed_parent", "cross__pollen_parent")
    thing = get_object_or_404(rows, pk=pk)
    seedlings = thing.seedlings_selected.filter(struck=False).select_related("plant")
    return render(
        request,
        "breeding/row.html",
        {
            "row": thing,
            "cross": thing.cross,
            "selected": seedlings.order_by("position"),
            "first_bloom": request.garden.calendar.first_bloom_due(thing.lined_out_on),
            "journal": journal_of(thing),
            **life_of(thing, request.garden.calendar, request.garden.today()),
        },
    )


@require_safe
def bed_row(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """One row of a bed, stretch after stretch as they stand now."""
    bed = get_object_or_404(Bed.live, pk=pk)
    stretches = (
        Row.live.filter(bed=bed, row=number, closed_on=None)
        .select_related("bed", "cross__seed_parent", "cross__pollen_parent")
        .order_by("first")
    )
    context = {"bed": bed, "number": number, "stretches": stretches[:200]}
    return render(request, "breeding/bed_row.html", context)
