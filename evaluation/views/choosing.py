"""Choosing among candidates: the table, some side by side, many decided at once, a plot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from evaluation.choosing import (
    WITH,
    Ranking,
    asked_for,
    behind,
    lines_of,
    rank,
    seasons_judged,
)
from evaluation.comparing import SIDE_BY_SIDE, parts_side_by_side, told_of
from evaluation.forms.choosing import AxesForm, ChoosingForm, DecideManyForm, keys_of
from evaluation.models import Candidate
from evaluation.plotted import FIRST, axes, plot_of, points_of, svg_of
from evaluation.records import decide
from evaluation.records.deciding import MOST_AT_ONCE
from garden.forms.base import keep
from garden.views.common import form_page, kept_at, page, recorders_only

if TYPE_CHECKING:
    from evaluation.merit import Merit

ON_A_PAGE = 25
HEADINGS = (
    ("", "Candidate"),
    ("place", "Place and parents"),
    ("merit", "Merit"),
    ("low", "90% interval"),
    ("plain", "Plain mean"),
    ("", "Judged"),
    ("", "Decision"),
)


def merit_now(request: HttpRequest) -> Merit:
    """What is computed of all scores; its library is loaded when it is first asked for."""
    from evaluation.merit import the_merit

    return the_merit(request.garden)


def asked(request: HttpRequest) -> ChoosingForm:
    return ChoosingForm(request.GET, seasons_judged())


def ranked(request: HttpRequest, form: ChoosingForm, merit: Merit) -> Ranking:
    """Those asked for, in the order asked for."""
    return rank(asked_for(form.cleaned_data, request.user), merit.standings, *form.order)


@require_safe
def candidates(request: HttpRequest) -> HttpResponse:
    """The table of candidates, a page at a time. A fixed number of queries."""
    form, merit = asked(request), merit_now(request)
    ranking = ranked(request, form, merit)
    start = behind(ranking, request.GET.get("after", ""), *form.order)
    shown = ranking.keys[start : start + ON_A_PAGE]
    more = len(ranking.keys) > start + ON_A_PAGE
    back = request.htmx.history_restore_request
    return page(
        request,
        "evaluation/candidates.html",
        "evaluation/candidates.html" if back else "evaluation/_candidates.html",
        form=form,
        lines=lines_of(shown, ranking),
        total=len(ranking.keys),
        start=start,
        end=start + len(shown),
        more=form.query(after=shown[-1]) if more else "",
        headings=[_heading(form, name, title) for name, title in HEADINGS],
        warnings=merit.warnings,
        most=SIDE_BY_SIDE,
    )


def _heading(form: ChoosingForm, name: str, title: str) -> dict[str, str]:
    """A column's heading: which way it is ordered now and the address that turns it."""
    column, backwards = form.order
    here = bool(name) and name == column
    turn = f"-{name}" if here and not backwards else name
    # Merit runs from the best down, places from the first up.
    falls = backwards if name == "place" else not backwards
    return {
        "title": title,
        "order": ("descending" if falls else "ascending") if here else "",
        "href": form.query(sort=turn) if name else "",
    }


@require_safe
def compare(request: HttpRequest) -> HttpResponse:
    """Up to six candidates side by side. A fixed number of queries."""
    keys = keys_of(request.GET.getlist("c"), SIDE_BY_SIDE + 1)
    told = told_of(keys[:SIDE_BY_SIDE], merit_now(request))
    context = {
        "told": told,
        "parts": parts_side_by_side(told),
        "too_many": len(keys) > SIDE_BY_SIDE,
        "most": SIDE_BY_SIDE,
    }
    return render(request, "evaluation/compare.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def decide_many(request: HttpRequest) -> HttpResponse:
    """One decision about all that were ticked; afterwards the table as it was filtered."""
    keys = keys_of(request.GET.getlist("c"), MOST_AT_ONCE + 1)
    start = {"candidates": ",".join(map(str, keys)), "verdict": request.GET.get("verdict", "")}
    form = DecideManyForm(request.POST or None, initial=start)
    back = asked(request)
    if request.method == "POST" and (kept := keep(request, form, decide)):
        return kept_at(kept, "candidates", **back.chosen())
    meant = keys_of([str(form["candidates"].value() or "")], MOST_AT_ONCE + 1)
    chosen = Candidate.live.select_related(*WITH).filter(pk__in=meant)
    context = {"chosen": chosen, "back": back.query()}
    return form_page(request, "evaluation/decide_many.html", form, **context)


@require_safe
def plot(request: HttpRequest) -> HttpResponse:
    """Merit against novelty or any two criteria, as a picture and as a table."""
    form, merit, known = asked(request), merit_now(request), axes()
    pair = AxesForm(request.GET, known, FIRST)
    ranking = ranked(request, form, merit)
    shown = plot_of(ranking.keys, pair["x"].value(), pair["y"].value(), merit)
    context = {
        "form": form,
        "pair": pair,
        "plot": shown,
        "points": points_of(shown, ranking),
        "titles": [dict(known)[pair[side].value()] for side in ("x", "y")],
        "picture": form.query(**pair.cleaned_data),
    }
    return page(request, "evaluation/merit_plot.html", "evaluation/_merit_plot.html", **context)


@require_safe
def plot_image(request: HttpRequest) -> HttpResponse:
    """The picture of the plot alone."""
    merit, known = merit_now(request), axes()
    pair = AxesForm(request.GET, known, FIRST)
    x, y = pair["x"].value(), pair["y"].value()
    shown = plot_of(ranked(request, asked(request), merit).keys, x, y, merit)
    return HttpResponse(svg_of(shown, x, y, known), content_type="image/svg+xml")
