"""The demo garden's pictures: what they show, what a phone would have added, always the same."""

from __future__ import annotations

import io
import math
import random
from datetime import datetime

import pytest
from PIL import Image, ImageOps
from PIL.ExifTags import IFD, Base

from evaluation.demo.darkroom import Darkroom, develop
from evaluation.demo.picture_flower import flower
from evaluation.demo.picture_shapes import View, flattened, varied
from evaluation.demo.pictures import photograph
from evaluation.demo.steps import Picture
from garden.flower import COLOURS, Recipe
from garden.flower.geometry import smooth
from garden.flower.paint import resolve
from garden.flower.shade import lab
from garden.flower.shapes import FRONT_FALL

LIGHT = (0.0, -0.6, 0.8)
VARIEGATA = Recipe("variegata", "yellow", "maroon", beard="gold")


def opened(file: bytes) -> Image.Image:
    return Image.open(io.BytesIO(file))


def painted(recipe: Recipe, seed: int = 1) -> Image.Image:
    """A small flower on a clear layer."""
    return flower(resolve(recipe), random.Random(seed), 2.5, LIGHT)


def nearest(layer: Image.Image, words: tuple[str, ...]) -> str:
    """The colour word that the petals come nearest to, where neither light nor shade is deep."""
    seen = sorted((p[:3] for p in layer.get_flattened_data() if p[3] > 250), key=sum)
    seen = seen[len(seen) // 2 : len(seen) * 9 // 10]
    mean = [sum(channel) / len(seen) for channel in zip(*seen, strict=True)]
    found = lab("#" + "".join(f"{round(value):02x}" for value in mean))
    return min(words, key=lambda word: math.dist(found, lab(COLOURS[word].hex)))


def test_photograph__same_seed_same_bytes():
    assert photograph(VARIEGATA, "row 3") == photograph(VARIEGATA, "row 3")


def test_photograph__another_seed_another_picture():
    assert photograph(VARIEGATA, "row 3") != photograph(VARIEGATA, "row 4")


@pytest.fixture(scope="module")
def shots() -> list[bytes]:
    taken = datetime(2026, 6, 1, 9, 30)
    return [photograph(VARIEGATA, f"shot {k}", taken) for k in range(10)]


def test_photograph__is_a_jpeg_of_a_phone_s_size_once_upright(shots):
    for shot in shots:
        image = opened(shot)
        assert image.format == "JPEG"
        assert ImageOps.exif_transpose(image).size in ((1200, 900), (900, 1200))
    assert {ImageOps.exif_transpose(opened(shot)).size for shot in shots} == {
        (1200, 900), (900, 1200),
    }  # fmt: skip


def test_photograph__some_are_turned_and_some_tell_a_place(shots):
    tags = [opened(shot).getexif() for shot in shots]
    turned = [exif.get(Base.Orientation, 1) > 1 for exif in tags]
    placed = [bool(exif.get_ifd(IFD.GPSInfo)) for exif in tags]
    assert set(turned) == {True, False}
    assert set(placed) == {True, False}
    days = {exif.get_ifd(IFD.Exif)[Base.DateTimeOriginal] for exif in tags}
    assert days == {"2026:06:01 09:30:00"}


def test_photograph__turned_ones_stand_upright_after_their_tag(shots):
    for shot in shots:
        upright = ImageOps.exif_transpose(opened(shot)).convert("RGB")
        small = upright.resize((8, 12))
        green = [r * 0.9 < g > b for r, g, b in small.crop((0, 9, 8, 12)).get_flattened_data()]
        assert sum(green) > len(green) / 2, "leaves and stalk are below"


def test_flower__shows_the_recipe_s_colour():
    words = ("yellow", "pink", "violet", "medium blue", "maroon", "white")
    assert [nearest(painted(Recipe("self", word, word, word)), words) for word in words] == [*words]


def test_flower__standards_stand_above_the_falls():
    layer = painted(VARIEGATA)
    side = layer.width
    upper = layer.crop((0, 0, side, side * 4 // 10))
    lower = layer.crop((side // 3, side * 7 // 10, side * 2 // 3, side))
    assert nearest(upper, ("yellow", "maroon")) == "yellow"
    assert nearest(lower, ("yellow", "maroon")) == "maroon"


def test_flower__stitches_a_plicata_at_its_edges():
    plain = painted(Recipe("self", "white", "white", "white"))
    stitched = painted(Recipe("plicata", "white", "white", "white", rim="purple"))
    dark = [
        sum(sum(p[:3]) < 360 and p[3] > 250 for p in layer.get_flattened_data())
        for layer in (plain, stitched)
    ]
    assert dark[1] > 10 * max(1, dark[0])


def test_flower__two_of_one_recipe_differ():
    assert painted(VARIEGATA, 1).tobytes() != painted(VARIEGATA, 2).tobytes()


def test_varied__keeps_the_haft_where_it_grows():
    petal = varied(FRONT_FALL, random.Random(3), 2)
    assert petal.spine[0] == FRONT_FALL.spine[0]
    assert petal.spine[3] != FRONT_FALL.spine[3]


def test_view__turned_away_is_narrower_and_shifts_what_is_near():
    straight, turned = View(2), View(2, yaw=0.3)

    def seen(view: View) -> float:
        (left, _), (right, _) = view.line([(0, 50), (100, 50)])
        return right - left

    assert seen(straight) == pytest.approx(200)
    assert seen(turned) == pytest.approx(200 * math.cos(0.3))
    near, far = (turned.line([(50, 50)], depth)[0][0] for depth in (10, -10))
    assert near - far == pytest.approx(40 * math.sin(0.3))


def test_flattened__runs_through_the_points_of_a_smooth_line():
    ring = [(50 + 30 * math.cos(k / 2), 50 + 30 * math.sin(k / 2)) for k in range(12)]
    line = flattened(smooth(ring, closed=True))[0]
    assert line[0] == pytest.approx(line[-1], abs=0.2)
    for point in ring:
        assert min(math.dist(point, on) for on in line) < 0.2


def test_flattened__knows_lines_curves_and_several_strokes():
    lines = flattened("M1 2l3 4q2 0 2 2zm10-1.5l.5-.5")
    assert lines[0][:2] == [(1, 2), (4, 6)]
    assert lines[0][-2] == pytest.approx((6, 8))
    assert lines[0][-1] == (1, 2)
    assert lines[1] == [(11, 0.5), (11.5, 0)]


def test_darkroom__gives_the_same_pictures_as_developing_at_once():
    taken = datetime(2026, 6, 1, 9, 30)
    words = (("pattern", "self"), ("standards", "pink"), ("falls", "pink"))
    pictures = [(Picture(words, f"shot {k}"), taken) for k in range(8)]
    with Darkroom(pictures) as darkroom:
        waiting = [darkroom.picture(*each) for each in pictures[:2]]
    with Darkroom(pictures[:1]) as darkroom:
        at_once = darkroom.picture(*pictures[0])
    assert waiting == [develop(*each) for each in pictures[:2]]
    assert at_once == waiting[0]
    assert at_once.taken_on == taken.date()
