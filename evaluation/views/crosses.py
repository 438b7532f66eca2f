"""The page of a cross from its seedlings' side."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from breeding.views.seasons import the_cross
from evaluation.crossview import (
    LEAST_JUDGED,
    LEAST_SCORED,
    children_of,
    others_of_parents,
    outcomes,
    spread_of,
)
from evaluation.merit import the_merit
from evaluation.models import Candidate


@require_safe
def seedlings(request: HttpRequest, code: str) -> HttpResponse:
    """The seedlings of a cross under their two parents, and what share of them stayed.

    A fixed number of queries, however many there are.
    """
    cross = the_cross(code)
    merit = the_merit(request.garden)
    found = outcomes([cross, *others_of_parents(cross)], merit)
    children = children_of(cross, merit)
    context = {
        "cross": cross,
        "children": children,
        "bare": [child for child in children if child.bare],
        "unseen": Candidate.live.filter(row__cross=cross).count() - len(children),
        "own": found[0],
        "judged": [one for one in found[1:] if one.judged],
        "unjudged": [one for one in found[1:] if not one.judged],
        "spread": mark_safe(spread_of(found)),
        "least_judged": LEAST_JUDGED,
        "least_scored": LEAST_SCORED,
        "rows": cross.rows.filter(struck=False, closed_on=None).select_related("bed"),
    }
    return render(request, "evaluation/cross_seedlings.html", context)
