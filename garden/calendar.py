"""The garden's year: seasons and due days. Plain dates in, plain dates out; free of Django.

A season is named after the year in which its bloom begins. In the northern hemisphere it is the
calendar year; in the southern it runs from July to June, so that a pod ripening in January still
belongs to the bloom of October. The default days are ranges of practice; each garden sets its own.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta

NORTH, SOUTH = "N", "S"
# From lining out to the bloom of the following spring is never shorter than this.
REST_BEFORE_FIRST_BLOOM = timedelta(days=150)


@dataclass(frozen=True)
class MonthDay:
    """A day that comes back every year, for example 25 November."""

    month: int
    day: int

    @classmethod
    def parse(cls, text: str) -> MonthDay:
        """Read 'MM-DD'; raise ValueError for a day that no leap year has."""
        month, _, day = text.partition("-")
        date(2024, int(month), int(day))
        return cls(int(month), int(day))

    def __str__(self) -> str:
        return f"{self.month:02d}-{self.day:02d}"

    def words(self) -> str:
        """'25 November'."""
        return f"{self.day} {calendar.month_name[self.month]}"

    def half_a_year_on(self) -> MonthDay:
        """The same day of the other hemisphere's year."""
        month = (self.month + 5) % 12 + 1
        return MonthDay(month, min(self.day, calendar.monthrange(2023, month)[1]))

    def in_year(self, year: int) -> date:
        """That day of `year`; 29 February becomes the 28th where there is none."""
        return date(year, self.month, min(self.day, calendar.monthrange(year, self.month)[1]))

    def on_or_after(self, day: date) -> date:
        """The first time that this day comes, counted from `day` itself."""
        this_year = self.in_year(day.year)
        return this_year if this_year >= day else self.in_year(day.year + 1)

    def on_or_before(self, day: date) -> date:
        """The last time that this day came, `day` itself included."""
        this_year = self.in_year(day.year)
        return this_year if this_year <= day else self.in_year(day.year - 1)


@dataclass(frozen=True)
class GardenCalendar:
    """When things fall due here. Spans are in days, yearly days are MonthDay."""

    hemisphere: str = NORTH
    pod_check_days: int = 18
    pod_ripe_days: int = 56
    sow_on: MonthDay = MonthDay(11, 25)
    count_from: MonthDay = MonthDay(3, 25)
    recount_days: int = 14
    line_out_days: int = 35
    bloom_from: MonthDay = MonthDay(5, 10)
    bloom_days: int = 40

    def season(self, day: date) -> int:
        """The season that `day` belongs to."""
        if self.hemisphere == SOUTH and day.month < 7:
            return day.year - 1
        return day.year

    def season_starts(self, season: int) -> date:
        """The first day of `season`."""
        return date(season, 7, 1) if self.hemisphere == SOUTH else date(season, 1, 1)

    def pod_check_due(self, pollinated: date) -> date:
        """When to look whether a pod has set."""
        return pollinated + timedelta(days=self.pod_check_days)

    def pod_ripe_due(self, pollinated: date) -> date:
        """When a pod may begin to crack open."""
        return pollinated + timedelta(days=self.pod_ripe_days)

    def sowing_due(self, harvested: date) -> date:
        """When the seed harvested on that day is sown."""
        return self.sow_on.on_or_after(harvested)

    def springs(self, sown: date) -> tuple[date, date]:
        """The first day of counting in the two springs after a sowing."""
        first = self.count_from.on_or_after(sown)
        return first, self.count_from.on_or_after(first + timedelta(days=300))

    def line_out_due(self, came_up: date) -> date:
        """When seedlings first counted on that day are big enough to be lined out."""
        return came_up + timedelta(days=self.line_out_days)

    def first_bloom_due(self, lined_out: date) -> date:
        """When a row lined out on that day should begin to bloom: the spring after."""
        return self.bloom_from.on_or_after(lined_out + REST_BEFORE_FIRST_BLOOM)

    def mirrored(self, hemisphere: str) -> GardenCalendar:
        """This calendar for the other hemisphere: every yearly day half a year on."""
        if hemisphere == self.hemisphere:
            return self
        yearly = {
            name: getattr(self, name).half_a_year_on()
            for name in ("sow_on", "count_from", "bloom_from")
        }
        return GardenCalendar(**{**self.__dict__, **yearly, "hemisphere": hemisphere})
