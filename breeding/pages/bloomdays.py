"""What days a plant's bloom can have. Free of Django."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

# Common practice: a plant is open for two or three weeks, a large clump with many branches for
# four; nobody speaks of six. What opens again later in the year is another bloom.
LONGEST = timedelta(weeks=6)


def weeks_of(days: Mapping[str, date | None]) -> int:
    """Whole weeks between the first and the last day noted, where no iris is open so long; else 0.

    >>> weeks_of({"first_on": date(2026, 5, 25), "peak_on": None, "last_on": date(2026, 11, 28)})
    26
    >>> weeks_of({"first_on": date(2026, 5, 25), "peak_on": None, "last_on": date(2026, 6, 12)})
    0
    """
    known = [day for day in days.values() if day]
    if len(known) < 2 or max(known) - min(known) <= LONGEST:
        return 0
    return (max(known) - min(known)).days // 7


def believed(days: Mapping[str, date | None]) -> dict[str, date | None]:
    """The same days without those that are too long after the first one noted.

    >>> believed({"first_on": date(2026, 5, 25), "last_on": date(2026, 11, 28)})
    {'first_on': datetime.date(2026, 5, 25), 'last_on': None}
    """
    first = min((day for day in days.values() if day), default=None)
    return {name: day if day and first and day - first <= LONGEST else None
            for name, day in days.items()}  # fmt: skip
