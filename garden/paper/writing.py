"""A document that fills its pages from above: the pieces of a sheet, and its PDF."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    Image,
    KeepTogether,
    PageBreak,
    Spacer,
    Table,
)

from garden.flower import Recipe
from garden.paper.grids import PAD, grid
from garden.paper.pages import Pages
from garden.paper.pieces import Blossom, Box, Line, Remarks
from garden.paper.sizes import BOTTOM, FOOT, RUNNING, SIDE, SOFT, TOP, page_size
from garden.paper.words import BOLD, NAME, TEXT, paragraph, words_width

# What has to stand behind a heading on its page.
BEHIND_HEADING = 64.0
HEADINGS = {2: (NAME, 15.0), 3: (BOLD, 10.5)}


class Document:
    """Pieces in the order in which they go on the paper; see `garden.paper`."""

    def __init__(
        self, title: str, garden: str, day: str, paper: str = "A4", across: bool = False,
        beside: str = "", heads: bool = True,
    ) -> None:  # fmt: skip
        self.title, self.garden, self.day = title, garden, day
        self.size = page_size(paper, across)
        self.title_beside, self.heads = beside, heads
        self._story: list[Flowable] = []
        self._aside: tuple[Flowable, float] | None = None
        self._kept = False

    @property
    def room(self) -> float:
        """Width between the margins, in points."""
        return float(self.size[0] - 2 * SIDE)

    @property
    def height(self) -> float:
        """Height of a page between its head and its foot, in points."""
        return float(self.size[1] - TOP - RUNNING - BOTTOM - FOOT)

    def heading(self, text: str, level: int = 2) -> None:
        """A heading, never the last line of a page."""
        face, size = HEADINGS[level]
        if not self._kept:
            self._story.append(CondPageBreak(size * 1.5 + BEHIND_HEADING))
        self.add(
            paragraph(
                text, face, size, leading=size * 1.15, spaceBefore=size * 0.8,
                spaceAfter=size * 0.3,
            )
        )  # fmt: skip

    def text(self, text: str, face: str = TEXT, size: float = 10.5) -> None:
        """A paragraph."""
        self.add(paragraph(text, face, size, leading=size * 1.32, spaceAfter=size * 0.5))

    def note(self, text: str) -> None:
        """A paragraph for sources and reservations."""
        self.add(paragraph(text, TEXT, 8.5, ink=SOFT, leading=11.0, spaceAfter=4.0))

    def facts(self, pairs: Sequence[tuple[str, str]], columns: int = 1) -> None:
        """Names and values side by side."""
        if not pairs:
            return
        rows = -(-len(pairs) // columns)
        filled = [*pairs, *[("", "")] * (rows * columns - len(pairs))]
        lines = [
            [word for at in range(columns) for word in filled[at * rows + row]]
            for row in range(rows)
        ]
        label = max(words_width(name, TEXT, 9.5) for name, _ in pairs) + 2 * PAD + 4
        label = min(label, self.room / columns * 0.45) / mm
        self.table(
            [], lines, widths=[label, 0] * columns, ruled=False,
            faces={2 * at + 1: BOLD for at in range(columns)},
        )  # fmt: skip

    def table(
        self, head: Sequence[str], rows: Sequence[Sequence[Any]], widths: Sequence[float] = (),
        right: Sequence[int] = (), faces: Mapping[int, str] | None = None, size: float = 9.5,
        ruled: bool = True,
    ) -> None:  # fmt: skip
        """A table that repeats its head; nothing without rows."""
        if rows:
            self.add(grid(head, rows, self.room, widths, right, faces, size, ruled))
            self.gap(2)

    def picture(
        self, what: Any, width: float, height: float = 0, caption: str = "", side: str = "left"
    ) -> None:
        """A flower, a drawing or a photo; mm."""
        shown = self._shown(what, width, height)
        shown.hAlign = side.upper()
        under = [paragraph(caption, TEXT, 8.5, ink=SOFT, align=side)] if caption else []
        self.add(KeepTogether([shown, Spacer(1, 3), *under, Spacer(1, 4)]))

    def beside(self, what: Any, width: float) -> None:
        """A picture at the left of the very next piece; mm."""
        self._aside = (self._shown(what, width, 0), width * mm)

    def field(self, label: str, lines: int = 1) -> None:
        """A label and lines to write on."""
        wide = min(words_width(label, BOLD, 9.5) + 8, self.room * 0.4)
        rows = [[paragraph(label, BOLD, 9.5), Line(18)]]
        rows += [["", Line(20)] for _ in range(lines - 1)]
        self.add(_plain(rows, [wide, self.room - wide]), Spacer(1, 4))

    def fields(self, labels: Sequence[str]) -> None:
        """Labels, each with a line to write on, side by side."""
        cells: list[Any] = []
        wide: list[float] = []
        for label in labels:
            cells += [paragraph(label, BOLD, 9.5), Line(18)]
            begin = words_width(label, BOLD, 9.5) + 6
            wide += [begin, self.room / len(labels) - begin - (8 if label != labels[-1] else 0)]
            if label != labels[-1]:
                cells.append("")
                wide.append(8.0)
        self.add(_plain([cells], wide), Spacer(1, 4))

    def remarks(self, label: str = "Remarks", most: int = 4) -> None:
        """Lines to write on in what is left of the page; no new page for them."""
        self.add(Remarks(label, BOLD, 9.5, most))

    def boxes(self, label: str, words: Sequence[str]) -> None:
        """Words to tick, in one line or more."""
        cells: list[Any] = [paragraph(label, BOLD, 9.5)]
        wide = [min(words_width(label, BOLD, 9.5) + 10, self.room * 0.3)]
        for word in words:
            cells += [Box(), paragraph(word, TEXT, 9.5)]
            wide += [15.0, words_width(word, TEXT, 9.5) + 14]
        self.add(_plain([cells], wide), Spacer(1, 4))

    def gap(self, size: float) -> None:
        """A blank of so many mm."""
        self._story.append(Spacer(1, size * mm))

    def turn(self) -> None:
        """On to a new page."""
        self._story.append(PageBreak())

    def add(self, *flowables: Flowable) -> None:
        """Pieces of one's own."""
        for piece in flowables:
            if self._aside:
                shown, wide = self._aside
                self._aside = None
                wide += 10
                piece = _plain([[shown, piece]], [wide, self.room - wide])
            self._story.append(piece)

    @contextmanager
    def together(self) -> Iterator[None]:
        """Keep what is added on one page where it fits."""
        before, self._story, self._kept = self._story, [], True
        try:
            yield
        finally:
            inner, self._story, self._kept = self._story, before, False
        self._story.append(KeepTogether(inner))

    def pdf(self) -> bytes:
        """The whole file. Call it once."""
        return Pages(self).build(self._story)

    def _shown(self, what: Any, width: float, height: float) -> Any:
        if isinstance(what, Recipe):
            return Blossom(what, width * mm)
        if isinstance(what, bytes):
            image = Image(io.BytesIO(what))
            high = height * mm or width * mm * image.imageHeight / image.imageWidth
            image.drawWidth, image.drawHeight = width * mm, high
            return image
        return what


def _plain(rows: list[list[Any]], widths: list[float]) -> Table:
    return Table(
        rows,
        widths,
        hAlign="LEFT",
        style=[
            ("FONT", (0, 0), (-1, -1), TEXT, 9),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 1),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
        ],
    )


def document(
    title: str, garden: str, day: str, paper: str = "A4", across: bool = False,
    beside: str = "", heads: bool = True,
) -> Document:  # fmt: skip
    """A new document; raises KeyError when the paper is neither ``'A4'`` nor ``'Letter'``."""
    return Document(title, garden, day, paper, across, beside, heads)
