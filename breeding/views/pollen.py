"""Pollen in store, and how readily plants set."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.blooming import open_now
from breeding.models import Pollen
from breeding.pages import fertilepages
from breeding.pages.bloomforms import ENDS, PollenEndForm, PollenForm, places_used
from breeding.pages.bloomjars import good_until, told
from breeding.records import finish_pollen, store_pollen
from garden.forms.base import keep
from garden.views.common import form_page, kept_at, recorders_only

MOST_JARS, MOST_FINISHED = 300, 30


@require_safe
def pollen(request: HttpRequest) -> HttpResponse:
    """Pollen in store, and what was finished lately. Two queries."""
    jars = Pollen.live.select_related("plant")
    stored = jars.filter(ended_on=None).order_by("taken_on", "pk")[:MOST_JARS]
    shown = told(stored, request.garden.today())
    context = {
        "jars": shown,
        "past": sum(bool(jar.spent) for jar in shown),
        "finished": list(jars.exclude(ended_on=None).order_by("-ended_on", "-id")[:MOST_FINISHED]),
    }
    return render(request, "breeding/pollen.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def pollen_new(request: HttpRequest) -> HttpResponse:
    """Put pollen of a plant by."""
    known = {name: request.GET.get(name, "")[:200] for name in ("plant", "plant_text")}
    today, places = request.garden.today(), places_used()
    proposed = {"use_by": good_until(request.garden.calendar, today)}
    form = PollenForm(request.POST or None, initial=known | proposed, places=places)
    if request.method == "POST" and (kept := keep(request, form, store_pollen)):
        return kept_at(kept, "pollen")
    if request.htmx and not known["plant"]:
        return render(request, "breeding/_pollen_answers.html", {"form": form, "told": True})
    chosen = form.chosen
    blooming = [] if chosen else list(open_now(request.garden, today).values())
    return form_page(request, "breeding/pollen_new.html", form, chosen=chosen,
                     blooming=blooming[:12], places=places)  # fmt: skip


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def pollen_finish(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what became of pollen in store."""
    jar = get_object_or_404(Pollen.live.select_related("plant"), pk=pk)
    form = PollenEndForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, finish_pollen, pollen=jar)):
        return kept_at(kept, "pollen")
    return form_page(request, "breeding/pollen_finish.html", form, jar=jar, ends=ENDS)


@require_safe
def fertility(request: HttpRequest) -> HttpResponse:
    """How readily plants set as seed and as pollen parents."""
    context = fertilepages.table(request.GET.get("sort", ""))
    return render(request, "breeding/fertility.html", context)
