"""The small flower on paper: its outlines as vectors, one form for each recipe.

Path data are read by fontTools, which is here because matplotlib needs it.
"""

from __future__ import annotations

from typing import Any

from fontTools.pens.basePen import BasePen
from fontTools.svgLib.path import parse_path
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from breeding.charts.flowers import GROUP, petals
from garden.flower import Recipe


class _Outline(BasePen):
    """Hands what a pen is told to a path of reportlab's canvas."""

    def __init__(self, path: Any) -> None:
        super().__init__(glyphSet=None)
        self.path = path

    def _moveTo(self, point: tuple[float, float]) -> None:
        self.path.moveTo(*point)

    def _lineTo(self, point: tuple[float, float]) -> None:
        self.path.lineTo(*point)

    def _curveToOne(self, one: tuple, two: tuple, point: tuple) -> None:
        self.path.curveTo(*one, *two, *point)

    def _closePath(self) -> None:
        self.path.close()


def _part(canvas: Canvas, data: str, attributes: dict[str, str]) -> None:
    path = canvas.beginPath()
    parse_path(data, _Outline(path))
    fill, stroke = attributes["fill"], attributes.get("stroke", "none")
    if fill != "none":
        canvas.setFillColor(HexColor(fill))
    if stroke != "none":
        canvas.setStrokeColor(HexColor(stroke))
        canvas.setLineWidth(float(attributes["stroke-width"]))
        dashes = attributes.get("stroke-dasharray", "")
        canvas.setDash([float(length) for length in dashes.split()])
    canvas.drawPath(path, stroke=int(stroke != "none"), fill=int(fill != "none"), fillMode=1)


def flower_forms(canvas: Canvas, recipes: list[Recipe]) -> dict[Recipe, str]:
    """Draw each recipe once as a form 100 by 100 points; the names by which to place them."""
    names = {recipe: f"flower{at}" for at, recipe in enumerate(dict.fromkeys(recipes))}
    for recipe, name in names.items():
        canvas.beginForm(name, 0, 0, 100, 100)
        canvas.transform(1, 0, 0, -1, 0, 100)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        for data, more in petals(recipe):
            _part(canvas, data, GROUP | dict(more))
        canvas.endForm()
    return names
