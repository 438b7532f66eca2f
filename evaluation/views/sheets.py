"""The page of all sheets to print, and the sheets for a walk along a row."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.models import Cross, Row
from breeding.views.sheets import A_DAY, PAPERS, paper_of, printed_on, sheet_answer
from garden.models import Bed

MOST_BEDS, MOST_ROWS, MOST_SEASONS = 60, 400, 12


@require_safe
def sheets(request: HttpRequest) -> HttpResponse:
    """Every sheet to print. Three queries."""
    seasons = Cross.live.order_by("-season").values_list("season", flat=True).distinct()
    context = {
        "paper": paper_of(request),
        "papers": PAPERS,
        "beds": Bed.live.order_by("folded")[:MOST_BEDS],
        "walks": walks(),
        "tomorrow": request.garden.today() + A_DAY,
        "seasons": list(seasons[:MOST_SEASONS]),
    }
    return render(request, "evaluation/sheets.html", context)


def walks() -> list[dict[str, Any]]:
    """The rows in which seedlings stand, bed by bed. A query."""
    rows = Row.live.filter(closed_on=None).order_by("bed__folded", "bed", "row")
    found = rows.values_list("bed", "bed__name", "row").distinct()[:MOST_ROWS]
    return [
        {"bed": bed, "name": name, "rows": [row for _, _, row in some]}
        for (bed, name), some in groupby(found, key=lambda each: each[:2])
    ]


@require_safe
def row_walk(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet for one stretch of seedlings."""
    rows = Row.live.select_related("bed", "cross__seed_parent", "cross__pollen_parent")
    row = get_object_or_404(rows, pk=pk)
    return _walk(request, row.bed, row.row, [row], f"walk-{row.pk}")


@require_safe
def bed_row_walk(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """The sheet for a whole row of a bed, stretch after stretch."""
    from evaluation.walksheet import rows_along

    bed = get_object_or_404(Bed.live, pk=pk)
    if not 1 <= number <= bed.rows:
        raise Http404
    return _walk(request, bed, number, rows_along(bed, number), f"walk-{bed.pk}-{number}")


def _walk(request: HttpRequest, bed: Bed, number: int, rows: list[Row], name: str) -> HttpResponse:
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from breeding.paper.walksheet import walk_pdf
    from evaluation.walksheet import walk_of

    paper = paper_of(request)
    pdf = walk_pdf(walk_of(bed, number, rows), *printed_on(request), paper)
    return sheet_answer(pdf, name, paper)
