"""What is due, as a calendar feed that a phone's own calendar can follow."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from garden.doorway import sites_for_a_phone
from garden.models import Person


@require_safe
def calendar(request: HttpRequest) -> HttpResponse:
    """The person's own feed address, to be given to a calendar."""
    sites = sites_for_a_phone(request)
    here = request.build_absolute_uri("/").rstrip("/")
    address = next(iter(sites), here) + reverse("feed", args=[request.user.feed_key])
    context = {"address": address, "only_here": not sites}
    return render(request, "breeding/calendar.html", context)


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
