"""One candidate: everything that was seen in it, and what is decided about it."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from evaluation.choosing import WITH
from evaluation.comparing import looks_of, parts_of, sibs_of, told_of
from evaluation.forms.choosing import DecideForm
from evaluation.models import Candidate
from evaluation.records import decide
from evaluation.views.choosing import merit_now
from garden.forms.base import keep
from garden.views.common import form_page, journal_of, kept_at, recorders_only


@require_safe
def candidate(request: HttpRequest, pk: int) -> HttpResponse:
    """One candidate with every score kept apart. A fixed number of queries."""
    # Asked for first: a number that no key can be is nowhere, and no trouble.
    get_object_or_404(Candidate.live.only("pk"), pk=pk)
    merit = merit_now(request)
    told = told_of([pk], merit)[0]
    thing = told.candidate
    sibs = sibs_of(thing, merit)
    context = {
        "told": told,
        "thing": thing,
        "parts": parts_of(told),
        "noted": any(sheet.scoring.note for sheet in told.sheets),
        "looks": looks_of(thing),
        "explained": explained() if told.stalks else "",
        "beside": "?" + urlencode({"c": [pk, *sibs]}, doseq=True) if sibs else "",
        "journal": journal_of(thing),
    }
    return render(request, "evaluation/candidate.html", context)


def explained() -> str:
    """How days of bloom are reckoned."""
    from evaluation.stalk.blooming import Opening

    return Opening().explained()


def the_candidate(pk: int) -> Candidate:
    return get_object_or_404(Candidate.live.select_related(*WITH), pk=pk)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def decide_one(request: HttpRequest, pk: int) -> HttpResponse:
    """Decide about one candidate; HTMX gets its decision and the chips again."""
    thing = the_candidate(pk)
    form = DecideForm(request.POST or None, initial={"verdict": request.GET.get("verdict", "")})
    kept = keep(request, form, decide, candidates=[thing]) if request.method == "POST" else None
    if kept and not request.htmx:
        return kept_at(kept, "candidate", pk)
    if not kept:
        part = "evaluation/_candidate_verdict.html" if request.htmx else "evaluation/decide.html"
        return form_page(request, part, form, thing=thing)
    kept.line.undo_offered = kept.line.may_be_undone_by(request.user)
    context = {"thing": the_candidate(pk), "line": kept.line}
    return render(request, "evaluation/_candidate_verdict.html", context)
