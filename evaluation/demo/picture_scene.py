"""What stands round a photographed flower: the garden out of focus, leaves, stalk and buds.

Free of Django.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from PIL import Image, ImageDraw, ImageFilter

from evaluation.demo.picture_light import Light, crop_box, drawn, filled, relief, toned
from evaluation.demo.picture_shapes import Line
from garden.flower.geometry import Point
from garden.flower.shade import darker, lighter, mix

BICUBIC = Image.Resampling.BICUBIC
Size = tuple[int, int]


@dataclass(frozen=True)
class Mood:
    """The light of an hour: colours of the picture from top to bottom, of leaves and of spots.

    `tint` multiplies red, green and blue; `sun` is where light comes from.
    """

    top: str
    middle: str
    low: str
    leaf: str
    spot: str
    tint: tuple[float, float, float]
    sun: Light


def _sun(x: float, y: float, z: float) -> Light:
    length = math.sqrt(x * x + y * y + z * z)
    return x / length, y / length, z / length


MOODS = (
    Mood("#dcebf2", "#8fbb62", "#4f7d36", "#86ad78", "#fdfde8", (1.0, 1.0, 1.0), _sun(-5, -7, 9)),
    Mood("#fbe6ae", "#b3b353", "#5f7030", "#9db160", "#fff0b4", (1.04, 1.0, 0.93), _sun(-8, -4, 6)),
    Mood("#7fa866", "#4f7f3d", "#2c4d26", "#76a070", "#e2f4ae", (1.0, 1.01, 0.98), _sun(4, -8, 8)),
    Mood("#d6dfdf", "#9cb98d", "#67905a", "#8eb190", "#f2f7ee", (0.98, 1.0, 1.02), _sun(0, -6, 12)),
    Mood("#557043", "#3a5a2c", "#21351a", "#6d9868", "#c3dc86", (1.03, 1.0, 0.96), _sun(7, -5, 7)),
    Mood("#a9d2f4", "#93c071", "#5a8a40", "#80ad84", "#ffffff", (1.01, 1.0, 0.99), _sun(-3, -8, 7)),
)
FAR_FLOWERS = (
    "#7b4fb8",
    "#f3c722",
    "#f3b2c0",
    "#fbfaf7",
    "#5d87d0",
    "#5d1830",
    "#f5b679",
    "#c4b6e6",
)


def backdrop(size: Size, dice: random.Random, mood: Mood) -> Image.Image:
    """A garden far out of focus, a quarter of `size`."""
    width, height = size[0] // 8, size[1] // 8
    down = Image.linear_gradient("L").resize((width, height))
    upper = down.point([min(255, value * 2) for value in range(256)])
    lower = down.point([max(0, value * 2 - 255) for value in range(256)])
    far = Image.new("RGB", (width, height), mood.top)
    far.paste(mood.middle, (0, 0), upper)
    far.paste(mood.low, (0, 0), lower)
    draw = ImageDraw.Draw(far)
    for _ in range(46):
        tone = mix(
            mood.middle, dice.choice((mood.top, mood.low, mood.leaf)), dice.uniform(0.3, 0.9)
        )
        _spot(draw, dice, width, dice.uniform(0.15, 1.1) * height, dice.uniform(3, 14), tone)
    for paint in dice.choices(FAR_FLOWERS, k=dice.randint(2, 9)):
        tone = mix(paint, mood.middle, dice.uniform(0.15, 0.5))
        _spot(draw, dice, width, dice.uniform(0.25, 0.85) * height, dice.uniform(3, 8), tone)
    far = far.filter(ImageFilter.GaussianBlur(4))
    return far.resize((width * 2, height * 2), BICUBIC)


def _spot(
    draw: ImageDraw.ImageDraw, dice: random.Random, width: int, y: float, r: float, tone: str
):
    x, tall = dice.uniform(-4, width + 4), r * dice.uniform(0.7, 1.8)
    draw.ellipse((x - r, y - tall, x + r, y + tall), fill=tone)


def spots_of_light(image: Image.Image, dice: random.Random, mood: Mood) -> None:
    """Soft round spots where light falls through leaves far behind."""
    mask = Image.new("L", image.size)
    draw = ImageDraw.Draw(mask)
    for _ in range(dice.randint(0, 16)):
        x, y = dice.uniform(0, image.width), dice.uniform(0, image.height * 0.55)
        r = dice.uniform(4, 15)
        draw.ellipse((x - r, y - r, x + r, y + r), fill=dice.randint(20, 80))
    image.paste(mood.spot, (0, 0), mask.filter(ImageFilter.GaussianBlur(1.6)))


def leaves(image: Image.Image, dice: random.Random, mood: Mood, count: int, width: float) -> None:
    """Sword leaves that rise from below the picture, `width` pixels broad; the back ones first."""
    draw = ImageDraw.Draw(image)
    for k in range(count):
        foot = dice.uniform(-0.05, 1.05) * image.width, image.height * 1.1
        tall = image.height * dice.uniform(0.35, 0.9)
        tip = foot[0] + dice.gauss(0, 0.2) * tall, foot[1] - tall
        left, middle, right = blade(
            foot, tip, width * dice.uniform(0.7, 1.3), dice.gauss(0, 0.1) * tall
        )
        tone = mix(
            mix(mood.low, mood.leaf, 0.4 + 0.6 * k / count), mood.middle, dice.uniform(0, 0.4)
        )
        lit, shaded = lighter(tone, dice.uniform(0.05, 0.25)), darker(tone, dice.uniform(0.02, 0.1))
        if mood.sun[0] > 0:
            lit, shaded = shaded, lit
        draw.polygon(left + middle[::-1], fill=lit)
        draw.polygon(right + middle[::-1], fill=shaded)


def blade(foot: Point, tip: Point, width: float, bow: float) -> tuple[Line, Line, Line]:
    """Left margin, middle and right margin of a leaf from foot to tip, bent sideways by `bow`."""
    left, middle, right = [], [], []
    for i in range(19):
        u = i / 18
        x = foot[0] + (tip[0] - foot[0]) * u + bow * math.sin(math.pi * u * 0.9)
        y = foot[1] + (tip[1] - foot[1]) * u
        half = width / 2 * (1 - u**2.2)
        left.append((x - half, y))
        middle.append((x + half * 0.15, y))
        right.append((x + half, y))
    return left, middle, right


def solid(image: Image.Image, outline: Line, paint: str, bevel: float) -> None:
    """A rounded body of one paint; `bevel` in pixels."""
    room = round(bevel * 3) + 4
    box = (
        int(min(x for x, _ in outline)) - room, int(min(y for _, y in outline)) - room,
        int(max(x for x, _ in outline)) + room, int(max(y for _, y in outline)) + room,
    )  # fmt: skip
    mask = filled(outline, box)
    image.paste(toned(relief(mask, max(1.0, bevel)), paint), box[:2], mask)


def stalk(image: Image.Image, path: Line, width: float, paint: str) -> None:
    """A stalk along `path`, a little thicker below."""
    left, right = [], []
    for i, (x, y) in enumerate(path):
        half = width * (0.46 + 0.1 * i / len(path))
        bx, by = path[min(i + 1, len(path) - 1)]
        ax, ay = path[max(i - 1, 0)]
        long = math.hypot(bx - ax, by - ay) or 1.0
        nx, ny = (by - ay) / long * half, -(bx - ax) / long * half
        left.append((x + nx, y + ny))
        right.append((x - nx, y - ny))
    solid(image, left + right[::-1], paint, width * 0.3)


def bent(start: Point, end: Point, bow: float) -> Line:
    """Points of a line bent sideways by `bow` pixels."""
    return [
        (
            start[0] + (end[0] - start[0]) * u + bow * math.sin(math.pi * u),
            start[1] + (end[1] - start[1]) * u,
        )
        for u in (i / 12 for i in range(13))
    ]


def spindle(foot: Point, long: float, width: float, lean: float) -> Line:
    """Outline of a bud or spathe, standing on `foot` and leaning to one side (radians)."""
    left, right = [], []
    for i in range(17):
        u = i / 16
        half = width / 2 * math.sin(math.pi * (0.09 + 0.91 * u) ** 0.9) ** 0.8 if u < 1 else 0
        x, y = foot[0] + math.sin(lean) * long * u, foot[1] - math.cos(lean) * long * u
        left.append((x - half * math.cos(lean), y - half * math.sin(lean)))
        right.append((x + half * math.cos(lean), y + half * math.sin(lean)))
    return left + right[::-1]


def bud(image: Image.Image, foot: Point, scale: float, lean: float, paint: str, leaf: str) -> None:
    """A bud that shows its colour above a green spathe with a papery tip."""
    long, width = 30 * scale, 7.5 * scale
    solid(image, spindle(foot, long, width, lean), darker(paint, 0.06), width * 0.24)
    twist = [
        [_on_bud(foot, long, width, lean, u, turn) for u in (0.35, 0.5, 0.65, 0.8, 0.95)]
        for turn in (-1.5, 0.25, 2.0)
    ]
    box = crop_box([point for line in twist for point in line], max(image.size))
    mask = drawn(twist, box, scale * 0.4).filter(ImageFilter.GaussianBlur(1.2))
    image.paste(darker(paint, 0.22), box[:2], mask.point([value // 2 for value in range(256)]))
    papery = mix(leaf, "#b79a6a", 0.55)
    for side in (-1, 1):
        lower = foot[0] + side * width * 0.14, foot[1] + 2 * scale
        for share, tone in ((0.6, papery), (0.46, lighter(leaf, 0.08))):
            valve = spindle(lower, long * share, width * 0.84, lean + side * 0.05)
            solid(image, valve, tone, width * 0.22)


def _on_bud(foot: Point, long: float, width: float, lean: float, u: float, turn: float) -> Point:
    """A point of the rolled margin that winds up a bud."""
    out = width * 0.42 * math.sin(4 * u + turn) * (1 - u)
    return foot[0] + math.sin(lean) * long * u + out, foot[1] - math.cos(lean) * long * u
