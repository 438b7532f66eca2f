"""A photographed flower of a recipe, petal over petal, on a clear layer. Free of Django."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

from PIL import Image, ImageChops, ImageDraw, ImageFilter

import evaluation.demo.picture_light as lit
from evaluation.demo.picture_light import Bow, Box, Light, within
from evaluation.demo.picture_marks import marked
from evaluation.demo.picture_shapes import Line, View, flattened, varied
from garden.flower import shapes
from garden.flower.geometry import Petal, Point, even, mirrored, smooth
from garden.flower.paint import Paint
from garden.flower.shade import darker, is_pale, lighter, mix

BACK = Bow(depth=-12, arch=-5, hang=5, rib=1.5, deep=0.75)
STANDARD = Bow(depth=6, arch=9, hang=5, rib=-2.5, deep=0.6)
SIDE = Bow(depth=-2, arch=6, hang=7, rib=0.5, deep=0.6)
FRONT = Bow(depth=14, arch=9, hang=6, rib=-2.0, deep=0.45)


@dataclass
class Painter:
    """One flower on its layer: what it is painted with, and the layer as far as it is painted."""

    paint: Paint
    view: View
    light: Light
    ruffle: float
    dice: random.Random
    layer: Image.Image

    def flower(self) -> None:
        """Back to front, in the order of the drawn flower."""
        wide = tuple((t, width * 1.2) for t, width in shapes.BACK_STANDARD.left)
        self.petal(replace(shapes.BACK_STANDARD, left=wide, right=wide), BACK, upper=True)
        for left in (True, False):
            self.petal(shapes.SIDE_FALL if left else shapes.SIDE_FALL.mirrored(), SIDE, upper=False)
        for left in (True, False):
            self.beard(_side(shapes.SIDE_RIDGE, left), 3.1, 190, SIDE.depth)
            self.style(_side(shapes.SIDE_STYLE, left), 0)
        for left in self.dice.sample((True, False), 2):
            self.petal(
                shapes.SIDE_STANDARD if left else shapes.SIDE_STANDARD.mirrored(),
                STANDARD,
                upper=True,
            )
        self.petal(shapes.FRONT_FALL, FRONT, upper=False)
        self.beard(list(shapes.FRONT_RIDGE), 4.4, 360, FRONT.depth)
        self.style(list(shapes.FRONT_STYLE), 8)

    def petal(self, petal: Petal, bow: Bow, *, upper: bool) -> None:
        petal = varied(petal, self.dice, self.ruffle)
        lies = lit.surface(petal, self.view, bow, self.light)
        self.cast_shadow(lies.mask, lies.box, 0.29)
        face = marked(petal, lies, self.view, bow.depth, self.paint, self.dice, upper=upper)
        self.lay(face, lies.box, lies.mask)

    def lay(self, face: Image.Image, box: Box, mask: Image.Image) -> None:
        """Lay a face of this shape over what is there."""
        face.putalpha(mask)
        self.layer.alpha_composite(face, box[:2])

    def cast_shadow(self, mask: Image.Image, box: Box, strength: float) -> None:
        """Darken softly what lies behind a shape, down and right of it."""
        scale = self.view.scale
        room, fall = round(3.2 * scale), round(1.3 * scale)
        wide = (
            max(0, box[0] - room), max(0, box[1] - room),
            min(self.view.side, box[2] + room), min(self.view.side, box[3] + room),
        )  # fmt: skip
        size = wide[2] - wide[0], wide[3] - wide[1]
        shadow = Image.new("L", size)
        shadow.paste(mask, (box[0] - wide[0] + fall, box[1] - wide[1] + fall))
        small = shadow.reduce(4).filter(ImageFilter.GaussianBlur(scale * 0.34))
        shadow = small.resize(size, Image.Resampling.BICUBIC)
        shadow = shadow.point([round(value * strength) for value in range(256)])
        dark = Image.new("RGBA", size)
        dark.putalpha(ImageChops.multiply(shadow, self.layer.getchannel("A").crop(wide)))
        self.layer.alpha_composite(dark, wide[:2])

    def beard(self, ridge: Line, width: float, count: int, depth: float) -> None:
        """A caterpillar of hairs from the throat outward: deep roots, body, light tips."""
        paint, dice, scale = self.paint.beard, self.dice, self.view.scale
        line = even(ridge, count)
        box = lit.crop_box(self.view.line(ridge, depth), self.view.side, round((width + 2) * scale))
        size = (box[2] - box[0]) * 2, (box[3] - box[1]) * 2
        colours, mask = Image.new("RGB", size, paint), Image.new("L", size)
        on_colours, on_mask = ImageDraw.Draw(colours), ImageDraw.Draw(mask)
        body, broad = within(self.view.line(line[2:-6], depth), box, 2), round(width * scale * 0.7)
        on_mask.line(body, fill=255, width=broad, joint="curve")
        on_colours.line(body, fill=darker(paint, 0.1), width=broad)
        thick = max(2, round(scale * 0.5))
        for root, tip, reach in _tones(paint):
            for i in sorted(dice.choices(range(count - 1), k=count)):
                pixels = within(self.hair(line, i, width * reach, depth), box, 2)
                on_mask.line(pixels[:2], fill=255, width=thick)
                on_mask.line(pixels[1:], fill=215, width=max(1, thick // 2))
                on_colours.line(pixels[:2], fill=root, width=thick)
                on_colours.line(pixels[1:], fill=tip, width=thick)
        self.cast_shadow(mask.reduce(2), box, 0.34)
        self.lay(colours.reduce(2), box, mask.reduce(2))

    def hair(self, line: Line, i: int, width: float, depth: float) -> Line:
        """Root, middle and tip (pixels) of one hair at the place `i` of the ridge."""
        dice, (x, y), (bx, by) = self.dice, line[i], line[i + 1]
        swell = 0.5 + 0.55 * math.sin(math.pi * min(1, 0.2 + i / len(line) * 0.8))
        angle = math.atan2(by - y, bx - x) + dice.choice((-1, 1)) * dice.uniform(0.1, 1.5)
        long, slip = width * swell * dice.uniform(0.5, 1.0), dice.gauss(0, 0.18) * width
        x, y = x + slip * math.sin(angle), y + slip
        bend = angle + dice.uniform(-0.5, 0.5)
        middle = x + math.cos(angle) * long * 0.5, y + math.sin(angle) * long * 0.5
        tip = middle[0] + math.cos(bend) * long * 0.5, middle[1] + math.sin(bend) * long * 0.5
        return self.view.line([(x, y), middle, tip], depth)

    def style(self, shape: Line, depth: float) -> None:
        """A style arm with its crests, rounded and ribbed."""
        scale = self.view.scale
        outline = self.view.line(flattened(smooth(_shaken(shape, self.dice), True))[0], depth)
        box = lit.crop_box(outline, self.view.side, round(2 * scale))
        mask = lit.filled(outline, box)
        level = lit.relief(mask, 0.9 * scale, 1.1)
        paint = lighter(self.paint.styles, 0.12)
        face = lit.toned(level, paint)
        root = min(shape, key=lambda point: math.dist(point, (50, 58)))
        ribs = [
            self.view.line(_rib(root, tip), depth)
            for tip in shape[:: 2] if math.dist(tip, root) > 6
        ]  # fmt: skip
        lines = lit.drawn(ribs, box, scale * 0.28).filter(ImageFilter.GaussianBlur(0.7))
        face = Image.composite(lit.toned(level, darker(paint, 0.15)), face, lines.point(_half))
        self.cast_shadow(mask, box, 0.34)
        self.lay(face, box, mask)


def _tones(paint: str) -> tuple[tuple[str, str, float], ...]:
    """Colours of root and tip, and length, of a beard's three layers of hairs."""
    deep = mix(darker(paint, 0.22), "#6a4a1c", 0.25 if is_pale(paint) else 0.1)
    return (
        (deep, paint, 1.0),
        (paint, lighter(paint, 0.3), 0.8),
        (lighter(paint, 0.1), lighter(paint, 0.65), 0.62),
    )


