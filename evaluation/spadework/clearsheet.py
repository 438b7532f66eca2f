"""The clear-out list on paper: read at arm's length, ticked off row by row."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm

from evaluation.spadework.paper import MARGIN, Paper, Piece, set_lines, with_blank
from evaluation.spadework.paperstrip import run_on, strip_height, strip_on
from evaluation.spadework.rows import Chunk, Fate, SpadeBed, SpadeRow, Stray

WORDS, LEADING, HEAD = 18.0, 25.0, 17.0
BOX, INSET, BETWEEN = 9 * mm, 14 * mm, 16.0
NOTHING = "There is nothing to dig."
KEY = (
    (Fate.DIG, "dig"), (Fate.LEAVE, "LEAVE, wanted"), (Fate.WAIT, "leave, not judged"),
    (Fate.MOVED, "moved, none there"),
)  # fmt: skip


def clear_out_pdf(
    beds: Sequence[SpadeBed], strays: Sequence[Stray] = (), footer: str = "", paper: str = "A4"
) -> bytes:
    """The PDF of these beds, each beginning on a page of its own, discarded plants behind them.

    Raises
    ------
    KeyError
        When the paper is neither ``'A4'`` nor ``'Letter'``.
    """
    sheet = Paper(paper, "Clear-out list", f"Clear-out list, {footer}")
    for bed in beds:
        sheet.begin(bed.name, f"dig {bed.dig}")
        _key(sheet)
        for row in bed.rows:
            if row.dig:
                _row(sheet, row)
    if strays:
        _strays(sheet, strays)
    if not sheet.page:
        sheet.begin("Clear-out list")
        sheet.words(MARGIN, sheet.y - WORDS, NOTHING, "text", WORDS)
    return sheet.done()


def _key(sheet: Paper) -> None:
    """What the signs of the strips mean, on one line."""
    x, ground = MARGIN, sheet.y - 20
    for fate, words in KEY:
        run_on(sheet.canvas, fate, x, 2, ground, 9)
        x += 24 + sheet.words(x + 24, ground, words, "text", 13) + 16
    sheet.y -= 34


def _pieces(chunks: Sequence[Chunk]) -> list[Piece]:
    """Each chunk in pieces that hold together: 'dig 1–14,' '16 ·'."""
    found: list[Piece] = []
    for chunk in chunks:
        face = "code" if chunk.fate == Fate.LEAVE else "text"
        parts = [str(chunk)]
        if chunk.fate != Fate.LEAVE:
            first, *more = chunk.parts
            parts = [f"{chunk.verb} {first}", *more]
        if chunk is not chunks[-1]:
            parts[-1] += " ·"
        found += [(part, face) for part in parts]
    return found


def _row(sheet: Paper, row: SpadeRow) -> None:
    """One row: its tick box, its strip, its line."""
    room = sheet.room - INSET
    lines = set_lines(_pieces(row.line), WORDS, room)
    strip = strip_height(row)
    whole = HEAD + 8 + strip + LEADING * len(lines) + BETWEEN
    if whole > sheet.left_over and (whole <= sheet.full or sheet.left_over < whole / 3):
        sheet.turn()
    _head(sheet, row)
    if strip > sheet.left_over:
        sheet.turn()
    strip_on(sheet.canvas, row, MARGIN + INSET, sheet.y, room)
    sheet.y -= strip
    for line in lines:
        if sheet.left_over < LEADING:
            sheet.turn()
            _head(sheet, row, more=True)
        x = MARGIN + INSET
        for text, face in line:
            sheet.words(x, sheet.y - WORDS, text, face, WORDS)
            x += with_blank(text, face) * WORDS
        sheet.y -= LEADING
    sheet.rule(sheet.y - BETWEEN / 3)
    sheet.y -= BETWEEN


def _head(sheet: Paper, row: SpadeRow, more: bool = False) -> None:
    if not more:
        sheet.tick_box(MARGIN, sheet.y, BOX)
    told = f"Row {row.number}, {row.span}" + (", continued" if more else "")
    baseline = sheet.y - HEAD
    x = MARGIN + INSET + sheet.words(MARGIN + INSET, baseline, told, "code", HEAD)
    sheet.words(x + 14, baseline, f"cross {row.cross}", "text", HEAD * 0.8)
    told = f"dig {len(row.dig)}" + (f", leave {len(row.stays)}" if row.stays else "")
    sheet.words(sheet.width - MARGIN, baseline, told, "code", HEAD, right=True)
    sheet.y -= HEAD + 8


def _strays(sheet: Paper, strays: Sequence[Stray]) -> None:
    """Discarded plants that stand in beds, one a line."""
    sheet.begin("Discarded, moved before", f"dig {len(strays)}")
    for stray in strays:
        if sheet.left_over < BOX + 8:
            sheet.turn()
        sheet.tick_box(MARGIN, sheet.y, BOX)
        half = (sheet.room - INSET) / 2
        at = sheet.y - BOX * 0.72
        sheet.words(MARGIN + INSET, at, stray.place, "code", WORDS, half - 10)
        sheet.words(MARGIN + INSET + half, at, stray.label, "text", WORDS, half)
        sheet.y -= BOX + 8
