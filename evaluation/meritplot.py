"""Merit as pictures: the small bar of an interval, and the plot of one thing against another.

Free of Django. Matplotlib is loaded when the first plot is asked for, not at start.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Drawing goes through process-wide settings; one plot at a time keeps them whole.
_one_plot = threading.Lock()
INK, SOFT, RULE, VIOLET, BEARD = "#1d1430", "#453a59", "#d8cfe4", "#47207c", "#c4650a"
TRACK, SPAN, FAINT = "#d8cfe4", "#a48bcb", "#b9a7dc"
# A bar is drawn on so many units and stretched to where it stands.
WIDE, HIGH = 200, 14
# Dots of candidates that have no number; more would only be one cloud.
MOST_FAINT = 600
# Where a number may stand beside its point, in points of type; the first free place is taken.
BESIDE = (
    (7, 5), (7, -11), (-7, 5), (-7, -11), (0, 10), (0, -16), (14, -3), (-14, -3),
    (16, 12), (-16, 12), (16, -18), (-16, -18),
)  # fmt: skip


def interval_bar(value: float, low: float, high: float, least: float, most: float) -> str:
    """A merit and its interval on a scale from `least` to `most`, as one `svg` element.

    The numbers stand beside it in words, so it says nothing to somebody who does not see it.
    Tens are marked by lines.

    Raises
    ------
    ValueError
        When the scale has no length.
    """
    if not most > least:
        raise ValueError("A scale ends above where it begins.")

    def at(points: float) -> float:
        return round(WIDE * (min(max(points, least), most) - least) / (most - least), 1)

    first = int(-(-least // 10)) * 10
    tens = "".join(f"M{at(ten):g} 0V{HIGH}" for ten in range(first, int(most) + 1, 10))
    under = f'<path d="{tens}" stroke="{TRACK}"/>'
    return span_svg(at(low), at(high), max(at(value) - 2, 0), 4, under)


def span_svg(
    low: float, high: float, mark: float, width: int, under: str, between: str = ""
) -> str:
    """A span with a mark of that width, all in units of a bar; `between` lies on the span."""
    return (
        f'<svg class="interval" viewBox="0 0 {WIDE} {HIGH}" preserveAspectRatio="none" '
        f'aria-hidden="true">{under}'
        f'<rect x="{low:g}" y="4" width="{max(high - low, 1):g}" height="6" fill="{SPAN}"/>'
        f'{between}<rect x="{mark:g}" y="1" width="{width}" height="12" fill="{VIOLET}"/></svg>'
    )


def undominated(points: Sequence[tuple[float, float]]) -> list[bool]:
    """Whether no other point is at least as good in both and better in one; n log n.

    >>> undominated([(1, 3), (2, 2), (1, 2), (3, 1)])
    [True, True, False, True]
    """
    order = sorted(range(len(points)), key=lambda at: (-points[at][0], -points[at][1]))
    free = [False] * len(points)
    best, best_x = float("-inf"), float("inf")
    for at in order:
        x, y = points[at]
        # The same point twice: neither is better than the other.
        free[at] = y > best or (y == best and x == best_x)
        if y > best:
            best, best_x = y, x
    return free


@dataclass(frozen=True, slots=True)
class Dot:
    """One candidate in the plot; `number` 0: a faint dot. Spans are the ends of its interval."""

    x: float
    y: float
    number: int = 0
    free: bool = False
    x_span: tuple[float, float] | None = None
    y_span: tuple[float, float] | None = None


def merit_svg(dots: Sequence[Dot], x_title: str, y_title: str) -> str:
    """The plot as a whole SVG file: numbered points with their intervals, the rest faint.

    Points that no other beats in both are large and joined by steps.
    """
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    with _one_plot, rc_context({"svg.fonttype": "none", "font.family": "sans-serif"}):
        figure = Figure(figsize=(9.6, 6.4), layout="constrained")
        axes = figure.subplots()
        faint = [dot for dot in dots if not dot.number][:MOST_FAINT]
        told = [dot for dot in dots if dot.number]
        axes.plot(*_across(faint), "o", color=FAINT, markersize=4, alpha=0.6, markeredgewidth=0)
        _whiskers(axes, told)
        _steps(axes, [dot for dot in dots if dot.free])
        for free, size, colour in ((False, 6, VIOLET), (True, 10, BEARD)):
            some = [dot for dot in told if dot.free == free]
            axes.plot(*_across(some), "o", color=colour, markersize=size, zorder=4)
        _dress(axes, x_title, y_title)
        _number(figure, axes, told)
        out = io.StringIO()
        figure.savefig(out, format="svg", transparent=True, metadata={"Date": None})
    return out.getvalue()


def _across(dots: Sequence[Dot]) -> tuple[list[float], list[float]]:
    return [dot.x for dot in dots], [dot.y for dot in dots]


def _whiskers(axes: Axes, dots: Sequence[Dot]) -> None:
    line = {"color": SPAN, "linewidth": 1.4, "zorder": 2}
    for dot in dots:
        if dot.x_span:
            axes.plot(dot.x_span, (dot.y, dot.y), **line)
        if dot.y_span:
            axes.plot((dot.x, dot.x), dot.y_span, **line)


def _steps(axes: Axes, free: Sequence[Dot]) -> None:
    """Everything below and left of the steps is beaten by somebody in both."""
    across = sorted({(dot.x, dot.y) for dot in free})
    if len(across) > 1:
        axes.step(*zip(*across, strict=True), where="pre", color=BEARD, linewidth=1.2,
                  linestyle=(0, (4, 3)), zorder=3)  # fmt: skip


def _dress(axes: Axes, x_title: str, y_title: str) -> None:
    axes.set_xlabel(x_title, color=INK, fontsize=13)
    axes.set_ylabel(y_title, color=INK, fontsize=13)
    axes.tick_params(colors=SOFT, labelsize=12, length=0)
    axes.grid(color=RULE, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.margins(0.06)
    for side in axes.spines.values():
        side.set_visible(False)


def _number(figure: Any, axes: Axes, dots: Sequence[Dot]) -> None:
    """Each number where it covers no point and no other number, as far as there is room."""
    figure.draw_without_rendering()
    # Pixels of a canvas of 100 a inch, so that places are compared as they are drawn.
    scale = figure.dpi / 72
    points = [tuple(axes.transData.transform((dot.x, dot.y))) for dot in dots]
    taken = [(x - 4 * scale, y - 4 * scale, x + 4 * scale, y + 4 * scale) for x, y in points]
    for dot, (x, y) in sorted(zip(dots, points, strict=True), key=lambda each: each[0].number):
        wide = (7 * len(str(dot.number)) + 1) * scale
        boxes = [_box(x + dx * scale, y + dy * scale, dx, wide, 10 * scale) for dx, dy in BESIDE]
        best = min(range(len(BESIDE)), key=lambda at: sum(_meet(boxes[at], t) for t in taken))
        taken.append(boxes[best])
        dx, dy = BESIDE[best]
        axes.annotate(
            str(dot.number), (dot.x, dot.y), (dx, dy), textcoords="offset points", fontsize=12,
            color=INK, ha="left" if dx > 0 else "right" if dx < 0 else "center", zorder=5,
            fontweight="bold" if dot.free else "normal",
        )  # fmt: skip


Box = tuple[float, float, float, float]


def _box(x: float, y: float, side: float, wide: float, high: float) -> Box:
    left = x if side > 0 else x - wide if side < 0 else x - wide / 2
    return left, y, left + wide, y + high


def _meet(one: Box, other: Box) -> float:
    """The area that two boxes share."""
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide * high if wide > 0 and high > 0 else 0.0
