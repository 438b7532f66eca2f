"""What is offered: the list of all years, a year's catalogue on screen and on paper, its table."""

from __future__ import annotations

import io

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.pages.catalogue import COLUMNS, Offer, by_year, offers
from garden.csvout import write_rows
from garden.views.printing import PAPERS, paper_asked, pdf_answer

# Years that a list can be of.
YEARS = range(1900, 2101)


@require_safe
def introductions(request: HttpRequest) -> HttpResponse:
    """Everything that was offered, the newest year first. A query a generation and one."""
    years = by_year(offers(request.garden))
    return render(request, "garden/introductions.html", {"years": years, "papers": PAPERS})


def of_year(request: HttpRequest, year: int) -> list[Offer]:
    """What was offered in a year; 404 where nothing was."""
    found = offers(request.garden, year) if year in YEARS else []
    if not found:
        raise Http404
    return found


@require_safe
def catalogue(request: HttpRequest, year: int) -> HttpResponse:
    """A year's list as a page to print."""
    context = {"year": year, "offers": of_year(request, year), "papers": PAPERS}
    return render(request, "garden/introduction_catalogue.html", context)


@require_safe
def sheet(request: HttpRequest, year: int) -> HttpResponse:
    """The same on A4 or Letter."""
    from breeding.pages.cataloguesheet import catalogue_pdf

    found = of_year(request, year)
    paper = paper_asked(request)
    pdf = catalogue_pdf(found, request.garden, year, paper)
    return pdf_answer(pdf, f"introductions-{year}-{paper}")


@require_safe
def rows(request: HttpRequest, year: int) -> HttpResponse:
    """The same as a table for a spreadsheet."""
    text = io.StringIO()
    write_rows(text, [COLUMNS, *(offer.row for offer in of_year(request, year))])
    # The mark at the beginning lets a spreadsheet read letters outside ASCII.
    answer = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="introductions-{year}.csv"'
    return answer
