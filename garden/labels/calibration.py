"""A page to measure with a ruler: whether a printer hits the places of a sheet."""

from __future__ import annotations

from typing import Any

from garden.labels.pdf import HAIR, new_canvas, outline, place_at
from garden.labels.sheet import Sheet
from garden.labels.square import MM
from garden.paper import fonts

# A sheet is measured from lines this far from its edges, in mm; a roll from nearer ones.
FROM_EDGE, FROM_EDGE_OF_ROLL = 20.0, 5.0
LONGEST_RULER = 100.0
SMALL, PLAIN = 6.0, 9.0
LEAD = 1.45
# Left, lower, right and upper edge on the canvas, in points.
Area = tuple[float, float, float, float]


def calibration_pdf(sheet: Sheet, shift: tuple[float, float] = (0.0, 0.0)) -> bytes:
    """All places outlined and numbered, two lines to measure from the paper's edges, a ruler.

    Raises
    ------
    ValueError
        When the sheet's measures cannot be.
    """
    wrong = sheet.check()
    if wrong:
        raise ValueError(" ".join(wrong))
    canvas = new_canvas(sheet, f"To measure: {sheet.title}")
    for index in range(sheet.places):
        corner = place_at(sheet, index, shift)
        outline(canvas, sheet, corner, 0.45)
    edge = FROM_EDGE_OF_ROLL if sheet.roll else FROM_EDGE
    _cross(canvas, sheet, shift, edge)
    if sheet.roll:
        _ruler(canvas, sheet, shift, edge + 1.5, min(edge + 4, sheet.page_height - 1))
        hidden = (0.0, 0.0, 0.0, 0.0)
    else:
        hidden = _told(canvas, sheet, shift, edge)
    _numbers(canvas, sheet, shift, hidden)
    canvas.showPage()
    return bytes(canvas.getpdfdata())


def _numbers(canvas: Any, sheet: Sheet, shift: tuple[float, float], hidden: Area) -> None:
    """The number of each place in its corner, where the words leave it free."""
    left, bottom, right, top = hidden
    canvas.setFillGray(0.45)
    for index in range(sheet.places):
        x, y = place_at(sheet, index, shift)
        if not (left - 12 < x < right and bottom < y < top + 8):
            fonts.draw(canvas, x + 3, y - 8, str(index + 1), fonts.TEXT, SMALL)


def _cross(canvas: Any, sheet: Sheet, shift: tuple[float, float], edge: float) -> None:
    """Line A, upright, and line B, level, each `edge` mm from its edge of the paper."""
    x, y = (edge + shift[0]) * MM, (sheet.page_height - edge - shift[1]) * MM
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(HAIR * 1.5)
    canvas.line(x, 0, x, sheet.page_height * MM)
    if sheet.page_height > 2 * edge:
        canvas.line(0, y, sheet.page_width * MM, y)
        fonts.draw(canvas, sheet.page_width * MM - 12, y + 2, "B", fonts.BOLD, SMALL + 1)
    fonts.draw(canvas, x + 2, sheet.page_height * MM - 8, "A", fonts.BOLD, SMALL + 1)


def _ruler(canvas: Any, sheet: Sheet, shift: tuple[float, float], left: float, down: float) -> None:
    """A ruler of whole centimetres, at most 100 mm, from (left, down) in mm."""
    length = min(LONGEST_RULER, (sheet.page_width - left - 3) // 10 * 10)
    x, y = (left + shift[0]) * MM, (sheet.page_height - down - shift[1]) * MM
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(HAIR)
    canvas.line(x, y, x + length * MM, y)
    for tick in range(int(length) + 1):
        high = 2.4 if tick % 10 == 0 else 1.7 if tick % 5 == 0 else 1.0
        canvas.line(x + tick * MM, y, x + tick * MM, y + high * MM)
    said = f"{length:g} mm"
    fonts.draw(canvas, x + 0.6 * MM, y - 5.5, said, fonts.TEXT, 5.0)


def _told(canvas: Any, sheet: Sheet, shift: tuple[float, float], edge: float) -> Area:
    """What to do, on white in the middle of the page, over the outlines; the white's edges."""
    right, down = (f"{one:g}".replace("-", "−") for one in shift)
    lines = [
        "Print this page on plain paper at actual size, 100 %, not fitted to the page.",
        "Hold it with a sheet of labels against the light: do the outlines lie on the labels?",
        f"Line A stands {edge:g} mm from the left edge of the paper, line B {edge:g} mm from the",
        "upper edge. Measure both. To be entered as the sheet’s shift, in mm:",
        f"to the right: {edge:g} less what A measures; down: {edge:g} less what B measures.",
        f"This page has a shift of {right} to the right and {down} down already: add to it.",
        "Where the ruler is longer or shorter than it says, the printer changes the size.",
    ]
    wide = max(fonts.width(line, fonts.TEXT, PLAIN) for line in lines)
    wide = max(wide, fonts.width(sheet.title, fonts.NAME, 16))
    x = (sheet.page_width * MM - wide) / 2
    high = 16 + (len(lines) + 3) * PLAIN * LEAD + 8 * MM
    y = (sheet.page_height * MM + high) / 2
    canvas.setFillGray(1)
    area = (x - 5 * MM, y - high - 3 * MM, x + wide + 5 * MM, y + 5 * MM)
    canvas.rect(*area[:2], area[2] - area[0], area[3] - area[1], stroke=0, fill=1)
    canvas.setFillGray(0)
    y -= 16
    fonts.draw(canvas, x, y, sheet.title, fonts.NAME, 16)
    for line in lines:
        y -= PLAIN * LEAD if line is not lines[0] else PLAIN * 2.2
        fonts.draw(canvas, x, y, line, fonts.TEXT, PLAIN)
    _ruler(canvas, sheet, (0.0, 0.0), x / MM, sheet.page_height - y / MM + 9)
    return area
