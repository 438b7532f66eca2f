"""The cross form: two parents, a tag, and the next one."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.forms import SIDES, UNKNOWN, PollinationForm, chosen_plant
from breeding.models import Pollination
from breeding.records import record_pollination
from breeding.records.common import free_tag
from breeding.views.kin import line_of
from garden.finding import find_plants
from garden.forms.base import keep
from garden.models import Person
from garden.verbs import Refused
from garden.views.common import form_page, kept_at, recorders_only

MOST_ANSWERS = 6
MOST_RECENT = 4
LOOKED_BACK = 40


def sides(form: PollinationForm, recent: dict[str, list[Any]]) -> list[dict[str, Any]]:
    """What the form shows for each parent: the chosen plant, or a field with its answers."""
    return [side_context(form, side, recent.get(side, [])) for side in SIDES]


def side_context(form: Any, side: str, recent: list[Any] | None = None) -> dict[str, Any]:
    """One parent's part of the form."""
    chosen, typed = form[side].value() or "", form[f"{side}_text"].value() or ""
    unknown = side == "pollen" and chosen == UNKNOWN
    plant = None if unknown else chosen_plant(str(chosen))
    return {
        "side": side,
        "title": f"{side.capitalize()} parent",
        "sign": "♀" if side == "seed" else "♂",
        "plant": plant,
        "unknown": unknown,
        "typed": typed,
        "errors": form.errors.get(f"{side}_text", []) if form.is_bound else [],
        "answers": find_plants(typed, MOST_ANSWERS) if typed and not (plant or unknown) else [],
        "recent": recent or [],
    }


def recent_parents() -> dict[str, list[Any]]:
    """The parents lately worked with, the latest first. One query."""
    latest = (
        Pollination.live.select_related("cross__seed_parent", "cross__pollen_parent")
        .order_by("-id")[:LOOKED_BACK]
    )  # fmt: skip
    found: dict[str, dict[int, Any]] = {side: {} for side in SIDES}
    for flower in latest:
        for side in SIDES:
            parent = getattr(flower.cross, f"{side}_parent")
            if parent and len(found[side]) < MOST_RECENT:
                found[side].setdefault(parent.pk, parent)
    return {side: list(parents.values()) for side, parents in found.items()}


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new_cross(request: HttpRequest) -> HttpResponse:
    """Record one flower worked; the next form then stands ready with the same pollen."""
    if request.method == "POST":
        form = PollinationForm(request.POST)
        if kept := keep(request, form, record_pollination):
            cross = kept.thing.cross
            return kept_at(kept, "new-cross", pollen=cross.pollen_parent_id or UNKNOWN)
    else:
        typed = {name: request.GET[name] for name in PollinationForm.base_fields
                 if request.GET.get(name) and name not in ("entry", "at")}  # fmt: skip
        form = PollinationForm(initial=typed)
    chosen = {str(form[side].value() or side) for side in SIDES}
    both = sides(form, recent_parents())
    return form_page(
        request,
        "breeding/new_cross.html",
        form,
        selfing=len(chosen) == 1,
        sides=both,
        kin=line_of(request.garden, *(side["plant"] for side in both)),
        again=again(form, last_flower(request.user)),
    )


def last_flower(person: Person) -> Pollination | None:
    """The flower that this person worked last and that still stands. Two queries on indexes."""
    lines = person.lines.filter(verb="record_pollination").order_by("-id")
    keys = list(lines.values_list("subject_id", flat=True)[:LOOKED_BACK])
    flowers = Pollination.live.filter(pk__in=keys).select_related("cross")
    return flowers.order_by("-id").first()


def again(form: PollinationForm, last: Pollination | None) -> list[dict[str, Any]]:
    """The ways to go on from the flower before, with the one that stands in the form now."""
    if last is None:
        return []
    seed, pollen = last.cross.seed_parent_id, last.cross.pollen_parent_id or UNKNOWN
    now = (str(form["seed"].value() or ""), str(form["pollen"].value() or ""))
    ways = [
        ("Same pollen", "again", f"?pollen={pollen}", now == ("", str(pollen))),
        ("Same seed parent", "again", f"?seed={seed}", now == (str(seed), "")),
        ("Both new", "", "?", now == ("", "")),
    ]
    names = ("title", "rest", "query", "here")
    return [dict(zip(names, way, strict=True)) for way in ways]


def _side(side: str) -> str:
    if side not in SIDES:
        raise Http404
    return side


@recorders_only
@require_safe
def parent(request: HttpRequest, side: str) -> HttpResponse:
    """One parent's part of the form, after a choice or a change of mind."""
    form = PollinationForm(initial=request.GET.dict())
    context = side_context(form, _side(side), recent_parents()[side])
    response = render(request, "breeding/_parent.html", context | {"swapped": True})
    chosen = context["plant"] or context["unknown"]
    response.headers["HX-Trigger-After-Swap"] = "parent-chosen" if chosen else "parent-left"
    return response


@recorders_only
@require_safe
def answers(request: HttpRequest, side: str) -> HttpResponse:
    """Plants that the typed letters may mean."""
    typed = request.GET.get(f"{_side(side)}_text", "")
    found = find_plants(typed, MOST_ANSWERS)
    context = {"side": side, "answers": found, "typed": typed.strip(), "told": True}
    return render(request, "breeding/_answers.html", context)


@recorders_only
@require_safe
def tag_said(request: HttpRequest) -> HttpResponse:
    """Whether a tag may be tied on, said while the person still holds it."""
    typed = request.GET.get("tag", "").strip()
    said, good = "", False
    if typed:
        try:
            said, good = f"Tag {free_tag(typed)} is free.", True
        except Refused as refused:
            said = str(refused)
    return render(request, "breeding/_tag_said.html", {"said": said, "good": good})
