"""What stands on a sheet besides words: boxes to tick, lines to write on, drawn flowers."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from garden.flower import Recipe
from garden.flower.onpaper import flower_form
from garden.paper import fonts
from garden.paper.sizes import EDGE, INK


class Blank:
    """A cell to be filled in by hand: a box to tick or a line to write on."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __repr__(self) -> str:
        return self.name


BOX, LINE = Blank("BOX"), Blank("LINE")


class Box(Flowable):  # type: ignore[misc]
    """A box to tick, `size` points wide."""

    def __init__(self, size: float = 11.0) -> None:
        super().__init__()
        self.size = size

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self.size, self.size

    def draw(self) -> None:
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(0.9)
        self.canv.rect(0.45, 0.45, self.size - 0.9, self.size - 0.9)


class Line(Flowable):  # type: ignore[misc]
    """A line to write on, as wide as its room, with `space` points above it."""

    def __init__(self, space: float = 16.0) -> None:
        super().__init__()
        self.space = space

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        return width, self.space

    def draw(self) -> None:
        self.canv.setStrokeColor(HexColor(EDGE))
        self.canv.setLineWidth(0.6)
        self.canv.line(0, 1, self.width, 1)


class Slots(Flowable):  # type: ignore[misc]
    """Boxes to write short numbers into, as many as asked, line after line; sizes in points."""

    def __init__(
        self, count: int, wide: float = 44.0, high: float = 20.0, gap: float = 4.0
    ) -> None:
        super().__init__()
        self.count, self.wide, self.high, self.gap = count, wide, high, gap

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.columns = max(1, int((width + self.gap) // (self.wide + self.gap)))
        rows = -(-self.count // self.columns)
        return width, rows * (self.high + self.gap)

    def draw(self) -> None:
        rows = -(-self.count // self.columns)
        self.canv.setStrokeColor(HexColor(EDGE))
        self.canv.setLineWidth(0.6)
        for at in range(self.count):
            row, column = divmod(at, self.columns)
            y = (rows - 1 - row) * (self.high + self.gap) + self.gap
            self.canv.rect(column * (self.wide + self.gap), y, self.wide, self.high)


class Remarks(Flowable):  # type: ignore[misc]
    """Lines to write on in what is left of the page, `most` at most; none where nothing is left."""

    STEP = 21.0

    def __init__(self, label: str, face: str, size: float, most: int) -> None:
        super().__init__()
        self.label, self.face, self.size, self.most = label, face, size, most
        self.lines = 0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        self.lines = max(0, min(self.most, int((height - 4) // self.STEP)))
        return width, self.lines * self.STEP

    def draw(self) -> None:
        canvas, high = self.canv, self.lines * self.STEP
        if not self.lines:
            return
        begin = fonts.width(self.label, self.face, self.size) + 8
        canvas.setFillColor(HexColor(INK))
        fonts.draw(canvas, 0, high - self.STEP + 3, self.label, self.face, self.size)
        canvas.setStrokeColor(HexColor(EDGE))
        canvas.setLineWidth(0.6)
        for at in range(1, self.lines + 1):
            canvas.line(begin if at == 1 else 0, high - at * self.STEP + 1, self.width,
                        high - at * self.STEP + 1)  # fmt: skip


class Blossom(Flowable):  # type: ignore[misc]
    """The drawn flower, as vectors, `size` points square."""

    def __init__(self, recipe: Recipe, size: float) -> None:
        super().__init__()
        self.recipe, self.size = recipe, size

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self.size, self.size

    def draw(self) -> None:
        blossom(self.canv, self.recipe, 0, 0, self.size)


def blossom(canvas: Any, recipe: Recipe, x: float, y: float, size: float) -> None:
    """Draw a flower with its lower left corner at (x, y), `size` points square."""
    forms = canvas.__dict__.setdefault("flowers_drawn", {})
    if recipe not in forms:
        forms[recipe] = f"bloom{len(forms)}"
        flower_form(canvas, forms[recipe], recipe)
    canvas.saveState()
    canvas.transform(size / 100, 0, 0, size / 100, x, y)
    canvas.doForm(forms[recipe])
    canvas.restoreState()
