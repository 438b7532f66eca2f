"""The garden's work as an iCalendar object (RFC 5545)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar, Event

from breeding.due import Work, all_work
from garden.models import Garden
from garden.verbs import plural

# A calendar looks far ahead; pods take eight weeks to ripen.
AHEAD = timedelta(weeks=10)
MOST = 200
MOST_NAMED = 30
OVERDUE = "overdue"


def calendar_text(garden: Garden, site: str) -> bytes:
    """One all-day event for each day and kind of work of the coming ten weeks.

    What should have been done before stands together on today. An event of the same work has the
    same UID again. `site` is the address of this garden without a slash at its end.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Haftbook//Garden work//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", garden.name)
    stamp = timezone.now().replace(microsecond=0)
    for kind in all_work(garden.calendar, garden.today(), AHEAD):
        for event in _events(kind, site):
            event.add("dtstamp", stamp)
            calendar.add_component(event)
    return calendar.to_ical()


def _events(kind: Work, site: str) -> Iterator[Event]:
    """The events of one kind of work, day after day."""
    found = kind.first(MOST + 1)
    by_day: dict[tuple[date, str], list[Any]] = {}
    for thing in found[:MOST]:
        late = thing.due < kind.today
        when = (kind.today, OVERDUE) if late else (thing.due, f"{thing.due:%Y%m%d}")
        by_day.setdefault(when, []).append(thing)
    for (day, mark), things in sorted(by_day.items()):
        yield _event(kind, day, mark, things, len(found) > MOST, site)


def _event(kind: Work, day: date, mark: str, things: list[Any], cut: bool, site: str) -> Event:
    """One all-day event. `cut`: there is more of this work than was looked at."""
    event = Event()
    event.add("uid", f"{kind.key}-{mark}@haftbook.invalid")
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", f"{kind.title}: {len(things)}{' or more' if cut else ''}")
    named = [str(thing) for thing in things[:MOST_NAMED]]
    left = len(things) - len(named)
    more = [f"and {plural(left, 'more', 'more')}"] if left else []
    event.add("description", "\n".join(named + more))
    event.add("url", f"{site}{reverse('due', args=[kind.key])}")
    event.add("transp", "TRANSPARENT")
    return event
