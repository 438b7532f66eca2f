"""Where the parts of a label stand: the square code, the flower, the code in letters, the text.

One grid for all sizes. What is dark in the square code ends at the margin, its quiet zone lies
in it. Three shapes: a strip (code, text and square side by side), a card (square and flower in
the right column) and a tall label (flower above the text).

Lengths in points, from the label's upper left corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from garden.labels.label import Label
from garden.labels.setting import Words
from garden.labels.square import LONG, MM, QUIET, best_side, least_side, modules
from garden.paper import fonts

LEAST_FLOWER = 7.5 * MM
LEAST_TEXT = 19 * MM
# A strip leaves this much beside the square code and is lower than this, or very long.
STRIP_HEIGHT, STRIP_ROOM = 22 * MM, 60 * MM
TALL = 1.15
LEAST_CODE = 7.0


@dataclass(frozen=True, slots=True)
class Box:
    """A square on the label."""

    x: float
    y: float
    side: float

    @property
    def right(self) -> float:
        return self.x + self.side

    @property
    def bottom(self) -> float:
        return self.y + self.side


@dataclass(frozen=True, slots=True)
class Frame:
    """The room for the text: from (x, top) down to `floor`, left of the boxes beside it.

    `enough` is the scale at which the text is large enough for this frame; `centred` frames set
    it in the middle of their height.
    """

    width: float
    height: float
    pad: float
    x: float
    top: float
    floor: float
    enough: float
    square: Box | None = None
    flower: Box | None = None
    code: Words | None = None
    centred: bool = False

    def room(self, upper: float, lower: float) -> float:
        """Width free for a line between two heights; nothing below the floor."""
        if lower > self.floor + 1e-6:
            return 0.0
        right = self.width - self.pad
        for box, gap in ((self.square, 0.0), (self.flower, 0.6 * self.pad)):
            if box and box.x > self.x and lower > box.y - gap and upper < box.bottom + gap:
                right = min(right, box.x - gap)
        return max(0.0, right - self.x)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes that go with a label's measures, in points."""

    pad: float
    title: float
    text: float
    code: float

    @classmethod
    def of(cls, width: float, height: float) -> Sizes:
        middling = math.sqrt(width * height) / MM
        low = height / MM
        return cls(
            pad=min(max(0.055 * min(width, height), 1.2 * MM), 5 * MM),
            title=min(max(min(0.3 * middling, 0.76 * low), 7.0), 40.0),
            text=min(max(min(0.165 * middling, 0.5 * low), 6.0), 16.0),
            code=min(max(min(0.24 * middling, 0.8 * low), 8.0), 30.0),
        )


@dataclass(frozen=True, slots=True)
class Company:
    """What the labels of a sheet share, so that strips have their columns in line.

    The widest code among them, and whether any has a flower.
    """

    code: str = ""
    blooming: bool = False

    @classmethod
    def of(cls, labels: Sequence[Label], flowers: bool) -> Company:
        codes = [fonts.clean(label.code) for label in labels]
        widest = max(codes, key=lambda code: fonts.ems(code, fonts.BOLD), default="")
        return cls(widest, flowers and any(label.recipe for label in labels))


def frames(
    label: Label, width: float, height: float, blooming: bool, company: Company
) -> Iterator[Frame]:
    """Frames to try, the finest first: flowers smaller, then none, then the least square code."""
    best = best_side(label.payload, width, height)
    least = least_side(label.payload, width, height)
    for side in dict.fromkeys((best, least)):
        low = height < STRIP_HEIGHT or width > LONG * height
        if low and width - side >= STRIP_ROOM:
            yield from _strip(label, width, height, side, company)
            continue
        make = _tall if height >= TALL * width else _card
        if blooming:
            yield from make(label, width, height, side, True)
        yield from make(label, width, height, side, False)


def _square(label: Label, width: float, height: float, side: float, pad: float) -> Box | None:
    if not side:
        return None
    quiet = side / modules(label.payload) * QUIET
    out = max(0.0, pad - quiet)
    return Box(width - side - out, height - side - min(out, height - side), side)


def _code_size(code: str, wanted: float, room: float) -> float:
    return min(wanted, room / max(fonts.ems(code, fonts.BOLD), 1e-9))


