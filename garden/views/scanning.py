"""Scanning back in: the address in a code, a photo of one, a code typed by hand."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRedirect

from garden.labelling import find, near
from garden.labels import codes
from garden.photos import PhotoRefused
from garden.scanning import codes_in
from garden.views.common import page

NO_PHOTO = "Take a photo of the code, or choose one."
NOTHING_SEEN = (
    "No code was found in this photo. Go nearer, keep still, let the squares fill half of it."
)
FOREIGN = "The code in this photo is none of this garden's."
NOTHING_YET: dict[str, Any] = {
    "typed": "", "told": "", "wrong": "", "strange": "", "near": [], "several": [],
}  # fmt: skip


@require_safe
def scanned(request: HttpRequest, code: str) -> HttpResponse:
    """Where a code leads: to what is due for its thing, or with `?page` to its page."""
    try:
        plain = codes.read(code)
    except ValueError as error:
        return _unknown(request, code, str(error))
    found = find(plain)
    if found is None:
        return _unknown(request, code, f"Nothing here has the code {plain}.")
    kind, thing = found
    wants_due = request.user.may_record and "page" not in request.GET
    due = kind.due(thing, request.garden) if wants_due else ""
    return HttpResponseRedirect(due or kind.page(thing))


def _unknown(request: HttpRequest, typed: str, sentence: str) -> HttpResponse:
    """A code that leads nowhere: why, and what may have been meant."""
    context = NOTHING_YET | {"typed": codes.plain(typed)[:40], "told": sentence} | _near(typed)
    return render(request, "garden/scan.html", context, status=404)


def _near(typed: str) -> dict[str, Any]:
    return {
        "near": [
            {"code": kind.code_of(thing), "kind": kind.one, "name": kind.told(thing)[0]}
            for kind, thing in near(typed)
        ]
    }


@require_http_methods(["GET", "HEAD", "POST"])
def scan(request: HttpRequest) -> HttpResponse:
    """Type a code, or send a photo of one."""
    if request.method == "POST":
        return _read_photo(request)
    if typed := request.GET.get("code", "").strip():
        try:
            plain = codes.read(typed)
        except ValueError as error:
            return _refused(request, typed=typed[:40], told=str(error), **_near(typed))
        if find(plain) is None:
            told = f"Nothing here has the code {plain}."
            return _refused(request, typed=plain, told=told, **_near(plain))
        return _on(request, plain)
    return page(request, "garden/scan.html", "garden/_scan.html", **NOTHING_YET)


def _read_photo(request: HttpRequest) -> HttpResponse:
    photo = request.FILES.get("photo")
    if photo is None:
        return _refused(request, wrong=NO_PHOTO)
    try:
        texts = codes_in(photo)
    except PhotoRefused as refused:
        return _refused(request, wrong=str(refused))
    if not texts:
        return _refused(request, wrong=NOTHING_SEEN)
    known, strange = _known(texts)
    if not known:
        likely = _near(strange) if strange else {}
        return _refused(request, wrong=FOREIGN, strange=strange, **likely)
    if len(known) > 1:
        return _refused(request, several=known)
    return _on(request, known[0]["code"])


def _known(texts: list[str]) -> tuple[list[dict[str, str]], str]:
    """Things of this garden that the texts lead to, each once; and a code that leads nowhere."""
    known: dict[str, dict[str, str]] = {}
    strange = ""
    for text in texts:
        try:
            code = codes.read(text)
        except ValueError:
            continue
        if found := find(code):
            kind, thing = found
            known[code] = {"code": code, "kind": kind.one, "name": kind.told(thing)[0]}
        else:
            strange = strange or code
    return list(known.values()), strange


def _on(request: HttpRequest, code: str) -> HttpResponse:
    """To the thing, the whole window over."""
    there = reverse("scan-code", args=[code])
    if "page" in request.GET:
        there += "?" + urlencode({"page": 1})
    return (
        HttpResponseClientRedirect(there)
        if request.htmx
        else HttpResponseRedirect(there, status=303)
    )


def _refused(request: HttpRequest, **told: Any) -> HttpResponse:
    answer = page(request, "garden/scan.html", "garden/_scan.html", **NOTHING_YET | told)
    # A code typed is asked for like any search; a photo that was sent and led nowhere is refused.
    answer.status_code = 422 if request.method == "POST" else 200
    return answer
