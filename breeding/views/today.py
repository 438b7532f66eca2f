"""The page that opens: what waits to be done in the garden."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.due import MOST_COUNTED, all_work, work
from breeding.pages.planrecord import to_cross_summary
from garden.safekeeping import note_for_owner

SHOWN = 3
SHOWN_ON_LIST = 60


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Every kind of work with its most urgent things."""
    day = request.garden.today()
    groups = []
    for kind in all_work(request.garden.calendar, day):
        count = kind.count()
        groups.append({"work": kind, "count": count, "things": kind.first(SHOWN) if count else []})
    due = [group for group in groups if group["count"]]
    return render(
        request,
        "breeding/today.html",
        {
            "groups": due,
            "idle": [group["work"] for group in groups if not group["count"]],
            "most": MOST_COUNTED,
            "total": sum(group["count"] for group in due),
            "to_cross": to_cross_summary(request.garden, day),
            "backup_note": note_for_owner() if request.user.is_owner else "",
        },
    )


@require_safe
def due(request: HttpRequest, key: str) -> HttpResponse:
    """One kind of work, thing after thing."""
    try:
        kind = work(key, request.garden.calendar, request.garden.today())
    except KeyError:
        raise Http404 from None
    return render(
        request,
        "breeding/due.html",
        {
            "work": kind,
            "things": kind.first(SHOWN_ON_LIST),
            "count": kind.count(),
            "most": MOST_COUNTED,
        },
    )
