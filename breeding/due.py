"""What is due in the garden, worked out from what is recorded and the garden's calendar.

Each kind of work is one queryset that a partial index serves, so that the answer does not slow
down as the archive grows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import F, Q, QuerySet

from breeding.models import Pollination, Pot, Row, SeedCup
from garden.calendar import REST_BEFORE_FIRST_BLOOM, GardenCalendar

# What falls due within so many days is shown already.
AHEAD = timedelta(days=6)
# A pod that nobody looked at for so long is no longer this season's work.
FORGOTTEN_POD = timedelta(days=200)
COUNTING_WEEKS = timedelta(days=100)
MOST_COUNTED = 500


@dataclass(frozen=True)
class Work:
    """One kind of work: the things it is due for and how to find when."""

    key: str
    title: str
    nothing: str
    things: QuerySet
    calendar: GardenCalendar
    today: date

    def count(self) -> int:
        """How many, counted up to a limit that keeps the page quick. A query."""
        return self.things.order_by()[: MOST_COUNTED + 1].count()

    def first(self, most: int) -> list[Any]:
        """The most urgent ones, each with its `due` day. A query."""
        things = list(self.things[:most])
        for thing in things:
            thing.due = self.due(thing)
            thing.late = (self.today - thing.due).days
        return things

    def due(self, thing: Any) -> date:
        """The day on which this work falls due for one thing."""
        return DUE[self.key](self.calendar, thing, self.today)


DUE = {
    "look": lambda calendar, pod, today: calendar.pod_check_due(pod.day),
    "harvest": lambda calendar, pod, today: calendar.pod_ripe_due(pod.day),
    "sow": lambda calendar, cup, today: calendar.sowing_due(cup.filled_on),
    "count": lambda calendar, pot, today: pot_count_due(calendar, pot, today),
    "line-out": lambda calendar, pot, today: calendar.line_out_due(pot.first_up_on),
    "bloom": lambda calendar, row, today: calendar.first_bloom_due(row.lined_out_on),
}
ORDER = tuple(DUE)


def pot_count_due(calendar: GardenCalendar, pot: Pot, today: date) -> date:
    """The first day of spring counting, or some days after the last count.

    Once the weeks of counting are over by `today`, the first day of the second spring.
    """
    first, second = calendar.springs(pot.sown_on)
    if pot.counted_on is None:
        return first
    again = pot.counted_on + timedelta(days=calendar.recount_days)
    end = first + COUNTING_WEEKS
    over = again > end or today > end
    return second if over and again < second else again


def work(key: str, calendar: GardenCalendar, today: date, ahead: timedelta = AHEAD) -> Work:
    """One kind of work by its key, as far `ahead` as asked; KeyError for an unknown one."""
    title, nothing, query = KINDS[key]
    return Work(key, title, nothing, query(calendar, today, ahead), calendar, today)


def all_work(calendar: GardenCalendar, today: date, ahead: timedelta = AHEAD) -> Iterator[Work]:
    """Every kind of work, in the order of the thread."""
    return (work(key, calendar, today, ahead) for key in ORDER)


def _flowers(state: str, until: date, today: date) -> QuerySet:
    return (
        Pollination.live.filter(state=state, day__lte=until, day__gt=today - FORGOTTEN_POD)
        .select_related("tag", "cross__seed_parent", "cross__pollen_parent")
        .order_by("day", "id")
    )


def pods_to_look_at(calendar: GardenCalendar, today: date, ahead: timedelta) -> QuerySet:
    return _flowers("worked", today + ahead - timedelta(days=calendar.pod_check_days), today)


def pods_near_cracking(calendar: GardenCalendar, today: date, ahead: timedelta) -> QuerySet:
    return _flowers("set", today + ahead - timedelta(days=calendar.pod_ripe_days), today)


def cups_to_sow(calendar: GardenCalendar, today: date, ahead: timedelta) -> QuerySet:
    """Cups with seed left whose sowing day has come since they were filled."""
    last_sowing = calendar.sow_on.on_or_before(today + ahead)
    return (
        SeedCup.live.filter(closed_on=None, sown__lt=F("seeds"), filled_on__lte=last_sowing)
        .select_related("cross__seed_parent", "cross__pollen_parent")
        .order_by("filled_on", "id")
    )


def pots_to_count(calendar: GardenCalendar, today: date, ahead: timedelta) -> QuerySet:
    """Pots in the first two springs after sowing, while seedlings come up."""
    spring = calendar.count_from.on_or_before(today + ahead)
    if today > spring + COUNTING_WEEKS:
        return Pot.objects.none()
    last_spring = calendar.count_from.on_or_before(spring - timedelta(days=300))
    before_last = calendar.count_from.on_or_before(last_spring - timedelta(days=300))
    # A count that would come after these weeks waits for the next spring.
    until = min(today + ahead, spring + COUNTING_WEEKS)
    counted_before = until - timedelta(days=calendar.recount_days)
    return (
        Pot.live.filter(closed_on=None, sown_on__lt=spring, sown_on__gt=before_last)
        .filter(Q(counted_on=None) | Q(counted_on__lte=counted_before))
        .filter(Q(up__lt=F("seeds")))
        .select_related("cup__cross__seed_parent", "cup__cross__pollen_parent")
        .order_by("sown_on", "id")
    )


def pots_to_line_out(calendar: GardenCalendar, today: date, ahead: timedelta) -> QuerySet:
    until = today + ahead - timedelta(days=calendar.line_out_days)
    return (
        Pot.live.filter(closed_on=None, up__gt=F("lined_out"), first_up_on__lte=until)
        .filter(first_up_on__gt=today - timedelta(days=400))
        .select_related("cup__cross__seed_parent", "cup__cross__pollen_parent")
        .order_by("first_up_on", "id")
    )


def rows_to_bloom(calendar: GardenCalendar, today: date, ahead: timedelta) -> QuerySet:
    """Rows in their first or second bloom, while the season lasts."""
    opening = calendar.bloom_from.on_or_before(today + ahead)
    if today > opening + timedelta(days=calendar.bloom_days):
        return Row.objects.none()
    old_enough = opening - REST_BEFORE_FIRST_BLOOM
    return (
        Row.live.filter(closed_on=None, lined_out_on__lte=old_enough)
        .filter(lined_out_on__gt=old_enough - timedelta(days=730))
        .select_related("bed", "cross__seed_parent", "cross__pollen_parent")
        .order_by("-lined_out_on", "bed_id", "row", "first")
    )


KINDS = {
    "look": ("Pods to look at", "No flower waits to be looked at.", pods_to_look_at),
    "harvest": ("Pods near cracking", "No pod is ripening.", pods_near_cracking),
    "sow": ("Cups to sow", "No cup waits to be sown.", cups_to_sow),
    "count": ("Pots to count", "No pot waits to be counted.", pots_to_count),
    "line-out": ("Seedlings to line out", "No seedling waits in its pot.", pots_to_line_out),
    "bloom": ("Rows that should bloom", "No row is expected to bloom.", rows_to_bloom),
}
