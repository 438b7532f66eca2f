"""How long pollen in store is thought good."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from breeding.models import Pollen
from garden.calendar import GardenCalendar

# Common practice: dry and frozen it is used in the next year, seldom later; where no day was
# written down, it is taken as spent after two.
OLD_YEARS = 2


def spent(jar: Pollen, today: date) -> str:
    """Why a jar is not thought good any more, in words; '' for one that is."""
    if jar.use_by:
        return f"past its day, {_short(jar.use_by)}" if jar.use_by < today else ""
    years = today.year - jar.taken_on.year
    years -= (today.month, today.day) < (jar.taken_on.month, jar.taken_on.day)
    return f"more than {years} years old, no day noted" if years >= OLD_YEARS else ""


def _short(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def told(jars: Iterable[Pollen], today: date) -> list[Pollen]:
    """The jars, each with why it is `spent`: those first, then the oldest."""
    found = list(jars)
    for jar in found:
        jar.spent = spent(jar, today)
    return sorted(found, key=lambda jar: (not jar.spent, jar.taken_on, jar.pk))


def good_until(calendar: GardenCalendar, taken: date) -> date:
    """To when pollen taken on a day is proposed to be kept: the end of next season's bloom."""
    begins = calendar.bloom_from.on_or_after(calendar.season_starts(calendar.season(taken) + 1))
    return begins + timedelta(days=calendar.bloom_days)
