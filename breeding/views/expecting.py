"""Pages of what a cross may give, of what came, and of counting seedlings by type."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.forms import SIDES, chosen_plant
from breeding.heredity import the_copies
from breeding.pages import expectcame, expectcounts, expectpages
from breeding.pages.expected import expect_line
from breeding.pages.expectforms import CountTypesForm
from breeding.records import count_types as count_types_verb
from breeding.views.seasons import the_cross
from garden.finding import find_plants, the_plant
from garden.forms.base import keep
from garden.models.stock import UNKNOWN
from garden.views.common import form_page, kept_at, page, recorders_only

MOST_ANSWERS = 6
TITLES = {"seed": "Seed parent ♀", "pollen": "Pollen parent ♂"}


@require_safe
def expect(request: HttpRequest) -> HttpResponse:
    """What a cross of two plants may give, and answers to what is asked of it."""
    sides = [_side(request, side) for side in SIDES]
    seed, pollen = (side["plant"] for side in sides)
    sides[0]["other"], sides[1]["other"] = sides[1]["key"], sides[0]["key"]
    context: dict[str, Any] = {"sides": sides, "seed": seed, "pollen": pollen}
    context["chosen"] = bool(seed and (pollen or sides[1]["unknown"]))
    if context["chosen"]:
        context |= expectpages.page_of(request.garden, seed, pollen, request.GET, request.htmx)
    return page(request, "breeding/expect.html", expectpages.part(request.htmx), **context)


def _side(request: HttpRequest, side: str) -> dict[str, Any]:
    """A chosen plant, unknown pollen, or the field with its answers."""
    typed = request.GET.get(f"{side}_text", "").strip()[:200]
    key = request.GET.get(side, "")
    unknown = side == "pollen" and key == UNKNOWN
    plant = None if unknown else chosen_plant(key) or (the_plant(typed) if typed else None)
    found = find_plants(typed, MOST_ANSWERS) if typed and not plant and not unknown else []
    return {
        "side": side, "title": TITLES[side], "plant": plant, "unknown": unknown, "typed": typed,
        "answers": found, "key": plant.pk if plant else UNKNOWN if unknown else "",
    }  # fmt: skip


@require_safe
def answers(request: HttpRequest, side: str) -> HttpResponse:
    """Plants that the typed letters may mean."""
    if side not in SIDES:
        raise Http404
    typed = request.GET.get(f"{side}_text", "").strip()[:200]
    found = find_plants(typed, MOST_ANSWERS) if typed else []
    context = {"side": side, "typed": typed, "answers": found, "told": True}
    return render(request, "breeding/_kin_answers.html", context)


@require_safe
def line(request: HttpRequest) -> HttpResponse:
    """The quiet outlook of the parents in the cross form."""
    seed, pollen = (chosen_plant(request.GET.get(side, "")) for side in SIDES)
    told = expect_line(request.garden, seed, pollen, patient=True)
    return render(request, "breeding/_expect_line.html", {"outlook": told})


@require_safe
def came(request: HttpRequest, code: str) -> HttpResponse:
    """What came from a cross at one locus, against what was expected."""
    cross, held = the_cross(code), the_copies(request.garden)
    patient = bool(request.htmx) or "worked" in request.GET
    found = expectcame.page_of(held, cross, request.GET.get("locus", ""), patient)
    return page(request, "breeding/came.html", "breeding/_expect_came.html", cross=cross, **found)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def count_types(request: HttpRequest, code: str) -> HttpResponse:
    """Count the seedlings in bloom by type, in a row or in the whole cross."""
    cross = the_cross(code)
    asked = request.POST if "locus" in request.POST else request.GET
    place = expectcounts.Place.asked(cross, the_copies(request.garden), asked)
    if place is None:
        return render(request, "breeding/count_types.html", {"cross": cross})
    form = CountTypesForm(request.POST or None, locus=place.locus, seen=place.seen)
    if request.method == "POST" and (kept := keep(request, form, count_types_verb, **place.kept)):
        return kept_at(kept, "count-types", cross.code, **place.query)
    context = {"cross": cross, "place": place, "types": place.types(form.numbers)}
    if request.htmx and request.method == "GET":
        context["number"] = form.numbers[place.tapped]
        return render(request, "breeding/_expect_plus.html", context)
    return form_page(request, "breeding/count_types.html", form, **context)
