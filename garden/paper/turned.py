"""Words on end: heads of columns that are narrower than their titles."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from garden.paper import fonts
from garden.paper.fit import LEADING, set_in_lines, shortest
from garden.paper.sizes import INK
from garden.paper.words import BOLD, words_width


class Turned(Flowable):  # type: ignore[misc]
    """Text that runs upwards in the middle of its cell, in lines no longer than `most` points."""

    def __init__(self, text: str, size: float = 8.5, face: str = BOLD, most: float = 90.0) -> None:
        super().__init__()
        self.face, self.size, self.most = face, size, most
        one_line = words_width(text, face, size) <= most
        self.lines = [text] if one_line else set_in_lines(text, face, size, most)
        if not one_line:
            self.lines = shortest(text, face, size, len(self.lines))

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        long = max(words_width(line, self.face, self.size) for line in self.lines)
        return width, long + 2

    def draw(self) -> None:
        canvas, step = self.canv, self.size * LEADING
        step = min(step, self.width / len(self.lines))
        left = self.width / 2 - (len(self.lines) - 1) * step / 2 + self.size * 0.34
        canvas.setFillColor(HexColor(INK))
        for at, line in enumerate(self.lines):
            canvas.saveState()
            canvas.translate(left + at * step, 1)
            canvas.rotate(90)
            fonts.draw(canvas, 0, 0, line, self.face, self.size)
            canvas.restoreState()
