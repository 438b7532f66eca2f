"""Sheets to print: the map of a bed, the crosses of a day, a season."""

from __future__ import annotations

from datetime import timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from breeding.pages.plantoday import day_asked
from garden.models import Bed
from garden.verbs import written
from garden.views.printing import PAPERS, paper_asked, pdf_answer

A_DAY = timedelta(days=1)


def paper_of(request: HttpRequest) -> str:
    """The paper asked for; else Letter where people measure in inches, and A4 elsewhere."""
    return paper_asked(request, PAPERS[request.garden.inches])


def sheet_answer(pdf: bytes, name: str, paper: str) -> HttpResponse:
    """A PDF that opens in the browser and is kept under its name."""
    return pdf_answer(pdf, f"{name}-{paper}")


def printed_on(request: HttpRequest) -> tuple[str, str]:
    """The garden's name and the day, for the foot."""
    return request.garden.name, written(request.garden.today())


@require_safe
def bed_map(request: HttpRequest, pk: int) -> HttpResponse:
    """What stands where in a bed. A fixed number of queries."""
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from breeding.pages.sheetbed import bed_plan
    from breeding.paper.bedmap import bed_map_pdf

    bed, paper = get_object_or_404(Bed.live, pk=pk), paper_of(request)
    pdf = bed_map_pdf(bed_plan(bed), *printed_on(request), paper)
    return sheet_answer(pdf, f"bed-{bed.pk}", paper)


@require_safe
def to_cross(request: HttpRequest) -> HttpResponse:
    """The planned crosses of a day, tomorrow's where none is asked for."""
    from breeding.pages.sheetcross import cross_list
    from breeding.paper.crosslist import cross_list_pdf

    today, paper = request.garden.today(), paper_of(request)
    asked = request.GET.get("on", "")
    day = day_asked(asked, today) if asked else today + A_DAY
    asked_list = cross_list(request.garden, day, today)
    pdf = cross_list_pdf(asked_list, *printed_on(request), paper)
    return sheet_answer(pdf, f"to-cross-{day.isoformat()}", paper)


@require_safe
def season(request: HttpRequest, year: int) -> HttpResponse:
    """The report of a season. A fixed number of queries."""
    from breeding.pages.sheetseason import season_of
    from breeding.paper.seasonreport import season_pdf

    if not 1900 <= year <= 2200:
        raise Http404
    paper = paper_of(request)
    pdf = season_pdf(season_of(year), *printed_on(request), paper)
    return sheet_answer(pdf, f"season-{year}", paper)
