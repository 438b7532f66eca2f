"""What waits on this phone: pages that show what the browser's own store holds."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import get_resolver
from django.views.decorators.http import require_safe

from garden.views.common import kept_on_phone

# Where the recording forms of the field post to: a file of entries may name these and no others.
RECORDING = (
    "new-cross", "look", "harvest", "tag-look", "tag-harvest", "sow", "count", "line-out",
    "walk-row", "score-seedling", "score-plant", "select-seedling", "decide", "bloom-note",
    "pollen-new", "pollen-finish", "measure", "count-types", "note-type", "photo-new",
    "plant-place", "undo",
    "count-stock", "take-out", "guest-new", "guest-news",
)  # fmt: skip


@require_safe
@kept_on_phone
def waiting(request: HttpRequest) -> HttpResponse:
    """What waits, what needs attention, what was accepted."""
    return render(request, "garden/waiting.html")


@require_safe
@kept_on_phone
def take_in(request: HttpRequest) -> HttpResponse:
    """Take in a file of entries that was saved on a phone."""
    return render(request, "garden/waiting_take_in.html", {"recording": recording_addresses()})


def recording_addresses() -> list[str]:
    """The addresses of the recording forms as patterns, from the beginning of a path to its end."""
    known = get_resolver().reverse_dict
    return sorted(
        f"^/{pattern}".replace("(?P<", "(?<").removesuffix("$").replace("\\Z", "") + "$"
        for name in RECORDING
        if name in known
        for _, pattern, _, _ in known.getlist(name)
    )
