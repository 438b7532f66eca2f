"""What every request and answer gets: the garden's time zone, the device's name, no caching."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import add_never_cache_headers
from django_htmx.http import HttpResponseClientRedirect

from garden.models import Garden

DEVICES = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android phone"),
    ("Windows", "Windows computer"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux computer"),
)


def device_name(agent: str) -> str:
    """A gardener's word for the device that sent a browser's self-description."""
    return next((name for mark, name in DEVICES if mark in agent), "other device")


class GardenMiddleware:
    """Gives the request its garden and device; keeps pages out of shared caches."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.garden = Garden.get()
        request.device = device_name(request.headers.get("User-Agent", ""))
        with timezone.override(request.garden.zone):
            response = self.get_response(request)
        if request.htmx and response.status_code == 302:
            # The door belongs into the whole window, not into a part of the page.
            response = HttpResponseClientRedirect(response.url)
        if not response.has_header("Cache-Control"):
            add_never_cache_headers(response)
        return response
