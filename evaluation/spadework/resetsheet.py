"""The reset list on paper: what is lifted, from where, and a line to write the new place on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm

from breeding.charts.pdf_flower import flower_forms
from evaluation.spadework.paper import MARGIN, Paper
from garden.flower import Recipe

BOX, FLOWER, HEIGHT = 9 * mm, 17 * mm, 22 * mm
CODE, WORDS, SMALL = 20.0, 16.0, 13.0
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
        if sheet.left_over < HEIGHT:
            sheet.turn()
        _move(sheet, move, forms)
    return sheet.bytes()


def _move(sheet: Paper, move: Move, forms: dict[Recipe, str]) -> None:
    top, x = sheet.y, MARGIN + BOX + 4 * mm
    sheet.tick_box(MARGIN, top - 3 * mm, BOX)
    if move.flower:
        sheet.canvas.saveState()
        sheet.canvas.translate(x, top - FLOWER - 1 * mm)
        sheet.canvas.scale(FLOWER / 100, FLOWER / 100)
        sheet.canvas.doForm(forms[move.flower])
        sheet.canvas.restoreState()
    x += FLOWER + 3 * mm
    to = MARGIN + sheet.room * 0.62
    sheet.words(x, top - 7.5 * mm, move.code, "code", CODE, to - x - 8)
    told = move.verdict
    if move.increases is not None:
        told += f", {move.increases} increase{'' if move.increases == 1 else 's'}"
    place = f"{move.bed}, row {move.row}, "
    wide = sheet.words(x, top - 13.5 * mm, place, "text", WORDS, to - x - 48)
    sheet.words(x + wide + 4, top - 13.5 * mm, str(move.position), "code", WORDS)
    sheet.words(x, top - 18.5 * mm, told, "text", SMALL, to - x - 8)
    sheet.words(to, top - 7 * mm, "to", "text", WORDS)
    for line in (9.5 * mm, 18 * mm):
        sheet.canvas.setLineWidth(0.7)
        begin = to + (0 if line > 10 * mm else 20)
        sheet.canvas.line(begin, top - line, sheet.width - MARGIN, top - line)
    sheet.rule(top - HEIGHT + 1.5 * mm, 0.4)
    sheet.y -= HEIGHT + 1 * mm
