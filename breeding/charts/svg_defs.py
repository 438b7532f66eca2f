"""What a chart draws more than once, as `defs`, and how to refer to it; single words as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from html import escape

from breeding.charts.flowers import petals
from breeding.charts.scene import Ring, Spot, Words
from breeding.charts.style import CROWD, INK, PAPER
from garden.flower import Recipe

FAMILIES = {
    "name": ("Alegreya,serif", ' font-weight="600"'),
    "hand": ("Alegreya,serif", ' font-weight="500" font-style="italic"'),
    "code": ("Atkinson Next,sans-serif", ' font-weight="700"'),
    "text": ("Atkinson Next,sans-serif", ' font-weight="400"'),
}
BASE_SIZE = 20


class Defs:
    """Flowers, marks and touch areas of a laid out chart; all ids begin with `prefix`.

    `markup` goes into `defs`; the methods give references to it.
    """

    def __init__(self, spots: Iterable[Spot], prefix: str) -> None:
        spots = tuple(spots)
        flowers, self.flowers = _flowers([one.bloom.recipe for one in spots if one.bloom], prefix)
        self.rings = {
            look: f"{prefix}m{at}"
            for at, look in enumerate(dict.fromkeys(_look(one.ring) for one in spots if one.ring))
        }
        pads, self.pads = _pads(spots, prefix)
        marks = (_mark(look, name) for look, name in self.rings.items())
        self.markup = "".join((flowers, *marks, *pads))

    def bloom(self, spot: Spot) -> str:
        bloom = spot.bloom
        if bloom is None:
            return ""
        x, y = round(bloom.x - bloom.size / 2), round(bloom.y - bloom.size / 2)
        scale = f"{bloom.size / 100:.2f}".lstrip("0")
        name = self.flowers[bloom.recipe]
        return f'<use href="#{name}" transform="translate({x} {y})scale({scale})"/>'

    def ring(self, ring: Ring | None) -> str:
        if ring is None:
            return ""
        return f'<use href="#{self.rings[_look(ring)]}" x="{round(ring.x)}" y="{round(ring.y)}"/>'

    def pad(self, spot: Spot) -> str:
        """What makes the room between a link's words sensitive to touch."""
        name = self.pads.get(spot.place.generation)
        if name is None or spot.place.kind != "plant":
            return ""
        return f'<use href="#{name}" x="{round(spot.box[0])}" y="{round(spot.y)}"/>'


def _pads(spots: tuple[Spot, ...], prefix: str) -> tuple[list[str], dict[int, str]]:
    """One area for each generation, as large as its smallest node is high; none in a crowd,
    where a name in one line fills its node."""
    markup, ids = [], {}
    crowd = Counter(spot.place.generation for spot in spots)
    for step, many in crowd.items():
        plants = [s for s in spots if s.place.generation == step and s.place.kind == "plant"]
        if many > CROWD or not plants:
            continue
        up = min(round(spot.y - spot.box[1]) for spot in plants)
        down = min(round(spot.box[3] - spot.y) for spot in plants)
        wide = max(round(spot.box[2] - spot.box[0]) for spot in plants)
        ids[step] = f"{prefix}h{step}"
        path = f"M0-{up}h{wide}v{up + down}H0z"
        markup.append(f'<path id="{ids[step]}" d="{path}" fill="none" pointer-events="all"/>')
    return markup, ids


def number(value: float) -> str:
    """In tenths, as short as can be."""
    return f"{value:.1f}".removesuffix(".0")


def _flowers(recipes: Iterable[Recipe], prefix: str) -> tuple[str, dict[Recipe, str]]:
    """`defs` with one group for each recipe; petals of the same outline are there once."""
    ids = {recipe: f"{prefix}f{at}" for at, recipe in enumerate(dict.fromkeys(recipes))}
    if not ids:
        return "", ids
    times = Counter(data for recipe in ids for data, _ in petals(recipe))
    shapes = {d: f"{prefix}s{at}" for at, d in enumerate(d for d, n in times.items() if n > 1)}
    out = [*(f'<path id="{name}" d="{data}"/>' for data, name in shapes.items())]
    for recipe, name in ids.items():
        outline = _outline(recipe)
        out.append(f'<g id="{name}" fill="none" stroke="{outline}">')
        for data, more in petals(recipe):
            what = f'use href="#{shapes[data]}"' if data in shapes else f'path d="{data}"'
            ink = dict(more) if "stroke" in dict(more) else {**dict(more), "stroke": "none"}
            told = (f' {k}="{v}"' for k, v in ink.items() if (k, v) != ("stroke", outline))
            out.append(f"<{what}{''.join(told)}/>")
        out.append("</g>")
    return "".join(out), ids


def _outline(recipe: Recipe) -> str:
    """The ink that most petals of a flower have as their outline."""
    inks = Counter(dict(more).get("stroke", "none") for _, more in petals(recipe))
    return inks.most_common(1)[0][0]


def _look(ring: Ring) -> tuple:
    return ring.letter, ring.radius, ring.ink, ring.size


def _mark(look: tuple, name: str) -> str:
    letter, radius, ink, size = look
    ground, width = (PAPER, 1.8) if letter else ("none", 2.5)
    circle = f'<circle r="{number(radius)}" fill="{ground}" stroke="{ink}" stroke-width="{width}"/>'
    words = Words(0, size * 0.34, letter, size, "code", ink)
    inner = text(words, ' text-anchor="middle" stroke="none"') if letter else ""
    return f'<g id="{name}">{circle}{inner}</g>'


def text(words: Words, more: str = "") -> str:
    """One line of words; what the chart sets for all is left out."""
    family, weight = FAMILIES[words.face]
    face = "" if words.face == "name" else f' font-family="{family}"{weight}'
    size = "" if words.size == BASE_SIZE else f' font-size="{number(words.size)}"'
    ink = "" if words.ink == INK else f' fill="{words.ink}"'
    at = f'x="{round(words.x)}" y="{round(words.y)}"'
    return f"<text {at}{size}{ink}{face}{more}>{escape(words.text, quote=False)}</text>"
