"""What lies on a photographed petal: glow of the throat, veins, rim, stitches, splashes.

Free of Django.
"""

from __future__ import annotations

import random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from evaluation.demo.picture_light import Surface, drawn, toned, within
from evaluation.demo.picture_shapes import Line, View, flattened
from garden.flower.geometry import Petal
from garden.flower.marks import haft_marks, splashes, stitches
from garden.flower.paint import Paint
from garden.flower.shade import darker, is_pale, lighter, lightness, mix

BICUBIC = Image.Resampling.BICUBIC


class Face:
    """The face of one petal as it is painted: colours that all lie in the same light."""

    def __init__(self, lies: Surface, view: View, depth: float, base: str) -> None:
        self.lies = lies
        self.view = view
        self.depth = depth
        self.image = toned(lies.level, base)

    def wash(self, paint: str, mask: Image.Image) -> None:
        """Lay a paint where `mask` is light."""
        self.image = Image.composite(toned(self.lies.level, paint), self.image, mask)

    def lines(self, units: list[Line], width: float, strength: float, blur: float) -> Image.Image:
        """Mask of lines (units of the box); `width` in units, `blur` in pixels."""
        pixels = [self.view.line(line, self.depth) for line in units]
        mask = drawn(pixels, self.lies.box, width * self.view.scale)
        if blur:
            mask = mask.filter(ImageFilter.GaussianBlur(blur))
        return mask.point([round(value * strength) for value in range(256)])

    def heart(self, begin: int, end: int, strength: float) -> Image.Image:
        """Mask that is light near the heart and fades between the ways `begin` and `end`."""
        table = [
            round(255 * strength * min(1, max(0, (end - way) / (end - begin))))
            for way in range(256)
        ]
        return self.lies.along.point(table)


def marked(
    petal: Petal, lies: Surface, view: View, depth: float, paint: Paint, dice: random.Random,
    *, upper: bool,
) -> Image.Image:  # fmt: skip
    """The petal's colours as one image the size of its box; `upper` for a standard."""
    base = paint.standards if upper else paint.falls
    face = Face(lies, view, depth, base)
    _grounds(face, base, paint, upper)
    _veins(face, petal, base, paint, dice)
    if paint.pattern == "plicata" and (not upper or is_pale(base)):
        _stitched(face, petal, paint, dice)
    if paint.pattern == "broken colour":
        _splashed(face, petal, paint.flush if upper else paint.mark, dice)
    if not upper:
        _hafted(face, petal, paint, dice)
        if paint.rim:
            _rimmed(face, paint.rim, dice)
    _edged(face, _edge(base, paint, upper))
    return face.image


def _grounds(face: Face, base: str, paint: Paint, upper: bool) -> None:
    """The slow changes of colour from the heart outward."""
    if paint.pattern == "blend":
        other = paint.flush if upper else paint.mark
        face.wash(other, face.heart(40, 210, 0.75))
    elif paint.pattern == "luminata":
        face.wash(mix(base, paint.mark, 0.9), face.heart(*((20, 90) if upper else (70, 150)), 1))
    elif not upper:
        if is_pale(base):
            face.wash(mix(base, paint.beard, 0.55), face.heart(10, 130, 0.6))
        else:
            face.wash(darker(base, 0.1), face.heart(40, 170, 0.8))
    else:
        face.wash(darker(base, 0.06 if is_pale(base) else 0.1), face.heart(30, 190, 0.8))


def _fan(petal: Petal, dice: random.Random, count: int, reach: float) -> list[Line]:
    """Veins that fan from the haft to the margin, each going its own way a little."""
    lines = []
    for i in range(count):
        across = -0.93 + 1.86 * (i + dice.uniform(0.2, 0.8)) / count
        end = reach - 0.16 * across * across - dice.uniform(0, 0.14)
        drift = dice.gauss(0, 0.03)
        lines.append([
            petal.at(0.05 + (end - 0.05) * u, across * (0.82 + 0.18 * u) + drift * u * u)
            for u in (0, 0.12, 0.25, 0.4, 0.55, 0.7, 0.85, 1)
        ])  # fmt: skip
    return lines


