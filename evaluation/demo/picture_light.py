"""How light lies on a petal: its surface in the round, and paints in light and shade.

Free of Django. Grey images hold light: 128 is the paint itself, 0 deepest shade, 255 full light.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from evaluation.demo.picture_shapes import Line, View, flattened
from garden.flower.geometry import Petal, Point, smooth
from garden.flower.shade import darker, is_pale, lightness, mix

Box = tuple[int, int, int, int]
Light = tuple[float, float, float]
HEART: Point = (50.0, 52.0)
_RINGS = 12
_MARGIN = 84
_COARSE = 3


@dataclass(frozen=True)
class Bow:
    """How a petal lies: `depth` before the axis, `arch` across, `hang` along, `rib` of its midrib.

    All in units of the box; `deep` (0 to 1) is how dark it is towards the heart.
    """

    depth: float = 0.0
    arch: float = 8.0
    hang: float = 4.0
    rib: float = 0.0
    deep: float = 0.5


@dataclass(frozen=True)
class Surface:
    """A petal on the layer: its `box` there, its shape (`mask`), light, and way from the heart.

    `margin` is its outline in units of the flower's box.
    """

    margin: Line
    box: Box
    mask: Image.Image
    level: Image.Image
    along: Image.Image


@lru_cache(maxsize=256)
def ramp(paint: str) -> tuple[list[int], list[int], list[int]]:
    """For each level of light the red, green and blue of a paint."""
    dark = lightness(paint) < 0.4
    shade = darker(darker(paint, 0.2), 0.2) if not is_pale(paint) else darker(paint, 0.36)
    light = mix(paint, "#fffdf6", 0.42 if dark else 0.72)
    knots = [(0, shade), (64, mix(shade, paint, 0.55)), (128, paint), (255, light)]
    reds: tuple[list[int], list[int], list[int]] = ([], [], [])
    for level in range(256):
        (low, first), (high, last) = next(
            pair for pair in pairwise(knots) if pair[0][0] <= level <= pair[1][0]
        )
        tone = mix(first, last, round((level - low) / (high - low), 2))
        for k, channel in enumerate(reds):
            channel.append(int(tone[1 + 2 * k : 3 + 2 * k], 16))
    return reds


def toned(level: Image.Image, paint: str) -> Image.Image:
    """A paint under the light of `level`."""
    return Image.merge("RGB", [level.point(table) for table in ramp(paint)])


def crop_box(points: Line, side: int, room: int = 4) -> Box:
    """The box of whole pixels round points, within a layer of `side` pixels."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (
        max(0, int(min(xs)) - room), max(0, int(min(ys)) - room),
        min(side, int(max(xs)) + room), min(side, int(max(ys)) + room),
    )  # fmt: skip


def filled(points: Line, box: Box, fine: int = 3) -> Image.Image:
    """Mask of a closed line with soft edges, the size of `box`."""
    size = (box[2] - box[0]) * fine, (box[3] - box[1]) * fine
    mask = Image.new("L", size)
    ImageDraw.Draw(mask).polygon(within(points, box, fine), fill=255)
    return mask.reduce(fine)


def drawn(lines: list[Line], box: Box, width: float, fine: int = 2) -> Image.Image:
    """Mask of open lines of some pixels' width, the size of `box`."""
    size = (box[2] - box[0]) * fine, (box[3] - box[1]) * fine
    mask = Image.new("L", size)
    draw = ImageDraw.Draw(mask)
    for line in lines:
        draw.line(within(line, box, fine), fill=255, width=max(1, round(width * fine)))
    return mask.reduce(fine)


def within(points: Line, box: Box, fine: float) -> Line:
    return [((x - box[0]) * fine, (y - box[1]) * fine) for x, y in points]


