"""Plots of a season as vectors in the sheet's own fonts: bars by step, flowers by day.

Lengths in points. One ink in three strengths, so that a copy in black and white tells the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from garden.paper import fonts
from garden.paper.fit import largest
from garden.paper.sizes import EDGE, INK, RULE
from garden.paper.words import BOLD, TEXT, words_width

# The newest season darkest.
FILLS = ("#dedede", "#a6a6a6", "#2b2b2b")
MOST_SEASONS = len(FILLS)


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the thread with its counts, by season from the oldest on."""

    title: str
    counts: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Day:
    """Flowers worked on a day: how many, how many set a pod, how many failed."""

    day: date
    flowers: int
    pods: int
    failed: int


def threes(count: int) -> str:
    """Digits in threes with narrow blanks, as on the pages."""
    return f"{count:,}".replace(",", "\u202f") if count >= 10_000 else str(count)


class _Plot(Flowable):  # type: ignore[misc]
    """What both plots share: their room, words in the middle of a place."""

    def __init__(self, width: float, height: float) -> None:
        super().__init__()
        self.width, self.height = width, height

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self.width, self.height

    def middle(self, x: float, y: float, text: str, face: str, size: float, room: float) -> None:
        """Words around `x`, smaller where they are wider than `room`."""
        size = min(size, largest(text, face, (size,), room))
        self.canv.setFillColor(HexColor(INK))
        fonts.draw(self.canv, x - words_width(text, face, size) / 2, y, text, face, size)

    def bar(self, x: float, y: float, wide: float, high: float, fill: str) -> None:
        self.canv.setFillColor(HexColor(fill))
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(0.5)
        self.canv.rect(x, y, wide, high, stroke=1, fill=1)


class Steps(_Plot):
    """Each step of the thread on its own scale, the newest season beside those before."""

    def __init__(self, steps: Sequence[Step], width: float, height: float = 132.0) -> None:
        super().__init__(width, height)
        self.steps = steps

    def draw(self) -> None:
        room = self.width / max(1, len(self.steps))
        for at, step in enumerate(self.steps):
            self._step(step, at * room + 4, room - 8)

    def _step(self, step: Step, left: float, room: float) -> None:
        self.middle(left + room / 2, self.height - 11, step.title, BOLD, 8.5, room)
        ground, top = 14.0, self.height - 32
        counts = step.counts[-MOST_SEASONS:]
        most = max((count for _, count in counts), default=0) or 1
        each = min(room / len(counts), room * 0.45)
        begin = left + (room - each * len(counts)) / 2
        for at, (year, count) in enumerate(counts):
            x, high = begin + at * each, (top - ground) * count / most
            fill = FILLS[at + MOST_SEASONS - len(counts)]
            if count:
                self.bar(x + 2, ground, each - 4, high, fill)
            self.middle(x + each / 2, ground + high + 3, threes(count), TEXT, 8.5, each)
            self.middle(x + each / 2, 3, str(year), TEXT, 8.0, each)
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(0.8)
        self.canv.line(left, ground, left + room, ground)


class Days(_Plot):
    """Flowers worked by day: dark set a pod, light failed, white is not known."""

    LEFT, GROUND, HEAD = 22.0, 26.0, 8.0

    def __init__(self, days: Sequence[Day], width: float, height: float = 120.0) -> None:
        super().__init__(width, height)
        self.days = sorted(days, key=lambda each: each.day)

    def draw(self) -> None:
        first, last = self.days[0].day, self.days[-1].day
        count = (last - first).days + 1
        most = max(each.flowers for each in self.days)
        each = min(16.0, (self.width - self.LEFT) / count)
        scale = (self.height - self.GROUND - self.HEAD) / most
        self._scale(most, scale, each * count)
        for day in self.days:
            self._day(day, self.LEFT + (day.day - first).days * each, each, scale)
        self._dates(first, last, each)
        self._key()

    def _day(self, day: Day, x: float, each: float, scale: float) -> None:
        wide = max(0.4, each * 0.76)
        y = self.GROUND
        for count, fill in (
            (day.pods, FILLS[2]),
            (day.failed, FILLS[0]),
            (max(0, day.flowers - day.pods - day.failed), "#ffffff"),
        ):
            if count:
                self.bar(x + (each - wide) / 2, y, wide, count * scale, fill)
                y += count * scale

    def _scale(self, most: int, scale: float, long: float) -> None:
        canvas = self.canv
        step = next(one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 10**6)
                    if most / one <= 5)  # fmt: skip
        for count in range(0, most + 1, step):
            y = self.GROUND + count * scale
            canvas.setStrokeColor(HexColor(RULE if count else INK))
            canvas.setLineWidth(0.8 if not count else 0.4)
            canvas.line(self.LEFT, y, self.LEFT + long, y)
            canvas.setFillColor(HexColor(INK))
            said = str(count)
            fonts.draw(canvas, self.LEFT - 5 - words_width(said, TEXT, 8), y - 2.8, said, TEXT, 8)

    def _dates(self, first: date, last: date, each: float) -> None:
        """A date as often as they do not touch."""
        step = max(1, int(-(-42 // each)))
        step = next((one for one in (1, 2, 5, 7, 14, 28, 56) if one >= step), step)
        for at in range(0, (last - first).days + 1, step):
            day = first + timedelta(days=at)
            x = self.LEFT + (at + 0.5) * each
            self.canv.setStrokeColor(HexColor(EDGE))
            self.canv.setLineWidth(0.5)
            self.canv.line(x, self.GROUND, x, self.GROUND - 3)
            said = f"{day.day} {day:%b}"
            half = words_width(said, TEXT, 8) / 2
            x = min(max(x, half), self.width - half)
            self.middle(x, self.GROUND - 12, said, TEXT, 8, 60)

    def _key(self) -> None:
        x = self.LEFT
        for fill, word in ((FILLS[2], "pod set"), (FILLS[0], "failed"), ("#ffffff", "not known")):
            self.bar(x, 2, 8, 7, fill)
            self.canv.setFillColor(HexColor(INK))
            fonts.draw(self.canv, x + 12, 2.4, word, TEXT, 8)
            x += 12 + words_width(word, TEXT, 8) + 16
