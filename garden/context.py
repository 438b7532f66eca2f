"""What every template knows: the garden, its day, the ways through the notebook."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from garden.models import JournalLine

WAYS = (
    ("today", "Today"),
    ("new-cross", "New cross"),
    ("look-up", "Look up"),
    ("book", "Book"),
)
READING_WAYS = ("today", "look-up", "book")


def garden(request: HttpRequest) -> dict[str, Any]:
    """The garden's row and its day; the line just kept, where the address names one."""
    place = getattr(request, "garden", None)
    if place is None:
        return {}
    today = place.today()
    known = {"garden": place, "today": today, "season": place.calendar.season(today)}
    if request.user.is_authenticated:
        known |= {"ways": _ways(request), "kept_line": _kept_line(request)}
    return known


def _ways(request: HttpRequest) -> list[dict[str, str]]:
    ways = []
    for name, title in WAYS:
        if name in READING_WAYS or request.user.may_record:
            href = reverse(name)
            here = "page" if request.path == href else ""
            ways.append(
                {"href": href, "title": title, "icon": f"garden/icons/{name}.html", "here": here}
            )
    return ways


def _kept_line(request: HttpRequest) -> JournalLine | None:
    """The journal line that `?kept=` names, if this person wrote it."""
    key = request.GET.get("kept", "")
    if not (key.isascii() and key.isdigit() and len(key) < 18):
        return None
    return JournalLine.objects.filter(pk=int(key), person=request.user).first()
