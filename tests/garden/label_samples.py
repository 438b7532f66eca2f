"""Labels of an invented garden, and pictures of them as a phone in the bed would take them."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import numpy as np
from PIL import Image, ImageFilter

from garden.labels import READY, Label, Sheet, labels_pdf
from garden.labels.square import LEAST_SIDE, MM

BASE = "HTTP://HAFT-7K.LOCAL:8000/T/"
PLICATA = {"pattern": "plicata", "standards": "white", "rim": "violet", "beard": "tangerine"}
DOTS = 300
NEAR = round(36 / 25.4 * DOTS)
# Labels lower than this have no square code.
WITH_SQUARE = [
    key for key, sheet in READY.items()
    if min(sheet.label_width, sheet.label_height) * MM >= LEAST_SIDE - 1e-6
]  # fmt: skip


def label(code: str = "P123K", **more) -> Label:
    said = {
        "payload": BASE + code,
        "title": "Moth in the Piano",
        "parents": "Copper Kettle × (26-014C × Žlutá Řeka)",
        "lines": ("TB · midseason · 92 cm", "Bed C, row 4"),
        "flower": PLICATA,
    }
    return Label(code, **said | more)


LONG = label(
    "P8801",
    title="The Long and Winding Name of an Iris That Nobody Could Shorten in Time",
    parents="(Copper Kettle × Blue Hour) × ((Fen × Snow on the Weir) × Harbour Lights at Evening)",
)


def render(pdf: bytes, sheet: Sheet, place: int, folder: Path, name: str) -> Path:
    """One place of the first page as a grey picture of 300 dots an inch, by poppler."""
    source, target = folder / f"{name}.pdf", folder / name
    source.write_bytes(pdf)
    left, top = (round(edge / 25.4 * DOTS) for edge in sheet.place(place))
    wide = round(sheet.label_width / 25.4 * DOTS)
    high = round(sheet.label_height / 25.4 * DOTS)
    crop = ["-x", left, "-y", top, "-W", wide, "-H", high]
    subprocess.run(
        ["pdftoppm", "-r", str(DOTS), "-gray", "-singlefile", *map(str, crop), source, target],
        check=True,
    )
    return target.with_suffix(".pgm")


def one_label(key: str, folder: Path, of: Label | None = None) -> Path:
    sheet = READY[key]
    place = sheet.places // 2
    pdf = labels_pdf([of or label()], sheet, start=place + 1)
    return render(pdf, sheet, place, folder, key)


def snapshot(picture: Image.Image, seed: int, damage: bool = True) -> Image.Image:
    """The label lying on a bench, seen aslant; with `damage` out of focus, half in the shade."""
    random = np.random.default_rng(seed)
    wide, high = picture.size
    # A phone is held near: of a large label it sees the corner with the code.
    picture = picture.crop((max(0, wide - NEAR), max(0, high - NEAR), wide, high))
    wide, high = picture.size
    edge = 40 + max(wide, high) // 5
    ground = Image.new("L", (wide + 2 * edge, high + 2 * edge), int(random.integers(70, 130)))
    ground.paste(picture, (edge, edge))
    ground = ground.rotate(random.uniform(-20, 20), Image.Resampling.BILINEAR, fillcolor=100)
    wide, high = ground.size
    lean = random.uniform(-0.06, 0.06, 8) * min(wide, high)
    corners = np.array([0, 0, 0, high, wide, high, wide, 0]) + lean
    quad = ground.transform(
        ground.size, Image.Transform.QUAD, tuple(corners), Image.Resampling.BILINEAR
    )
    if not damage:
        return quad
    shaded = _shaded(np.asarray(quad, float), random)
    blurred = shaded.filter(ImageFilter.GaussianBlur(random.uniform(0.9, 1.5)))
    noisy = np.asarray(blurred, float) + random.normal(0, 5, (high, wide))
    return Image.fromarray(noisy.clip(0, 255).astype(np.uint8))


def _shaded(light: np.ndarray, random: np.random.Generator) -> Image.Image:
    """Half of it in the shade, from a slanting edge on.

    The sun is half a degree wide: the shade of a leaf 10 to 30 cm away has an edge of 1 to 3 mm.
    """
    high, wide = light.shape
    down, across = np.mgrid[0:high, 0:wide]
    slant, middle = random.uniform(-0.6, 0.6), random.uniform(0.35, 0.65)
    beyond = across + slant * (down - high / 2) - middle * wide
    soft = random.uniform(1, 3) / 25.4 * DOTS
    shade = (beyond / soft + 0.5).clip(0, 1)
    dim = random.uniform(0.35, 0.5)
    return Image.fromarray((light * (1 - shade * (1 - dim))).astype(np.uint8))


def pages_of(pdf: bytes) -> list:
    import pdfplumber

    return pdfplumber.open(io.BytesIO(pdf)).pages
