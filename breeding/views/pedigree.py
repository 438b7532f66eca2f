"""Pedigree pages: charts of a plant and of a cross, their PDF, and parentages in words."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods, require_safe

from breeding.charts import Chart
from breeding.charts.legend import legend
from breeding.charts.outline import to_tree
from breeding.charts.svg import to_svg
from breeding.notation import ParentageError
from breeding.parentage import Look, look_at, looks_like_number
from breeding.parentageforms import ParentageForm
from breeding.pedigrees import DEPTHS, chart_of, parentage_texts, web_of
from breeding.records import take_parentage
from breeding.views.seasons import the_cross
from garden.finding import find_plants
from garden.forms.base import keep
from garden.models import Plant
from garden.verbs import written
from garden.views.common import form_page, kept_at, recorders_only
from garden.views.printing import PAPERS, paper_asked, pdf_answer

KINDS = ("ancestors", "descendants")
DEPTH, WEB_DEPTH = 4, 6
# Signs shown on each side of the place where a text cannot be read.
AROUND = 40
# New names that are compared with those of the stock.
MOST_COMPARED = 20


def asked_depth(request: HttpRequest, default: int) -> int:
    """The generations asked for; the default for nonsense."""
    text = request.GET.get("depth", "")
    return int(text) if text in {str(depth) for depth in DEPTHS} else default


def asked_kind(request: HttpRequest) -> str:
    """'ancestors' or 'descendants'; the first for nonsense."""
    return KINDS[request.GET.get("kind") == KINDS[1]]


def shown(chart: Chart, depth: int) -> dict[str, Any]:
    """What a page needs of a chart."""
    return {
        "chart": chart,
        "svg": mark_safe(to_svg(chart)),
        "said": legend(chart),
        "root": to_tree(chart),
        "depth": depth,
        "depths": DEPTHS,
        "papers": PAPERS,
        "empty": len(chart.places) == 1,
    }


def sheet_of(request: HttpRequest, chart: Chart, name: str) -> HttpResponse:
    """A chart on one sheet of paper."""
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from breeding.charts.pdf import to_pdf

    paper = paper_asked(request)
    footer = f"{request.garden.name}, {written(request.garden.today())}"
    return pdf_answer(to_pdf(chart, paper, footer=footer), f"{name}-{paper}")


@require_safe
def pedigree(request: HttpRequest, pk: int) -> HttpResponse:
    """A plant's ancestors or descendants. At most one query a generation, and a few."""
    plant = get_object_or_404(Plant.live, pk=pk)
    depth, kind = asked_depth(request, DEPTH), asked_kind(request)
    chart, family = chart_of(plant, kind, depth)
    texts = parentage_texts(family, pk, depth) if kind == "ancestors" else []
    context = {"plant": plant, "kind": kind, "kinds": KINDS, "texts": texts}
    return render(request, "breeding/pedigree.html", context | shown(chart, depth))


@require_safe
def pedigree_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The same chart on A4 or Letter."""
    plant = get_object_or_404(Plant.live, pk=pk)
    kind = asked_kind(request)
    chart, _ = chart_of(plant, kind, asked_depth(request, DEPTH))
    return sheet_of(request, chart, f"{kind}-{plant.pk}")


@require_safe
def web(request: HttpRequest, code: str) -> HttpResponse:
    """Everything behind a cross, each ancestor once."""
    cross, depth = the_cross(code), asked_depth(request, WEB_DEPTH)
    chart = web_of(cross, depth)
    context = {"cross": cross} | shown(chart, depth)
    return render(request, "breeding/pedigree_web.html", context)


@require_safe
def web_pdf(request: HttpRequest, code: str) -> HttpResponse:
    """The same web on A4 or Letter."""
    cross = the_cross(code)
    chart = web_of(cross, asked_depth(request, WEB_DEPTH))
    chart.title = f"{cross}: {chart.title}"
    return sheet_of(request, chart, f"web-{cross.code}")


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def read_parentage(request: HttpRequest, pk: int) -> HttpResponse:
    """Paste a parentage, look at what would come of it; only the button below writes it."""
    plant = get_object_or_404(Plant.live, pk=pk)
    page = "breeding/pedigree_read.html"
    if request.method != "POST":
        return form_page(request, page, ParentageForm(), plant=plant)
    form = ParentageForm(request.POST)
    if "take" in request.POST and (kept := keep(request, form, take_parentage, plant=plant)):
        return kept_at(kept, "pedigree", plant.pk)
    if not form.is_valid():
        return form_page(request, page, form, plant=plant)
    text = form.cleaned_data["text"]
    try:
        look = look_at(plant, text)
    except ParentageError as error:
        form.add_error("text", str(error))
        return form_page(request, page, form, plant=plant, spot=spot(text, error.position))
    for problem in look.problems:
        form.add_error("text", problem)
    context = {"form": form, "plant": plant, "look": look, **coming(look)}
    return render(request, page, context, status=422 if look.problems else 200)


def spot(text: str, position: int) -> dict[str, str]:
    """The signs around the place where a text cannot be read."""
    first, last = max(0, position - AROUND), position + 1 + AROUND
    return {
        "before": ("…" if first else "") + text[first:position],
        "sign": text[position : position + 1] or " ",
        "after": text[position + 1 : last] + ("…" if last < len(text) else ""),
    }


def coming(look: Look) -> dict[str, Any]:
    """What the page says of a text that can be read."""
    labels, plants = look.labels, look.plan.plants

    def cross(pair: tuple[int | None, int | None] | None) -> str:
        known = ["unknown" if at is None else labels[at] for at in pair or ()]
        return " × ".join(known)

    fills = [
        {
            "plant": look.plants[plants[at].key],
            "parents": [
                (name.partition("_")[0], labels[value] if isinstance(value, int) else value)
                for name, value in fields.items()
            ],
        }
        for at, fields in look.fills.items()
    ]
    created = [
        {"label": labels[at], "named": plants[at].name, "parents": cross(plants[at].parents)}
        for at in look.created
    ]
    # A name that is a slip of the pen would become a plant beside the one that is meant.
    names = [one for one in created if one["named"] and not looks_like_number(one["named"])]
    for one in names[:MOST_COMPARED]:
        one["near"] = next(iter(find_plants(one["label"], 1)), None)
    linked = [look.plants[plants[at].key] for at in look.linked]
    return {"fills": fills, "linked": linked, "created": created}
