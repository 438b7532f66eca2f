"""The beds and what stands in them."""

from __future__ import annotations

import re
from typing import Any

from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from garden.forms.base import keep
from garden.forms.house import BedForm
from garden.models import Bed, Placing
from garden.records import add_bed, change_bed
from garden.views.common import form_page, journal_of, kept_at, recorders_only
from garden.views.journal import number

ON_A_PAGE, CLEARED = 50, 20


@require_safe
def beds(request: HttpRequest) -> HttpResponse:
    """All beds. A fixed number of queries."""
    here = Q(placings__struck=False, placings__until=None, placings__plant__struck=False)
    shown = Bed.live.annotate(plants=Count("placings", filter=here)).order_by("folded")
    return render(request, "garden/beds.html", {"beds": shown})


@require_safe
def bed(request: HttpRequest, pk: int) -> HttpResponse:
    """One bed: plants by position, then the rows of seedlings."""
    place = get_object_or_404(Bed.live, pk=pk)
    placings = Placing.live.filter(bed=place, until=None, plant__struck=False)
    rows, more = standing_rows(place, number(request.GET.get("after", "")))
    cleared = place.seedling_rows.filter(struck=False, closed_on__isnull=False)
    return render(
        request,
        "garden/bed.html",
        {
            "bed": place,
            "placings": sorted(placings.select_related("plant"), key=by_position),
            "rows": rows,
            "more": more,
            "cleared": cleared.select_related("cross").order_by("-closed_on")[:CLEARED],
            "journal": journal_of(place),
        },
    )


def standing_rows(bed: Bed, behind: int) -> tuple[list[Any], int]:
    """Seedlings standing in a bed, in order, from behind the row of that key on; and the key to
    go on from, 0 at the end. A query, two when there is a key."""
    rows = bed.seedling_rows.filter(struck=False, closed_on=None).order_by("row", "first")
    last = bed.seedling_rows.filter(pk=behind).first() if behind else None
    if last:
        rows = rows.filter(row__gte=last.row).exclude(row=last.row, first__lte=last.first)
    shown = list(rows.select_related("cross")[: ON_A_PAGE + 1])
    return shown[:ON_A_PAGE], shown[ON_A_PAGE - 1].pk if len(shown) > ON_A_PAGE else 0


def by_position(placing: Placing) -> list[tuple[int, int, str]]:
    """Positions in the order in which one walks: 2 before 10, 1-9 before 1-10."""
    parts = re.findall(r"[0-9]+|[^0-9]+", placing.position)
    return [(0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts]


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Lay out a bed."""
    form = BedForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, add_bed)):
        return kept_at(kept, "bed", kept.thing.pk)
    return form_page(request, "garden/bed_form.html", form)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename or resize a bed."""
    place = get_object_or_404(Bed.live, pk=pk)
    standing = {name: getattr(place, name) for name in ("name", "rows", "positions", "note")}
    form = BedForm(request.POST or None, initial=standing)
    if request.method == "POST" and (kept := keep(request, form, change_bed, bed=place)):
        return kept_at(kept, "bed", pk)
    return form_page(request, "garden/bed_form.html", form, bed=place)