def _half(value: int) -> int:
    return value // 2


def _rib(root: Point, tip: Point) -> Line:
    """A line from the foot of a style arm nearly to a point of its margin."""
    return [
        (root[0] + (tip[0] - root[0]) * u, root[1] + (tip[1] - root[1]) * u**0.8)
        for u in (0.2, 0.4, 0.6, 0.75, 0.9)
    ]


def _shaken(points: Line, dice: random.Random) -> Line:
    return [(x + dice.gauss(0, 0.22), y + dice.gauss(0, 0.22)) for x, y in points]


def _side(points: tuple[Point, ...], left: bool) -> Line:
    return list(points) if left else mirrored(points)


def flower(paint: Paint, dice: random.Random, scale: float, light: Light) -> Image.Image:
    """The flower as a square layer with alpha, its heart near the middle.

    `scale` is in pixels a unit of the 100 by 100 box; `light` points to where light comes from
    (right, down, towards the eye) and has length 1.
    """
    view = View(scale, dice.uniform(-0.3, 0.3), dice.gauss(0, 0.05), dice.uniform(0.9, 1.0))
    layer = Image.new("RGBA", (view.side, view.side), (*_rgb(paint.falls), 0))
    painter = Painter(paint, view, light, dice.uniform(0.9, 2.2), dice, layer)
    painter.flower()
    return painter.layer


def _rgb(paint: str) -> tuple[int, int, int]:
    return int(paint[1:3], 16), int(paint[3:5], 16), int(paint[5:7], 16)
