"""Taking in a plant list: paste or choose it, look at what would come of it, take it in."""

from __future__ import annotations

import io
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from garden.csvout import write_rows
from garden.forms.base import keep
from garden.forms.house import ImportForm
from garden.models import fold
from garden.plantlist import COLUMNS, PARENT_COLUMNS, UNKNOWN, PlantList
from garden.records import import_plants
from garden.records.importing import read_list
from garden.views.common import form_page, kept_at, recorders_only

MOST_SHOWN = 50
MOST_PROBLEMS = 500
PAGE = "garden/plant_import.html"
EXAMPLE = (
    ("name", "number", "kind", "class", "ploidy", "breeder", "year", "height_cm", "season",
     "pattern", "standards", "falls", "beard", "rim", "seed_parent", "pollen_parent", "bed",
     "position", "increases", "notes"),
    ("Lantern Keeper", "", "cultivar", "TB", "4", "Edda Marlow", "1998", "91", "M",
     "plicata", "white", "white", "gold", "violet", "", "unknown", "Long border", "4", "6",
     "Scent of cloves."),
    ("", "19-032A", "seedling", "TB", "4", "", "", "84", "EM",
     "bitone", "lavender", "violet", "tangerine", "", "Lantern Keeper", "Old Blue of the Mill",
     "Long border", "5", "2", ""),
)  # fmt: skip


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def take_in(request: HttpRequest) -> HttpResponse:
    """A dry run first; only the button below it writes anything."""
    if request.method != "POST":
        return form_page(request, PAGE, ImportForm(), columns=COLUMNS)
    form = ImportForm(request.POST, request.FILES)
    if "take" in request.POST and (kept := keep(request, form, import_plants)):
        return kept_at(kept, "plants")
    text = form.cleaned_data.get("text", "") if form.is_valid() else ""
    if not text:
        return form_page(request, PAGE, form, columns=COLUMNS)
    listed = read_list(text)
    context = {
        "form": ImportForm(initial={"text": text}),
        "columns": COLUMNS,
        "listed": listed,
        **(problems(listed) if listed.problems else would_come(listed)),
    }
    return render(request, PAGE, context, status=422 if listed.problems else 200)


def problems(listed: PlantList) -> dict[str, Any]:
    """What the page says of a list that cannot be taken in."""
    count = len(listed.problems)
    return {
        "problems": listed.problems[:MOST_PROBLEMS],
        "problem_count": count,
        "more_problems": max(0, count - MOST_PROBLEMS),
    }


def would_come(listed: PlantList) -> dict[str, Any]:
    """What the page says of a list that can be taken in."""
    told = [
        (str(line.values[side]), folded)
        for line in listed.lines
        for side, folded in line.parents.items()
        if side in PARENT_COLUMNS and folded != UNKNOWN
    ]
    as_text = {fold(name) for name in listed.unresolved}
    return {
        "lines": [_shown(line.values) for line in listed.lines[:MOST_SHOWN]],
        "count": len(listed.lines),
        "more": max(0, len(listed.lines) - MOST_SHOWN),
        "linked": sum(1 for _, folded in told if folded not in as_text),
        "as_text": sorted(listed.unresolved, key=fold),
    }


def _shown(values: dict[str, object]) -> dict[str, str]:
    """One plant as a line of the dry run's table."""
    place = " ".join(str(values[name]) for name in ("bed", "position") if name in values)
    parents = [str(values.get(side, "")) for side in PARENT_COLUMNS]
    return {
        "label": str(values.get("name") or values.get("number")),
        "iris_class": str(values.get("iris_class", "")),
        "year": str(values.get("year", "")),
        "colours": " / ".join(
            str(values[part]) for part in ("pattern", "standards", "falls") if part in values
        ),
        "parents": f"{parents[0] or '?'} × {parents[1] or '?'}" if any(parents) else "",
        "place": place,
    }


@require_safe
def example(request: HttpRequest) -> HttpResponse:
    """A list of two invented plants to start from."""
    text = io.StringIO()
    write_rows(text, EXAMPLE)
    response = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = 'attachment; filename="plants-example.csv"'
    return response
