"""Correcting what was written, and putting away what is finished."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods

from breeding.correctionforms import CorrectForm
from breeding.forms import CorrectParentsForm, PutAwayForm
from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup
from breeding.records import correct, correct_cross, correct_parents, put_away
from breeding.views.crossing import recent_parents, sides
from breeding.views.pods import the_flower
from breeding.views.seasons import the_cross
from garden.forms.base import keep
from garden.views.common import form_page, kept_at, recorders_only

KINDS = {
    "cross": Cross,
    "flower": Pollination,
    "cup": SeedCup,
    "pot": Pot,
    "count": PotCount,
    "row": Row,
}


def page_of(thing: Any) -> tuple[str, Any]:
    """The name and argument of the page on which a thing is seen."""
    if isinstance(thing, Pollination):
        return "tag", thing.tag.code
    if isinstance(thing, PotCount):
        return "pot", thing.pot.code
    if isinstance(thing, Row):
        return "row", thing.pk
    return {Cross: "cross", SeedCup: "cup", Pot: "pot"}[type(thing)], thing.code


def _thing(kind: str, pk: int, kinds: tuple[str, ...] = tuple(KINDS)) -> Any:
    if kind not in kinds:
        raise Http404
    return get_object_or_404(KINDS[kind].live, pk=pk)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct_thing(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Correct fields of one recorded thing; with `?only=note` just note something on it."""
    thing = _thing(kind, pk)
    back = page_of(thing)
    note_only = request.GET.get("only") == "note" and hasattr(thing, "note")
    form = CorrectForm(request.POST or None, thing=thing, note_only=note_only)
    if request.method == "POST" and (kept := keep(request, form, correct, thing=thing)):
        return kept_at(kept, *page_of(kept.thing))
    return form_page(request, "breeding/correct.html", form, thing=thing, kind=kind, back=back)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def put_thing_away(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Put away a cup, a pot or a row."""
    thing = _thing(kind, pk, ("cup", "pot", "row"))
    form = PutAwayForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, put_away, thing=thing)):
        return kept_at(kept, *page_of(thing))
    return form_page(
        request, "breeding/put_away.html", form, thing=thing, kind=kind, back=page_of(thing)
    )


def _parents_form(request: HttpRequest, cross: Cross) -> CorrectParentsForm:
    now = {"seed": cross.seed_parent_id, "pollen": cross.pollen_parent_id or "unknown"}
    chosen = {name: request.GET.get(name, value) for name, value in now.items()}
    return CorrectParentsForm(request.POST or None, initial=chosen | request.GET.dict())


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def flower_parents(request: HttpRequest, pk: int) -> HttpResponse:
    """Move one flower to the cross it belongs to."""
    flower = the_flower(pk)
    form = _parents_form(request, flower.cross)
    if request.method == "POST" and (
        kept := keep(request, form, correct_parents, pollination=flower)
    ):
        return kept_at(kept, "tag", flower.tag.code)
    return form_page(
        request,
        "breeding/correct_parents.html",
        form,
        sides=sides(form, recent_parents()),
        title=f"Parents of tag {flower.tag}",
        back=("tag", flower.tag.code),
    )


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def cross_parents(request: HttpRequest, code: str) -> HttpResponse:
    """Correct the parents of a whole cross."""
    cross = the_cross(code)
    form = _parents_form(request, cross)
    if request.method == "POST" and (kept := keep(request, form, correct_cross, cross=cross)):
        return kept_at(kept, "cross", cross.code)
    return form_page(
        request,
        "breeding/correct_parents.html",
        form,
        sides=sides(form, recent_parents()),
        title=f"Parents of {cross}",
        back=("cross", cross.code),
    )
