"""The large, shaded flower on paper: its SVG read once more, as vectors with gradients.

Only what `garden.flower.large` writes is known: paths, ellipses, groups, clips, gradients, uses.
Soft shades, gradients that fade to nothing, become rings of the same transparency.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import cos, radians, sin
from typing import Any
from xml.etree.ElementTree import Element, fromstring

from reportlab.lib.colors import HexColor
from reportlab.pdfbase.pdfdoc import PDFResourceDictionary
from reportlab.pdfgen.canvas import Canvas

from garden.flower.draw import draw
from garden.flower.outlines import ellipse, operators
from garden.flower.recipe import Recipe

RINGS = 7
CAPS = {"butt": 0, "round": 1}
INHERITED = ("fill", "stroke", "stroke-width", "stroke-linecap", "stroke-dasharray")
_NUMBERS = re.compile(r"-?\d*\.?\d+")


def shaded_form(canvas: Canvas, name: str, recipe: Recipe) -> None:
    """Draw the large flower of a recipe as a form of that name, 100 by 100 points."""
    root = fromstring(draw(recipe, "large"))
    canvas.beginForm(name, 0, 0, 100, 100)
    canvas.transform(1, 0, 0, -1, 0, 100)
    canvas.setLineJoin(1)
    painter = _Painter(canvas, {one.get("id"): one for one in root.iter() if one.get("id")})
    for one in root:
        painter.draw(one, {"fill": "none"})
    canvas.endForm(Resources=_resources(canvas))


def _resources(canvas: Any) -> PDFResourceDictionary:
    """What the form needs: reportlab gives gradients and transparency to pages, not to forms."""
    resources = PDFResourceDictionary(ExtGState=canvas._extgstate.getState())
    resources.setShading(canvas._shadingUsed)
    return resources


def _plain(one: Element) -> str:
    return one.tag.rpartition("}")[2]


def _color(paint: str) -> HexColor:
    """Also of the short kind, #fff."""
    return HexColor(paint if len(paint) > 4 else "#" + "".join(2 * sign for sign in paint[1:]))


def _matrix(transform: str) -> tuple[float, ...]:
    """matrix(a b c d e f) and rotate(angle x y) as six numbers."""
    numbers = [float(number) for number in _NUMBERS.findall(transform)]
    if transform.startswith("matrix"):
        return tuple(numbers)
    angle, x, y = (numbers + [0.0, 0.0])[:3]
    c, s = cos(radians(angle)), sin(radians(angle))
    return (c, s, -s, c, x - c * x + s * y, y - s * x - c * y)


class _Painter:
    """Draws elements of one flower; `known` are those with an id."""

    def __init__(self, canvas: Any, known: dict[str | None, Element]) -> None:
        self.canvas, self.known = canvas, known

    def _meant(self, reference: str) -> Element:
        return self.known[reference.removeprefix("url(").removesuffix(")")[1:]]

    def draw(self, one: Element, style: dict[str, str]) -> None:
        kind = _plain(one)
        if kind == "defs":
            return
        style = style | {key: one.attrib[key] for key in INHERITED if key in one.attrib}
        canvas = self.canvas
        canvas.saveState()
        if "transform" in one.attrib:
            canvas.transform(*_matrix(one.attrib["transform"]))
        if "clip-path" in one.attrib:
            for part in self._meant(one.attrib["clip-path"]):
                canvas.addLiteral(f"{self._outline(part)} W n")
        if kind == "g":
            for part in one:
                self.draw(part, style)
        elif kind == "use" and _plain(self._meant(one.attrib["href"])) == "g":
            self.draw(self._meant(one.attrib["href"]), style)
        else:
            self._shape(one, style, float(one.get("opacity", 1)))
        canvas.restoreState()

    def _outline(self, one: Element) -> str:
        if _plain(one) == "use":
            one = self._meant(one.attrib["href"])
        if _plain(one) == "ellipse":
            return ellipse(*(float(one.attrib[key]) for key in ("cx", "cy", "rx", "ry")))
        return operators(one.attrib["d"])

    def _shape(self, one: Element, style: dict[str, str], opacity: float) -> None:
        fill, stroke = style.get("fill", "none"), style.get("stroke", "none")
        outline, canvas = self._outline(one), self.canvas
        if fill.startswith("url"):
            self._gradient(one, self._meant(fill), outline)
        elif fill != "none":
            canvas.setFillColor(_color(fill))
            canvas.setFillAlpha(opacity)
            canvas.addLiteral(f"{outline} f")
        if stroke != "none":
            canvas.setStrokeColor(_color(stroke))
            canvas.setStrokeAlpha(opacity)
            canvas.setLineWidth(float(style["stroke-width"]))
            canvas.setLineCap(CAPS[style.get("stroke-linecap", "butt")])
            dashes = _NUMBERS.findall(style.get("stroke-dasharray", ""))
            canvas.setDash([float(length) for length in dashes])
            canvas.addLiteral(f"{outline} S")

    def _gradient(self, one: Element, gradient: Element, outline: str) -> None:
        stops = list(gradient)
        if any("stop-opacity" in stop.attrib for stop in stops):
            self._fading(one, stops)
            return
        colors = [_color(stop.attrib["stop-color"]) for stop in stops]
        places = [float(stop.attrib["offset"]) for stop in stops]
        canvas = self.canvas
        canvas.saveState()
        canvas.addLiteral(f"{outline} W n")
        if _plain(gradient) == "linearGradient":
            ends = (float(gradient.attrib[key]) for key in ("x1", "y1", "x2", "y2"))
            canvas.linearGradient(*ends, colors, places)
        else:
            ends = (float(gradient.attrib[key]) for key in ("cx", "cy", "r"))
            canvas.radialGradient(*ends, colors, places)
        canvas.restoreState()

    def _fading(self, one: Element, stops: list[Element]) -> None:
        """An ellipse that fades outwards: rings one upon the other, each a little of it."""
        x, y, across, down = (float(one.attrib[key]) for key in ("cx", "cy", "rx", "ry"))
        canvas = self.canvas
        canvas.setFillColor(_color(stops[0].attrib["stop-color"]))
        for reach, alpha in _rings(stops):
            canvas.setFillAlpha(alpha)
            canvas.addLiteral(f"{ellipse(x, y, across * reach, down * reach)} f")


def _rings(stops: list[Element]) -> Iterator[tuple[float, float]]:
    """(radius, transparency) from the outermost ring, together as dense as told."""
    dense = [(float(one.attrib["offset"]), float(one.get("stop-opacity", 1))) for one in stops]

    def at(reach: float) -> float:
        for (a, one), (b, two) in zip(dense, dense[1:], strict=False):
            if reach <= b:
                return one + (two - one) * (reach - a) / (b - a)
        return dense[-1][1]

    below = 0.0
    for step in range(RINGS, 0, -1):
        wanted = at((step - 0.5) / RINGS)
        if wanted > below:
            yield step / RINGS, (wanted - below) / (1 - below)
            below = wanted
