"""What every template knows: the garden, its day, the ways through the notebook."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest
from django.urls import reverse

from garden.models import JournalLine
from garden.names import is_key

WAYS = (
    ("today", "Today"),
    ("new-cross", "New cross"),
    ("judging", "Judge"),
    ("look-up", "Look up"),
    ("book", "Book"),
)
READING_WAYS = ("today", "judging", "look-up", "book")
# Who has done one of these mostly goes on with the next: verb -> the list that leads there.
NEXT = {
    "note_pod": ("look", "pods to look at"),
    "harvest": ("harvest", "pods near cracking"),
    "sow": ("sow", "cups to sow"),
    "count_up": ("count", "pots to count"),
    "line_out": ("line-out", "seedlings to line out"),
}


def garden(request: HttpRequest) -> dict[str, Any]:
    """The garden's row and its day; the line just kept, where the address names one."""
    place = getattr(request, "garden", None)
    if place is None:
        return {}
    today = place.today()
    known = {"garden": place, "today": today, "season": place.calendar.season(today)}
    if getattr(request, "kept_on_phone", False):
        # Whoever opens it later from the phone may be somebody else.
        return known | {"ways": _ways(request, everybody=True)}
    if request.user.is_authenticated:
        known |= {"ways": _ways(request), "kept_line": _kept_line(request)}
    return known


def _ways(request: HttpRequest, everybody: bool = False) -> list[dict[str, str]]:
    ways = []
    for name, title in WAYS:
        if everybody or name in READING_WAYS or request.user.may_record:
            href = reverse(name)
            here = "page" if request.path == href else ""
            ways.append(
                {"href": href, "title": title, "icon": f"garden/icons/{name}.html", "here": here}
            )
    return ways


def _kept_line(request: HttpRequest) -> JournalLine | None:
    """The journal line that `?kept=` names, if this person wrote it."""
    try:
        key = request.GET.get("kept", "")
    except SuspiciousOperation:
        # The page that refuses an endless query is drawn with that same query.
        return None
    if not is_key(key):
        return None
    lines = JournalLine.objects.filter(person=request.user).select_related("undone_by")
    line = lines.filter(pk=int(key)).first()
    if line is not None:
        line.undo_offered = line.may_be_undone_by(request.user)
        line.next = _next(request, line)
    return line


def _next(request: HttpRequest, line: JournalLine) -> dict[str, str] | None:
    """The list of what else waits to be done like this, unless it is the page itself."""
    if line.verb not in NEXT:
        return None
    key, title = NEXT[line.verb]
    href = reverse("due", args=[key])
    return None if href == request.path else {"href": href, "title": title}
