"""Counts of the years and the years to come as a small SVG, without styles.

Across, everything is in hundredths of the width, so that no letter is stretched; upward the scale
is that of factors (equal steps are equal factors).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

INK, SOFT, RULE, VIOLET, BEARD = "#1d1430", "#453a59", "#d8cfe4", "#47207c", "#c4650a"
HIGH, TOP, FOOT = 240, 26, 30
# Hundredths of the width: room for the scale at the left and half a number at the right.
LEFT, RIGHT = 13.0, 96.0
# Names of years stand at least so many hundredths apart.
APART = 19.0
MOST_TICKS = 6


@dataclass(frozen=True, slots=True)
class Dot:
    """A year's number; with `low` and `high` it is a forecast and they are its interval."""

    year: int
    number: int
    low: int | None = None
    high: int | None = None

    @property
    def is_forecast(self) -> bool:
        return self.low is not None


def counts_svg(dots: Sequence[Dot], title: str) -> str:
    """The plot; '' without a dot. The title is what somebody hears who does not see it."""
    if not dots:
        return ""
    first, last = dots[0].year, dots[-1].year
    highest = max(max(dot.number, dot.high or 0) for dot in dots)
    parts = [_tick(value, highest) for value in _ticks(highest)]
    parts += _years(first, last)
    known = [(_x(dot.year, first, last), _y(dot.number, highest), dot) for dot in dots]
    for (x, y, one), (to, down, other) in zip(known, known[1:], strict=False):
        dashed = ' stroke-dasharray="4 5"' if one.is_forecast or other.is_forecast else ""
        parts.append(_line(x, y, to, down, VIOLET, 2, dashed))
    for x, y, dot in known:
        parts += _dot(x, y, dot, highest)
    return (
        f'<svg class="increase-plot" width="100%" height="{HIGH}" role="img" '
        f'aria-label="{_plain(title)}">{"".join(parts)}</svg>'
    )


def _plain(text: str) -> str:
    pairs = (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;"))
    for sign, written in pairs:
        text = text.replace(sign, written)
    return text


def _ticks(highest: int) -> list[int]:
    """1, 3, 10, 30, … up to the highest number, thinned where they are many."""
    steps = [1, 3]
    while steps[-1] < highest:
        steps.append(steps[-2] * 10)
    return steps[:: -(-len(steps) // MOST_TICKS)]


def _x(year: int, first: int, last: int) -> float:
    room = RIGHT - LEFT - 8
    return round(LEFT + 4 + room * ((year - first) / (last - first) if last > first else 0.5), 2)


def _y(number: int, highest: int) -> float:
    """Pixels from above; nothing stands half a step below one."""
    share = math.log(max(number, 0.6) / 0.6) / math.log(max(highest, 3) / 0.6)
    return round(HIGH - FOOT - share * (HIGH - FOOT - TOP), 1)


def _tick(value: int, highest: int) -> str:
    y = _y(value, highest)
    if y < TOP - 8:
        return ""
    line = _line(LEFT, y, 100, y, RULE, 1)
    return line + _text(LEFT - 1.5, y + 6, f"{value:,}".replace(",", "\u202f"), SOFT, "end")


def _years(first: int, last: int) -> list[str]:
    step = max(1, math.ceil(APART * (last - first) / (RIGHT - LEFT - 8)))
    return [
        _text(_x(year, first, last), HIGH - 6, str(year), SOFT)
        for year in range(first, last + 1, step)
    ]


def _dot(x: float, y: float, dot: Dot, highest: int) -> list[str]:
    if not dot.is_forecast:
        return [f'<circle cx="{x:g}%" cy="{y:g}" r="5.5" fill="{VIOLET}"/>',
                _text(x, y - 11, f"{dot.number}", INK)]  # fmt: skip
    top, foot = _y(dot.high or 0, highest), _y(dot.low or 0, highest)
    return [
        _line(x, top, x, foot, BEARD, 4),
        f'<circle cx="{x:g}%" cy="{y:g}" r="5.5" fill="#fffdf6" stroke="{VIOLET}" '
        'stroke-width="2.5"/>',
    ]


def _line(x: float, y: float, to: float, down: float, ink: str, wide: int, more: str = "") -> str:
    return (f'<line x1="{x:g}%" y1="{y:g}" x2="{to:g}%" y2="{down:g}" stroke="{ink}" '
            f'stroke-width="{wide}"{more}/>')  # fmt: skip


def _text(x: float, y: float, text: str, ink: str, anchor: str = "middle") -> str:
    return (f'<text x="{x:g}%" y="{y:g}" fill="{ink}" text-anchor="{anchor}" '
            f'font-size="16">{text}</text>')  # fmt: skip
