"""Labels as PDF: vectors, embedded fonts, exact places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from garden.flower import Recipe
from garden.labels.frames import Company
from garden.labels.label import Label
from garden.labels.layout import Layout, lay_out
from garden.labels.sheet import Sheet
from garden.labels.square import MM, QUIET, bars, matrix
from garden.paper import fonts

HAIR = 0.15 * MM
# From this size on the shaded flower is drawn, below it the flat one with its clear outline.
SHADED = 24 * MM


def labels_pdf(
    labels: Sequence[Label],
    sheet: Sheet,
    start: int = 1,
    flowers: bool = True,
    shift: tuple[float, float] = (0.0, 0.0),
    outlines: bool = False,
    title: str = "",
) -> bytes:
    """The labels on their sheets, in order.

    Parameters
    ----------
    start
        The first free place of the first page, from 1, running along the rows.
    flowers
        Whether flowers are drawn where a label has one and room for it.
    shift
        How far everything is moved to the right and down, in mm, for a printer that is off.
    outlines
        Whether the edges of the labels are drawn, to be cut along.
    title
        The document's title.

    Raises
    ------
    ValueError
        When the sheet's measures cannot be, when `start` is no place of it, or when a payload is
        too long for any code.
    """
    wrong = sheet.check()
    if wrong:
        raise ValueError(" ".join(wrong))
    if not 1 <= start <= sheet.places:
        raise ValueError(f"The first free place is a number from 1 to {sheet.places}.")
    canvas = new_canvas(sheet, title or sheet.title)
    blooms = Blooms(canvas)
    company = Company.of(labels, flowers)
    size = (sheet.label_width * MM, sheet.label_height * MM)
    for at, label in enumerate(labels, start - 1):
        if at >= start and at % sheet.places == 0:
            canvas.showPage()
        corner = place_at(sheet, at % sheet.places, shift)
        layout = lay_out(label, *size, flowers, company)
        _draw(canvas, layout, label, corner, blooms)
        if outlines:
            outline(canvas, sheet, corner)
    canvas.showPage()
    return bytes(canvas.getpdfdata())


def new_canvas(sheet: Sheet, title: str) -> Any:
    """A canvas of the sheet's pages, to be printed at its own size and not fitted to the paper."""
    from reportlab.pdfgen.canvas import Canvas

    fonts.register()
    size = (sheet.page_width * MM, sheet.page_height * MM)
    canvas = Canvas(None, pagesize=size, initialFontName=fonts.TEXT, invariant=1)
    canvas.setTitle(fonts.clean(title))
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def place_at(sheet: Sheet, index: int, shift: tuple[float, float]) -> tuple[float, float]:
    """Upper left corner of a place on the canvas, in points."""
    left, top = sheet.place(index)
    return (left + shift[0]) * MM, (sheet.page_height - top - shift[1]) * MM


def outline(canvas: Any, sheet: Sheet, corner: tuple[float, float], grey: float = 0.6) -> None:
    """The edge of a label as a hairline; the line's middle is the edge."""
    canvas.setLineWidth(HAIR)
    canvas.setDash()
    canvas.setStrokeGray(grey)
    x, y = corner
    wide, high = sheet.label_width * MM, sheet.label_height * MM
    canvas.rect(x, y - high, wide, high, stroke=1, fill=0)


class Blooms:
    """The flowers of one document: each drawn once, then placed by its name."""

    def __init__(self, canvas: Any) -> None:
        self.canvas = canvas
        self.names: dict[tuple[Recipe, bool], str] = {}

    def place(self, recipe: Recipe, x: float, y: float, side: float) -> None:
        """A flower `side` points square with its lower left corner at (x, y)."""
        canvas = self.canvas
        canvas.saveState()
        canvas.translate(x, y)
        canvas.scale(side / 100, side / 100)
        canvas.doForm(self._form(recipe, side >= SHADED))
        canvas.restoreState()

    def _form(self, recipe: Recipe, shaded: bool) -> str:
        # Reading outlines takes fontTools, which is loaded with the first flower.
        from garden.flower.onpaper import flower_form
        from garden.flower.shaded import shaded_form

        name = self.names.get((recipe, shaded))
        if name is None:
            name = self.names[recipe, shaded] = f"flower{len(self.names)}"
            (shaded_form if shaded else flower_form)(self.canvas, name, recipe)
        return name


def _draw(
    canvas: Any, layout: Layout, label: Label, corner: tuple[float, float], blooms: Blooms
) -> None:
    x, y = corner
    if layout.turned:
        canvas.saveState()
        canvas.translate(x, y - layout.width)
        canvas.rotate(90)
        x, y = 0.0, 0.0
    if layout.square:
        square = layout.square
        _square(canvas, label.payload, x + square.x, y - square.y, square.side)
    if layout.flower and label.recipe:
        box = layout.flower
        blooms.place(label.recipe, x + box.x, y - box.bottom, box.side)
    canvas.setFillGray(0)
    for words in layout.words:
        fonts.draw(canvas, x + words.x, y - words.y, words.text, words.face, words.size)
    if layout.turned:
        canvas.restoreState()


def _square(canvas: Any, payload: str, x: float, y: float, side: float) -> None:
    """The code as one path, so that no seams show between its bars; (x, y) is its upper left."""
    rows = matrix(payload)
    module = side / (len(rows) + 2 * QUIET)
    canvas.saveState()
    canvas.setFillGray(0)
    # In modules, downwards: whole numbers are written quickly and take little room.
    canvas.transform(module, 0, 0, -module, x + QUIET * module, y - QUIET * module)
    canvas.addLiteral(" ".join(f"{x} {y} {length} 1 re" for x, y, length in bars(rows)) + " f")
    canvas.restoreState()
