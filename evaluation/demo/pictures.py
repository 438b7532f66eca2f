"""Pictures for the demo garden: photo-like irises, painted from a flower's record.

Nobody has a camera in an invented garden. `photograph` paints what one would have taken: the
flower of the record with light, veins and ruffles, before a garden out of focus. Free of Django.
"""

from __future__ import annotations

import io
import random
from datetime import datetime

from PIL import Image, ImageChops, ImageFilter
from PIL.ExifTags import GPS, IFD, Base

import evaluation.demo.picture_scene as scene
from evaluation.demo.picture_flower import flower
from garden.flower import Recipe
from garden.flower.paint import Paint, resolve

LONG_SIDE, SHORT_SIDE = 1200, 900
BICUBIC = Image.Resampling.BICUBIC
# Quarter turns that undo what an orientation tag asks for.
TURNS = {
    3: Image.Transpose.ROTATE_180,
    6: Image.Transpose.ROTATE_90,
    8: Image.Transpose.ROTATE_270,
}


def photograph(recipe: Recipe, seed: str, taken: datetime | None = None) -> bytes:
    """A JPEG file of the flower as a phone would hand it over, 1200 by 900 pixels or upright.

    Parameters
    ----------
    recipe : the flower's pattern and colour words.
    seed : names the picture; the same recipe and seed give the same bytes.
    taken : the moment of the picture for its metadata; none when missing.

    Some pictures are stored turned, with the orientation tag that turns them upright, and some
    tell an invented place: what a phone adds and a garden's notebook has to put right.
    """
    dice = random.Random(f"{seed} {recipe}")
    image = paint_picture(recipe, dice)
    exif = Image.Exif()
    if taken:
        told = taken.strftime("%Y:%m:%d %H:%M:%S")
        exif.get_ifd(IFD.Exif)[Base.DateTimeOriginal] = told
    if dice.random() < 0.4:
        turn = dice.choice(list(TURNS))
        exif[Base.Orientation] = turn
        image = image.transpose(TURNS[turn])
    if dice.random() < 0.5:
        exif.get_ifd(IFD.GPSInfo).update(_place(dice))
    file = io.BytesIO()
    image.save(file, "JPEG", quality=84, exif=exif)
    return file.getvalue()


def _place(dice: random.Random) -> dict[int, object]:
    """A position on the open sea, where no garden is."""
    return {
        GPS.GPSLatitudeRef: "N",
        GPS.GPSLatitude: (54.0, float(dice.randint(10, 50)), float(dice.randint(0, 59))),
        GPS.GPSLongitudeRef: "E",
        GPS.GPSLongitude: (5.0, float(dice.randint(10, 50)), float(dice.randint(0, 59))),
    }


def paint_picture(recipe: Recipe, dice: random.Random) -> Image.Image:
    """The upright picture."""
    upright = dice.random() < 0.45
    size = (SHORT_SIDE, LONG_SIDE) if upright else (LONG_SIDE, SHORT_SIDE)
    mood = dice.choice(scene.MOODS)
    paint = resolve(recipe)
    scale = dice.uniform(5.8, 7.6) if upright else dice.uniform(6.0, 7.9)
    bloom = flower(paint, dice, scale, mood.sun)
    image = _garden(size, dice, mood, bloom)
    x = size[0] * dice.uniform(0.43, 0.57)
    y = size[1] * (dice.uniform(0.43, 0.49) if upright else dice.uniform(0.44, 0.54))
    _plant(image, dice, mood, paint, bloom, (x, y), scale)
    image.paste(bloom, (round(x - bloom.width / 2), round(y - bloom.height / 2)), bloom)
    return _developed(image, dice, mood)


