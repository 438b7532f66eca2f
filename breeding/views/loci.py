"""Pages of loci: the garden's hypotheses, one of them with its plants, one of one's own."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from breeding.models import Locus
from breeding.pages import locipages
from breeding.pages.lociforms import ChangeLocusForm, LocusForm, UseLocusForm
from breeding.pages.locirows import PlantsForm
from breeding.records import add_locus, change_locus
from garden.forms.base import keep
from garden.names import is_key
from garden.views.common import form_page, journal_of, kept_at, owners_only, page

MOST_LETTERS = 12
WRITING = ["GET", "HEAD", "POST"]


def the_locus(symbol: str) -> Locus:
    return get_object_or_404(Locus.live, symbol=symbol)


@require_safe
def loci(request: HttpRequest) -> HttpResponse:
    """The garden's hypotheses. A fixed number of queries."""
    told = locipages.every_locus(request.garden)
    return render(request, "breeding/loci.html", {"loci": told})


@require_safe
def locus(request: HttpRequest, symbol: str) -> HttpResponse:
    """One hypothesis; its plants at once where they are in memory, else a moment later."""
    record = the_locus(symbol)
    context: dict[str, Any] = {"record": record, "form": UseLocusForm()}
    if not request.htmx:
        context |= locipages.rule(request.garden, record) | {"journal": journal_of(record)}
    asked = request.htmx or "worked" in request.GET or context.get("known")
    if record.used and asked:
        first = request.GET.get("first", "")
        form, at = PlantsForm(request.GET), int(first) if is_key(first) else 0
        context |= locipages.plants(request.garden, record, form, at) | {"here": True}
    # Filters change the table alone; the first time everything about the plants comes.
    table = bool(request.htmx) and request.htmx.target == "locus-rows"
    partial = "breeding/_locus_rows.html" if table else "breeding/_locus_plants.html"
    return page(request, "breeding/locus.html", partial, **context)


@owners_only
@require_http_methods(WRITING)
def new(request: HttpRequest) -> HttpResponse:
    """Write down a locus of one's own."""
    form = LocusForm(request.POST or None, known=symbols(), new=request.GET.get("add", ""))
    if request.method == "POST" and (kept := keep(request, form, add_locus)):
        return kept_at(kept, "locus", kept.thing.symbol)
    return form_page(request, "breeding/locus_form.html", form)


@owners_only
@require_http_methods(WRITING)
def change(request: HttpRequest, symbol: str) -> HttpResponse:
    """Change what is supposed of a locus."""
    record = the_locus(symbol)
    form = ChangeLocusForm(
        request.POST or None, locus=record, known=symbols(), new=request.GET.get("add", "")
    )
    if request.method == "POST" and (kept := keep(request, form, change_locus, locus=record)):
        return kept_at(kept, "locus", kept.thing.symbol)
    return form_page(request, "breeding/locus_form.html", form, record=record)


@owners_only
@require_POST
def use(request: HttpRequest, symbol: str) -> HttpResponse:
    """Work with a locus, or no more."""
    record, form = the_locus(symbol), UseLocusForm(request.POST)
    if kept := keep(request, form, change_locus, locus=record):
        return kept_at(kept, "locus", record.symbol)
    context = {"record": record, **locipages.rule(request.garden, record)}
    return form_page(request, "breeding/locus.html", form, **context)


@owners_only
@require_safe
def one_more_type(request: HttpRequest) -> HttpResponse:
    """The fields of one more type, and the button for the next one."""
    asked = request.GET.get("add", "")
    form = LocusForm(known=[], new=asked)
    part = next((part for part in form.parts if part.slot == f"new{asked}"), None)
    if part is None:
        raise Http404
    return render(request, "breeding/_locus_added.html", {"form": form, "part": part})


@owners_only
@require_POST
def looks(request: HttpRequest) -> HttpResponse:
    """The flowers of the types as they stand in the form. Writes nothing."""
    record = Locus.live.filter(symbol=request.GET.get("of", "")[:MOST_LETTERS]).first()
    form = (
        ChangeLocusForm(request.POST, locus=record, known=[])
        if record
        else LocusForm(request.POST, known=[])
    )
    return render(request, "breeding/_locus_looks.html", {"form": form})


def symbols() -> list[str]:
    return list(Locus.live.values_list("symbol", flat=True))
