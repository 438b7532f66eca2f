"""Pages of seedlings."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET, require_http_methods

from breeding.models import Row
from evaluation.forms import SelectForm
from evaluation.models import Seedling
from evaluation.records import select_seedling
from garden.forms.base import keep
from garden.views.common import form_page, journal_of, kept_at, recorders_only


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def select(request: HttpRequest, pk: int) -> HttpResponse:
    """Select a seedling of a row."""
    rows = Row.live.select_related("bed", "cross__seed_parent", "cross__pollen_parent")
    row = get_object_or_404(rows, pk=pk)
    form = SelectForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, select_seedling, row=row)):
        return kept_at(kept, "seedling", kept.thing.code)
    return form_page(request, "evaluation/select.html", form, row=row, cross=row.cross)


@require_GET
def seedling(request: HttpRequest, code: str) -> HttpResponse:
    """A selected seedling: both parents, where it stands, the plant it became."""
    seedlings = Seedling.live.select_related(
        "plant", "row__bed", "cross__seed_parent", "cross__pollen_parent"
    )
    thing = get_object_or_404(seedlings, code=code)
    context = {"seedling": thing, "cross": thing.cross, "journal": journal_of(thing)}
    return render(request, "evaluation/seedling.html", context)
