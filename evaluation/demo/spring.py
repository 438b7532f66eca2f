"""When the story's plants bloom: each one's true place in the season, each year's shift. No Django.

A plant's place lasts: its class, its season letter, and something of its own. A year moves all
of them by the same number of days. Nobody in the story knows either; people note what they see.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from evaluation.demo.cast import Parent

# First and last day of bloom (month, day) of the classes, in an ordinary spring.
BLOOM = {
    "MDB": ((4, 22), (5, 2)),
    "SDB": ((4, 24), (5, 10)),
    "SPECIES": ((4, 22), (5, 2)),
    "IB": ((5, 7), (5, 20)),
    "MTB": ((5, 20), (6, 6)),
    "BB": ((5, 20), (6, 8)),
    "TB": ((5, 18), (6, 11)),
}
EARLIER_OR_LATER = {"VE": 0.1, "E": 0.25, "EM": 0.4, "M": 0.5, "ML": 0.65, "L": 0.8, "VL": 0.9}
# How well pods set beside an ordinary season, and how many days bloom is behind.
WEATHER = {"good": (1.06, -3), "usual": (1.0, 0), "cold": (0.95, 5), "wet": (0.88, 2)}
HOW_OFTEN = (2, 4, 2, 2)
# Days before and after the peak of a tall iris; the small ones are over sooner.
BEFORE, AFTER = 5, 8
TALL_DAYS = 24
# Nobody works the first flower of the year, nor the last ones.
UNWORKED_FIRST, UNWORKED_LAST = 2, 4
# Days for which pollen keeps without being put by.
FRESH = 2
# Stored pollen lasts until the end of the next season.
KEPT_DRY = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Span:
    """One plant's bloom in one year: first flower, peak, last flower."""

    first: date
    peak: date
    last: date


@dataclass(frozen=True, slots=True)
class Chance:
    """Days on which a cross can be made: first and last, and whether its pollen must come from a
    jar of this season or of the one before ('' when it is fresh)."""

    first: date
    last: date
    jar: str = ""


@dataclass(frozen=True, slots=True)
class Spring:
    """Bloom of a story, whose name is its `seed`."""

    seed: str

    def weather(self, year: int) -> tuple[float, int]:
        """How well pods set beside an ordinary season, and how many days bloom is behind."""
        dice = random.Random(f"{self.seed} weather {year}")
        sets, late = dice.choices(list(WEATHER.values()), HOW_OFTEN)[0]
        return sets, late + dice.choice((-1, 0, 0, 1))

    def span(self, plant: Parent, year: int) -> Span:
        """When the plant blooms in a year."""
        late = self.weather(year)[1]
        first, peak, last = _place(
            self.seed, plant.key, _window(plant), EARLIER_OR_LATER[plant.season]
        )
        begin = date(year, *BLOOM[_window(plant)][0]) + timedelta(days=late)
        return Span(*(begin + timedelta(days=days) for days in (first, peak, last)))

    def chance(self, seed: Parent, pollen: Parent | None, year: int) -> Chance:
        """The days for a cross; the pollen parent's flowers must be open, or their pollen kept."""
        own = self.span(seed, year)
        first = own.first + timedelta(days=UNWORKED_FIRST)
        last = own.last - timedelta(days=UNWORKED_LAST)
        if pollen is None or pollen is seed:
            return Chance(first, last)
        theirs = self.span(pollen, year)
        opens, over = theirs.first, theirs.last + timedelta(days=FRESH)
        if opens > last:
            return Chance(first, last, "last")
        if over < first:
            return Chance(first, last, "this")
        return Chance(max(first, opens), min(last, over))


def _window(plant: Parent) -> str:
    """The class whose season a plant shares; the taller wild ones bloom with the small talls."""
    tall = plant.iris_class == "SPECIES" and plant.height_cm > 30
    return "MTB" if tall else plant.iris_class


@lru_cache(maxsize=1024)
def _place(seed: str, key: str, window: str, share: float) -> tuple[int, int, int]:
    """First, peak and last bloom in days after the window opens, in an ordinary spring."""
    (month, day), (end_month, end_day) = BLOOM[window]
    days = (date(2001, end_month, end_day) - date(2001, month, day)).days
    dice = random.Random(f"{seed} bloom {key}")
    small = 0.35 + 0.65 * days / TALL_DAYS
    own = min(max(dice.gauss(0, 1.4), -3.0), 3.0) * small
    peak = share * days + own
    before = small * (BEFORE + dice.uniform(-1, 1))
    after = small * (AFTER + dice.uniform(-1.5, 1.5))
    return round(peak - before), round(peak), round(peak + after)