def _strip(
    label: Label, width: float, height: float, side: float, company: Company
) -> Iterator[Frame]:
    """Flower, code, text and square in columns that all strips of a sheet share."""
    pad = Sizes.of(width, height).pad
    square = _square(label, width, height, side, pad)
    if square:
        square = Box(square.x, (height - side) / 2, side)
    end = square.x if square else width - pad
    gap = max(2 * MM, 0.14 * height)
    flower = Box(pad, pad, height - 2 * pad)
    lone = (label.code, flower, 0.0), (label.code, None, 0.0)
    shared = (company.code or label.code, flower if company.blooming else None, 0.7)
    for widest, bloom, enough in (shared, *(lone if company.blooming else lone[1:])):
        x = bloom.right + gap if bloom else pad
        size = _code_size(widest, 0.42 * height, 0.36 * (end - x))
        if bloom and (end - x < 2.4 * LEAST_TEXT or size < LEAST_CODE):
            continue
        base = (height + fonts.ascent(fonts.BOLD) * size) / 2
        yield Frame(
            width=end,
            height=height,
            pad=0.0,
            x=x + fonts.width(widest, fonts.BOLD, size) + gap,
            top=pad,
            floor=height - 0.8 * pad,
            enough=enough,
            square=square,
            flower=bloom,
            code=Words("code", label.code, fonts.BOLD, size, x, base),
            centred=True,
        )


def _foot(label: Label, sizes: Sizes, width: float, height: float, square: Box | None
          ) -> Words | None:  # fmt: skip
    """The code at the lower left, beside the square or, where that is too narrow, above it."""
    if label.code == label.title or not label.title:
        return None
    rise = fonts.ascent(fonts.BOLD)
    beside = (square.x if square else width - sizes.pad) - sizes.pad
    size = _code_size(label.code, sizes.code, beside)
    base = height - sizes.pad
    if square and size < max(LEAST_CODE, 0.55 * sizes.code):
        above = _code_size(label.code, sizes.code, width - 2 * sizes.pad)
        if above > size and square.y > sizes.pad + above * rise:
            size, base = above, square.y - 0.3 * above
    return Words("code", label.code, fonts.BOLD, size, sizes.pad, base)


def _floor(code: Words | None, sizes: Sizes, height: float) -> float:
    if code is None:
        return height - 0.6 * sizes.pad
    return code.y - fonts.ascent(fonts.BOLD) * code.size - 0.3 * sizes.text


def _card(
    label: Label, width: float, height: float, side: float, blooming: bool
) -> Iterator[Frame]:
    sizes = Sizes.of(width, height)
    pad = sizes.pad
    square = _square(label, width, height, side, pad)
    code = _foot(label, sizes, width, height, square)
    top = max(pad, 0.4 * sizes.title)
    floor = _floor(code, sizes, height)
    if not blooming:
        yield Frame(width, height, pad, pad, top, floor, 0.72, square, None, code)
        return
    for flower, enough in _beside(square, width, height, pad):
        yield Frame(width, height, pad, pad, top, floor, enough, square, flower, code)


def _beside(square: Box | None, width: float, height: float, pad: float
            ) -> Iterator[tuple[Box, float]]:  # fmt: skip
    """Flowers in the right column: above the square code, or alone."""
    most = min(0.4 * width, (square.y if square else height - pad) - pad)
    for part, enough in ((1.0, 0.9), (0.8, 0.75)):
        side = min(most, (1.25 * square.side if square else 0.8 * height)) * part
        if side >= LEAST_FLOWER and width - side - 2 * pad >= LEAST_TEXT:
            yield Box(width - pad - side, pad, side), enough


def _tall(
    label: Label, width: float, height: float, side: float, blooming: bool
) -> Iterator[Frame]:
    sizes = Sizes.of(width, height)
    pad = sizes.pad
    square = _square(label, width, height, side, pad)
    code = _foot(label, sizes, width, height, square)
    floor = _floor(code, sizes, height)
    top = max(pad, 0.4 * sizes.title)
    if not blooming:
        yield Frame(width, height, pad, pad, top, floor, 0.72, square, None, code)
        return
    for part, enough in ((0.5, 0.9), (0.4, 0.8), (0.3, 0.6)):
        flower = Box(pad, pad, min(part * height, width - 2 * pad))
        under = flower.bottom + 0.5 * sizes.title
        yield Frame(width, height, pad, pad, under, floor, enough, square, flower, code)
