"""The garden's work as an iCalendar object (RFC 5545)."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar, Event

from breeding.due import Work, all_work
from garden.models import Garden
from garden.verbs import plural

MOST_NAMED = 30


def calendar_text(garden: Garden, site: str) -> bytes:
    """One all-day event for each day and kind of work that is due, each with the same UID again.

    `site` is the address of this garden without a slash at its end.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Haftbook//Garden work//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", garden.name)
    stamp = timezone.now().replace(microsecond=0)
    for kind in all_work(garden.calendar, garden.today()):
        by_day: dict[Any, list[Any]] = {}
        for thing in kind.first(200):
            by_day.setdefault(max(thing.due, kind.today), []).append(thing)
        for day, things in sorted(by_day.items()):
            calendar.add_component(_event(kind, day, things, stamp, site))
    return calendar.to_ical()


def _event(kind: Work, day: Any, things: list[Any], stamp: Any, site: str) -> Event:
    event = Event()
    event.add("uid", f"{kind.key}-{day:%Y%m%d}@haftbook.invalid")
    event.add("dtstamp", stamp)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", f"{kind.title}: {len(things)}")
    named = [str(thing) for thing in things[:MOST_NAMED]]
    left = len(things) - len(named)
    more = [f"and {plural(left, 'more', 'more')}"] if left else []
    event.add("description", "\n".join(named + more))
    event.add("url", f"{site}{reverse('due', args=[kind.key])}")
    event.add("transp", "TRANSPARENT")
    return event
