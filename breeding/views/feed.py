"""What is due, as a calendar feed that a phone's own calendar can follow."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from garden.models import Person


@require_GET
def calendar(request: HttpRequest) -> HttpResponse:
    """The person's own feed address, to be given to a calendar."""
    address = request.build_absolute_uri(reverse("feed", args=[request.user.feed_key]))
    return render(request, "breeding/calendar.html", {"address": address})


@login_not_required
@require_GET
def feed(request: HttpRequest, key: str) -> HttpResponse:
    """The feed itself. A calendar cannot sign in: the key in the address stands for the person."""
    # Loaded when the first feed is asked for, not at every start.
    from breeding.feed import calendar_text

    if not Person.objects.filter(feed_key=key, is_active=True).exists():
        raise Http404
    text = calendar_text(request.garden, request.build_absolute_uri("/").rstrip("/"))
    return HttpResponse(text, content_type="text/calendar; charset=utf-8")
