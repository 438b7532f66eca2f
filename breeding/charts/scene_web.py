"""A web laid out: layers of plants, each once, smooth lines between them."""

from __future__ import annotations

from collections import Counter

from breeding.charts.layout_web import heights, layered
from breeding.charts.model import Chart, Edge
from breeding.charts.nodes import RING, Node
from breeding.charts.scene import MARGIN, Ring, Scene, Steps, Stroke, spot
from breeding.charts.style import BEARD, EDGE, FOLIAGE, HAIRLINE, ROSE, SMALL, VIOLET, Style, weight

WAY, WEB_ROOM, BOW, STUB = 10.0, 1.9, 12.0, 9.0


def build(chart: Chart, nodes: list[Node], style: Style, across: float, down: float) -> Scene:
    """Nodes in columns by layer; see `breeding.charts.scene.scene`."""
    kept = [edge for edge in chart.edges if not edge.cut]
    pairs = Counter((edge.near, edge.far) for edge in kept)
    twice = {pair for pair, times in pairs.items() if times > 1}
    generations = tuple(place.generation for place in chart.places)
    layers = layered(generations, tuple((edge.near, edge.far) for edge in kept))
    above, below = [node.above for node in nodes], [node.below for node in nodes]
    y = [MARGIN + one * down for one in heights(layers, above, below, style.gap * WEB_ROOM, WAY)]
    left, right = _columns(chart, nodes, style, across)
    spots = []
    for at, (place, node) in enumerate(zip(chart.places, nodes, strict=True)):
        x, ring = left[place.generation], None
        if place.kind == "cross":
            ring = Ring(x + RING + 7, y[at], RING + 4, "×", VIOLET, 26.0)
        elif place.mark:
            size = node.bloom / 2 + 4 if node.bloom else 7.0
            ring = Ring(x + node.bloom_x, y[at], size, "", BEARD, SMALL)
        spots.append(spot(at, place, node, x, y[at], ring))
    strokes = _rules(chart, nodes, left, right, y)
    for edge, way in zip(kept, layers.ways, strict=True):
        steps = _curve(way, generations[edge.near], left, right, y, nodes[edge.far].line_from)
        if (edge.near, edge.far) in twice:  # a self: its two lines bend apart
            steps = _bowed(steps, BOW if edge.role == "pollen" else -BOW)
        strokes.append(_stroke(edge, steps))
    strokes += [_cut(chart, edge, left, right, y) for edge in chart.edges if edge.cut]
    width = max(one.box[2] for one in spots) + MARGIN + 18
    height = max(max(one.box[3] for one in spots), max(y)) + MARGIN
    return Scene(width, height, tuple(spots), tuple(strokes))


def _columns(chart: Chart, nodes: list[Node], style: Style, across: float) -> tuple[list, list]:
    widths = [0.0] * chart.generations
    lines = [0] * (chart.generations + 1)
    for place, node in zip(chart.places, nodes, strict=True):
        widths[place.generation] = max(widths[place.generation], node.width)
    for edge in chart.edges:
        lines[chart.places[edge.near].generation + 1] += 1
    left, right, x = [], [], MARGIN
    for at, width in enumerate(widths):
        left.append(x)
        right.append(x + width + 6)
        # Steep lines need room: the more of them, the wider the channel.
        x = right[-1] + max(38.0, style.channel) * (1.2 + min(1.6, lines[at + 1] / 18)) * across
    return left, right


def _rules(chart: Chart, nodes: list[Node], left: list, right: list, y: list) -> list[Stroke]:
    """The line on which each name stands, and dots where more is on record."""
    strokes = []
    goes_on = {edge.near for edge in chart.edges}
    for at, (place, node) in enumerate(zip(chart.places, nodes, strict=True)):
        x = left[place.generation]
        end = right[place.generation] if at in goes_on else x + node.width
        if place.kind == "plant":
            steps = (("M", x + node.line_from, y[at]), ("L", end, y[at]))
            strokes.append(Stroke(steps, HAIRLINE, EDGE))
        strokes += [_unknown(role, end, y[at]) for role in place.missing]
        if place.more:
            dots = (("M", end + 6, y[at]), ("L", end + 24, y[at]))
            strokes.append(Stroke(dots, 2.2, EDGE, "0.1 6"))
    return strokes


def _unknown(role: str, x: float, y: float) -> Stroke:
    """A short quiet dash for a parent nobody knows: up for the seed parent, else down."""
    side = -STUB if role == "seed" else STUB
    steps = (("M", x, y), ("Q", x + 8, y + side, x + 16, y + side), ("L", x + 34, y + side))
    return Stroke(steps, HAIRLINE, EDGE, "4 5")


def _stroke(edge: Edge, steps: Steps) -> Stroke:
    ink, dash = (VIOLET, "") if edge.role == "seed" else (FOLIAGE, "8 4")
    return Stroke(steps, weight(edge.share), ink, dash)


def _curve(way: list, layer: int, left: list, right: list, y: list, into: float) -> Steps:
    """Level at both ends, straight through the columns of the layers it passes."""
    x, steps = right[layer], [("M", right[layer], y[way[0]])]
    for step, node in enumerate(way[1:], layer + 1):
        last = step == layer + len(way) - 1
        to = left[step] + (into * 0.15 if last else 0)
        bend = (to - x) * 0.5
        steps.append(("C", x + bend, steps[-1][-1], to - bend, y[node], to, y[node]))
        if not last:
            steps.append(("L", right[step], y[node]))
        x = right[step]
    return tuple(steps)


def _bowed(steps: Steps, by: float) -> Steps:
    return tuple(
        (sign, values[0], values[1] + by, values[2], values[3] + by, *values[4:])
        if sign == "C"
        else (sign, *values)
        for sign, *values in steps
    )


def _cut(chart: Chart, edge: Edge, left: list, right: list, y: list) -> Stroke:
    """A dotted line back to the plant that stands among its own ancestors."""
    start, end = chart.places[edge.near], chart.places[edge.far]
    x0, y0, x1, y1 = right[start.generation], y[edge.near], left[end.generation], y[edge.far]
    steps = (("M", x0, y0), ("C", x0 + 60, y0 - 60, x1 - 60, y1 - 60, x1, y1))
    return Stroke(steps, 1.6, ROSE, "2 5")
