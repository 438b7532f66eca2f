"""Rubrics: what is looked at, what it weighs, and what other weights would change."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from evaluation.forms.rubrics import NewRubricForm, RubricForm
from evaluation.models import Rubric
from evaluation.previewing import preview, under_words
from evaluation.records import revise_rubric, write_rubric
from evaluation.weighing import (
    criteria_of,
    groups_of,
    newest,
    scale_words,
    scores_under,
    versions_of,
    weighed,
    whole,
)
from garden.forms.base import keep
from garden.views.common import form_page, kept_at, owners_only

WRITING = ["GET", "HEAD", "POST"]


@require_safe
def rubrics(request: HttpRequest) -> HttpResponse:
    """The newest version of each rubric with its groups. A fixed number of queries."""
    found = list(newest())
    criteria, counts = criteria_of(found), scores_under([each.name for each in found])
    told = []
    for each in found:
        groups = weighed(criteria[each.pk])
        told.append((each, groups, whole(groups), len(criteria[each.pk]), counts.get(each.pk, 0)))
    return render(request, "evaluation/rubrics.html", {"told": told})


@require_safe
def rubric(request: HttpRequest, pk: int) -> HttpResponse:
    """One version whole. A fixed number of queries."""
    thing = get_object_or_404(Rubric.live.select_related("replaced_by"), pk=pk)
    groups, versions = weighed(criteria_of([thing])[pk]), versions_of(thing)
    for group in groups:
        for each in group.criteria:
            each.scale_words = scale_words(each)
    context = {
        "thing": thing,
        "groups": groups,
        "whole": whole(groups),
        "replaces": Rubric.live.filter(replaced_by=thing).first(),
        "scores": {each.pk: many for each, many in versions}.get(pk, 0),
        "versions": versions,
    }
    return render(request, "evaluation/rubric.html", context)


@owners_only
@require_http_methods(WRITING)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the next version: weights, words, criteria; with what it would change at once."""
    thing = get_object_or_404(Rubric.live.select_related("replaced_by"), pk=pk)
    if thing.replaced_by_id and request.method != "POST":
        return redirect("rubric-change", thing.replaced_by_id)
    form = RubricForm(
        request.POST or None, criteria=criteria_of([thing])[pk], new=request.GET.get("add", "")
    )
    if request.method == "POST" and (kept := keep(request, form, revise_rubric, rubric=thing)):
        return kept_at(kept, "rubric", kept.thing.pk)
    context = told_of(thing, form)
    return form_page(request, "evaluation/rubric_change.html", form, thing=thing, **context)


def told_of(thing: Rubric, form: RubricForm) -> dict[str, object]:
    """Sums and preview of what stands in a form, or why there is none."""
    wrong: list[str] = []
    told = None
    weights = None
    if form.is_bound:
        form.is_valid()
        wrong = [
            f"{form[name].label}: {error}"
            for name, errors in form.errors.items()
            if name.startswith("weight_")
            for error in errors
        ]
        weights = form.weights()
        groups = groups_of(form.by_group())
    else:
        groups = groups_of((each.group, each.weight) for each in form.criteria)
    if weights is not None and not wrong and not any(weights.values()):
        wrong.append("Let at least one of the old criteria weigh something.")
    if not wrong:
        told = preview(thing, weights if weights != now_of(form) else None)
    return {
        "groups": groups,
        "whole": whole(groups),
        "wrong": wrong,
        "preview": told,
        "rests_on": under_words(told, thing) if told else "",
    }


def now_of(form: RubricForm) -> dict[str, float]:
    return {each.key: each.weight for each in form.criteria}


@owners_only
@require_POST
def preview_change(request: HttpRequest, pk: int) -> HttpResponse:
    """The first of last season under the weights of the form. Writes nothing."""
    thing = get_object_or_404(Rubric.live, pk=pk)
    form = RubricForm(request.POST, criteria=criteria_of([thing])[pk])
    context = {"thing": thing, "oob": True, **told_of(thing, form)}
    return render(request, "evaluation/_rubric_preview.html", context)


@owners_only
@require_safe
def criterion(request: HttpRequest) -> HttpResponse:
    """The fields of one more criterion, and the button for the next one."""
    form = RubricForm(criteria=[], new=request.GET.get("add", ""))
    if not form.parts:
        raise Http404
    return render(request, "evaluation/_rubric_added.html", {"form": form, "part": form.parts[0]})


@owners_only
@require_http_methods(WRITING)
def new(request: HttpRequest) -> HttpResponse:
    """Write a rubric of another name, begun as a copy of one there is."""
    known = list(newest())
    asked = request.GET.get("from", "")
    start = next((each for each in known if str(each.pk) == asked), known[-1] if known else None)
    criteria = criteria_of([start])[start.pk] if start else []
    form = NewRubricForm(
        request.POST or None,
        criteria=criteria,
        new=request.GET.get("add", "" if criteria else "1"),
        initial={"purpose": start.purpose if start else Rubric.Purpose.FULL},
    )
    if request.method == "POST" and (kept := keep(request, form, write_rubric)):
        return kept_at(kept, "rubric", kept.thing.pk)
    form.is_bound and form.is_valid()
    groups = groups_of(
        form.by_group() if form.is_bound else ((each.group, each.weight) for each in criteria)
    )
    context = {"start": start, "known": known, "groups": groups, "whole": whole(groups)}
    return form_page(request, "evaluation/rubric_new.html", form, **context)
