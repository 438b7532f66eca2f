"""The reset list on paper: what is lifted, from where, and a line to write the new place on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm

from breeding.charts.pdf_flower import flower_forms
from evaluation.spadework.paper import MARGIN, Paper, set_lines
from garden.flower import Recipe

BOX, FLOWER, HEIGHT = 9 * mm, 20 * mm, 30 * mm
CODE, WORDS, SMALL, LINE = 20.0, 16.0, 13.0, 6 * mm
# Where 'to' begins, as a share of the width.
TO = 0.6
NOTHING = "Nothing waits to be moved."


@dataclass(frozen=True, slots=True)
class Move:
    """A seedling to be moved; `increases` None where nobody counted, `flower` None where no
    colour is recorded."""

    code: str
    verdict: str
    bed: str
    row: int
    position: int
    increases: int | None = None
    flower: Recipe | None = None

    @property
    def told(self) -> str:
        """'Keep, 3 increases'."""
        if self.increases is None:
            return self.verdict
        return f"{self.verdict}, {self.increases} increase{'' if self.increases == 1 else 's'}"


def resets_pdf(moves: Sequence[Move], footer: str = "", paper: str = "A4") -> bytes:
    """The PDF of these moves in the order given.

    Raises
    ------
    KeyError
        When the paper is neither ``'A4'`` nor ``'Letter'``.
    """
    sheet = Paper(paper, "Reset list", f"Reset list, {footer}")
    sheet.begin("Reset list", f"{len(moves)} to move" if moves else "")
    forms = flower_forms(sheet.canvas, [move.flower for move in moves if move.flower])
    if not moves:
        sheet.words(MARGIN, sheet.y - WORDS, NOTHING, "text", WORDS)
    for move in moves:
        room = TO * sheet.room - BOX - FLOWER - 7 * mm - 8
        bed = [
            " ".join(word for word, _ in line)
            for line in set_lines([(move.bed, "text")], WORDS, room)
        ]
        high = HEIGHT + LINE * (len(bed) - 1)
        if sheet.left_over < high:
            sheet.turn()
        _move(sheet, move, bed, forms)
        sheet.rule(sheet.y - high + 2 * mm, 0.4)
        sheet.y -= high
    return sheet.done()


def _move(sheet: Paper, move: Move, bed: list[str], forms: dict[Recipe, str]) -> None:
    top, x = sheet.y, MARGIN + BOX + 4 * mm
    sheet.tick_box(MARGIN, top - 3 * mm, BOX)
    if move.flower:
        sheet.canvas.saveState()
        sheet.canvas.translate(x, top - FLOWER - 2 * mm)
        sheet.canvas.scale(FLOWER / 100, FLOWER / 100)
        sheet.canvas.doForm(forms[move.flower])
        sheet.canvas.restoreState()
    x += FLOWER + 3 * mm
    room = TO * sheet.room + MARGIN - x - 8
    y = top - 7.5 * mm
    sheet.words(x, y, move.code, "code", CODE, room)
    for line in bed:
        y -= LINE
        sheet.words(x, y, line, "text", WORDS, room)
    y -= LINE
    sheet.words(x, y, f"row {move.row}, {move.position}", "code", WORDS, room)
    sheet.words(x, y - LINE, move.told, "text", SMALL, room)
    _blank(sheet, MARGIN + TO * sheet.room, top)


def _blank(sheet: Paper, x: float, top: float) -> None:
    """'to' and two lines to write on."""
    sheet.words(x, top - 8 * mm, "to", "text", WORDS)
    sheet.canvas.setLineWidth(0.7)
    for begin, line in ((x + 20, 10 * mm), (x, 20 * mm)):
        sheet.canvas.line(begin, top - line, sheet.width - MARGIN, top - line)
