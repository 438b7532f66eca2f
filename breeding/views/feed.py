"""What is due, as a calendar feed that a phone's own calendar can follow."""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from garden.hosts import home_addresses
from garden.models import Person


@require_safe
def calendar(request: HttpRequest) -> HttpResponse:
    """The person's own feed address, to be given to a calendar."""
    site, only_here = site_for_a_phone(request)
    address = site + reverse("feed", args=[request.user.feed_key])
    context = {"address": address, "only_here": only_here}
    return render(request, "breeding/calendar.html", context)


def site_for_a_phone(request: HttpRequest) -> tuple[str, bool]:
    """This site's address as a phone reaches it, and whether it is for this computer alone.

    A loopback address means another device on each device: the home network's stands instead.
    """
    asked = urlsplit(request.build_absolute_uri("/"))
    if not is_loopback(asked.hostname or ""):
        return f"{asked.scheme}://{asked.netloc}", False
    at_home = home_addresses()
    if not at_home:
        return f"{asked.scheme}://{asked.netloc}", True
    port = f":{asked.port}" if asked.port else ""
    return f"{asked.scheme}://{at_home[0]}{port}", False


def is_loopback(host: str) -> bool:
    """Whether a host's name or address means the device itself."""
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@login_not_required
@require_safe
def feed(request: HttpRequest, key: str) -> HttpResponse:
    """The feed itself. A calendar cannot sign in: the key in the address stands for the person."""
    # Loaded when the first feed is asked for, not at every start.
    from breeding.feed import calendar_text

    if not Person.objects.filter(feed_key=key, is_active=True).exists():
        raise Http404
    text = calendar_text(request.garden, request.build_absolute_uri("/").rstrip("/"))
    return HttpResponse(text, content_type="text/calendar; charset=utf-8")
