"""The heart of the large flower: beards and style arms."""

from __future__ import annotations

from garden.flower.geometry import smooth
from garden.flower.marks import hairs
from garden.flower.shade import darker, lighter, lightness, line, mix
from garden.flower.shapes import FRONT_RIDGE, FRONT_STYLE, SIDE_RIDGE, SIDE_STYLE

_FRONT_HAIRS = tuple(hairs(FRONT_RIDGE, n, w, salt) for n, w, salt in (
    (34, 4.7, 3), (36, 4, 5), (22, 2.8, 8),
))  # fmt: skip
_SIDE_HAIRS = tuple(hairs(SIDE_RIDGE, n, w, salt) for n, w, salt in (
    (22, 3.7, 2), (24, 3.1, 4), (14, 2.2, 9),
))  # fmt: skip
_FRONT_LINE, _SIDE_LINE = smooth(FRONT_RIDGE), smooth(SIDE_RIDGE)
_FRONT_STYLE, _SIDE_STYLE = smooth(FRONT_STYLE, True), smooth(SIDE_STYLE, True)
_FRONT_RIBS = (
    "M50 47V57M48.2 43.5Q48 50 49 56M51.8 43.5Q52 50 51 56"
    "M44.4 42.4Q46.6 45 47.6 50M55.6 42.4Q53.4 45 52.4 50M43 44.6Q45.4 46.4 46.8 49.6"
    "M57 44.6Q54.6 46.4 53.2 49.6M47.6 56Q50 54.4 52.4 56"
)
_SIDE_RIBS = "M46 54.6Q39 49.6 32.4 44.4M44.6 52.4Q39.6 47.4 35 42.6M41 52Q36.6 48.6 32 46.6"


def _path(data: str, paint: str, width: float, fill: str = "none") -> str:
    filled = f' fill="{fill}"' if fill != "none" else ""
    return f'<path d="{data}" stroke="{paint}" stroke-width="{width:g}"{filled}/>'


def _tones(paint: str) -> tuple[str, str, str]:
    """Depth, body and tips of a beard; pale beards are warm in their depth."""
    if lightness(paint) > 0.92:
        return "#d9c788", mix(paint, "#f0e6b8", 0.35), "#ffffff"
    return darker(paint, 0.2), paint, lighter(paint, 0.45)


def beard(paint: str, front: bool) -> str:
    """A caterpillar of hairs in three tones, from the throat down the middle of a fall."""
    layers = _FRONT_HAIRS if front else _SIDE_HAIRS
    ridge, width = (_FRONT_LINE, 3) if front else (_SIDE_LINE, 2.4)
    deep, body, tips = _tones(paint)
    return (
        _path(layers[0], deep, 0.6)
        + _path(ridge, mix(deep, body, 0.5), width)
        + _path(layers[1], body, 0.5)
        + _path(layers[2], tips, 0.4)
    )


def _style(shape: str, ribs: str, paint: str) -> str:
    return _path(shape, line(paint), 0.4, lighter(paint, 0.18)) + _path(
        ribs, darker(paint, 0.12), 0.45
    )


def front_style(paint: str) -> str:
    """The front style arm with its two crests, and the lip over the beard."""
    return _style(_FRONT_STYLE, _FRONT_RIBS, paint)


def side_style(paint: str) -> str:
    """The left style arm; mirror it for the right."""
    return _style(_SIDE_STYLE, _SIDE_RIBS, paint)
