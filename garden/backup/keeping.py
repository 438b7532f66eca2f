"""When a backup is due, and which of those made are kept. Moments and days are the garden's own."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

QUIET = timedelta(minutes=20)
# Between two backups of one day on which somebody writes now and then.
APART = timedelta(hours=2)
AGAIN = timedelta(hours=1)

NEWEST = 3
ALL_DAYS, DAYS, WEEKS, MONTHS = 2, 7, 8, 24
# Those made before an upgrade or a restore: somebody may notice late what went wrong.
SPECIAL_DAYS = 60


@dataclass(frozen=True, slots=True, order=True)
class Copy:
    """A backup in the folder: when it was made by the garden's clock, its name, whether special."""

    made: datetime
    name: str
    special: bool = False


def kept(copies: Iterable[Copy], now: datetime) -> set[Copy]:
    """Those worth their room.

    The newest three whatever their age; all of today and yesterday; the last of each of the last 7
    days, 8 weeks (Monday to Sunday) and 24 months; for 60 days what was made before an upgrade or a
    restore. One that seems to come from the future is kept: some clock is wrong.
    """
    ordered = sorted(copies, reverse=True)
    today = now.date()
    keep = set(ordered[:NEWEST])
    keep |= {each for each in ordered if (today - each.made.date()).days < ALL_DAYS}
    keep |= {
        each for each in ordered if each.special and (today - each.made.date()).days < SPECIAL_DAYS
    }
    for most, span in ((DAYS, date.toordinal), (WEEKS, _week), (MONTHS, _month)):
        keep |= _last_of_each(ordered, today, span, most)
    return keep | {each for each in ordered if each.made > now}


def _week(day: date) -> int:
    """Weeks since the beginning of the calendar; its first day was a Monday."""
    return (day.toordinal() - 1) // 7


def _month(day: date) -> int:
    return day.year * 12 + day.month


def _last_of_each(
    ordered: list[Copy], today: date, span: Callable[[date], int], most: int
) -> set[Copy]:
    """The newest copy of each of the last `most` spans, that of today among them."""
    last: dict[int, Copy] = {}
    for each in ordered:
        last.setdefault(span(each.made.date()), each)
    return {each for at, each in last.items() if 0 <= span(today) - at < most}


def is_due(
    now: datetime,
    wrote: datetime | None,
    made: datetime | None,
    tried: datetime | None = None,
) -> bool:
    """Whether it is time for a backup.

    `wrote` is when the newest entry came that no backup has, None when there is none; `made` when
    the last backup was made; `tried` when one last failed. After a day's work means: it has been
    quiet for 20 minutes, or that day is over.
    """
    if wrote is None or (tried is not None and timedelta(0) <= now - tried < AGAIN):
        return False
    if wrote.date() < now.date():
        return True
    if made is not None and made.date() == now.date() and now - made < APART:
        return False
    return now - wrote >= QUIET
