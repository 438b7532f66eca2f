"""A sheet of numbered tie tags as PDF. Free of Django.

Each tag is a narrow strip: the number large enough to read at arm's length, a rule to write on,
and an outline to cut along. Tags run down the columns, so that a cut strip stays in order.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from garden.paper import fonts
from garden.paper.sizes import PAPERS

MARGIN, GAP = 10 * mm, 3 * mm
TAG_WIDTH, TAG_HEIGHT = 92 * mm, 15 * mm
HOLE = 2.2 * mm


@dataclass(frozen=True)
class Grid:
    """Where tags stand on a paper; lengths in points, origin at the lower left."""

    width: float
    height: float

    @property
    def columns(self) -> int:
        return int((self.width - 2 * MARGIN + GAP) // (TAG_WIDTH + GAP))

    @property
    def rows(self) -> int:
        return int((self.height - 2 * MARGIN + GAP) // (TAG_HEIGHT + GAP))

    def place(self, index: int) -> tuple[float, float]:
        """Lower left corner of the tag number `index` (from 0) on its page."""
        column, row = divmod(index, self.rows)
        left = (self.width - self.columns * (TAG_WIDTH + GAP) + GAP) / 2
        return (
            left + column * (TAG_WIDTH + GAP),
            self.height - MARGIN - TAG_HEIGHT - row * (TAG_HEIGHT + GAP),
        )


def tag_sheet(codes: list[str], garden: str, paper: str = "A4") -> bytes:
    """The PDF of these tag numbers; raises KeyError for an unknown paper."""
    fonts.register()
    size = PAPERS[paper]
    grid = Grid(*size)
    page = grid.columns * grid.rows
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=size, initialFontName=fonts.BOLD)
    canvas.setTitle(f"Tags {codes[0]} to {codes[-1]}" if codes else "Tags")
    # One column for all tags of the sheet, behind the widest number.
    widths = [fonts.width(code, fonts.BOLD, 22) for code in codes]
    beside = 17 * mm + max(widths, default=0)
    for index, code in enumerate(codes):
        if index and index % page == 0:
            canvas.showPage()
        _draw(canvas, *grid.place(index % page), code, garden, beside)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw(canvas: Canvas, x: float, y: float, code: str, garden: str, beside: float) -> None:
    """One tag; the garden's name and the line to write on begin `beside` points from its left."""
    canvas.setLineWidth(0.4)
    canvas.setStrokeGray(0.55)
    canvas.roundRect(x, y, TAG_WIDTH, TAG_HEIGHT, 2 * mm)
    canvas.circle(x + 6 * mm, y + TAG_HEIGHT / 2, HOLE)
    canvas.setFillGray(0)
    fonts.draw(canvas, x + 12 * mm, y + 4.6 * mm, code, fonts.BOLD, 22)
    start = x + beside
    said, size = _fitted(garden, x + TAG_WIDTH - 3 * mm - start)
    fonts.draw(canvas, start, y + 10.6 * mm, said, fonts.BOLD, size)
    canvas.line(start, y + 4.6 * mm, x + TAG_WIDTH - 4 * mm, y + 4.6 * mm)


def _fitted(text: str, width: float) -> tuple[str, float]:
    """`text` and its size for `width` points: 6 pt, smaller to 4 pt, then shortened."""
    text = fonts.clean(text)
    while len(text) > 1 and fonts.width(text, fonts.BOLD, 4) > width:
        text = text[:-2].rstrip() + "…"
    return text, min(6.0, width / max(fonts.ems(text, fonts.BOLD), 1e-9))
