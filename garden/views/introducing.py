"""What is offered of a plant in a year: put into the list, changed, withdrawn."""

from __future__ import annotations

from typing import Any

from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods

from garden.forms.base import keep
from garden.forms.introducing import ChangeIntroductionForm, IntroductionForm, WithdrawForm
from garden.models import Garden, Introduction, Plant
from garden.names import is_key
from garden.records import change_introduction, introduce, withdraw_introduction
from garden.views.common import form_page, kept_at, recorders_only
from garden.views.guests import likely_plants


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Put a plant into a year's list."""
    key = request.POST.get("plant") or request.GET.get("plant", "")
    chosen = Plant.live.filter(pk=int(key)).first() if is_key(key) else None
    initial = _usual(request.garden) | ({"plant": chosen.pk} if chosen else {})
    form = IntroductionForm(request.POST or None, plant=chosen, initial=initial)
    if request.method == "POST" and (kept := keep(request, form, introduce)):
        return kept_at(kept, "introductions")
    context = {"chosen": chosen, "offered": [] if chosen else likely_plants()}
    return form_page(request, "garden/introduction_new.html", form, **context)


def _usual(garden: Garden) -> dict[str, Any]:
    """The coming list, the currency of the last one, the next place. Two queries."""
    year = garden.today().year + 1
    last = Introduction.live.exclude(currency="").order_by("-pk").first()
    place = Introduction.live.filter(year=year).aggregate(most=Max("place"))["most"] or 0
    return {"year": year, "currency": last.currency if last else "", "place": place + 1}


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is offered."""
    thing = get_object_or_404(Introduction.live.select_related("plant"), pk=pk)
    form = ChangeIntroductionForm(
        request.POST or None, plant=thing.plant, initial=ChangeIntroductionForm.standing(thing)
    )
    if request.method == "POST" and (
        kept := keep(request, form, change_introduction, introduction=thing)
    ):
        return kept_at(kept, "introductions")
    return form_page(request, "garden/introduction_change.html", form, thing=thing)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a plant out of a year's list."""
    thing = get_object_or_404(Introduction.live.select_related("plant"), pk=pk)
    form = WithdrawForm(request.POST or None)
    if request.method == "POST" and (
        kept := keep(request, form, withdraw_introduction, introduction=thing)
    ):
        return kept_at(kept, "introductions")
    return form_page(request, "garden/introduction_withdraw.html", form, thing=thing)
