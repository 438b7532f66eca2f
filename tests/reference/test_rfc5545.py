"""The calendar feed against RFC 5545 (2009), read by a parser that did not write it (vobject)."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
import vobject
from django.test import Client
from django.urls import reverse

from breeding.models import Pollination, Tag
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


def fetched(client: Client, owner: Person, day: date) -> list[Any]:
    with time_machine.travel(noon(day)):
        answer = client.get(reverse("feed", args=[owner.feed_key]))
    return vobject.readOne(answer.content.decode()).contents.get("vevent", [])


def test_feed__tells_the_work_of_ten_weeks(client: Client, owner: Person, cast: Cast) -> None:
    told = [
        (event.summary.value, event.dtstart.value)
        for event in fetched(client, owner, date(2026, 1, 20))
    ]
    # The pot's second spring begins nine weeks on; the rest should have been done before winter.
    assert told == [
        ("Cups to sow: 1", date(2026, 1, 20)),
        ("Pots to count: 1", date(2026, 3, 25)),
        ("Seedlings to line out: 1", date(2026, 1, 20)),
    ]


def test_feed__overdue_work_keeps_its_uid_from_day_to_day(
    client: Client, owner: Person, cast: Cast
) -> None:
    (first,), (second,) = (fetched(client, owner, date(2024, 6, day)) for day in (22, 25))
    assert first.uid.value == second.uid.value == "look-overdue@haftbook.invalid"
    assert second.dtstart.value == date(2024, 6, 25)
    (ahead,) = fetched(client, owner, date(2024, 6, 10))
    assert ahead.uid.value == "look-20240621@haftbook.invalid"


def test_feed__says_when_there_is_more(
    client: Client, owner: Person, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = Tag.objects.get(code=cast.free_tag)
    Pollination.objects.create(cross=cast.bee_cross, tag=tag, day=date(2024, 6, 4))
    monkeypatch.setattr("breeding.feed.MOST", 1)
    (event,) = fetched(client, owner, date(2024, 6, 25))
    assert event.summary.value == "Pods to look at: 1 or more"


def test_feed__is_closed_to_a_wrong_key(client: Client, cast: Cast) -> None:
    assert client.get(reverse("feed", args=["guess"])).status_code == 404
