"""The small flower on paper: its outlines as vectors, one form for each recipe."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from garden.flower.outlines import operators
from garden.flower.petals import GROUP, petals
from garden.flower.recipe import Recipe


def _part(canvas: Canvas, data: str, attributes: dict[str, str]) -> None:
    fill, stroke = attributes["fill"], attributes.get("stroke", "none")
    if fill != "none":
        canvas.setFillColor(HexColor(fill))
    if stroke != "none":
        canvas.setStrokeColor(HexColor(stroke))
        canvas.setLineWidth(float(attributes["stroke-width"]))
        dashes = attributes.get("stroke-dasharray", "")
        canvas.setDash([float(length) for length in dashes.split()])
    ending = {(True, True): "B", (True, False): "f", (False, True): "S", (False, False): "n"}
    canvas.addLiteral(f"{operators(data)} {ending[fill != 'none', stroke != 'none']}")


def flower_forms(canvas: Canvas, recipes: list[Recipe]) -> dict[Recipe, str]:
    """Draw each recipe once as a form 100 by 100 points; the names by which to place them."""
    names = {recipe: f"flower{at}" for at, recipe in enumerate(dict.fromkeys(recipes))}
    for recipe, name in names.items():
        flower_form(canvas, name, recipe)
    return names


def flower_form(canvas: Canvas, name: str, recipe: Recipe) -> None:
    """Draw one recipe as a form of that name, 100 by 100 points."""
    canvas.beginForm(name, 0, 0, 100, 100)
    canvas.transform(1, 0, 0, -1, 0, 100)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for data, more in petals(recipe):
        _part(canvas, data, GROUP | dict(more))
    canvas.endForm()