def _garden(
    size: tuple[int, int], dice: random.Random, mood: scene.Mood, bloom: Image.Image
) -> Image.Image:
    """Everything behind: far garden, spots of light, sisters of the flower, leaves."""
    far = scene.backdrop(size, dice, mood)
    scene.spots_of_light(far, dice, mood)
    scene.leaves(far, dice, mood, dice.randint(3, 8), 9)
    far = far.filter(ImageFilter.GaussianBlur(3))
    for _ in range(dice.choice((0, 1, 1, 2, 3))):
        side = round(size[0] / 4 * dice.uniform(0.16, 0.34))
        sister = bloom.resize((side, side)).rotate(dice.uniform(-12, 12))
        sister = _blurred(sister, side / 22)
        place = (
            dice.randint(-side // 3, far.width - side // 2),
            dice.randint(side // 4, far.height // 2),
        )
        far.paste(sister, place, sister)
    near = far.filter(ImageFilter.GaussianBlur(1.2)).resize((size[0] // 2, size[1] // 2), BICUBIC)
    scene.leaves(near, dice, mood, dice.randint(2, 6), 24)
    return near.filter(ImageFilter.GaussianBlur(dice.uniform(1.5, 3.5))).resize(size, BICUBIC)


def _plant(
    image: Image.Image, dice: random.Random, mood: scene.Mood, paint: Paint,
    bloom: Image.Image, heart: tuple[float, float], scale: float,
) -> None:  # fmt: skip
    """The flower's own stalk with its spathe, a branch with a bud, perhaps a second flower."""
    x, y = heart
    foot = x + dice.gauss(0, 4) * scale, image.height + 20
    path = scene.bent((x, y + 8 * scale), foot, dice.gauss(0, 2) * scale)
    side = dice.choice((-1, 1))
    if dice.random() < 0.35:
        _second_flower(image, dice, mood, bloom, path, -side, scale)
    scene.stalk(image, path, 3.3 * scale, mood.leaf)
    for _ in range(dice.choice((0, 1, 1, 2))):
        joint = path[dice.randint(9, 12)]
        away = dice.uniform(15, 30) * scale
        tip = joint[0] + side * away, joint[1] - away * dice.uniform(0.9, 1.5)
        scene.stalk(image, scene.bent(tip, joint, side * away * 0.22), 2.3 * scale, mood.leaf)
        lean = side * dice.uniform(0.02, 0.2)
        scene.bud(image, tip, scale * dice.uniform(0.8, 1.05), lean, paint.falls, mood.leaf)
        side = -side
    spathe = scene.spindle((x, y + 36 * scale), 32 * scale, 9 * scale, 0)
    scene.solid(image, spathe, mood.leaf, 2 * scale)


def _second_flower(
    image: Image.Image, dice: random.Random, mood: scene.Mood, bloom: Image.Image,
    path: list[tuple[float, float]], side: int, scale: float,
) -> None:  # fmt: skip
    """Another flower of the same stalk, further back and so a little out of focus."""
    part = round(bloom.width * dice.uniform(0.66, 0.84))
    small = bloom.resize((part, part)).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    small = _blurred(small, dice.uniform(2, 4.5))
    x = path[0][0] + side * dice.uniform(50, 72) * scale
    y = path[0][1] + dice.uniform(8, 38) * scale
    branch = scene.bent((x, y + 10 * scale), path[-1], side * 9 * scale)
    scene.stalk(image, branch, 2.5 * scale, mood.leaf)
    image.paste(small, (round(x - part / 2), round(y - part / 2)), small)


def _blurred(layer: Image.Image, radius: float) -> Image.Image:
    """A layer out of focus; its clear parts lend it no colour."""
    return layer.convert("RGBa").filter(ImageFilter.GaussianBlur(radius)).convert("RGBA")


def _developed(image: Image.Image, dice: random.Random, mood: scene.Mood) -> Image.Image:
    """What lens and sensor add: a glow, darker corners, the tint of the hour, grain."""
    size = image.size
    soft = image.reduce(8).filter(ImageFilter.GaussianBlur(4)).resize(size, BICUBIC)
    image = Image.blend(image, ImageChops.screen(image, soft), 0.1)
    corners = Image.radial_gradient("L").resize(size)
    shade = dice.uniform(0.08, 0.3)
    corners = corners.point([round(255 - shade * value * value / 255) for value in range(256)])
    image = ImageChops.multiply(image, Image.merge("RGB", [corners] * 3))
    bright = dice.uniform(1.02, 1.12)
    tables = []
    for gain in mood.tint:
        tables += [min(255, round(value * gain * bright)) for value in range(256)]
    image = image.point(tables).filter(ImageFilter.GaussianBlur(0.5))
    grain = Image.frombytes("L", size, dice.randbytes(size[0] * size[1]))
    grain = grain.point([round(value / 255 * 10) for value in range(256)])
    return ImageChops.add(image, Image.merge("RGB", [grain] * 3), 1, -5)
