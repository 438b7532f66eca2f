"""The pages that say what went wrong."""

from __future__ import annotations

import sys

from django.conf import settings
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from garden.turns import Busy


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The page behind a form that came from elsewhere or from before the last sign-in."""
    request.token_refused = True
    return render(
        request,
        "garden/trouble.html",
        {
            "title": "This form is too old",
            "told": "It was opened before you signed in again, and nothing of it was kept. Go "
            "back, copy what you typed, reload the page and send it once more.",
        },
        status=403,
    )


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(
        request,
        "garden/trouble.html",
        {
            "title": "This could not be read",
            "told": "What was sent is too large or damaged. Nothing was kept of it.",
        },
        status=400,
    )


def too_large(request: HttpRequest) -> HttpResponse:
    """The page behind a form or file that no form of ours would be."""
    return render(
        request,
        "garden/trouble.html",
        {
            "title": "This is too large",
            "told": f"Haftbook takes {settings.LARGEST_REQUEST // 1_000_000} MB at once, and a "
            "photo of 15 MB. Nothing was kept. Open the form again and choose something smaller.",
        },
        status=413,
    )


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    told = str(exception) or "You may not do this here."
    return render(
        request, "garden/trouble.html", {"title": "Not for you", "told": told}, status=403
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    told = "Nothing in this garden has that address. Look it up by its name, number or tag."
    return render(
        request, "garden/trouble.html", {"title": "Nothing here", "told": told}, status=404
    )


def failed(request: HttpRequest) -> HttpResponse:
    """Haftbook stumbled, or the database did not let this in: drawn without asking it anything."""
    if isinstance(sys.exc_info()[1], Busy | OperationalError):
        page = render_to_string("garden/busy.html")
        return HttpResponse(page, status=503, headers={"Retry-After": "5"})
    return HttpResponse(render_to_string("garden/failed.html"), status=500)
