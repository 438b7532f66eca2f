"""Labels: the queue, printing, what was printed before."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.template.response import TemplateResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from garden.forms.base import keep
from garden.forms.labels import NoLabelForm, PrintForm, as_text
from garden.labelbase import label_base
from garden.labelling import Named, gathered, kind, kinds, labels_of, named
from garden.labelqueue import MOST_COUNTED, lines, queue, waiting
from garden.labelsheets import (
    Paper,
    next_place,
    paper_of,
    papers,
    shift_of,
    things_of,
    usual_paper,
)
from garden.models import LabelRun
from garden.names import is_key
from garden.records import need_no_label, print_labels
from garden.views.common import after, form_page, kept_at, recorders_only
from garden.views.printing import pdf_answer

SHOWN_RUNS = 8
A_PAGE = 60
MOST_NAMED = 40
MOST_TRIED, MOST_TOLD = 150, 12
# The button that shows another sheet, or other copies, and keeps nothing.
SHOW = "_show"


@recorders_only
@require_safe
def labels(request: HttpRequest) -> HttpResponse:
    """What waits for a label, by kind, and what was printed last."""
    groups = queue()
    context = {
        "groups": groups,
        "total": sum(group.count for group in groups),
        "on_request": [one for one in kinds() if not one.arises],
        "runs": LabelRun.live.select_related("person").order_by("-id")[:SHOWN_RUNS],
        "most": MOST_COUNTED,
    }
    return render(request, "garden/labels.html", context)


@recorders_only
@require_safe
def labels_of_kind(request: HttpRequest, key: str) -> HttpResponse:
    """Things of one kind to tick: those without a label, or all that stand."""
    one = kind(key)
    if one is None:
        raise Http404
    every, last = "every" in request.GET, request.GET.get("after", "")
    things = one.standing() if every else waiting(one)
    found, more = after(things, "pk", last if is_key(last) else "", A_PAGE)
    context = {"kind": one, "lines": lines(one, found), "more": more, "every": every}
    return render(request, "garden/labels_of_kind.html", context)


@recorders_only
@require_safe
def runs(request: HttpRequest) -> HttpResponse:
    """Everything that was printed, the newest first."""
    last = request.GET.get("before", "")
    found = LabelRun.live.select_related("person").order_by("-id")
    if is_key(last):
        found = found.filter(pk__lt=int(last))
    shown = list(found[: A_PAGE + 1])
    more = shown[A_PAGE - 1].pk if len(shown) > A_PAGE else None
    context = {"runs": shown[:A_PAGE], "more": more}
    return render(request, "garden/label_runs.html", context)


def _asked(request: HttpRequest) -> list[Named]:
    """What an address asks to be labelled: things, all that waits of a kind, an earlier run."""
    found = [one for text in request.GET.getlist("thing") if (one := named(text))]
    for key in request.GET.getlist("all"):
        if one := kind(key):
            keys = waiting(one).values_list("pk", flat=True)[:MOST_COUNTED]
            found += [(one.key, pk) for pk in keys]
    if is_key(run := request.GET.get("run", "")):
        found += things_of(get_object_or_404(LabelRun.live, pk=int(run)))
    return list(dict.fromkeys(found))[:MOST_COUNTED]


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def print_some(request: HttpRequest) -> HttpResponse:
    """Choose the sheet and the first free place; printing notes it and gives the PDF."""
    known, posted = papers(), request.method == "POST"
    asked = (request.POST if posted else request.GET).get("sheet", "")
    paper = known.get(asked) or usual_paper(known)
    about = {"papers": known, "paper": paper, "address": label_base(request).address}
    if posted and SHOW not in request.POST:
        form = PrintForm(request.POST, **about)
        if kept := keep(request, form, print_labels):
            return kept_at(kept, "label-run", kept.thing.pk, printed=1)
        return _print_page(request, form, request.POST.get("things", ""), about)
    things = request.POST.get("things", "") if posted else as_text(_asked(request))
    start = {"things": things, "sheet": paper.key, "start": next_place(paper)}
    if posted:
        # Only the sheet or the number changes: what was chosen so far goes along.
        start |= {name: name in request.POST for name in ("flowers", "codes")}
        start["copies"] = request.POST.get("copies", "1")
        if request.POST.get("_of") == paper.key:
            start["start"] = request.POST.get("start", start["start"])
    return _print_page(request, PrintForm(initial=start, **about), things, about)


def _print_page(
    request: HttpRequest, form: PrintForm, text: str, about: dict[str, Any]
) -> HttpResponse:
    found = [one for each in text.split()[:MOST_COUNTED] if (one := named(each))]
    things, paper = gathered(found), about["paper"]
    copies = str(form["copies"].value() or "")
    copies_of = int(copies) if is_key(copies) and 0 < int(copies) <= 50 else 1
    start = next_place(paper)
    printed = len(things) * copies_of
    context = {
        "form": form,
        "paper": paper,
        "tapped": form.tapped(paper),
        "taken": start - 1,
        "count": printed,
        "sheets": -(-(start - 1 + printed) // paper.sheet.places),
        "base": label_base(request),
        "troubles": _troubles(form, things, paper),
        "lines": [line for one, thing in things[:MOST_NAMED] for line in lines(one, [thing])],
        "more": max(0, len(things) - MOST_NAMED),
    }
    refused = form.is_bound
    part = "garden/_label_print.html" if request.htmx else "garden/label_print.html"
    return TemplateResponse(request, part, context, status=422 if refused else 200)


def _troubles(form: PrintForm, things: list[Any], paper: Paper) -> list[str]:
    """What will not be printed as it was asked, in sentences; of very many the first are tried."""
    from garden.labels import problems

    address = form.address if form["codes"].value() else ""
    made = labels_of(things[:MOST_TRIED], address)
    return problems(made, paper.sheet, flowers=bool(form["flowers"].value()))[:MOST_TOLD]


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def none_needed(request: HttpRequest) -> HttpResponse:
    """Say that things need no label."""
    asked = request.POST.get("things", "") if request.method == "POST" else as_text(_asked(request))
    form = NoLabelForm(request.POST or None, initial={"things": asked})
    if request.method == "POST" and (kept := keep(request, form, need_no_label)):
        return kept_at(kept, "labels")
    found = [one for each in asked.split()[:MOST_COUNTED] if (one := named(each))]
    things = gathered(found)
    shown = [line for one, thing in things[:MOST_NAMED] for line in lines(one, [thing])]
    more = max(0, len(things) - MOST_NAMED)
    return form_page(request, "garden/label_none.html", form, lines=shown, more=more)


@recorders_only
@require_safe
def run(request: HttpRequest, pk: int) -> HttpResponse:
    """What was printed at one time; just after it the PDF comes by itself."""
    one = get_object_or_404(LabelRun.live.select_related("person"), pk=pk)
    things = gathered(things_of(one)[:MOST_NAMED])
    context = {
        "run": one,
        "paper": paper_of(one.sheet, struck=True),
        "lines": [line for each, thing in things for line in lines(each, [thing])],
        "more": max(0, one.count - MOST_NAMED),
        "fresh": "printed" in request.GET,
    }
    answer = render(request, "garden/label_run.html", context)
    if context["fresh"]:
        answer.headers["Refresh"] = f"0; url={reverse('label-run-pdf', args=[pk])}?keep=1"
    return answer


@recorders_only
@require_safe
def run_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The labels of a run as PDF, on its sheet from its first place on."""
    from garden.labels import labels_pdf

    one = get_object_or_404(LabelRun.live, pk=pk)
    paper = paper_of(one.sheet, struck=True)
    if paper is None:
        raise Http404
    made = labels_of(gathered(things_of(one)), one.address)
    pdf = labels_pdf(
        [label for label in made for _ in range(one.copies)],
        paper.sheet,
        start=min(one.start, paper.sheet.places),
        flowers=one.flowers,
        shift=shift_of(one.sheet),
        title=f"Labels, {request.garden.name}",
    )
    return pdf_answer(pdf, f"labels-{one.day.isoformat()}-{one.pk}", "keep" in request.GET)
