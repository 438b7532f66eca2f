"""A printed sheet that runs on from page to page: heading, foot, and words set in lines."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from breeding.charts.measure import clean, ems, font, has
from garden.paper.sizes import PAPERS

MARGIN, FOOT = 14 * mm, 9 * mm
TITLE, OVER = 26.0, 12.0
# Words with the face that they are set in.
Piece = tuple[str, str]


def printable(text: str, face: str) -> str:
    """`text` on one line, with '·' for every sign that the face lacks."""
    return "".join(sign if has(face, sign) else "·" for sign in clean(text))


def with_blank(text: str, face: str) -> float:
    """Width of `text` and the blank behind it, in ems; `printable` cuts blanks at the ends."""
    return ems(text, face) + ems("n n", face) - ems("nn", face)


def set_lines(pieces: Sequence[Piece], size: float, room: float) -> list[list[Piece]]:
    """`pieces` in lines not wider than `room` points; a piece is broken at its blanks only where
    it is wider than a whole line."""
    lines: list[list[Piece]] = [[]]
    used = 0.0
    for text, face in _short(pieces, size, room):
        wide = with_blank(text, face) * size
        if lines[-1] and used + wide > room:
            lines.append([])
            used = 0.0
        lines[-1].append((text, face))
        used += wide
    return lines


def _short(pieces: Sequence[Piece], size: float, room: float) -> list[Piece]:
    found = []
    for text, face in pieces:
        text = printable(text, face)
        fits = with_blank(text, face) * size <= room
        found += [(text, face)] if fits else [(word, face) for word in text.split()]
    return found


class Paper:
    """A sheet and where the next thing goes on it: `y` points from the lower edge."""

    def __init__(self, paper: str, title: str, footer: str) -> None:
        self.width, self.height = PAPERS[paper]
        self.canvas = Canvas(
            None, pagesize=PAPERS[paper], initialFontName=font("text"), invariant=1
        )
        self.canvas.setTitle(title)
        self.footer = printable(footer, "text")
        self.page, self.heading, self.y = 0, ("", ""), 0.0

    @property
    def room(self) -> float:
        """Width between the margins."""
        return float(self.width - 2 * MARGIN)

    @property
    def left_over(self) -> float:
        """Height that is left on this page."""
        return float(self.y - MARGIN - FOOT)

    @property
    def full(self) -> float:
        """Height of a page below its heading."""
        return float(self.height - 2 * MARGIN - FOOT - TITLE - 12)

    def begin(self, title: str, beside: str = "") -> None:
        """A new page under a heading, which following pages carry on."""
        self.heading = (title, beside)
        self.turn(more=False)

    def turn(self, more: bool = True) -> None:
        """On to a new page."""
        if self.page:
            self.canvas.showPage()
        self.page += 1
        title, beside = self.heading
        top = self.height - MARGIN
        self.words(MARGIN, top - TITLE * 0.8, f"{title}, continued" if more else title,
                   "name", TITLE, self.room - ems(beside, "code") * 16 - 12)  # fmt: skip
        self.words(self.width - MARGIN, top - TITLE * 0.8, beside, "code", 16, right=True)
        self.rule(top - TITLE - 3, 1.2)
        self.words(MARGIN, MARGIN, self.footer, "text", OVER, self.room - 70)
        self.words(self.width - MARGIN, MARGIN, f"page {self.page}", "text", OVER, right=True)
        self.y = top - TITLE - 12

    def rule(self, y: float, width: float = 0.5) -> None:
        self.canvas.setStrokeGray(0)
        self.canvas.setLineWidth(width)
        self.canvas.line(MARGIN, y, self.width - MARGIN, y)

    def words(
        self, x: float, y: float, text: str, face: str, size: float,
        room: float = 0.0, right: bool = False,
    ) -> float:  # fmt: skip
        """Set words from `x` on (`right`: up to `x`), smaller where they would be wider than
        `room`; their width."""
        text = printable(text, face)
        wide = ems(text, face)
        size = min(size, room / wide) if room and wide else size
        self.canvas.setFillGray(0)
        self.canvas.setFont(font(face), size)
        (self.canvas.drawRightString if right else self.canvas.drawString)(x, y, text)
        return wide * size

    def tick_box(self, x: float, top: float, size: float) -> None:
        self.canvas.setStrokeGray(0)
        self.canvas.setLineWidth(1.6)
        self.canvas.rect(x, top - size, size, size)

    def done(self) -> bytes:
        """The whole file."""
        self.canvas.showPage()
        return bytes(self.canvas.getpdfdata())
