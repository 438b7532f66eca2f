"""Text set into a room whose width changes from line to line: shrunk a little, then wrapped."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from garden.paper import fonts

# Width free for a line between two heights, measured downwards from the label's upper edge.
Room = Callable[[float, float], float]
# A multiplication sign never ends a line: it goes with the parent behind it.
_CROSS = re.compile(r" ([×x]) ")
_TIE = "\u2060"
_PIECES = re.compile(r"[^-/,.]*[-/,.]*")
BALANCING = 5


@dataclass(frozen=True, slots=True)
class Item:
    """One text of a label, and how it may be set.

    `size` is the size it likes and `least` the smallest, in points; it is shrunk by up to `give`
    before it is wrapped. `lead` is the distance of its lines and `before` the air above it, in
    ems of its size. `part` says which part of the label it is.
    """

    part: str
    text: str
    face: str
    size: float
    least: float
    lead: float = 1.2
    before: float = 0.3
    give: float = 0.86


@dataclass(frozen=True, slots=True)
class Words:
    """A line as placed: left end and baseline, from the label's upper left, in points."""

    part: str
    text: str
    face: str
    size: float
    x: float
    y: float

    @property
    def width(self) -> float:
        return fonts.width(self.text, self.face, self.size)


@lru_cache(maxsize=8192)
def measured(text: str, face: str) -> tuple[tuple[str, float], ...]:
    """What may not be parted, in order, and its width in ems."""
    return tuple((token, fonts.ems(token, face)) for token in tokens(text))


def tokens(text: str) -> list[str]:
    """What may not be parted, in order."""
    return [one.replace(_TIE, " ") for one in _CROSS.sub(rf" \1{_TIE}", text).split(" ") if one]


def _parted(token: str, face: str, ems: float) -> list[str]:
    """A token that is wider than a line, in even pieces: at hyphens first, then anywhere."""
    pieces: list[str] = []
    ems = min(ems, 1.06 * fonts.ems(token, face) / math.ceil(fonts.ems(token, face) / ems))
    for part in filter(None, _PIECES.findall(token)):
        if pieces and fonts.ems(pieces[-1] + part, face) <= ems:
            pieces[-1] += part
            continue
        pieces.append("")
        for sign in part:
            if pieces[-1] and fonts.ems(pieces[-1] + sign, face) > ems:
                pieces.append("")
            pieces[-1] += sign
    return pieces


def _filled(item: Item, size: float, top: float, room: Room, part: float, breaking: bool
            ) -> list[tuple[str, float]] | None:  # fmt: skip
    """(line, baseline) of lines filled to `part` of their room; None when a token is too wide."""
    rise, fall = fonts.ascent(item.face) * size, 0.25 * size
    blank = fonts.ems(" ", item.face)
    lines: list[tuple[str, float]] = []
    waiting = list(reversed(measured(item.text, item.face)))
    while waiting:
        base = top + rise + len(lines) * item.lead * size
        wide = room(base - rise, base + fall) * part / size
        line, reach = waiting.pop()
        if reach > wide:
            if not breaking or wide * size < item.least:
                return None
            line, *rest = _parted(line, item.face, wide)
            reach = fonts.ems(line, item.face)
            waiting += [(piece, fonts.ems(piece, item.face)) for piece in reversed(rest)]
        while waiting and reach + blank + waiting[-1][1] <= wide:
            token, more = waiting.pop()
            line, reach = f"{line} {token}", reach + blank + more
        lines.append((line, base))
    return lines


def _even(item: Item, size: float, top: float, room: Room, lines: list[tuple[str, float]]
          ) -> list[tuple[str, float]]:  # fmt: skip
    """As many lines, filled as evenly as can be: no single short word at the end."""
    low, high = 0.4, 1.0
    for _ in range(BALANCING):
        middle = (low + high) / 2
        tried = _filled(item, size, top, room, middle, False)
        if tried and len(tried) <= len(lines):
            lines, high = tried, middle
        else:
            low = middle
    return lines


def set_item(item: Item, scale: float, top: float, room: Room, x: float, breaking: bool = False
             ) -> tuple[list[Words], float] | None:  # fmt: skip
    """The item's lines with the first one's capitals at `top`, and where the last baseline is.

    None when a word is wider than its line and may not be broken.
    """
    size = max(item.least, item.size * scale)
    parts = measured(item.text, item.face)
    whole = sum(ems for _, ems in parts) + (len(parts) - 1) * fonts.ems(" ", item.face)
    rise = fonts.ascent(item.face) * size
    wide = room(top, top + rise + 0.25 * size)
    if not wide:
        return None
    one = min(size, wide / max(whole, 1e-9))
    if one >= max(item.least, size * item.give):
        rise = fonts.ascent(item.face) * one
        line = Words(item.part, item.text, item.face, one, x, top + rise)
        return [line], top + rise
    if not breaking:
        # One long word makes its own text smaller, not the whole label.
        longest = max(wide for _, wide in measured(item.text, item.face))
        size = max(item.least, min(size, wide / max(longest, 1e-9)))
    lines = _filled(item, size, top, room, 1.0, breaking)
    if lines is None:
        return None
    if len(lines) > 1 and not breaking:
        lines = _even(item, size, top, room, lines)
    words = [Words(item.part, text, item.face, size, x, base) for text, base in lines]
    return words, lines[-1][1]


def set_all(items: list[Item], scale: float, top: float, floor: float, room: Room, x: float,
            breaking: bool = False) -> list[Words] | None:  # fmt: skip
    """All items one below the other from `top`; None unless they end above `floor`."""
    found: list[Words] = []
    under = top
    for at, item in enumerate(items):
        size = max(item.least, item.size * scale)
        start = under + item.before * size if at else top
        done = set_item(item, scale, start, room, x, breaking)
        if done is None:
            return None
        words, base = done
        found += words
        # Half the next line's air is below the baseline already: tails hang into it.
        under = base + 0.22 * words[-1].size
        if under > floor + 1e-6:
            return None
    return found
