"""Small pieces that views of all apps share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.template.response import TemplateResponse
from django.urls import reverse

from garden.models import JournalLine
from garden.verbs import Kept

View = Callable[..., HttpResponse]


def kept_at(kept: Kept, to: str, *args: Any, **query: Any) -> HttpResponseRedirect:
    """Go on to a page that shows what was kept, with its undo."""
    query = {"kept": kept.line.pk, **query}
    return HttpResponseRedirect(f"{reverse(to, args=args)}?{urlencode(query)}", status=303)


def form_page(request: HttpRequest, template: str, form: Any, **context: Any) -> HttpResponse:
    """A form's page; 422 when it was sent and could not be kept."""
    refused = form.is_bound and request.method == "POST"
    return render(request, template, {"form": form, **context}, status=422 if refused else 200)


def recorders_only(view: View) -> View:
    """Only people who may record get the form."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.may_record:
            raise PermissionDenied("Visitors read; ask the owner to be made a helper.")
        return view(request, *args, **kwargs)

    return guarded


def owners_only(view: View) -> View:
    """Only the owner gets the page."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_owner:
            raise PermissionDenied("Only the owner can do this.")
        return view(request, *args, **kwargs)

    return guarded


# A week: as long as a garden may be out of reach while its pages still open on the phone.
KEPT_FOR = 60 * 60 * 24 * 7


def kept_on_phone(view: View) -> View:
    """A page that the phone itself may open, with the garden out of reach and whoever is in.

    It names nobody: it is drawn without the session, so that its answer does not vary by it.
    """

    @wraps(view)
    def drawn(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        request.kept_on_phone = True
        response = view(request, *args, **kwargs)
        if response.status_code == 200:
            response.headers["Cache-Control"] = f"private, max-age={KEPT_FOR}"
        # The door has looked at the session; the page has not.
        request.session.accessed = False
        return response

    return drawn


def journal_of(thing: Any, most: int = 20) -> Iterable[JournalLine]:
    """The newest journal lines that speak of a thing. One query."""
    return (
        JournalLine.objects.filter(mentions__kind=thing.record_kind, mentions__thing_id=thing.pk)
        .select_related("person")
        # By the mention: its index gives the newest at once, however often a thing is spoken of.
        .order_by("-mentions__line_id")[:most]
    )


def after(rows: QuerySet, key: str, last: str, most: int) -> tuple[list[Any], str]:
    """A page of `rows` behind the one keyed `last`, and the key to go on from ('' at the end)."""
    if last:
        rows = rows.filter(**{f"{key}__gt": last})
    page = list(rows.order_by(key)[: most + 1])
    more = str(getattr(page[most - 1], key)) if len(page) > most else ""
    return page[:most], more


def page(request: HttpRequest, whole: str, partial: str, **context: Any) -> HttpResponse:
    """The whole page, or only its changing part when HTMX asks for that."""
    response = TemplateResponse(request, partial if request.htmx else whole, context)
    response.headers["Vary"] = "HX-Request"
    return response
