"""Which way up, how dense and how large a chart goes on a sheet of paper."""

from __future__ import annotations

from functools import partial
from operator import itemgetter

from breeding.charts.model import Chart, shallower
from breeding.charts.scene import Scene, scene
from breeding.charts.style import LEAST, Style

# Points.
MARGIN, HEAD, FOOT = 34.0, 34.0, 40.0
LARGEST = 12.0
# The smallest words on a sheet, from pleasant to the least that is allowed. The roomiest style that
# reaches the first wins, else the roomiest that reaches the second, and so on.
AIMS = (6.2, 5.6, 5.0)
_dense = partial(Style, kin=1, smalls=False, tight=True)
# From roomy to dense.
STYLES = (
    Style(gap=18, channel=52, kin=7),
    Style(cap=220, gap=16, channel=46),
    Style(cap=170, gap=12, channel=38),
    Style(cap=140, gap=9, channel=30, kin=4),
    Style(cap=120, gap=6, channel=24, kin=3, smalls=False),
    _dense(cap=110, gap=3, channel=20, bloom=0.8, crowd_bloom=0.8),
    _dense(cap=100, gap=1, channel=16, bloom=0.55, crowd_bloom=0.55),
    _dense(cap=100, gap=1, channel=16, bloom=0.65, crowd_bloom=0.0),
    _dense(cap=100, gap=1, channel=16, bloom=0.0, crowd_bloom=0.0),
)
SPREAD = 1.7
# More columns than these never fit, however few plants stand in them.
MOST_GENERATIONS = 20


def _rooms(size: tuple[float, float]) -> tuple[tuple[float, float, bool], ...]:
    """(width, height, across) of what a chart may take, the sheet across first."""
    short, long = size
    return tuple(
        (wide - 2 * MARGIN, high - 2 * MARGIN - HEAD - FOOT, across)
        for wide, high, across in ((long, short, True), (short, long, False))
    )


def _scale(laid: Scene, room: tuple[float, float, bool]) -> float:
    return min(room[0] / laid.width, room[1] / laid.height, LARGEST / LEAST)


def fit(chart: Chart, size: tuple[float, float]) -> tuple[Chart, Scene, float, bool]:
    """The chart that fits, laid out; points per chart unit; whether the sheet lies across.

    `size` is that of the sheet upright, in points.
    """
    chart = shallower(chart, MOST_GENERATIONS)
    while True:
        tried = []
        for style in STYLES:
            laid = scene(chart, style)
            tried += [(_scale(laid, room), style, laid, room) for room in _rooms(size)]
            if max(one[0] for one in tried[-2:]) * LEAST >= AIMS[0]:
                break
        found = _chosen(tried)
        if found or chart.generations <= 2:
            scale, style, laid, room = found or max(tried, key=itemgetter(0))
            laid = _spread(chart, style, laid, room, scale)
            return chart, laid, min(scale, _scale(laid, room)), room[2]
        chart = shallower(chart, chart.generations - 2)


def _chosen(tried: list[tuple]) -> tuple | None:
    """The roomiest that reaches the highest aim; of its two ways up the one with larger words."""
    for aim in AIMS:
        for pair in zip(tried[::2], tried[1::2], strict=True):
            best = max(pair, key=itemgetter(0))
            if best[0] * LEAST >= aim:
                return best
    return None


def _spread(chart: Chart, style: Style, laid: Scene, room: tuple, scale: float) -> Scene:
    """Use the rest of the sheet for blank between the plants, never for larger steps than 1.7."""
    down = min(SPREAD, max(1.0, room[1] / (laid.height * scale)))
    across = min(SPREAD, max(1.0, room[0] / (laid.width * scale)))
    wider = scene(chart, style, across, down)
    if _scale(wider, room) >= scale * 0.985:
        return wider
    return scene(chart, style, 1.0, down)