def _veins(face: Face, petal: Petal, base: str, paint: Paint, dice: random.Random) -> None:
    pale = paint.pattern == "luminata"
    tone = mix(base, paint.mark, 0.85) if pale else darker(base, 0.13)
    strength = {"luminata": 0.8, "glaciata": 0.22}.get(paint.pattern, 0.45)
    face.wash(tone, face.lines(_fan(petal, dice, 15, 1.0), 0.3, strength, 0))
    fine = tone if pale else darker(base, 0.1)
    face.wash(fine, face.lines(_fan(petal, dice, 26, 0.98), 0.16, strength * 0.8, 0))
    shine = lighter(base, 0.5)
    share = 0.1 if lightness(base) < 0.4 else 0.3
    face.wash(shine, face.lines(_fan(petal, dice, 22, 0.95), 0.22, share, 0))


def _stitched(face: Face, petal: Petal, paint: Paint, dice: random.Random) -> None:
    """Plicata: a breath of colour on the margin, then stitches and dots."""
    tone = paint.mark
    margin = [face.lies.margin]
    face.wash(tone, face.lines(margin, 5.5, 0.5, face.view.scale * 0.9))
    face.wash(tone, face.lines(margin, 1.8, 0.75, face.view.scale * 0.25))
    for depth, width, strength in ((2.6, 0.34, 0.85), (4.4, 0.26, 0.8), (6.5, 0.2, 0.6)):
        lines = flattened(stitches(petal, 76, depth, dice.randrange(1000)))
        face.wash(tone, face.lines(lines, width, strength, 0))


def _splashed(face: Face, petal: Petal, tone: str, dice: random.Random) -> None:
    box, view = face.lies.box, face.view
    mask = Image.new("L", ((box[2] - box[0]) * 2, (box[3] - box[1]) * 2))
    draw = ImageDraw.Draw(mask)
    data = (
        splashes(petal, 5, dice, 1.7)
        + splashes(petal, 8, dice, 0.9)
        + splashes(petal, 12, dice, 0.4)
    )
    for line in flattened(data):
        draw.polygon(within(view.line(line, face.depth), box, 2), fill=225)
    face.wash(tone, mask.reduce(2).filter(ImageFilter.GaussianBlur(0.9)))


def _hafted(face: Face, petal: Petal, paint: Paint, dice: random.Random) -> None:
    if not paint.haft:
        return
    fading = face.heart(70, 160, 1)
    face.wash(paint.haft, face.heart(20, 95, 0.55))
    for each_side, width in ((5, 0.9), (8, 0.4), (13, 0.25)):
        lines = flattened(haft_marks(petal, each_side))
        lines = [line[: dice.randint(len(line) - 2, len(line))] for line in lines]
        mask = face.lines(lines, width, 0.85, 0)
        face.wash(paint.haft, ImageChops.multiply(mask, fading))


def _rimmed(face: Face, tone: str, dice: random.Random) -> None:
    margin = face.lies.margin
    line = [margin[12:-12]]
    width = dice.uniform(4.2, 6.6)
    face.wash(tone, face.lines(line, width * 1.6, 0.55, face.view.scale * 0.7))
    face.wash(tone, face.lines(line, width, 0.95, face.view.scale * 0.22))


def _edge(base: str, paint: Paint, upper: bool) -> str:
    """The colour of the very margin."""
    if paint.pattern == "plicata" and (not upper or is_pale(base)):
        return paint.mark
    return base if upper or not paint.rim else paint.rim


def _edged(face: Face, base: str) -> None:
    """Light that shines through the thin margin."""
    share = 0.25 if lightness(base) < 0.4 else 0.5
    margin = [face.lies.margin]
    glow = face.lines(margin, 1.5, share, face.view.scale * 0.35)
    face.wash(lighter(base, 0.5), ImageChops.multiply(glow, face.lies.mask))
