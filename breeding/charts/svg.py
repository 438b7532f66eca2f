"""A chart as one `svg` element: presentation attributes only, every plant one named link."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from html import escape

from breeding.charts.flowers import petals
from breeding.charts.measure import clean
from breeding.charts.model import Chart, Place
from breeding.charts.scene import Scene, Spot, Stroke, scene
from breeding.charts.style import CROWD, INK, SCREEN, Style
from breeding.charts.svg_defs import BASE_SIZE, FAMILIES, Defs, text
from garden.flower import Recipe

# What a chart may weigh, in bytes; to keep to it, outer generations go without flowers.
WEIGHTS = {"ancestors": 30_000, "descendants": 30_000, "web": 60_000}
# About what each thing takes: a place, the words below its name, a line, a use of a flower.
PLACE, SMALL_WORDS, LINE, USE, SHAPES, MARK = 58, 155, {"web": 70}, 50, 1_600, 150


def to_svg(
    chart: Chart, style: Style = SCREEN, prefix: str = "c", weight: int | None = None
) -> str:
    """The chart as inline SVG at its natural size, no text under 18 px.

    `prefix` begins all ids, for pages with several charts. Each plant is one link, with its page;
    the later places of a plant link to the place where its branch is drawn. Flowers are drawn
    for whole generations from the subject outward while the chart stays under `weight` bytes
    (30,000 for a tree, 60,000 for a web).

    Raises
    ------
    ValueError
        When the chart is empty.
    """
    weight = WEIGHTS[chart.kind] if weight is None else weight
    last = _blooming(chart, weight)
    text = _drawn(_plainer(chart, last), style, prefix)
    while len(text.encode()) > weight and last >= 0:
        last -= 1
        text = _drawn(_plainer(chart, last), style, prefix)
    return text


def _drawn(chart: Chart, style: Style, prefix: str) -> str:
    laid = scene(chart, style)
    defs = Defs(laid.spots, prefix)
    wide, high = round(laid.width), round(laid.height)
    aims = {place.again for place in chart.places}
    return "".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="group" viewBox="0 0 {wide} {high}" '
            f'width="{wide}" height="{high}"><title>{escape(clean(chart.title))}</title>'
            f"<defs>{defs.markup}</defs>",
            *_strokes(laid),
            f'<g font-family="{FAMILIES["name"][0]}"{FAMILIES["name"][1]} '
            f'font-size="{BASE_SIZE}" fill="{INK}" stroke-width="2" stroke-linecap="round">',
            *(_spot(spot, defs, prefix, spot.index in aims) for spot in laid.spots),
            "</g></svg>",
        )
    )


def _blooming(chart: Chart, weight: int) -> int:
    """About the last generation that can have flowers when all is to weigh `weight` bytes."""
    left = weight - SHAPES - LINE.get(chart.kind, 24) * len(chart.edges)
    crowd = Counter(place.generation for place in chart.places)
    for place in chart.places:
        plant = place.plant
        left -= PLACE + len(plant.label.encode()) + len(plant.href) + (MARK if place.mark else 0)
        left -= SMALL_WORDS if plant.small and crowd[place.generation] <= CROWD else 0
    seen: set[Recipe] = set()
    for step in range(chart.generations):
        blooms = [
            place.plant.flower
            for place in chart.places
            if place.generation == step and place.plant.flower is not None
        ]
        left -= USE * len(blooms) + sum(_bytes(recipe) for recipe in set(blooms) - seen)
        seen.update(blooms)
        if left < 0:
            return step - 1
    return chart.generations - 1


def _bytes(recipe: Recipe) -> int:
    own = 400 if recipe.pattern == "broken colour" else 0  # splashes lie differently on each
    return own + sum(22 + sum(len(k) + len(v) + 4 for k, v in m) for _, m in petals(recipe))


def _plainer(chart: Chart, last: int) -> Chart:
    """The chart without the flowers after generation `last`."""
    if last >= chart.generations - 1:
        return chart
    places = [place if place.generation <= last else _plain(place) for place in chart.places]
    return replace(chart, places=places)


def _plain(place: Place) -> Place:
    return replace(place, plant=replace(place.plant, flower=None))


def _strokes(laid: Scene) -> list[str]:
    """Lines of one kind as one path, thin ones first."""
    kinds: dict[tuple[float, str, str], list[str]] = {}
    for stroke in laid.strokes:
        kinds.setdefault((stroke.width, stroke.ink, stroke.dash), []).append(_path(stroke))
    out = ['<g fill="none" stroke-linecap="round" pointer-events="none">']
    for (width, ink, dash), paths in sorted(kinds.items()):
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        out.append(f'<path d="{"".join(paths)}" stroke="{ink}" stroke-width="{width:g}"{dashes}/>')
    return [*out, "</g>"]


def _path(stroke: Stroke) -> str:
    """Path data in whole units, in the shortest forms."""
    data, x0, y0 = [], 0, 0
    for sign, *values in stroke.steps:
        points = [round(value) for value in values]
        x, y = points[-2:]
        if sign == "L" and y == y0:
            data.append(f"H{x}")
        elif sign == "L" and x == x0:
            data.append(f"V{y}")
        elif sign == "Q":
            steps = zip(points, (x0, y0) * 2, strict=True)
            data.append("q" + _packed([value - before for value, before in steps]))
        else:
            data.append(sign + _packed(points))
        x0, y0 = x, y
    return "".join(data)


def _packed(numbers: list[int]) -> str:
    return " ".join(map(str, numbers)).replace(" -", "-")


def _spot(spot: Spot, defs: Defs, prefix: str, aimed: bool) -> str:
    place = spot.place
    words = "".join(text(words) for words in spot.words)
    inner = f"{defs.pad(spot)}{defs.bloom(spot)}{words}{defs.ring(spot.ring)}"
    if place.kind == "cross":
        return f'<g aria-hidden="true">{inner}</g>'
    if place.kind == "unknown":
        return inner
    target = f"#{prefix}p{place.again}" if place.again is not None else place.plant.href
    here = f' id="{prefix}p{spot.index}"' if aimed else ""
    if not target:
        return f"<g{here}>{inner}</g>"
    return f'<a{here} href="{escape(target)}">{inner}</a>'
