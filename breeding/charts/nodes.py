"""One node of a chart: its flower on the line, its name above the line, a few words below it."""

from __future__ import annotations

from dataclasses import dataclass, field

from breeding.charts.measure import WIDEST, clean, ems, fitted
from breeding.charts.model import Place
from breeding.charts.style import (
    BLOOMS,
    CROWD,
    CROWDED_BLOOM,
    CROWDED_NAME,
    INK,
    LEAD,
    LEAST,
    NAMES,
    SMALL,
    SOFT,
    Style,
)

RING = 13.0


@dataclass
class Node:
    """Sizes and words of a node against its own corner: x from the left, y from its line.

    `above` and `below` are what it takes over and under its line, `width` all of it, `words` are
    (dx, dy, text, size, face, ink), `bloom` the width of the flower or 0.
    """

    width: float = 0.0
    above: float = 0.0
    below: float = 0.0
    bloom: float = 0.0
    bloom_x: float = 0.0
    bloom_y: float = 0.0
    line_from: float = 0.0
    words: list[tuple] = field(default_factory=list)


def node_for(place: Place, style: Style, crowd: int, blooming: bool = True) -> Node:
    """The node of a place in a generation of `crowd` places, some with a flower if `blooming`."""
    if place.kind == "cross":
        return Node(width=2 * RING + 14, above=RING + 8, below=RING + 8)
    if place.kind == "unknown":
        return _unknown(place, style)
    if place.generation == 0:
        return _subject(place, style)
    return _plant(place, style, crowd > CROWD, blooming)


def _unknown(place: Place, style: Style) -> Node:
    text = clean(place.plant.label)
    if not text:
        return Node(width=34, above=8, below=8)
    lines, size = fitted(text, "hand", SMALL, LEAST, style.cap)
    node = Node(above=4 + len(lines) * size * LEAD, below=6)
    _set(node, lines, size, "hand", SOFT, 6.0, -7.0)
    return node


def _set(node: Node, lines: tuple, size: float, face: str, ink: str, x: float, y: float) -> None:
    """Lines of one text; `y` is the baseline of the last."""
    for at, text in enumerate(lines):
        up = (len(lines) - 1 - at) * size * LEAD
        node.words.append((x, y - up, text, size, face, ink))
        node.width = max(node.width, x + ems(text, face) * size)


def _plant(place: Place, style: Style, crowded: bool, blooming: bool) -> Node:
    step = place.generation
    if crowded:
        bloom = round(CROWDED_BLOOM * style.crowd_bloom, 1)
    else:
        bloom = round(BLOOMS[min(step, len(BLOOMS) - 1)] * style.bloom, 1)
    node = Node(bloom=bloom if place.plant.flower else 0.0)
    kept = bloom if blooming else 0.0  # names of one generation stand in one column
    node.bloom_x = node.line_from = kept / 2
    left = kept + 7 if kept else 11.0
    face = "code" if place.plant.is_number else "name"
    size = min(NAMES[min(step, len(NAMES) - 1)], CROWDED_NAME if crowded else 99.0)
    if style.tight:
        size = min(size, CROWDED_NAME) if not crowded else LEAST
    size = max(size * (0.92 if face == "code" else 1.0), LEAST)
    # Where many stand in one column a second line costs more height than it saves in width.
    cap = max(style.cap, WIDEST) if crowded else style.cap
    lines, size = fitted(clean(place.plant.label), face, size, LEAST, cap)
    foot = 6.0 if style.tight else 8.0
    _set(node, lines, size, face, INK, left, -foot)
    ring = RING + 1 if place.mark or place.loop else 0.0
    node.above = max(foot + len(lines) * size * LEAD - 0.2 * size, node.bloom / 2, ring)
    node.below = max(2.0 if style.tight else 4.0, node.bloom / 2, ring)
    if place.plant.small and style.smalls and not crowded:
        _below(node, place.plant.small, left, style.cap)
    return node


def _below(node: Node, text: str, left: float, cap: float) -> None:
    lines, size = fitted(clean(text), "text", SMALL, LEAST, cap)
    foot = 4 + 0.8 * size + (len(lines) - 1) * size * LEAD
    _set(node, lines, size, "text", SOFT, left, foot)
    node.below = max(node.below, foot + 0.25 * size)


def _subject(place: Place, style: Style) -> Node:
    """The plant the chart is about: a large flower, the name below it on its line."""
    node = Node(bloom=BLOOMS[0] * max(style.bloom, 0.6) if place.plant.flower else 0.0)
    face = "code" if place.plant.is_number else "name"
    lines, size = fitted(
        clean(place.plant.label), face, NAMES[0], 24.0, min(max(style.cap, 170), 250)
    )
    _set(node, lines, size, face, INK, 0.0, -10.0)
    tall = 10 + len(lines) * size * LEAD
    node.bloom_x, node.bloom_y = node.bloom / 2, -tall - node.bloom / 2
    node.width = max(node.width, node.bloom)
    node.above, node.below = tall + node.bloom, 6.0
    if place.plant.small:
        _below(node, place.plant.small, 0.0, 250.0)
    return node
