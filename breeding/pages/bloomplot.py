"""Bloom as bars over the days of a season. Free of Django.

Everything across is in hundredths of the width, so that a bar fits a phone and a desk and no
letter is ever stretched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

INK, SOFT, RULE, VIOLET, PALE, BEARD = (
    "#1d1430", "#453a59", "#d8cfe4", "#47207c", "#c9bde6", "#c4650a",
)  # fmt: skip
HIGH, MIDDLE = 22, 11
MARKED = (1, 11, 21)
# Names of days stand so many hundredths apart and from the ends.
APART, EDGE = 13, 4
# An axis reaches so many days beyond the first and the last bloom.
ROOM = 2


@dataclass(frozen=True, slots=True)
class Bar:
    """One plant's bloom in day numbers: what is expected, and what of it is noted.

    `noted` are the first and the last day of which something is noted, the same for one note, or
    None. `first_between` and `last_between` are the intervals of days that are not noted.
    """

    first: float
    peak: float
    last: float
    noted: tuple[float, float] | None = None
    peak_noted: bool = False
    first_between: tuple[float, float] | None = None
    last_between: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Axis:
    """The days that a chart shows, as day numbers counted from the date `start`."""

    start: date
    low: float
    high: float

    @classmethod
    def around(cls, bars: Sequence[Bar], start: date) -> Axis:
        """From just before the first bloom to just after the last."""
        low = min(min([bar.first, *(bar.noted or ())]) for bar in bars) - ROOM
        high = max(max([bar.last, *(bar.noted or ())]) for bar in bars) + ROOM
        return cls(start, low, max(high, low + 1))

    def at(self, day: float) -> float:
        """A day's place in hundredths, kept within the chart.

        >>> Axis(date(2026, 1, 1), 100, 200).at(150)
        50.0
        """
        return round(100 * (min(max(day, self.low), self.high) - self.low)
                     / (self.high - self.low), 2)  # fmt: skip

    def marks(self) -> list[tuple[float, date]]:
        """The first, eleventh and twenty-first of each month that it shows."""
        first, last = (self.start + timedelta(days=round(day)) for day in (self.low, self.high))
        days = [first + timedelta(days=more) for more in range((last - first).days + 1)]
        return [(self.at((day - self.start).days), day) for day in days if day.day in MARKED]


def chart_key() -> list[tuple[str, str]]:
    """What the marks of a chart mean, as (mark, words)."""
    marks = [
        (_block(0, 100, 5, VIOLET), "noted"),
        (_block(0, 100, 5, PALE), "expected"),
        (_whisker(2, 98), "nine times in ten"),
        (_line(50, 50, 2, HIGH - 2, INK, 3), "peak"),
    ]
    frame = f'<svg width="34" height="{HIGH}" aria-hidden="true">'
    return [(f"{frame}{mark}</svg>", word) for mark, word in marks]


def axis_svg(axis: Axis) -> str:
    """The names of the days above a chart; between the months they stand on wide pages only."""
    names, taken = [], []
    # The first of a month goes before the days between, which need room.
    for x, day in sorted(axis.marks(), key=lambda mark: mark[1].day != 1):
        if not EDGE < x < 100 - EDGE or any(abs(x - other) < APART for other in taken):
            continue
        taken.append(x)
        small = "" if day.day == 1 else ' class="desk"'
        place = f'x="{x:g}%" y="18" text-anchor="middle"{small}'
        names.append(f"<text {place}>{day.day} {day:%b}</text>")
    return (f'<svg class="season-axis" width="100%" height="24" aria-hidden="true" '
            f'fill="{SOFT}">{"".join(names)}</svg>')  # fmt: skip


def bar_svg(bar: Bar, axis: Axis, today: float | None = None) -> str:
    """Expected days pale, noted ones in full ink, their intervals as whiskers, the peak a tick.

    The same stands beside it in words, so it says nothing to somebody who does not see it.
    """
    parts = [_line(x, x, 0, HIGH, RULE) for x, _ in axis.marks()]
    if today is not None and axis.low <= today <= axis.high:
        parts.append(_line(axis.at(today), axis.at(today), 0, HIGH, BEARD))
    parts.append(_block(axis.at(bar.first), axis.at(bar.last + 1), 5, PALE))
    if bar.noted:
        parts.append(_block(axis.at(bar.noted[0]), axis.at(bar.noted[1] + 1), 5, VIOLET))
    for between in (bar.first_between, bar.last_between):
        if between:
            parts.append(_whisker(*(axis.at(day) for day in between)))
    peak = axis.at(bar.peak + 0.5)
    parts.append(_line(peak, peak, 2, HIGH - 2, INK if bar.peak_noted else SOFT,
                       3 if bar.peak_noted else 1))  # fmt: skip
    return (f'<svg class="season-bar" width="100%" height="{HIGH}" aria-hidden="true">'
            f'{"".join(parts)}</svg>')  # fmt: skip


def _block(low: float, high: float, top: int, fill: str) -> str:
    wide = max(high - low, 0.6)
    return (f'<rect x="{low:g}%" y="{top}" width="{wide:.4g}%" height="{HIGH - 2 * top}" '
            f'fill="{fill}"/>')  # fmt: skip


def _whisker(low: float, high: float) -> str:
    ends = [_line(end, end, MIDDLE - 4, MIDDLE + 4, SOFT) for end in (low, high)]
    return _line(low, high, MIDDLE, MIDDLE, SOFT) + "".join(ends)


def _line(x: float, to: float, y: int, down: int, stroke: str, width: int = 1) -> str:
    return (f'<line x1="{x:g}%" x2="{to:g}%" y1="{y}" y2="{down}" stroke="{stroke}" '
            f'stroke-width="{width}"/>')  # fmt: skip
