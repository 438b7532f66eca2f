"""Guests sent to other gardens, and what came back of them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from garden.forms.base import keep
from garden.forms.introducing import GuestCorrectForm, GuestForm, GuestNewsForm
from garden.guestbook import all_guests, told
from garden.increasing import spots_of
from garden.models import GuestSent, Plant
from garden.names import is_key
from garden.records import correct_guest, note_guest, send_guest
from garden.views.common import form_page, journal_of, kept_at, recorders_only

MOST_OFFERED = 12


def likely_plants() -> list[Plant]:
    """Own seedlings that grow here, the newest first. One query."""
    own = Plant.live.filter(kind=Plant.Kind.SEEDLING, status=Plant.Status.GROWING)
    return list(own.order_by("-pk")[:MOST_OFFERED])


@require_safe
def guests(request: HttpRequest) -> HttpResponse:
    """Plants in other gardens by what is outstanding. Two queries."""
    return render(request, "garden/guests.html", all_guests(request.garden.today()))


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Send plants to another garden."""
    key = request.POST.get("plant") or request.GET.get("plant", "")
    spots = spots_of([int(key)]).get(int(key), []) if is_key(key) else []
    form = GuestForm(request.POST or None, spots=spots, initial={"plant": key[:18]})
    if request.method == "POST" and (kept := keep(request, form, send_guest)):
        return kept_at(kept, "guests")
    chosen = form.chosen
    offered = [] if chosen else likely_plants()
    return form_page(request, "garden/guest_new.html", form, chosen=chosen, offered=offered)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def news(request: HttpRequest, pk: int) -> HttpResponse:
    """One guest: what came back, and a form for more."""
    guest = get_object_or_404(GuestSent.live.select_related("plant"), pk=pk)
    form = GuestNewsForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, note_guest, guest=guest)):
        return kept_at(kept, "guests")
    context = {"told": told(guest, request.garden.today()), "journal": journal_of(guest)}
    return form_page(request, "garden/guest_news.html", form, guest=guest, **context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Put right what is written of a guest."""
    guest = get_object_or_404(GuestSent.live.select_related("plant"), pk=pk)
    form = GuestCorrectForm(request.POST or None, initial=GuestCorrectForm.standing(guest))
    if request.method == "POST" and (kept := keep(request, form, correct_guest, guest=guest)):
        return kept_at(kept, "guest-news", pk)
    return form_page(request, "garden/guest_correct.html", form, guest=guest)
