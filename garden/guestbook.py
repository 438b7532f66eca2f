"""What is outstanding of plants in other gardens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Prefetch

from garden.models import GuestNews, GuestSent

MOST_OPEN, MOST_ENDED = 300, 40
NEWS = Prefetch("news", GuestNews.live.order_by("day", "pk"), to_attr="came")


@dataclass(frozen=True, slots=True)
class Told:
    """One guest with its reports, what is open, and for how many days."""

    guest: GuestSent
    came: tuple[GuestNews, ...]
    open: tuple[str, ...]
    days: int

    @property
    def returned(self) -> int:
        """Plants that came back."""
        return sum(one.returned for one in self.came)


def outstanding(guest: GuestSent, came: Iterable[GuestNews]) -> tuple[str, ...]:
    """What is still awaited: of a test a report and the plants, of a trade what comes for it."""
    if guest.ended_on:
        return ()
    came = list(came)
    missing = guest.number - sum(one.returned for one in came)
    reported = any(one.report for one in came)
    match guest.terms:
        case GuestSent.Terms.TEST:
            report = () if reported else ("a report",)
            plants = (f"{missing} of {guest.number} plants",) if missing > 0 else ()
            return report + plants
        case GuestSent.Terms.TRADE:
            return () if came else ("what comes for it",)
    return ()


def told(guest: GuestSent, today: date, came: Iterable[GuestNews] | None = None) -> Told:
    """One guest in full. A query where its reports are not given."""
    if came is None:
        came = guest.news.filter(struck=False).order_by("day", "pk")
    came = tuple(came)
    return Told(guest, came, outstanding(guest, came), (today - guest.sent_on).days)


def all_guests(today: date) -> dict[str, Any]:
    """Guests with something open, longest out first, and the others, newest first."""
    guests = GuestSent.live.select_related("plant").prefetch_related(NEWS)
    rows = [
        *guests.filter(ended_on=None).order_by("sent_on", "pk")[:MOST_OPEN],
        *guests.exclude(ended_on=None).order_by("-ended_on", "-pk")[:MOST_ENDED],
    ]
    found = [told(guest, today, guest.came) for guest in rows]
    return {
        "awaited": [one for one in found if one.open],
        "settled": sorted(
            (one for one in found if not one.open), key=lambda one: one.guest.sent_on, reverse=True
        ),
    }
