"""Which season crosses are planned for."""

from __future__ import annotations

from datetime import date

from garden.calendar import GardenCalendar


def coming_season(calendar: GardenCalendar, today: date) -> int:
    """This season until its bloom is over, then the next one."""
    this = calendar.season(today)
    begins = calendar.bloom_from.on_or_after(calendar.season_starts(this))
    return this if (today - begins).days <= calendar.bloom_days else this + 1
