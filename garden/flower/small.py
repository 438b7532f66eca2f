"""The flower in a list: flat bold shapes with a clear outline, made for 24 px."""

from __future__ import annotations

import random

from garden.flower.geometry import Petal, mirrored, smooth
from garden.flower.marks import splashes
from garden.flower.paint import Paint
from garden.flower.shade import darker, is_pale, lightness, line, mix
from garden.flower.shapes import (
    BACK_STANDARD,
    FRONT_FALL,
    RIGHT_FALL,
    RIGHT_STANDARD,
    SIDE_FALL,
    SIDE_STANDARD,
)


def _pair(petal: Petal, count: int, inset: float = 0.0) -> str:
    points = petal.margin(count, inset)
    return smooth(points, True, 0) + smooth(mirrored(points), True, 0)


def _seam(petal: Petal, count: int, inset: float) -> str:
    """An open line inside the margin, that leaves out the haft."""
    return smooth(petal.margin(count, inset)[1:-1], digits=0)


def _seams(petal: Petal, count: int, inset: float) -> str:
    points = petal.margin(count, inset)[1:-1]
    return smooth(points, digits=0) + smooth(mirrored(points), digits=0)


_BACK = BACK_STANDARD.outline(9, 0)
_STANDARDS = _pair(SIDE_STANDARD, 10)
_FALLS = _pair(SIDE_FALL, 10)
_FALL = FRONT_FALL.outline(12, 0)
_FALLS_EDGE = _seams(SIDE_FALL, 8, 3.2) + _seam(FRONT_FALL, 9, 3.2)
_STANDARDS_EDGE = _seams(SIDE_STANDARD, 8, 3.4)
_FALLS_WITHIN = (
    "M50 56C44 70 29 74 33 85Q40 94 50 94T67 85C71 74 56 70 50 56z"
    "M39 49Q23 44 14 54T9 72C17 75 18 67 23 60Q29 52 39 49z"
    "M61 49Q77 44 86 54T91 72C83 75 82 67 77 60Q71 52 61 49z"
)
_STANDARDS_WITHIN = (
    "M44 50C36 42 20 32 26 22Q33 12 43 11 40 26 44 50z"
    "M56 50C64 42 80 32 74 22Q67 12 57 11 60 26 56 50z"
)
_STYLE = "M50 60c-4-1-3-8-8-12-1-4 1-7 5-8l3 5 3-5c4 1 6 4 5 8-5 4-4 11-8 12z"
_BEARDS = "M50 59V73M37 51q-6-1-11 3M63 51q6-1 11 3"
_HAFTS = "M45 58l-6 11M55 58l6 11M38 55l-9 5M62 55l9 5M38 47l-11 0M62 47l11 0"
_VEINS = "M50 66V92M45 64Q36 74 36 86M55 64Q64 74 64 86M33 51Q20 56 13 70M67 51Q80 56 87 70"
_HEART = (
    "M45 54Q38 66 50 80 62 66 55 54zM42 50Q30 44 19 56 34 57 43 54zM58 50Q70 44 81 56 66 57 57 54z"
)
_STITCHED = ' stroke-dasharray="1 6"'
_FLUSH = "M46 50Q27 38 32 20 44 26 46 50zM54 50Q73 38 68 20 56 26 54 50z"


def _stroke(data: str, paint: str, width: float, more: str = "") -> str:
    return f'<path d="{data}" stroke="{paint}" stroke-width="{width:g}"{more}/>'


def _fill(data: str, paint: str, edge: str = "", more: str = "") -> str:
    outline = f' stroke="{edge}"' if edge else ""
    return f'<path d="{data}" fill="{paint}"{outline}{more}/>'


def _splashed(petals: tuple[Petal, ...], paint: str, rng: random.Random) -> str:
    return _fill("".join(splashes(petal, 3, rng, 2, digits=0) for petal in petals), paint)


def _standards_marks(paint: Paint, rng: random.Random) -> str:
    if paint.pattern == "plicata" and is_pale(paint.standards):
        return _stroke(_STANDARDS_EDGE, paint.mark, 4, _STITCHED)
    if paint.pattern == "luminata":
        return _fill(_FLUSH, mix(paint.standards, paint.mark, 0.5))
    if paint.pattern == "blend":
        return _fill(_STANDARDS_WITHIN, mix(paint.standards, paint.flush, 0.6))
    if paint.pattern == "broken colour":
        return _splashed((SIDE_STANDARD, RIGHT_STANDARD), paint.flush, rng)
    return ""


def _falls_marks(paint: Paint, rng: random.Random) -> str:
    if paint.pattern == "plicata":
        return _stroke(_FALLS_EDGE, paint.mark, 4.4, _STITCHED)
    if paint.pattern == "luminata":
        return _fill(_HEART, paint.mark) + _stroke(_VEINS, mix(paint.falls, paint.mark, 0.7), 1.6)
    if paint.pattern == "blend":
        return _fill(_FALLS_WITHIN, mix(paint.falls, paint.mark, 0.6))
    if paint.pattern == "broken colour":
        return _splashed((SIDE_FALL, RIGHT_FALL, FRONT_FALL), paint.mark, rng)
    return ""


def draw_small(paint: Paint, key: str) -> str:
    """Inner markup of the small flower; `key` steers where splashes fall."""
    rng = random.Random(key)
    outer = paint.rim or paint.falls
    edge_s, edge_f = line(paint.standards), line(outer)
    back = darker(paint.standards, 0.09)
    parts = [
        '<g fill="none" stroke-width="2" stroke-linecap="round">',
        _fill(_BACK, back, edge_s),
        _fill(_FALLS, outer if paint.rim else darker(paint.falls, 0.035), edge_f),
        _fill(_STANDARDS, paint.standards, edge_s),
        _standards_marks(paint, rng),
        _fill(_FALL, outer, edge_f),
        _fill(_FALLS_WITHIN, paint.falls) if paint.rim else "",
        _falls_marks(paint, rng),
        _stroke(_HAFTS, paint.haft, 3) if paint.haft else "",
        _fill(_STYLE, paint.styles, line(paint.styles)),
        _stroke(_BEARDS, _beard_edge(paint), 8.5),
        _stroke(_BEARDS, paint.beard, 6),
        "</g>",
    ]
    return "".join(parts)


def _beard_edge(paint: Paint) -> str:
    """A ring round the beard: dark when the petal is as light as the beard, else the petal."""
    if abs(lightness(paint.beard) - lightness(paint.falls)) > 0.25:
        return paint.falls
    return line(paint.beard)
