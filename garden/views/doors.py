"""Phones: those that are in, letting one in, signing one out; wrong tries at the door."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garden.doorway import DEVICE, only_by_name, sites_for_a_phone
from garden.forms.base import RecordForm, keep
from garden.forms.doors import PairForm
from garden.models import Device, Pairing, Person
from garden.names import is_key
from garden.pairing import code_digest, new_code, new_token, picture, shown_code, token_digest
from garden.records.doors import (
    may_send_out,
    offer_pairing,
    renew_feed_key,
    send_out,
    sign_out_device,
)
from garden.records.knocks import newest_knocks, tries_since
from garden.turns import writing
from garden.verbs import Refused
from garden.views.common import form_page, kept_at, owners_only, recorders_only
from garden.views.trusting import trust_steps

MOST_GONE, MOST_KNOCKS, LATELY = 10, 200, 7


class PlainForm(RecordForm):
    """Only the entry and the clock."""

    day = None


@require_safe
def phones(request: HttpRequest) -> HttpResponse:
    """The devices that are in: everybody's for the owner, else one's own. Fixed queries."""
    known = Device.objects.select_related("person", "ended_by", "pairing__made_by")
    if not request.user.is_owner:
        known = known.filter(person=request.user)
    context = {
        "inside": known.inside().order_by("person__name", "-seen_at"),
        "gone": known.exclude(ended_at=None).order_by("-ended_at")[:MOST_GONE],
        "here": request.session.get(DEVICE),
        "tries": tries_since(LATELY) if request.user.is_owner else 0,
    }
    return render(request, "garden/phones.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Let a phone in: choose whose it is, then show what it scans or types."""
    sites = sites_for_a_phone(request)
    asked = request.GET.get("person", "")
    wished = {"person": int(asked)} if is_key(asked) else {}
    form = PairForm(request.POST or None, by=request.user, sites=sites, initial=wished)
    if request.method == "POST":
        token, code = new_token(), new_code()
        digests = {"token_digest": token_digest(token),
                   "code_digest": code_digest(code, settings.SECRET_KEY)}  # fmt: skip
        if kept := keep(request, form, offer_pairing, **digests):
            if kept.again:
                # What it was is kept nowhere: it was shown once.
                return kept_at(kept, "phones")
            return render(request, "garden/phone_code.html", _shown(kept.thing, token, code, form))
    by_name = request.is_secure() and only_by_name(sites)
    context = {"sites": sites, "by_name": by_name, **trust_steps(request)}
    return form_page(request, "garden/phone_new.html", form, **context)


def _shown(pairing: Pairing, token: str, code: str, form: PairForm) -> dict[str, Any]:
    """What the laptop shows to a phone: the address as a picture, and the code in signs."""
    site, door = form.chosen_site(), reverse("sign-in")
    return {
        "pairing": pairing,
        "picture": mark_safe(picture(f"{site}{door}#{token}")) if site else "",
        "address": f"{site}{door}#{token}" if site else "",
        "door": f"{site}{door}" if site else "",
        "code": shown_code(code),
    }


@recorders_only
@require_safe
def waited_for(request: HttpRequest, pk: int) -> HttpResponse:
    """Whether a phone came in by one's own offer: 204 while it is still waited for.

    286 ends HTMX's asking.
    """
    pairing = get_object_or_404(
        Pairing.objects.select_related("person", "device"), pk=pk, made_by=request.user
    )
    if pairing.is_good(timezone.now()):
        return HttpResponse(status=204)
    return render(request, "garden/_phone_came.html", {"pairing": pairing}, status=286)


@require_POST
def sign_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Sign a device out from elsewhere. One's own, a visitor may too, though it is no entry."""
    device = get_object_or_404(Device.objects.select_related("person"), pk=pk)
    if not may_send_out(request.user, device):
        raise Http404
    if request.user.may_record:
        form = PlainForm(request.POST)
        if kept := keep(request, form, sign_out_device, device=device):
            return kept_at(kept, "phones")
        told = " ".join(form.non_field_errors())
    else:
        try:
            with writing():
                send_out(request.user, device)
            return HttpResponseRedirect(reverse("phones"), status=303)
        except Refused as refused:
            told = str(refused)
    return render(request, "garden/trouble.html", {"title": "Not done", "told": told}, status=422)


@owners_only
@require_safe
def at_the_door(request: HttpRequest) -> HttpResponse:
    """The newest wrong tries. A fixed number of queries."""
    context = {"knocks": newest_knocks(MOST_KNOCKS), "now": timezone.now()}
    return render(request, "garden/at_the_door.html", context)


@recorders_only
@require_POST
def renew_calendar(request: HttpRequest, pk: int) -> HttpResponse:
    """A new address for a calendar; the old one answers no more."""
    person = get_object_or_404(Person, pk=pk)
    if not (request.user.is_owner or person.pk == request.user.pk):
        raise Http404
    form = PlainForm(request.POST)
    if kept := keep(request, form, renew_feed_key, person=person):
        return kept_at(kept, "calendar" if person.pk == request.user.pk else "people")
    told = " ".join(form.non_field_errors()) or "This form could not be read."
    return render(request, "garden/trouble.html", {"title": "Not done", "told": told}, status=422)
