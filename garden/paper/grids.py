"""Tables on a sheet: columns that share the room by what they hold, heads that repeat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.platypus import Table

from garden.flower import Recipe
from garden.paper import fonts
from garden.paper.pieces import BOX, LINE, Blossom, Box, Line
from garden.paper.sizes import INK, RULE
from garden.paper.words import BOLD, TEXT, clean, paragraph, words_width

PAD, APART, BLOSSOM, TO_WRITE = 3.0, 8.0, 20.0, 34 * mm
# A row higher than this may be parted, into parts of so much at least.
TALLEST, LEAST_PART = 300.0, 40
# A word longer than this share of the room is broken.
LONGEST = 0.3


def cell(what: Any, face: str, size: float, align: str) -> Any:
    """A cell's flowable."""
    if what is BOX:
        return Box(size * 1.15)
    if what is LINE:
        return Line(size * 1.35)
    if isinstance(what, Recipe):
        return Blossom(what, BLOSSOM)
    if isinstance(what, str | int | float):
        return paragraph(str(what), face, size, align=align)
    return what


def _wishes(what: Any, face: str, size: float) -> tuple[float, float]:
    """(least, wished) width of a cell in points."""
    if isinstance(what, str | int | float):
        words = str(what).split() or [""]
        longest = max(words_width(word, face, size) for word in words)
        return longest, words_width(str(what), face, size)
    if what is LINE:
        return TO_WRITE, TO_WRITE
    wide = size * 1.15 if what is BOX else BLOSSOM if isinstance(what, Recipe) else 0.0
    wide = wide or float(getattr(what, "width", 0) or 0)
    return wide, wide


def shared(
    least: Sequence[float], wished: Sequence[float], room: float, grow: Sequence[bool] = ()
) -> list[float]:
    """Widths of columns that fill `room` exactly.

    Where all wishes fit, what is over goes to those that `grow` (to all, where none does). Else
    the widest give way, none below its least, so that narrow columns stay on one line. Where not
    even the least fits, all shrink alike.
    """
    if sum(least) >= room:
        return [one * room / sum(least) for one in least]
    most = [max(low, want) for low, want in zip(least, wished, strict=True)]
    if sum(most) <= room:
        growing = list(grow) if any(grow) else [True] * len(most)
        each = (room - sum(most)) / sum(growing)
        return [one + each * add for one, add in zip(most, growing, strict=True)]
    low, high = 0.0, max(most)
    for _ in range(40):
        cap = (low + high) / 2
        wide = [max(one, min(want, cap)) for one, want in zip(least, most, strict=True)]
        low, high = (cap, high) if sum(wide) <= room else (low, cap)
    wide = [max(one, min(want, low)) for one, want in zip(least, most, strict=True)]
    return [one + (room - sum(wide)) / len(wide) for one in wide]


def widths_of(
    head: Sequence[str], rows: Sequence[Sequence[Any]], faces: Sequence[str],
    right: Sequence[int], size: float, room: float,
) -> list[float]:  # fmt: skip
    """Widths in points by what the columns hold."""
    least, wished, grow = [], [], []
    for at, title in enumerate(head):
        cells = [_wishes(title, BOLD, size - 1)]
        cells += [_wishes(row[at], faces[at], size) for row in rows]
        beside = PAD + (APART if at in right else PAD) + 0.5
        least.append(min(max(one[0] for one in cells), room * LONGEST) + beside)
        wished.append(max(one[1] for one in cells) + beside)
        # Words and lines to write on take what is left; numbers stay close to their heads.
        grow.append(at not in right and any(" " in str(row[at]) or row[at] is LINE for row in rows))
    return shared(least, wished, room, grow)


def given_widths(widths: Sequence[float], room: float) -> list[float]:
    """Widths in points of widths in mm, where 0 takes an equal part of what is left."""
    known = [wide * mm for wide in widths]
    free = known.count(0)
    rest = max(0.0, room - sum(known)) / free if free else 0.0
    return [wide or rest for wide in known]


def plain(what: Any, face: str, size: float, room: float) -> str | None:
    """A cell's words as they are, where they take one line of one font: drawn many times quicker
    than a paragraph. None where they do not."""
    if not isinstance(what, str | int | float):
        return None
    text = clean(str(what))
    one_font = not text or fonts.runs(text, face) == [(text, face)]
    return text if one_font and words_width(text, face, size) <= room else None


def grid(
    head: Sequence[Any], rows: Sequence[Sequence[Any]], room: float, widths: Sequence[float] = (),
    right: Sequence[int] = (), faces: Mapping[int, str] | None = None, size: float = 9.5,
    ruled: bool = True, look: Sequence[tuple[Any, ...]] = (),
) -> Table:  # fmt: skip
    """A table `room` points wide; an empty `head` leaves it off. `look` is more of its style, in
    reportlab's commands."""
    count = len(head) or len(rows[0])
    set_in = [(faces or {}).get(at, TEXT) for at in range(count)]
    align = ["right" if at in right else "left" for at in range(count)]
    wide = given_widths(widths, room) if widths else widths_of(
        head or [""] * count, rows, set_in, right, size, room
    )  # fmt: skip
    top = [[cell(one, BOLD, size - 1, side) for one, side in zip(head, align, strict=False)]]
    within = [one - PAD - (APART if at in right else PAD) for at, one in enumerate(wide)]
    data = (top if head else []) + [_row(row, set_in, size, align, within) for row in rows]
    table = Table(data, wide, repeatRows=int(bool(head)))
    table.setStyle(_columns(set_in, size, right, int(bool(head))))
    table.setStyle([*_look(bool(head), ruled), *look])
    table.wrap(room, 0)
    # Only a row that is no row any more is parted.
    table.splitInRow = LEAST_PART if max(table._rowHeights) > TALLEST else 0
    return table


def _row(
    row: Sequence[Any], faces: Sequence[str], size: float, align: Sequence[str],
    within: Sequence[float],
) -> list[Any]:  # fmt: skip
    cells = []
    for one, face, side, room in zip(row, faces, align, within, strict=True):
        words = plain(one, face, size, room)
        cells.append(cell(one, face, size, side) if words is None else words)
    return cells


def _columns(
    faces: Sequence[str], size: float, right: Sequence[int], first: int
) -> list[tuple[Any, ...]]:
    """How plain words are set in each column: as paragraphs are."""
    look: list[tuple[Any, ...]] = [
        ("LEFTPADDING", (0, 0), (-1, -1), PAD),
        ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
    ]
    for at, face in enumerate(faces):
        look.append(("FONT", (at, 0), (at, -1), face, size, size * 1.25))
        if at in right:
            look.append(("ALIGN", (at, first), (at, -1), "RIGHT"))
            if at + 1 < len(faces):
                look.append(("RIGHTPADDING", (at, 0), (at, -1), APART))
    return look


def _look(head: bool, ruled: bool) -> list[tuple[Any, ...]]:
    ink, rule = HexColor(INK), HexColor(RULE)
    look: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 2.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3.4),
    ]
    if ruled:
        look.append(("LINEBELOW", (0, 0), (-1, -1), 0.4, rule))
    if head:
        look += [
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            ("LINEBELOW", (0, 0), (-1, 0), 1.0, ink),
        ]
    return look
