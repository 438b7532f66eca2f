"""The look-over: along a row with one thumb; and the home of judging."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from breeding.due import work
from breeding.models import Row
from evaluation.forms.walking import GlanceForm
from evaluation.records import glance
from evaluation.walked import next_stretch, walked, walks_along
from evaluation.walking import (
    Walk,
    called_waiting,
    can_bloom,
    known_of,
    progress,
    the_walk,
)
from garden.forms.base import keep
from garden.models import Person
from garden.names import is_key
from garden.verbs import Kept
from garden.views.common import kept_at, recorders_only

MOST_ROWS = 60
SHOWN = 10
# (name of the page, its title, what it is for)
DESK = (
    ("candidates", "Candidates", "ranked by merit, each with its interval"),
    ("worths", "Parents", "breeding values from their judged seedlings"),
    ("scorers", "Scorers and seasons", "who is strict, which year was hard, how well eyes agree"),
    ("rubrics", "Rubrics", "what is looked at and what it weighs"),
    ("clear-out", "For the spade", "what is dug out, row by row"),
    ("resets", "To move", "what is kept and stands in its row still"),
)


def the_row(pk: int) -> Row:
    """A row that stands in the record, with its bed and both parents; 404 otherwise."""
    rows = Row.live.select_related("bed", "cross__seed_parent", "cross__pollen_parent")
    return get_object_or_404(rows, pk=pk)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def walk_row(request: HttpRequest, pk: int) -> HttpResponse:
    """Walk along a row: one position after the other, one tap each."""
    row, today = the_row(pk), request.garden.today()
    if request.method == "POST":
        return _noted(request, row)
    backward, anew = (name in request.GET for name in ("backward", "anew"))
    walk = the_walk(request.user, row, today, backward, anew)
    at = _position(row, request.GET.get("at", ""))
    if at is None:
        at = walk.next_after(_position(row, request.GET.get("after", "")))
    return _page(request, walk, at, GlanceForm(initial={"backward": backward, "anew": anew}))


def _position(row: Row, text: str) -> int | None:
    """A position of the row as an address or a form tells it; None for anything else."""
    number = int(text) if is_key(text) else 0
    return number if row.holds(number) else None


def _noted(request: HttpRequest, row: Row) -> HttpResponse:
    """Keep one look and go on to the next position, or to the next stretch of the row."""
    form, today = GlanceForm(request.POST), request.garden.today()
    if not (kept := keep(request, form, glance, row=row)):
        walk = the_walk(request.user, row, today, "backward" in request.POST)
        position = _position(row, request.POST.get("position", ""))
        return _page(request, walk, position or walk.next_after(), form, status=422)
    walk = the_walk(request.user, row, kept.thing.day)
    position = walk.next_after(kept.thing.position)
    if position is None:
        along = walks_along(request.user, row, today, walk.backward)
        if further := next_stretch(along, row, walk.backward):
            walk, position = further, further.next_after()
    onward = walk.row.cross_id != row.cross_id
    backward = {"backward": 1} if walk.backward else {}
    if not request.htmx:
        return kept_at(kept, "walk-row", walk.row.pk, **backward)
    answer = _page(request, walk, position, GlanceForm(initial=backward), kept=kept, onward=onward)
    here = reverse("walk-row", args=[walk.row.pk])
    answer.headers["HX-Replace-Url"] = here + ("?backward=1" if walk.backward else "")
    return answer


def _page(
    request: HttpRequest,
    walk: Walk,
    position: int | None,
    form: GlanceForm,
    status: int = 200,
    kept: Kept | None = None,
    onward: bool = False,
) -> HttpResponse:
    context: dict[str, Any] = {"walk": walk, "row": walk.row, "cross": walk.row.cross, "form": form}
    context["onward"] = onward
    line = kept.line if kept else None
    if line:
        line.undo_offered = line.may_be_undone_by(request.user)
        context |= {"noted": line, "look": kept.thing}
    today = request.garden.today()
    context |= _end(request.user, walk, today) if position is None else _at(walk, position, today)
    template = "evaluation/_walk.html" if request.htmx else "evaluation/walk.html"
    answer = render(request, template, context, status=status)
    answer.headers["Vary"] = "HX-Request"
    return answer


def _at(walk: Walk, position: int, today: date) -> dict[str, Any]:
    """What the walk shows at a position."""
    seen = walk.to_see
    return {
        "position": position,
        "known": known_of(walk, position),
        "passed": walk.passed_over(position),
        "back": walk.before(position),
        "step": seen.index(position) + 1 if position in seen else 0,
        "steps": len(seen),
        "blooms": can_bloom(walk.row, today),
    }


def _end(person: Person, walk: Walk, today: date) -> dict[str, Any]:
    """What the walk tells at the end of the row."""
    along = walks_along(person, walk.row, today, walk.backward) or [walk]
    further = next_stretch(along, walk.row, walk.backward)
    return {"walked": walked(along), "further": further.row if further else None}


@require_safe
def judging(request: HttpRequest) -> HttpResponse:
    """The home of judging: rows to walk, the called ones to score, and the ways to the desk."""
    calendar, today = request.garden.calendar, request.garden.today()
    season = calendar.season(today)
    bloom = work("bloom", calendar, today)
    rows = bloom.first(MOST_ROWS)
    context = {
        "rows": progress(request.user, rows, season),
        "more": bloom.count() > len(rows),
        "called": called_waiting(season, today),
        "desk": [(reverse(name), *words) for name, *words in DESK],
        "nothing": bloom.nothing,
        "next_bloom": calendar.bloom_from.on_or_after(today),
        "shown": f":{SHOWN}",
        "shown_on": f"{SHOWN}:",
    }
    return render(request, "evaluation/judging.html", context)


@require_safe
def row_at(request: HttpRequest, pk: int, position: int) -> HttpResponse:
    """One position of a row: its candidate's page, or the walk at that place."""
    row = the_row(pk)
    candidate = row.candidates.filter(struck=False, position=position).first()
    if candidate:
        return redirect("candidate", candidate.pk)
    if not request.user.may_record:
        return redirect("row", row.pk)
    return redirect(f"{reverse('walk-row', args=[row.pk])}?at={position}")
