"""What stands where in a bed, and at which scale it goes on the paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from garden.flower import Recipe

_MARK = re.compile(r"\s*(?:(\d{1,3})\s*[-–/.]\s*)?(\d{1,4})\s*")
# Of a larger bed runs of empty rows are drawn as one line.
MOST_EMPTY_ROWS = 12
# Least width of a position in points: with names of plants, and of seedlings alone.
NAMED, NUMBERED = 17.5, 9.9
WIDEST = 85.0


@dataclass(frozen=True, slots=True)
class Standing:
    """A plant of the stock at a position of a row; `numbered` while it has no name."""

    row: int
    position: int
    name: str
    flower: Recipe | None = None
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """Seedlings of a cross from `first` to `last`; `letters` of those selected, by position."""

    row: int
    first: int
    last: int
    cross: str
    letters: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class CrossHere:
    """A cross of which seedlings stand in the bed."""

    code: str
    parents: str
    lined_out: str
    seedlings: int
    where: str


@dataclass(frozen=True, slots=True)
class Bed:
    """A bed as it stands; `elsewhere` are plants whose mark tells no place on the map."""

    name: str
    rows: int
    positions: int
    note: str = ""
    plants: tuple[Standing, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    elsewhere: tuple[tuple[str, str], ...] = ()
    crosses: tuple[CrossHere, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """One row of a bed from `first` to `last`, with what stands there."""

    row: int
    first: int
    last: int
    plants: tuple[Standing, ...]
    stretches: tuple[Stretch, ...]

    @property
    def empty(self) -> bool:
        return not self.plants and not self.stretches


def place_of(mark: str, rows: int, positions: int) -> tuple[int, int] | None:
    """Row and position that a mark names: '2-7', or '7' where there is one row; None otherwise."""
    found = _MARK.fullmatch(mark)
    if not found or (found[1] is None and rows > 1):
        return None
    row, position = int(found[1] or 1), int(found[2])
    return (row, position) if 1 <= row <= rows and 1 <= position <= positions else None


def spans(positions: int, room: float, named: bool) -> tuple[list[tuple[int, int]], float]:
    """The bed's length in parts that fit `room` points, and the width of one position.

    All parts have the same scale; where there are several, each but the last ends at a five.
    """
    most = max(1, int(room // (NAMED if named else NUMBERED)))
    parts = -(-positions // most)
    each = -(-positions // parts)
    if parts > 1:
        each = min(most // 5 * 5 or most, -(-each // 5) * 5)
    found = [(at, min(at + each - 1, positions)) for at in range(1, positions + 1, each)]
    return found, min(WIDEST, room / min(each, positions))


def pieces(bed: Bed, first: int, last: int) -> list[Piece]:
    """Every row of the bed between two positions."""
    plants: dict[int, list[Standing]] = {}
    for plant in bed.plants:
        if first <= plant.position <= last:
            plants.setdefault(plant.row, []).append(plant)
    stretches: dict[int, list[Stretch]] = {}
    for stretch in bed.stretches:
        if stretch.first <= last and stretch.last >= first:
            stretches.setdefault(stretch.row, []).append(stretch)
    return [
        Piece(row, first, last, tuple(plants.get(row, ())), tuple(stretches.get(row, ())))
        for row in range(1, bed.rows + 1)
    ]


def drawn(bed: Bed, first: int, last: int) -> Iterator[Piece | tuple[int, int]]:
    """Rows to draw between two positions; of a large bed, runs of empty ones as (from, to)."""
    found = pieces(bed, first, last)
    if bed.rows <= MOST_EMPTY_ROWS:
        yield from found
        return
    for empty, run in groupby(found, key=lambda piece: piece.empty):
        rows = list(run)
        if empty and len(rows) > 1:
            yield rows[0].row, rows[-1].row
        else:
            yield from rows
