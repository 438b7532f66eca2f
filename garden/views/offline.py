"""The service worker: what opens pages on a phone while the garden is out of reach."""

from __future__ import annotations

import functools
import hashlib
import json
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from garden.bundling import gathered
from garden.phone import version

SCRIPT = Path("js/sw.js")
# What a page may need; the trust page has a house of its own, icons belong to the home screen.
KINDS = {".css", ".js", ".woff2", ".svg"}
LEFT_OUT = {"js/sw.js", "css/trust.css"}
LIBRARIES = ("django_htmx/htmx-2.min.js",)


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The worker's script, headed by the files of this version."""
    # Asked for again at each visit, and answered with 304 as a rule.
    answer = HttpResponse(script(), content_type="text/javascript; charset=utf-8")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@functools.cache
def script() -> str:
    """The script's text; another one as soon as a page or a file of the site is another one."""
    text = (Path(settings.STATICFILES_DIRS[0]) / SCRIPT).read_text(encoding="utf-8")
    files = [static(name) for name in needed()]
    edition = hashlib.sha256(f"{version()} {files} {text}".encode()).hexdigest()[:16]
    return f"const EDITION = {json.dumps(edition)};\nconst FILES = {json.dumps(files)};\n{text}"


def needed() -> list[str]:
    """Names of the static files that pages draw on."""
    folder = Path(settings.STATICFILES_DIRS[0])
    found = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.*"))
    own = [name for name in found if Path(name).suffix in KINDS and name not in LEFT_OUT]
    return [*own, *LIBRARIES, *gathered()]
