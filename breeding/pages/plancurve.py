"""The trade-off between score and kinship as a drawn curve; its points are links.

Inline SVG with presentation attributes only, on 400 × 330 units.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

INK, SOFT, RULE, VIOLET, BEARD, SHEET = (
    "#1d1430", "#453a59", "#d8cfe4", "#47207c", "#c4650a", "#fffdf6",
)  # fmt: skip
WIDE, HIGH = 400, 330
LEFT, RIGHT, TOP, BOTTOM = 66, 20, 24, 66
# What can be tapped around a point.
REACH = 29


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers within a range, at most so many.

    >>> ticks(0.021, 0.083)
    [0.04, 0.06, 0.08]
    """
    if not high > low:
        return [low]
    raw = (high - low) / most
    size = 10.0 ** _floor_log(raw)
    step = next(size * part for part in (1, 2, 5, 10) if size * part >= raw - 1e-12)
    first = int(-(-low // step))
    found = []
    while (tick := round(first * step, 10)) <= high + 1e-12:
        found.append(tick)
        first += 1
    return found


def _floor_log(number: float) -> int:
    """The largest power of ten that is not above a number."""
    power = 0
    while number < 10.0**power:
        power -= 1
    while number >= 10.0 ** (power + 1):
        power += 1
    return power


class _Scale:
    """From values to units of the drawing."""

    def __init__(self, rows: Sequence[Mapping[str, Any]]) -> None:
        self.x = _widened([row["x"] for row in rows])
        self.y = _widened([row["y"] for row in rows])

    def at(self, x: float, y: float) -> tuple[float, float]:
        across = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return (
            round(LEFT + across * (WIDE - LEFT - RIGHT), 1),
            round(HIGH - BOTTOM - up * (HIGH - TOP - BOTTOM), 1),
        )


def _widened(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = (high - low) * 0.08 or max(abs(high), 0.01) * 0.1
    return low - room, high + room


def curve_svg(rows: Sequence[Mapping[str, Any]]) -> str:
    """The curve as one `svg` element.

    Parameters
    ----------
    rows : sequence of mapping
        Points by rising kinship: x, y, kinship, score, href, and whether it is the current one.

    Returns
    -------
    str
        The same stands beside it as a table.
    """
    scale = _Scale(rows)
    places = [scale.at(row["x"], row["y"]) for row in rows]
    parts = [
        f'<svg class="plan-curve" viewBox="0 0 {WIDE} {HIGH}" role="group" font-size="20" '
        f'fill="{SOFT}" aria-label="Score of the set against the kinship of the programme">',
        _axes(scale),
        f'<path d="M{" L".join(f"{x:g} {y:g}" for x, y in places)}" fill="none" '
        f'stroke="{VIOLET}" stroke-width="3"/>',
    ]
    parts += [_dot(row, place) for row, place in zip(rows, places, strict=True)]
    return "".join([*parts, "</svg>"])


def _axes(scale: _Scale) -> str:
    parts = []
    for tick in ticks(*scale.x, most=4):
        x, _ = scale.at(tick, scale.y[0])
        parts.append(
            f'<path d="M{x:g} {TOP}V{HIGH - BOTTOM}" stroke="{RULE}"/>'
            f'<text x="{x:g}" y="{HIGH - BOTTOM + 24}" text-anchor="middle">{tick:g}</text>'
        )
    for tick in ticks(*scale.y, most=4):
        _, y = scale.at(scale.x[0], tick)
        parts.append(
            f'<path d="M{LEFT} {y:g}H{WIDE - RIGHT}" stroke="{RULE}"/>'
            f'<text x="{LEFT - 8}" y="{y + 6:g}" text-anchor="end">{_minus(tick)}</text>'
        )
    middle = (LEFT + WIDE - RIGHT) / 2
    parts.append(
        f'<text x="{middle:g}" y="{HIGH - 8}" text-anchor="middle" fill="{INK}">'
        "kinship of the whole set →</text>"
        f'<text transform="translate(18 {(TOP + HIGH - BOTTOM) / 2:g}) rotate(-90)" '
        f'text-anchor="middle" fill="{INK}">score of a cross →</text>'
    )
    return "".join(parts)


def _minus(number: float) -> str:
    """'−1.5', with a minus and no hyphen."""
    return f"{number:g}".replace("-", "−")


def _dot(row: Mapping[str, Any], place: tuple[float, float]) -> str:
    x, y = place
    told = f"Kinship {row['kinship']}, score {row['score']}"
    current = row.get("current")
    size, fill = (11, BEARD) if current else (8, VIOLET)
    ring = f'<circle cx="{x:g}" cy="{y:g}" r="17" fill="none" stroke="{BEARD}" stroke-width="3"/>'
    return (
        f'<a href="{escape(row["href"])}#chosen" aria-label="{escape(told)}"'
        f"{' aria-current=' + chr(34) + 'true' + chr(34) if current else ''}>"
        f"<title>{escape(told)}</title>"
        f'<circle cx="{x:g}" cy="{y:g}" r="{REACH}" fill="{SHEET}" fill-opacity="0"/>'
        f"{ring if current else ''}"
        f'<circle cx="{x:g}" cy="{y:g}" r="{size}" fill="{fill}"/></a>'
    )
