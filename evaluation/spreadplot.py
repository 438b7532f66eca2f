"""Points of the seedlings of some crosses as dots over one scale. Free of Django.

SVG with presentation attributes only. Made for the width of a phone, so that its letters are never
smaller than those around it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor
from statistics import fmean

# CSS pixels.
WIDE, EDGE, STEP, RADIUS = 340, 16, 9, 3.8
LABEL, DOTS, BELOW, FOOT = 24, 46, 14, 26
INK, SOFT, RULE, VIOLET, ROSE, PAPER = (
    "#1d1430", "#453a59", "#d8cfe4", "#47207c", "#8a1738", "#fffdf6",
)  # fmt: skip
FONT = "Atkinson Next, sans-serif"
LARGEST = 100


@dataclass(frozen=True, slots=True)
class Strip:
    """The points of one cross; at least one."""

    code: str
    points: tuple[float, ...]

    @property
    def told(self) -> str:
        """'26-014: 24 seedlings from 41 to 83, mean 62'."""
        one = "seedling" if len(self.points) == 1 else "seedlings"
        return (
            f"{self.code}: {len(self.points)} {one} from {min(self.points):.0f} to "
            f"{max(self.points):.0f}, mean {fmean(self.points):.0f}"
        )


def scale_of(strips: Sequence[Strip]) -> tuple[int, int]:
    """Whole tens around all points, within 0 to 100 and at least twenty apart.

    >>> scale_of([Strip("26-014", (41.5, 58.0))])
    (40, 60)
    """
    points = [point for strip in strips for point in strip.points]
    low, high = floor(min(points) / 10) * 10, ceil(max(points) / 10) * 10
    high = min(LARGEST, max(high, low + 20))
    return min(low, high - 20), high


def spread_svg(strips: Sequence[Strip]) -> str:
    """Each cross with its dots, one a seedling, and its mean as an upright line; the first filled,
    the others open. Dots that would hide each other are stacked."""
    low, high = scale_of(strips)
    each = LABEL + DOTS + BELOW
    height = each * len(strips) + FOOT

    def x(point: float) -> float:
        return EDGE + (point - low) / (high - low) * (WIDE - 2 * EDGE)

    ruled = "".join(_tick(x(at), at, height) for at in range(low, high + 1, _apart(low, high)))
    drawn = "".join(_strip(strip, x, at * each, at == 0) for at, strip in enumerate(strips))
    title = f"Points of the seedlings of {strips[0].code}"
    title += " and of its parents' other crosses" if len(strips) > 1 else ""
    told = ". ".join(strip.told for strip in strips)
    return (
        f'<svg class="spread" viewBox="0 0 {WIDE} {height}" role="img" '
        f'aria-labelledby="spread-title spread-told"><title id="spread-title">{escape(title)}'
        f'</title><desc id="spread-told">{escape(told)}.</desc>{ruled}{drawn}</svg>'
    )


def _apart(low: int, high: int) -> int:
    return 10 if high - low <= 60 else 20


def _tick(x: float, at: int, height: int) -> str:
    return (
        f'<path d="M{x:.1f} {LABEL}V{height - FOOT}" stroke="{RULE}" stroke-width="1"/>'
        f'<text x="{x:.1f}" y="{height - 6}" text-anchor="middle" font-family="{FONT}" '
        f'font-size="18" fill="{SOFT}">{at}</text>'
    )


def _strip(strip: Strip, x: Callable[[float], float], top: int, own: bool) -> str:
    ground = top + LABEL + DOTS
    columns = Counter(round(x(point) / STEP) for point in strip.points)
    # High stacks are pressed together rather than cut off.
    rise = min(2 * RADIUS + 0.6, (DOTS - 2 * RADIUS) / max(1, max(columns.values()) - 1))
    fill = VIOLET if own else PAPER
    dots = "".join(
        f'<circle cx="{column * STEP}" cy="{ground - RADIUS - 1 - level * rise:.1f}" r="{RADIUS}"/>'
        for column, many in sorted(columns.items())
        for level in range(many)
    )
    mean = x(fmean(strip.points))
    weight = ' font-weight="700"' if own else ""
    return (
        f'<text x="{EDGE - 8}" y="{top + 18}" font-family="{FONT}" font-size="18" fill="{INK}"'
        f"{weight}>{escape(strip.code)}</text>"
        f'<path d="M{EDGE - 8} {ground}H{WIDE - EDGE + 8}" stroke="{SOFT}" stroke-width="1.5"/>'
        f'<g fill="{fill}" stroke="{VIOLET}" stroke-width="1.4">{dots}</g>'
        f'<path d="M{mean:.1f} {ground + 8}v-{DOTS + 6}" stroke="{ROSE}" stroke-width="2.5"/>'
    )
