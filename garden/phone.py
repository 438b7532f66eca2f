"""What a phone's field script is told: whether its garden is there, what became of an entry.

A form that waited on a phone is posted like any other, with the header `Haftbook-Entry`; what the
view answered then goes back as JSON, so that no page has to be understood by a script.
"""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.utils import timezone
from django.utils.cache import add_never_cache_headers
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_safe

ENTRY, CLOCK, SKEW, PAGE = (f"Haftbook-{name}" for name in ("Entry", "Clock", "Skew", "Page"))
OWN = ("garden", "breeding", "evaluation")
LONGEST_SKEW = timedelta(days=36_500)
SAID = {
    400: "The garden could not read this.",
    403: "You may not record this here.",
    404: "What this was about is not in the record any more, or has another address.",
    405: "The garden does not take this in.",
    413: "This is too large for the garden: at most 15 MB a photo.",
}


@functools.cache
def version() -> str:
    """A mark of the pages and scripts as they are served now; another one after an upgrade.

    The code counts too: which fields a form has, and what its choices are called, stands there.
    """
    digest = hashlib.sha256()
    manifest = Path(settings.STATIC_ROOT) / "staticfiles.json"
    if manifest.exists():
        digest.update(manifest.read_bytes())
    folders = [(folder, "*.html") for folder in settings.TEMPLATES[0]["DIRS"]]
    for folder, kind in [*folders, *((settings.BASE_DIR / app, "*.py") for app in OWN)]:
        for path in sorted(Path(folder).rglob(kind)):
            known = path.stat()
            digest.update(f"{path} {known.st_size} {known.st_mtime_ns}".encode())
    return digest.hexdigest()[:16]


@login_not_required
@require_safe
def hello(request: HttpRequest) -> HttpResponse:
    """Whether the garden is in reach, who is signed in, and what its clock says."""
    if not request.user.is_authenticated:
        answer = JsonResponse({}, status=401)
    else:
        garden, now = request.garden, timezone.now()
        answer = JsonResponse(
            {
                "token": get_token(request),
                "person": request.user.pk,
                "name": str(request.user),
                "recorder": request.user.may_record,
                "device": request.device,
                "now": now.isoformat(),
                "day": garden.day_of(now).isoformat(),
                "zone": str(garden.zone),
                "version": version(),
            }
        )
    add_never_cache_headers(answer)
    return answer


def phone_clock(request: HttpRequest) -> tuple[datetime | None, timedelta | None]:
    """The phone's clock at the sending and how wrong it was known to be; None for nonsense."""
    skew = request.headers.get(SKEW, "")
    digits = skew.removeprefix("-")
    known = None
    if digits.isascii() and digits.isdigit() and len(digits) < 16:
        known = timedelta(milliseconds=int(skew))
    if known is not None and abs(known) > LONGEST_SKEW:
        known = None
    return aware(request.headers.get(CLOCK, "")), known


def aware(text: str) -> datetime | None:
    """A moment with its zone as text tells it; None for anything else."""
    try:
        moment = parse_datetime(text)
    except ValueError:
        return None
    return moment if moment is not None and timezone.is_aware(moment) else None


class PhoneAnswers:
    """Turns the answer to an entry that came from a phone's store into JSON."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        asked = request.method == "POST" and ENTRY in request.headers
        response = self.get_response(request)
        return in_short(request, response) if asked else response


def in_short(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """The answer in JSON; what the garden itself failed at stays as it is, to be sent again."""
    if response.status_code >= 500:
        return response
    status, told = _outcome(request, response)
    if status == 0:
        return response
    if PAGE in request.headers and not response.has_header("Location"):
        told["page"] = response.content.decode(response.charset)
    told["hx"] = {name: value for name, value in response.items() if name.startswith("HX-")}
    answer = JsonResponse(told, status=status)
    answer.cookies = response.cookies
    for name in ("Retry-After", "Vary"):
        if response.has_header(name):
            answer.headers[name] = response.headers[name]
    add_never_cache_headers(answer)
    return answer


def _outcome(request: HttpRequest, response: HttpResponse) -> tuple[int, dict[str, Any]]:
    """Status and body; 0 when the view kept nothing and refused nothing."""
    if kept := getattr(request, "kept", None):
        return 200, {
            "entry": str(kept.line.entry),
            "outcome": "already" if kept.again else "kept",
            "text": kept.line.text,
            "line": kept.line.pk,
            "at": response.headers.get("Location"),
        }
    told: dict[str, Any] = {"entry": request.headers[ENTRY], "outcome": "refused"}
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return 401, told | {"outcome": "signed-out"}
    if getattr(request, "token_refused", False):
        return 403, told | {"outcome": "token"}
    if form := getattr(request, "refused", None):
        known = getattr(request, "kept_otherwise", False)
        said = {name: [str(one) for one in errors] for name, errors in form.errors.items()}
        says = said.pop("__all__", [])
        told |= {"outcome": "conflict" if known else "refused", "says": says, "fields": said}
        return 409 if known else 422, told
    if response.status_code < 400:
        return 0, told
    return response.status_code, told | {"says": [SAID.get(response.status_code, SAID[400])]}
