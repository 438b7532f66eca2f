"""The strip of a row on paper, in the shapes of the page and in black."""

from __future__ import annotations

from typing import Any

from breeding.charts.measure import ems, font
from evaluation.spadework.rows import Fate, SpadeRow
from evaluation.spadework.strip import A_LINE, lines_of, numbered

# Points.
GROUND, HEIGHT, NUMBER = 24.0, 40.0, 11.0
BLOCK, LOW = 15.0, 7.0


def strip_height(row: SpadeRow) -> float:
    return HEIGHT * len(lines_of(row))


def strip_on(canvas: Any, row: SpadeRow, left: float, top: float, room: float) -> None:
    """Draw a row from its upper left corner on, fifty positions to a line `room` points wide."""
    unit = room / A_LINE
    for at, (start, first, last) in enumerate(lines_of(row)):
        ground = top - HEIGHT * at - GROUND
        begin = left + (first - start) * unit
        canvas.setDash()
        canvas.setStrokeGray(0.25)
        canvas.setLineWidth(0.9)
        canvas.line(begin, ground, left + (last + 1 - start) * unit, ground)
        for fate, (one, other) in row.runs(first, last):
            run_on(canvas, fate, left + (one - start) * unit, other - one + 1, ground, unit)
        canvas.setFillGray(0)
        canvas.setFont(font("text"), NUMBER)
        for number in numbered(first, last):
            half = ems(str(number), "text") * NUMBER / 2
            x = min(left + (number - start + 0.5) * unit, left + room - half)
            canvas.drawCentredString(x, ground - NUMBER - 1, str(number))


def run_on(canvas: Any, fate: Fate, x: float, count: int, ground: float, unit: float) -> None:
    """Draw `count` positions of one fate, each `unit` points wide, from `x` on."""
    if fate == Fate.DIG:
        canvas.setFillGray(0.3)
        canvas.rect(x, ground, count * unit, BLOCK, stroke=0, fill=1)
    elif fate == Fate.WAIT:
        canvas.setStrokeGray(0.25)
        canvas.setLineWidth(0.9)
        canvas.setDash([2.5, 2])
        canvas.rect(x + 0.8, ground, count * unit - 1.6, LOW, stroke=1, fill=0)
        canvas.setDash()
    elif fate in (Fate.LEAVE, Fate.MOVED):
        for at in range(count):
            (_flower if fate == Fate.LEAVE else _arrow)(canvas, x + (at + 0.5) * unit, ground)


def _flower(canvas: Any, x: float, ground: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setFillGray(1)
    canvas.setLineWidth(1.6)
    canvas.line(x, ground, x, ground + 15)
    canvas.circle(x, ground + 18, 3.4, stroke=1, fill=1)
    canvas.setLineWidth(0.9)


def _arrow(canvas: Any, x: float, ground: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.9)
    canvas.line(x, ground + 2, x, ground + 10)
    canvas.line(x - 2.4, ground + 7, x, ground + 10)
    canvas.line(x + 2.4, ground + 7, x, ground + 10)
