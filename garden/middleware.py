"""What every request and answer gets: a largest size, the garden's time zone, no caching."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.middleware.gzip import GZipMiddleware
from django.utils import timezone
from django.utils.cache import add_never_cache_headers
from django_htmx.http import HttpResponseClientRedirect

from garden.doorway import DEVICE, device_of, note_seen
from garden.models import Garden
from garden.views.site import too_large

MOST_POURED_AWAY = 400_000_000
PIECE = 256 * 1024


class PageGZip(GZipMiddleware):
    """Pages smaller on their way; a photo is as small as it gets."""

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        if response.headers.get("Content-Type") in ("image/jpeg", "application/zip"):
            return response
        return super().process_response(request, response)


class BodyLimit:
    """Refuses a request that is too large before anything of it is looked at or written.

    Stands before the check of tokens, which would read the whole of it.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *args: object) -> HttpResponse | None:
        told = request.META.get("CONTENT_LENGTH") or "0"
        length = int(told) if told.isascii() and told.isdigit() else 0
        if length <= settings.LARGEST_OF_A_STRANGER:
            return None
        inside = request.user.is_authenticated
        if inside and length <= settings.LARGEST_REQUEST:
            return None
        if inside:
            _pour_away(request, length)
        return too_large(request)


def _pour_away(request: HttpRequest, length: int) -> None:
    """Read on, up to a measure, so that the browser is still there for the sentence."""
    for _ in range(min(length, MOST_POURED_AWAY) // PIECE):
        if not request.read(PIECE):
            return


class GardenMiddleware:
    """Gives the request its garden and device; keeps pages out of shared caches."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.garden = Garden.get()
        request.device, inside = device_of(request), request.session.get(DEVICE)
        with timezone.override(request.garden.zone):
            response = self.get_response(request)
        if request.htmx and response.status_code == 302:
            # The door belongs into the whole window, not into a part of the page.
            response = HttpResponseClientRedirect(response.url)
        note_seen(inside)
        if not response.has_header("Cache-Control"):
            add_never_cache_headers(response)
        return response
