"""A chart laid out: words, flowers and lines with their places, ready for any renderer.

Lengths in chart units, x to the right, y down, origin at the upper left; the box of the scene has
its margin included. A line is a list of steps ``('M', x, y)``, ``('L', x, y)``,
``('Q', x1, y1, x, y)`` or ``('C', x1, y1, x2, y2, x, y)``.
"""

from __future__ import annotations

from dataclasses import dataclass

from breeding.charts.model import Chart, Place
from breeding.charts.nodes import Node, node_for
from breeding.charts.style import SCREEN, Style
from garden.flower import Recipe

Steps = tuple[tuple, ...]
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Words:
    """One line of text; `x` its left end, `y` its baseline."""

    x: float
    y: float
    text: str
    size: float
    face: str
    ink: str


@dataclass(frozen=True)
class Bloom:
    """A small flower about (x, y), `size` wide and high."""

    x: float
    y: float
    size: float
    recipe: Recipe


@dataclass(frozen=True)
class Ring:
    """A mark about (x, y): a letter in a ring, or the cross at the root of a web."""

    x: float
    y: float
    radius: float
    letter: str
    ink: str
    size: float


@dataclass(frozen=True)
class Spot:
    """Everything of one place on its line at height `y`; `box` is (left, top, right, bottom)."""

    index: int
    place: Place
    y: float
    words: tuple[Words, ...]
    bloom: Bloom | None
    ring: Ring | None
    box: Box


@dataclass(frozen=True)
class Stroke:
    steps: Steps
    width: float
    ink: str
    dash: str = ""


@dataclass(frozen=True)
class Scene:
    width: float
    height: float
    spots: tuple[Spot, ...]
    strokes: tuple[Stroke, ...]


MARGIN = 16.0


def scene(chart: Chart, style: Style = SCREEN, across: float = 1.0, down: float = 1.0) -> Scene:
    """Lay the chart out; `across` and `down` (1 or more) spread it to fill a sheet.

    Raises
    ------
    ValueError
        When the chart has no place at all.
    """
    if not chart.places:
        raise ValueError("nothing to draw")
    from breeding.charts import scene_tree, scene_web

    crowd: dict[int, int] = {}
    blooming = {place.generation for place in chart.places if place.plant.flower is not None}
    for place in chart.places:
        crowd[place.generation] = crowd.get(place.generation, 0) + 1
    nodes = [
        node_for(place, style, crowd[place.generation], place.generation in blooming)
        for place in chart.places
    ]
    build = scene_web.build if chart.kind == "web" else scene_tree.build
    return build(chart, nodes, style, across, down)


def spot(index: int, place: Place, node: Node, left: float, y: float, ring: Ring | None) -> Spot:
    """The words and flower of a node that stands at (left, y)."""
    words = tuple(
        Words(left + dx, y + dy, text, size, face, ink)
        for dx, dy, text, size, face, ink in node.words
    )
    bloom = None
    if node.bloom and place.plant.flower is not None:
        bloom = Bloom(left + node.bloom_x, y + node.bloom_y, node.bloom, place.plant.flower)
    right = left + node.width
    if ring:
        right = max(right, ring.x + ring.radius)
    return Spot(index, place, y, words, bloom, ring, (left, y - node.above, right, y + node.below))
