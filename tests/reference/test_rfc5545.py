"""The calendar feed against RFC 5545 (2009), read by a parser that did not write it (vobject)."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
import vobject
from django.test import Client
from django.urls import reverse

from garden.models import Person
from tests.cast import Cast, noon


@pytest.fixture
def feed(client: Client, owner: Person, cast: Cast) -> Any:
    with time_machine.travel(noon(date(2024, 6, 22))):
        return client.get(reverse("feed", args=[owner.feed_key]))


def test_feed__is_read_by_another_parser(feed: Any) -> None:
    assert feed.headers["Content-Type"].startswith("text/calendar")
    calendar = vobject.readOne(feed.content.decode())
    assert calendar.version.value == "2.0"
    event = calendar.vevent
    assert event.summary.value == "Pods to look at: 1"
    # RFC 5545, 3.6.1: an all-day event has DATE values and ends on the day after.
    assert event.dtend.value - event.dtstart.value == timedelta(days=1)
    assert event.dtstart.value == date(2024, 6, 22)


def test_feed__keeps_the_rules_of_the_text_format(feed: Any) -> None:
    raw = feed.content
    # RFC 5545, 3.1: lines end in CRLF and are folded at 75 octets.
    assert raw.count(b"\n") == raw.count(b"\r\n") > 0
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    text = raw.replace(b"\r\n ", b"").decode()
    # RFC 5545, 3.6 and 3.6.1: what a calendar and an event must hold, once each.
    for needed in ("PRODID:", "VERSION:2.0", "UID:", "DTSTAMP:"):
        assert text.count(needed) == 1
    assert text.startswith("BEGIN:VCALENDAR")
    assert text.rstrip().endswith("END:VCALENDAR")


def test_feed__has_the_same_uids_again(client: Client, owner: Person, feed: Any) -> None:
    with time_machine.travel(noon(date(2024, 6, 22))):
        again = client.get(reverse("feed", args=[owner.feed_key]))
    uid = vobject.readOne(feed.content.decode()).vevent.uid.value
    assert vobject.readOne(again.content.decode()).vevent.uid.value == uid


def test_feed__is_closed_to_a_wrong_key(client: Client, cast: Cast) -> None:
    assert client.get(reverse("feed", args=["guess"])).status_code == 404
