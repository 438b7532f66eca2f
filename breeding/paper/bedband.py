"""One row of a bed on paper: its ruler, its seedlings as bars, its plants by name.

Lanes lie above each other, so that nothing overlaps: plants, letters of selected seedlings, bars,
ruler. Lengths in points.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from breeding.paper.bedplan import Piece, Standing, Stretch
from garden.paper import fonts
from garden.paper.fit import LEADING, fits, largest, set_in_lines, shortest
from garden.paper.pieces import blossom
from garden.paper.sizes import EDGE, INK, SOFT
from garden.paper.words import BOLD, NAME, TEXT, words_width

GUTTER = 30.0
RULER, BAR, LETTERS, BLANK = 13.0, 25.0, 15.0, 24.0
NUMBER, CODE, SPAN, LETTER = 7.5, 9.5, 8.0, 9.0
SIZES = (13.0, 12.0, 11.0, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5)
# A name on end is set smaller where it would be longer than so many of its largest letters.
LONGEST = 6.5
# Names stand upright where all of them fit in so many lines.
MOST_LINES = 4


@dataclass(frozen=True, slots=True)
class Look:
    """How a map is set: points a position, names turned or not, the largest name, the flower's
    size, the blank above and below a row."""

    pitch: float
    turned: bool
    largest: float = 9.5
    bloom: float = 15.0
    gap: float = 5.0

    @property
    def sizes(self) -> tuple[float, ...]:
        return tuple(size for size in SIZES if size <= self.largest)


@dataclass(frozen=True, slots=True)
class Named:
    """A place with the names of the plants there, set in lines."""

    position: int
    lines: list[str]
    face: str
    size: float
    flower: Any

    def length(self) -> float:
        return max((words_width(line, self.face, self.size) for line in self.lines), default=0.0)


def upright(names: list[str], pitch: float) -> bool:
    """Whether all names can be read without turning the sheet."""
    return all(fits(name, NAME, SIZES[-1], pitch - 4, MOST_LINES) for name in names)


def named(plants: tuple[Standing, ...], look: Look) -> list[Named]:
    """The plants of a piece by place; several at one place share it."""
    at: dict[int, list[Standing]] = {}
    for plant in plants:
        at.setdefault(plant.position, []).append(plant)
    return [_named(position, some, look) for position, some in sorted(at.items())]


def _named(position: int, plants: list[Standing], look: Look) -> Named:
    text = " + ".join(plant.name for plant in plants)
    face = BOLD if all(plant.numbered for plant in plants) else NAME
    flower = next((plant.flower for plant in plants if plant.flower), None)
    if not look.turned:
        room = look.pitch - 4
        sizes = (size for size in look.sizes if fits(text, face, size, room, MOST_LINES))
        size = next(sizes, SIZES[-1])
        return Named(position, set_in_lines(text, face, size, room), face, size, flower)
    for size in look.sizes:
        lines = shortest(text, face, size, max(1, int((look.pitch - 2) // (size * LEADING))))
        place = Named(position, lines, face, size, flower)
        if place.length() <= LONGEST * look.largest:
            break
    return place


class Band(Flowable):  # type: ignore[misc]
    """A row of a bed, or a part of it, to scale."""

    def __init__(self, piece: Piece, look: Look) -> None:
        super().__init__()
        self.piece, self.look, self.pitch, self.turned = piece, look, look.pitch, look.turned
        self.places = named(piece.plants, look)
        self.letters = [
            (at, letter) for each in piece.stretches for at, letter in each.letters
            if piece.first <= at <= piece.last
        ]  # fmt: skip
        self.plants_high, self.letters_high, self.bar_high = self._lanes()

    def _lanes(self) -> tuple[float, float, float]:
        plants = letters = bar = 0.0
        if self.places:
            plants = max(
                place.length() if self.turned else len(place.lines) * place.size * LEADING
                for place in self.places
            ) + (self.look.bloom + 3 if any(place.flower for place in self.places) else 0)
            plants += 4
        if self.letters:
            letters = max(
                LETTERS,
                *(words_width(letter, BOLD, LETTER) + 7 for _, letter in self.letters
                  if self._wide(letter)),
                0.0,
            )  # fmt: skip
        if self.piece.stretches:
            narrow = [
                words_width(each.cross, BOLD, CODE) + 8
                for each in self.piece.stretches
                if not self._holds(each)
            ]
            bar = max([BAR, *narrow])
        return plants, letters, bar if bar or plants else BLANK

    def _wide(self, letter: str) -> bool:
        return words_width(letter, BOLD, LETTER) > self.pitch - 1

    def _edges(self, stretch: Stretch) -> tuple[float, float]:
        first = max(stretch.first, self.piece.first)
        last = min(stretch.last, self.piece.last)
        return self.x(first), self.x(last + 1)

    def _holds(self, stretch: Stretch) -> bool:
        """Whether the number of the cross fits into its bar without being turned."""
        left, right = self._edges(stretch)
        return words_width(stretch.cross, BOLD, CODE) <= right - left - 5

    def x(self, position: int) -> float:
        """Where a position begins."""
        return GUTTER + (position - self.piece.first) * self.pitch

    def middle(self, position: int) -> float:
        return self.x(position) + self.pitch / 2

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        high = RULER + self.bar_high + self.letters_high + self.plants_high
        return width, high + 2 * self.look.gap

    def draw(self) -> None:
        canvas, ground = self.canv, RULER + self.look.gap
        fonts.register()
        canvas.setFillColor(HexColor(INK))
        label = str(self.piece.row)
        wide = words_width(label, BOLD, 13)
        fonts.draw(canvas, GUTTER - 8 - wide, ground + 2, label, BOLD, 13)
        self._ruler(ground)
        for stretch in self.piece.stretches:
            self._bar(stretch, ground)
        top = ground + self.bar_high
        for at, letter in self.letters:
            self._letter(at, letter, top)
        top += self.letters_high
        for place in self.places:
            (self._turned if self.turned else self._upright)(place, top)

    def _ruler(self, ground: float) -> None:
        canvas, piece = self.canv, self.piece
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(1.0)
        canvas.line(self.x(piece.first), ground, self.x(piece.last + 1), ground)
        every = self.pitch >= words_width(str(piece.last), TEXT, NUMBER) + 3
        canvas.setFillColor(HexColor(INK))
        for at in range(piece.first, piece.last + 2):
            five = at % 5 == 1
            canvas.setLineWidth(0.7 if five else 0.35)
            canvas.line(self.x(at), ground, self.x(at), ground - (4 if five else 2.5))
        for at in range(piece.first, piece.last + 1):
            if every or at == piece.first or at % 5 == 0:
                # The last one stays within the row, however narrow its place.
                end = self.x(piece.last + 1) - words_width(str(at), TEXT, NUMBER) / 2
                self._middle(min(self.middle(at), end), ground - 11, str(at), TEXT, NUMBER)

    def _middle(self, x: float, y: float, text: str, face: str, size: float) -> None:
        fonts.draw(self.canv, x - words_width(text, face, size) / 2, y, text, face, size)

    def _bar(self, stretch: Stretch, ground: float) -> None:
        canvas, high = self.canv, self.bar_high
        left, right = self._edges(stretch)
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(0.9)
        left, right = left + 0.7, right - 0.7
        canvas.line(left, ground + high - 2, right, ground + high - 2)
        if stretch.first >= self.piece.first:
            canvas.line(left, ground, left, ground + high - 2)
        if stretch.last <= self.piece.last:
            canvas.line(right, ground, right, ground + high - 2)
        canvas.setFillColor(HexColor(INK))
        middle = (left + right) / 2
        if not self._holds(stretch):
            size = largest(stretch.cross, BOLD, (CODE, 8.5, 8.0), high - 6)
            size = min(size, (right - left) / 0.9)
            self._on_end(middle + size * 0.35, ground + 3, stretch.cross, BOLD, size)
            return
        span = f"{stretch.first}–{stretch.last}" if stretch.last > stretch.first else ""
        base = ground + high / 2
        if span and words_width(span, TEXT, SPAN) <= right - left - 4:
            self._middle(middle, base + 0.5, stretch.cross, BOLD, CODE)
            self._middle(middle, base - 9, span, TEXT, SPAN)
        else:
            self._middle(middle, base - 4.5, stretch.cross, BOLD, CODE)

    def _letter(self, at: int, letter: str, top: float) -> None:
        canvas, x = self.canv, self.middle(at)
        canvas.setFillColor(HexColor(INK))
        canvas.circle(x, top - 0.2, 1.8, stroke=0, fill=1)
        if self._wide(letter):
            self._on_end(x + LETTER * 0.35, top + 4, letter, BOLD, LETTER)
        else:
            self._middle(x, top + 4, letter, BOLD, LETTER)

    def _on_end(self, x: float, y: float, text: str, face: str, size: float) -> None:
        """Text that runs upwards from (x, y)."""
        self.canv.saveState()
        self.canv.translate(x, y)
        self.canv.rotate(90)
        fonts.draw(self.canv, 0, 0, text, face, size)
        self.canv.restoreState()

    def _flower(self, place: Named, high: float) -> float:
        """Draw the flower at its place; the height at which the name begins."""
        if not place.flower:
            return high
        size = self.look.bloom
        blossom(self.canv, place.flower, self.middle(place.position) - size / 2, high, size)
        return high + size + 3

    def _turned(self, place: Named, base: float) -> None:
        high = self._flower(place, base + 3)
        self.canv.setFillColor(HexColor(INK))
        step = place.size * LEADING
        left = self.middle(place.position) - (len(place.lines) - 1) * step / 2 + place.size * 0.32
        for at, line in enumerate(place.lines):
            self._on_end(left + at * step, high, line, place.face, place.size)

    def _upright(self, place: Named, base: float) -> None:
        high = self._flower(place, base + 3)
        self.canv.setFillColor(HexColor(INK))
        step, x = place.size * LEADING, self.middle(place.position)
        high += (len(place.lines) - 1) * step + place.size * 0.25
        for at, line in enumerate(place.lines):
            self._middle(x, high - at * step, line, place.face, place.size)


class EmptyRows(Flowable):  # type: ignore[misc]
    """A run of rows in which nothing stands, as one line."""

    def __init__(self, first: int, last: int, long: float) -> None:
        super().__init__()
        self.first, self.last, self.long = first, last, long

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return width, 20.0

    def draw(self) -> None:
        canvas = self.canv
        canvas.setFillColor(HexColor(SOFT))
        canvas.setStrokeColor(HexColor(EDGE))
        text = f"rows {self.first} to {self.last}: nothing stands"
        fonts.draw(canvas, GUTTER, 6, text, TEXT, 8.5)
        canvas.setLineWidth(0.5)
        canvas.setDash([1, 3])
        wide = words_width(text, TEXT, 8.5)
        canvas.line(GUTTER + wide + 6, 8.5, GUTTER + self.long, 8.5)
        canvas.setDash()
