"""Scoring one seedling, and correcting one's own score."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods

from evaluation.forms.scoring import CorrectScoreForm, ScoreForm
from evaluation.models import Candidate, Rubric, Scoring, Seedling
from evaluation.records import correct_score, score
from evaluation.stalk import tappable_stalk
from evaluation.views.walking import the_row
from garden.forms.base import keep
from garden.models import Plant
from garden.names import is_key
from garden.verbs import Kept
from garden.views.common import form_page, kept_at, recorders_only

# The button that shows another rubric instead of keeping the score.
OTHER = "_other"


def the_rubric(request: HttpRequest, on_walk: bool) -> tuple[Rubric, list[Rubric]]:
    """The rubric asked for, else the walk's, else the person's last; and all that there are."""
    rubrics = list(Rubric.live.filter(replaced_by=None))
    asked = request.GET.get("rubric", "")
    if request.method == "POST" and asked and OTHER not in request.POST:
        # The form was filled under this one, replaced or not; another would drop its marks.
        known = Rubric.objects.filter(pk=int(asked)) if is_key(asked) else Rubric.objects.none()
        return get_object_or_404(known), rubrics
    for rubric in rubrics:
        if asked == str(rubric.pk):
            return rubric, rubrics
    short = [each for each in rubrics if each.purpose == Rubric.Purpose.FIRST_WALK]
    last = Scoring.live.filter(person=request.user).order_by("-id").first()
    used = [each for each in rubrics if last and each.pk == last.rubric_id]
    full = [each for each in rubrics if each.purpose == Rubric.Purpose.FULL]
    chosen = [*short, *rubrics] if on_walk else [*used, *full, *rubrics]
    if not chosen:
        # Every rubric was struck out: the newest of any is better than no form.
        chosen = list(Rubric.objects.order_by("-pk")[:1])
    return chosen[0], rubrics


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def score_seedling(request: HttpRequest, pk: int, position: int) -> HttpResponse:
    """Score the seedling at one position of a row."""
    row = the_row(pk)
    if not row.holds(position):
        raise Http404
    on_walk = "walk" in request.GET
    seedling = Seedling.live.filter(row=row, position=position).first()
    about = {"row": row, "position": position, "cross": row.cross, "seedling": seedling}
    target = {"row": row, "position": position}
    answer = _scored(request, on_walk, target, about)
    if isinstance(answer, Kept):
        if on_walk:
            return kept_at(answer, "walk-row", row.pk, after=position)
        return kept_at(answer, "candidate", answer.thing.candidate_id)
    return answer


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def score_plant(request: HttpRequest, pk: int) -> HttpResponse:
    """Score a plant of the stock, wherever it stands."""
    plant = get_object_or_404(Plant.live, pk=pk)
    answer = _scored(request, False, {"plant": plant}, {"plant": plant})
    if isinstance(answer, Kept):
        return kept_at(answer, "candidate", answer.thing.candidate_id)
    return answer


def _scored(
    request: HttpRequest, on_walk: bool, target: dict[str, Any], about: dict[str, Any]
) -> HttpResponse | Kept:
    """The kept score, or the form."""
    rubric, rubrics = the_rubric(request, on_walk)
    if OTHER in request.POST:
        # Only the rubric changes: what was given so far goes along, and nothing is kept yet.
        form = ScoreForm(initial=request.POST.dict(), rubric=rubric)
        about |= {"set_aside": _set_aside(request, form)}
    else:
        form = ScoreForm(request.POST or None, request.FILES or None, rubric=rubric)
        posted = request.method == "POST"
        if posted and (kept := keep(request, form, score, rubric=rubric, **target)):
            return kept
    others = _others(about, request)
    more = {"rubric": rubric, "rubrics": rubrics, "on_walk": on_walk, "others": others}
    return _page(request, "evaluation/score.html", form, **about, **more)


def _set_aside(request: HttpRequest, form: ScoreForm) -> list[tuple[str, str]]:
    """Marks of the other rubric, as (field, value), which come back with it."""
    return [
        (name, value)
        for name, value in request.POST.items()
        if name.startswith("mark_") and name not in form.fields and value
    ]


def _others(about: dict[str, Any], request: HttpRequest) -> list[Scoring]:
    """Scores of the same seedling this season, which stand for themselves. Two queries."""
    if plant := about.get("plant"):
        candidate = Candidate.live.filter(plant=plant).first()
    else:
        candidate = Candidate.live.filter(row=about["row"], position=about["position"]).first()
    if candidate is None:
        return []
    season = request.garden.calendar.season(request.garden.today())
    given = Scoring.live.filter(candidate=candidate, season=season)
    return list(given.select_related("person", "rubric"))


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct one's own score; the verb refuses anybody else's."""
    scorings = Scoring.live.select_related(
        "person", "rubric", "candidate__plant", "candidate__row__bed", "candidate__row__cross"
    )
    scoring = get_object_or_404(scorings, pk=pk)
    if request.method != "POST" and scoring.person_id != request.user.pk:
        # Shown there beside the others; nobody changes what somebody else gave.
        return redirect("candidate", scoring.candidate_id)
    form = CorrectScoreForm(request.POST or None, scoring=scoring)
    if request.method == "POST" and (kept := keep(request, form, correct_score, scoring=scoring)):
        return kept_at(kept, "candidate", scoring.candidate_id)
    return _page(request, "evaluation/score_correct.html", form, scoring=scoring)


def _page(request: HttpRequest, template: str, form: ScoreForm, **more: Any) -> HttpResponse:
    stalk = mark_safe(tappable_stalk("stalk"))
    return form_page(request, template, form, tappable=stalk, **more)
