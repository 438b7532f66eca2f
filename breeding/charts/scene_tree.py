"""A tree of ancestors or descendants laid out: names on ruled lines, elbows between them."""

from __future__ import annotations

from breeding.charts.layout_tree import tidy
from breeding.charts.model import Chart, Edge
from breeding.charts.nodes import RING, Node
from breeding.charts.scene import MARGIN, Ring, Scene, Steps, Stroke, spot
from breeding.charts.style import BEARD, EDGE, FOLIAGE, HAIRLINE, ROSE, SMALL, VIOLET, Style, weight

BEND = 9.0


def build(chart: Chart, nodes: list[Node], style: Style, across: float, down: float) -> Scene:
    """Nodes in columns by generation, heights tidy; see `breeding.charts.scene.scene`."""
    onward = chart.onward()
    above, below = [node.above for node in nodes], [node.below for node in nodes]
    y = tidy(onward, above, below, style.gap, style.kin)
    y = [MARGIN + one * down for one in y]
    left, right = _columns(chart, nodes, style, across)
    ends, spots = [], []
    for at, (place, node) in enumerate(zip(chart.places, nodes, strict=True)):
        x = left[place.generation]
        goes_on = bool(onward[at])
        end = right[place.generation] if goes_on else x + node.width + (2 if place.mark else 0)
        ring = _ring(place, end, y[at], goes_on)
        ends.append(ring.x if ring and not goes_on else end)
        spots.append(spot(at, place, node, x, y[at], ring))
    strokes = _strokes(chart, nodes, left, ends, y)
    width = max(one.box[2] for one in spots) + MARGIN
    height = max(one.box[3] for one in spots) + MARGIN
    return Scene(width, height, tuple(spots), tuple(strokes))


def _columns(chart: Chart, nodes: list[Node], style: Style, across: float) -> tuple[list, list]:
    """Left edge of each generation, and where its lines turn to the next one."""
    widths = [0.0] * chart.generations
    for place, node in zip(chart.places, nodes, strict=True):
        extra = 2 * RING + 8 if place.mark or place.loop else 0
        widths[place.generation] = max(widths[place.generation], node.width + extra)
    left, right, x = [], [], MARGIN
    for width in widths:
        left.append(x)
        right.append(x + (width + 8) * across)
        x = right[-1] + style.channel * across
    return left, right


def _ring(place, end: float, y: float, goes_on: bool) -> Ring | None:
    if place.loop:
        return Ring(end + RING + 4, y, RING, "!", ROSE, SMALL)
    if place.mark is None:
        return None
    ink = BEARD if place.mark.closes else VIOLET
    size = SMALL if len(place.mark.letter) == 1 else 15.0
    return Ring(end if goes_on else end + RING + 4, y, RING, place.mark.letter, ink, size)


def _strokes(chart: Chart, nodes: list[Node], left: list, ends: list, y: list) -> list[Stroke]:
    first = chart.places[0]
    strokes = [Stroke((("M", left[0], y[0]), ("L", ends[0], y[0])), weight(first.share), EDGE)]
    for edge in chart.edges:
        place, node = chart.places[edge.far], nodes[edge.far]
        begin = left[place.generation] + node.line_from
        steps = _elbow(ends[edge.near], y[edge.near], begin, y[edge.far], ends[edge.far])
        if chart.kind == "descendants":  # brothers and sisters hang on one plain stem
            strokes.append(Stroke(steps[:-1], HAIRLINE, EDGE))
            steps = (("M", *steps[-2][-2:]), steps[-1])
        strokes.append(_stroke(chart, edge, steps))
    for at, place in enumerate(chart.places):
        if place.more:
            x = ends[at] + (RING + 6 if place.mark else 6)
            dots = (("M", x, y[at]), ("L", x + 18, y[at]))
            strokes.append(Stroke(dots, 2.2, EDGE, "0.1 6"))
    return strokes


def _stroke(chart: Chart, edge: Edge, steps: Steps) -> Stroke:
    if chart.places[edge.far].kind == "unknown":
        return Stroke(steps, HAIRLINE, EDGE, "4 5")
    if chart.kind == "descendants" and edge.role:
        ink, dash = (VIOLET, "") if edge.role == "seed" else (FOLIAGE, "7 4")
        return Stroke(steps, weight(edge.share), ink, dash)
    return Stroke(steps, weight(edge.share), BEARD if edge.closes else EDGE)


def _elbow(x0: float, y0: float, x1: float, y1: float, end: float) -> Steps:
    """From the end of one line up or down, round the corner, along the next plant's line."""
    if abs(y1 - y0) < 0.5:
        return (("M", x0, y0), ("L", x0, y1), ("L", end, y1))
    bend = min(BEND, abs(y1 - y0), max(x1 - x0, 1))
    turn = bend if y1 > y0 else -bend
    return (
        ("M", x0, y0),
        ("L", x0, y1 - turn),
        ("Q", x0, y1, x0 + bend, y1),
        ("L", end, y1),
    )
