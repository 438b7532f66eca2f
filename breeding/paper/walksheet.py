"""A row on paper to walk along: one line a seedling, with what was said before and boxes to mark.

What is marked is what the look-over and the garden's rubric for the first walk ask.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.platypus import Spacer

from garden.flower import Recipe
from garden.paper import BOLD, BOX, ITALIC, NAME, Document, document
from garden.paper.grids import grid
from garden.paper.sizes import EDGE
from garden.paper.turned import Turned
from garden.paper.words import TEXT, paragraph, words_width

TICKS = ("Nothing", "Look again", "Gap", "Dead")
# Widths in mm.
POSITION, SAID, TICK, MARK, LEAST_NOTE = 12.0, 34.0, 6.2, 10.0, 26.0
# More criteria than these lie on the sheet across.
UPRIGHT = 6
# Heights in points: of a line, and the most of the heads on end.
ROW, HEAD = 25.0, 62.0


@dataclass(frozen=True, slots=True)
class Marked:
    """A criterion: its title, how it is marked ('0 to 5', 'count') and what full marks are."""

    title: str
    scale: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Stop:
    """A seedling that stands: its letter's code once it is selected, and what was said of it."""

    position: int
    code: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class WalkStretch:
    """Seedlings of a cross that stand from `first` to `last`; `gone` tells where none stands."""

    cross: str
    seed: str
    pollen: str
    first: int
    last: int
    lined_out: str
    stops: tuple[Stop, ...]
    gone: str = ""
    seed_flower: Recipe | None = None
    pollen_flower: Recipe | None = None


@dataclass(frozen=True, slots=True)
class Walk:
    """A row of a bed, or a part of it; `rubric` is the name of what is marked, '' without one."""

    bed: str
    row: int
    stretches: tuple[WalkStretch, ...]
    rubric: str = ""
    criteria: tuple[Marked, ...] = ()


def walk_pdf(walk: Walk, garden: str, day: str, paper: str = "A4") -> bytes:
    """The sheet for one walk; raises KeyError for an unknown paper."""
    only = walk.stretches[0].cross if len(walk.stretches) == 1 else ""
    across = len(walk.criteria) > UPRIGHT
    sheet = document(f"{walk.bed}, row {walk.row}", garden, day, paper, across=across, beside=only)
    if walk.stretches:
        sheet.fields(["Walked on", "by", "Weather"])
        _key(sheet, walk)
    else:
        sheet.text("No seedlings stand in this row.")
    for stretch in walk.stretches:
        _stretch(sheet, walk, stretch)
    sheet.remarks()
    return sheet.pdf()


def _key(sheet: Document, walk: Walk) -> None:
    """What the columns ask, for the whole walk."""
    if walk.criteria:
        told = [f"{each.title}, {each.scale}: {each.words}" if each.words else
                f"{each.title}, {each.scale}" for each in walk.criteria]  # fmt: skip
        sheet.note(f"{walk.rubric}. " + ". ".join(one.rstrip(".") for one in told) + ".")


def _stretch(sheet: Document, walk: Walk, stretch: WalkStretch) -> None:
    with sheet.together():
        _head(sheet, stretch)
        if stretch.gone:
            sheet.note(f"Nothing stands any more at {stretch.gone}.")
    if not stretch.stops:
        sheet.text("Nothing stands here any more.", ITALIC, 12)
        return
    sheet.add(_lines(sheet, walk, stretch))
    sheet.gap(3)


def _head(sheet: Document, stretch: WalkStretch) -> None:
    """Both parents with their flowers, the cross and its positions."""
    span = f"{stretch.first}–{stretch.last}" if stretch.last > stretch.first else f"{stretch.first}"
    parents = [
        [paragraph(word, TEXT, 8.5), paragraph(name, NAME, 13)]
        for word, name in (("Seed parent", stretch.seed), ("Pollen parent", stretch.pollen))
    ]
    about = [
        paragraph(stretch.cross, BOLD, 13),
        paragraph(f"positions {span}", TEXT, 9.5),
        paragraph(f"lined out {stretch.lined_out}", TEXT, 8.5),
    ]
    row = [stretch.seed_flower or "", parents[0], stretch.pollen_flower or "", parents[1], about]
    sheet.table([], [row], widths=[9, 0, 9, 0, 42], ruled=False)


def _lines(sheet: Document, walk: Walk, stretch: WalkStretch) -> Any:
    """The table of seedlings: position, said before, ticks, marks, a line."""
    count, room = len(walk.criteria), sheet.room / mm
    mark = MARK
    left = room - POSITION - SAID - TICK * len(TICKS) - LEAST_NOTE
    mark = min(MARK, left / count) if count else 0.0
    widths = [POSITION, SAID, *[TICK] * len(TICKS), *[mark] * count, 0]
    heads: list[Any] = ["", paragraph("Said before", BOLD, 8.5)]
    heads += [Turned(word, most=HEAD) for word in TICKS]
    heads += [Turned(f"{each.title} {each.scale}", most=HEAD) for each in walk.criteria]
    rows = [
        [
            paragraph(str(stop.position), BOLD, _size(stop.position)),
            _said(stop),
            *[BOX] * len(TICKS),
            *[""] * count,
            Spacer(1, ROW),
        ]
        for stop in stretch.stops
    ]
    heads.append(paragraph("Note", BOLD, 8.5))
    return grid(heads, rows, sheet.room, widths, look=_boxed(count))


def _size(position: int) -> float:
    """Of a position's number, so that it stays on one line."""
    return float(min(14.0, (POSITION * mm - 7) / words_width(str(position), BOLD, 1.0)))


def _said(stop: Stop) -> Any:
    told = [paragraph(stop.code, BOLD, 9.5)] if stop.code else []
    return [*told, paragraph(stop.said, TEXT, 8.5)] if stop.said or not told else told


def _boxed(count: int) -> list[tuple[Any, ...]]:
    first, edge = 2 + len(TICKS), HexColor(EDGE)
    look: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 1), (0, -1), "MIDDLE"),
        ("VALIGN", (2, 1), (1 + len(TICKS), -1), "MIDDLE"),
        ("LINEBELOW", (0, 1), (-1, -1), 0.5, edge),
        ("LEFTPADDING", (2, 0), (1 + len(TICKS) + count, -1), 1),
        ("RIGHTPADDING", (2, 0), (1 + len(TICKS) + count, -1), 1),
        ("ALIGN", (2, 0), (1 + len(TICKS), -1), "CENTER"),
    ]
    if count:
        look.append(("LINEBEFORE", (first, 1), (first + count, -1), 0.5, edge))
    return look
