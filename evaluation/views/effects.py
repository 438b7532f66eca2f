"""What the scores say of scorers, seasons, rows and parents."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from evaluation.effects import (
    agreements,
    fraction,
    of_places,
    of_scorers,
    of_seasons,
    ordered,
    parents_of,
    shares_of,
)
from evaluation.forms.worths import WorthsForm
from evaluation.views.choosing import merit_now

ON_A_PAGE = 25


@require_safe
def scorers(request: HttpRequest) -> HttpResponse:
    """Agreement, strictness, seasons, rows, and what is inherited. A fixed number of queries."""
    merit, scopes = merit_now(request), agreements()
    context = {
        "merit": merit,
        "scopes": scopes,
        "in_all": scopes[0] if scopes else None,
        "parts": (
            ("scorers", "Scorers", of_scorers(merit)),
            ("years", "Seasons", of_seasons(merit)),
            ("places", "Rows", of_places(merit)),
        ),
        "shares": shares_of(merit),
        "own": fraction(merit.repeatability),
        "inherited": fraction(merit.heritability),
    }
    return render(request, "evaluation/scorers.html", context)


@require_safe
def worths(request: HttpRequest) -> HttpResponse:
    """Breeding values of the garden's plants, a page at a time. Four queries beside the merit."""
    form, merit = WorthsForm(request.GET), merit_now(request)
    found = ordered(merit, form.keys(merit), form.sort_by)
    start = form.start
    shown = found[start : start + ON_A_PAGE]
    widest = max((max(abs(each.low), abs(each.high)) for each in found), default=1.0)
    context = {
        "form": form,
        "parents": parents_of(shown, widest),
        "total": len(found),
        "start": start,
        "end": start + len(shown),
        "more": form.query(start=start + ON_A_PAGE) if len(found) > start + ON_A_PAGE else "",
        "judged": bool(merit.standings),
        "warnings": merit.warnings,
    }
    return render(request, "evaluation/worths.html", context)
