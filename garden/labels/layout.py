"""A label laid out: text that fits by itself, beside a square code and a flower that keep clear.

Long texts shrink, then wrap; nothing is cut. The smallest sizes are 6 pt for the title and 5.5 pt
for the rest (small letters about 1 mm high: legible at reading distance). Where even those do not
fit, the flower goes first, then the last lines, then the parents, then the title; what went is
said. The code in letters never goes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from garden.labels.frames import Box, Company, Frame, Sizes, frames
from garden.labels.label import Label
from garden.labels.setting import Item, Words, set_all
from garden.labels.square import MM
from garden.paper import fonts

LEAST_TITLE, LEAST_TEXT = 6.0, 5.5
STEPS = (1.0, 0.93, 0.86, 0.8, 0.74, 0.68, 0.62, 0.56, 0.5, 0.44, 0.38, 0.32, 0.26, 0.2, 0.1)
# Words are only broken in text that has been made smaller before.
BROKEN_STEPS = STEPS[5:]
# Higher than this by its width, and narrower than this: the text runs along the label.
TURNED, NARROW = 1.8, 40 * MM


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything stands, in points from the label's upper left.

    `left_out` names the parts that did not fit ('flower', 'line', 'parents', 'title', 'square').
    A `turned` label is laid out lying and drawn a quarter turn round.
    """

    width: float
    height: float
    words: tuple[Words, ...]
    square: Box | None
    flower: Box | None
    left_out: tuple[str, ...]
    turned: bool = False


def lay_out(
    label: Label,
    width: float,
    height: float,
    flowers: bool = True,
    company: Company | None = None,
) -> Layout:
    """The label in a room of `width` by `height` points, in line with its `company`."""
    if height > TURNED * width and width < NARROW:
        return replace(lay_out(label, height, width, flowers, company), turned=True)
    label = _cleaned(label)
    blooming = flowers and label.recipe is not None
    items = _items(label, Sizes.of(width, height))
    best: tuple[tuple[int, float], Frame, list[Words], int] | None = None
    company = company or Company.of([label], flowers)
    for frame in frames(label, width, height, blooming, company):
        words, scale, dropped = _filled(items, frame)
        if words is None:
            continue
        if not dropped and scale >= frame.enough:
            best = ((0, 0.0), frame, words, 0)
            break
        rank = (dropped, -scale)
        if best is None or rank < best[0]:
            best = (rank, frame, words, dropped)
    if best is None:
        return _bare(label, width, height, blooming)
    _, frame, words, dropped = best
    left_out = [item.part for item in items[len(items) - dropped :]]
    if blooming and not frame.flower:
        left_out.append("flower")
    if label.payload and not frame.square:
        left_out.append("square")
    words = words + ([frame.code] if frame.code else [])
    flower = frame.flower if blooming else None
    return Layout(width, height, tuple(words), frame.square, flower, tuple(left_out))


def _cleaned(label: Label) -> Label:
    return replace(
        label,
        code=fonts.clean(label.code),
        title=fonts.clean(label.title),
        parents=fonts.clean(label.parents),
        lines=tuple(fonts.clean(line) for line in label.lines),
    )


def _items(label: Label, sizes: Sizes) -> list[Item]:
    """The texts from the most important to the least; the code is among them without a title."""
    if label.title and label.title != label.code:
        first = Item("title", label.title, fonts.NAME, sizes.title, LEAST_TITLE, 1.06, 0, 0.74)
    else:
        first = Item("code", label.code, fonts.BOLD, sizes.title, LEAST_TITLE, 1.1, 0, 0.4)
    size = sizes.text
    parents = Item("parents", label.parents, fonts.ITALIC, size * 1.08, LEAST_TEXT, 1.14, 0.42)
    lines = [Item("line", line, fonts.TEXT, size, LEAST_TEXT, 1.18, 0.36) for line in label.lines]
    return [item for item in (first, parents, *lines) if item.text]


def _filled(items: list[Item], frame: Frame) -> tuple[list[Words] | None, float, int]:
    """(words, scale, how many items were dropped); no words when not even the code fits."""
    if frame.code:
        items = [item for item in items if item.part != "code"]
    if not items:
        return [], 1.0, 0
    fewest = 1 if items[0].part == "code" else 0
    for count in range(len(items), max(fewest, 1) - 1, -1):
        for breaking, steps in ((False, STEPS), (True, BROKEN_STEPS)):
            done = _scaled(items[:count], frame, breaking, steps)
            if done:
                return *done, len(items) - count
    return None if fewest else [], 0.0, len(items)


def _scaled(
    items: list[Item], frame: Frame, breaking: bool, steps: tuple[float, ...]
) -> tuple[list[Words], float] | None:
    """(words, scale) of the largest scale that fits; None when not even the smallest does.

    Most labels fit at the first; the smallest is tried next, since often nothing fits.
    """
    least = None
    for scale in (steps[0], steps[-1], *steps[1:-1]):
        words = _set(items, scale, frame, breaking)
        if scale == steps[-1]:
            least = words
            if least is None:
                return None
        elif words is not None:
            return words, scale
    return (least, steps[-1]) if least is not None else None


def _set(items: list[Item], scale: float, frame: Frame, breaking: bool) -> list[Words] | None:
    words = set_all(items, scale, frame.top, frame.floor, frame.room, frame.x, breaking)
    if not words or not frame.centred:
        return words
    first, last = words[0], words[-1]
    upper = first.y - fonts.ascent(first.face) * first.size
    free = frame.height - (last.y - upper)
    down = free / 2 - upper
    return [replace(one, y=one.y + down) for one in words]


def _bare(label: Label, width: float, height: float, blooming: bool) -> Layout:
    """The code alone, as large as the label lets it be."""
    pad = Sizes.of(width, height).pad
    size = min((width - 2 * pad) / max(fonts.ems(label.code, fonts.BOLD), 1e-9), 0.6 * height)
    base = (height + fonts.ascent(fonts.BOLD) * size) / 2
    words = Words("code", label.code, fonts.BOLD, size, pad, base)
    parts = ["line"] * len(label.lines) + ["parents"] * bool(label.parents)
    parts += ["title"] * (bool(label.title) and label.title != label.code)
    parts += ["flower"] * blooming + ["square"] * bool(label.payload)
    return Layout(width, height, (words,), None, None, tuple(parts))