def surface(petal: Petal, view: View, bow: Bow, light: Light) -> Surface:
    """The petal's mask, light and way from the heart, as the camera sees it."""
    margin = petal.margin(_MARGIN)
    edge = view.line(margin, bow.depth)
    box = crop_box(edge, view.side)
    width, height = box[2] - box[0], box[3] - box[1]
    coarse = -(-width // _COARSE), -(-height // _COARSE)
    level, along = Image.new("L", coarse, 128), Image.new("L", coarse, 255)
    draw_level, draw_along = ImageDraw.Draw(level), ImageDraw.Draw(along)
    for corners, shade, way in _facets(petal, margin, view, bow, light):
        quad = within(corners, box, 1 / _COARSE)
        draw_level.polygon(quad, fill=shade)
        draw_along.polygon(quad, fill=way)
    soft = [
        image.filter(ImageFilter.GaussianBlur(1.1)).resize(
            (coarse[0] * _COARSE, coarse[1] * _COARSE), Image.Resampling.BICUBIC
        ).crop((0, 0, width, height))
        for image in (level, along)
    ]  # fmt: skip
    outline = flattened(smooth(edge, closed=True, digits=2))[0]
    return Surface(margin, box, filled(outline, box), *soft)


def _facets(
    petal: Petal, margin: Line, view: View, bow: Bow, light: Light
) -> Iterator[tuple[Line, int, int]]:
    """Corners (pixels), light and way of the petal's small faces, heart to margin."""
    rows = [
        [
            _raised(petal, middle, point, i / (_MARGIN - 1), j / _RINGS, bow)
            for j in range(_RINGS + 1)
        ]
        for i, (middle, point) in enumerate(zip(_midrib(petal, margin), margin, strict=True))
    ]
    pixels = [view.line([(x, y) for x, y, _ in row], bow.depth) for row in rows]
    for i in range(_MARGIN - 1):
        for j in range(_RINGS):
            a, b, c, d = rows[i][j], rows[i + 1][j], rows[i + 1][j + 1], rows[i][j + 1]
            far = math.hypot(d[0] - HEART[0], d[1] - HEART[1])
            shade = _lambert(a, b, c, d, light) - bow.deep * math.exp(-((far / 17) ** 2))
            corners = [pixels[i][j], pixels[i + 1][j], pixels[i + 1][j + 1], pixels[i][j + 1]]
            way = min(255, round(far * 5.6))
            yield corners, max(0, min(255, round(128 + 150 * shade))), way


def _midrib(petal: Petal, margin: Line) -> Line:
    """For each point of the margin the point of the midrib from which the petal reaches it."""
    tip = petal.at(1, 0)
    top = min(range(8, _MARGIN - 8), key=lambda i: math.dist(margin[i], tip))
    shares = [
        i / top if i <= top else (_MARGIN - 1 - i) / (_MARGIN - 1 - top) for i in range(_MARGIN)
    ]
    return [petal.at(0.02 + 0.84 * share**0.9, 0) for share in shares]


def _raised(petal: Petal, middle: Point, edge: Point, s: float, r: float, bow: Bow) -> Light:
    """A point between midrib and margin with its height towards the eye."""
    x = middle[0] + (edge[0] - middle[0]) * r
    y = middle[1] + (edge[1] - middle[1]) * r
    ruffle = petal.ruffle[0] * petal.wave(s) * 2.6 * r**3
    along = (math.hypot(x - HEART[0], y - HEART[1]) - 24) / 24
    z = bow.arch * (1 - r * r) + ruffle - bow.hang * along * along + bow.rib * (1 - r) ** 5
    return x, y, z


def _lambert(a: Light, b: Light, c: Light, d: Light, light: Light) -> float:
    """Light on a face beside that on one which lies flat, about -1 to 1."""
    ux, uy, uz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    vx, vy, vz = d[0] - b[0], d[1] - b[1], d[2] - b[2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    if nz < 0:
        nx, ny, nz = -nx, -ny, -nz
    length = math.sqrt(nx * nx + ny * ny + nz * nz) or 1.0
    return (nx * light[0] + ny * light[1] + nz * light[2]) / length - light[2]


def relief(mask: Image.Image, size: float, strength: float = 1.0) -> Image.Image:
    """Light on a rounded body of this shape, its bevel `size` pixels broad, lit from upper left."""
    soft = mask.filter(ImageFilter.GaussianBlur(size))
    step = max(1, round(size * 0.8))
    before, behind = ImageChops.offset(soft, -step, -step), ImageChops.offset(soft, step, step)
    return ImageChops.subtract(before, behind, scale=1.6 / strength, offset=128)
