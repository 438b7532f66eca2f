"""What is noted of bloom, and what is said of it. Days are day numbers within a season."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Literal

Stage = Literal["first", "peak", "last"]
STAGES: tuple[Stage, ...] = ("first", "peak", "last")


@dataclass(frozen=True, slots=True)
class Noted:
    """One tap on the walk: `plant` showed its first, fullest or last bloom on `day` of `year`."""

    plant: Hashable
    year: int
    stage: Stage
    day: float

    def __post_init__(self) -> None:
        if self.stage not in STAGES:
            raise ValueError(f"{self.stage!r} is no stage of bloom: first, peak or last.")
        if not abs(self.day) < 1e6:
            raise ValueError(f"{self.day} is no day of a season.")


@dataclass(frozen=True, slots=True)
class Waiting:
    """A plant that was still closed, or not noted open, at the end of `day` of `year`."""

    plant: Hashable
    year: int
    day: float


@dataclass(frozen=True, slots=True)
class Place:
    """A plant's place in a usual year, in day numbers.

    `low` and `high` hold its usual first day with 90 %; `years` in which it was noted, and what
    the answer rests on, in bits of a sentence.
    """

    first: float
    peak: float
    last: float
    low: float
    high: float
    years: int
    rests_on: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """How many days a year is later than usual (earlier: below nought), with its 90 % interval.

    Usual is the mean of the `seasons` that are noted, this one included; as long as there is only
    one, it is what years of this garden may be, and the interval is wide. `plants` were noted that
    year; `waiting` ones were reckoned in as still closed.
    """

    days: float
    low: float
    high: float
    plants: int
    waiting: int
    seasons: int


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two plants in one year: expected days with both open, and the chance of at least one day.

    `a_first`: the first of the two is over first, so that its pollen may have to be stored; `sure`
    is the chance of that order, 0.5 to 1. `wait` is the expected number of days for which neither
    meets the other: from the end of one to the beginning of the other, 0 where they meet.
    """

    days: float
    chance: float
    a_first: bool
    sure: float
    wait: float
