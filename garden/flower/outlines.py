"""Outlines of the drawn flower as operators of PDF.

Path data are read by fontTools, which is here because matplotlib needs it.
"""

from __future__ import annotations

from functools import lru_cache

Point = tuple[float, float]


class _Pen:
    """Writes down what fontTools reads; only cubic curves are known to PDF."""

    def __init__(self) -> None:
        self.steps: list[str] = []
        self.here: Point = (0.0, 0.0)

    def _step(self, sign: str, *points: Point) -> None:
        numbers = " ".join(f"{x:.3f} {y:.3f}" for x, y in points)
        self.steps.append(f"{numbers} {sign}")
        self.here = points[-1]

    def moveTo(self, point: Point) -> None:
        self._step("m", point)

    def lineTo(self, point: Point) -> None:
        self._step("l", point)

    def curveTo(self, one: Point, two: Point, point: Point) -> None:
        self._step("c", one, two, point)

    def qCurveTo(self, turn: Point, point: Point) -> None:
        one, two = (
            (end[0] + (turn[0] - end[0]) * 2 / 3, end[1] + (turn[1] - end[1]) * 2 / 3)
            for end in (self.here, point)
        )
        self._step("c", one, two, point)

    def closePath(self) -> None:
        self.steps.append("h")

    def endPath(self) -> None:
        """An open line ends where it is."""


@lru_cache(maxsize=2048)
def operators(data: str) -> str:
    """SVG path data as path operators; the petals of all flowers are much the same few."""
    from fontTools.svgLib.path import parse_path

    pen = _Pen()
    parse_path(data, pen)
    return " ".join(pen.steps)


@lru_cache(maxsize=512)
def ellipse(x: float, y: float, across: float, down: float) -> str:
    """An ellipse about (x, y) as path operators."""
    k = 0.5523
    pen = _Pen()
    pen.moveTo((x + across, y))
    for (a, b), (c, d) in (
        ((1, 0), (0, 1)),
        ((0, 1), (-1, 0)),
        ((-1, 0), (0, -1)),
        ((0, -1), (1, 0)),
    ):
        pen.curveTo(
            (x + across * (a + k * c), y + down * (b + k * d)),
            (x + across * (c + k * a), y + down * (d + k * b)),
            (x + across * c, y + down * d),
        )
    pen.closePath()
    return " ".join(pen.steps)
