"""Where seedlings find room: rows of the fields, packed without overlap. Free of Django."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Stretch:
    """Positions first..last of one row of a bed."""

    bed: str
    row: int
    first: int
    last: int

    @property
    def seedlings(self) -> int:
        return self.last - self.first + 1


class Field:
    """All rows for seedlings, and which stretches are taken."""

    # A place left free between two stretches, for the stake.
    STAKE = 1

    def __init__(self, beds: list[dict[str, Any]]) -> None:
        self.rows = [
            (bed["name"], row, bed["positions"])
            for bed in beds
            for row in range(1, bed["rows"] + 1)
        ]
        self.taken: dict[tuple[str, int], list[Stretch]] = {
            (name, row): [] for name, row, _ in self.rows
        }

    def take(self, seedlings: int, pieces: int = 1) -> list[Stretch]:
        """Stretches for so many seedlings, in up to `pieces` parts; fewer when the field is full.

        A gap that holds a whole part is taken before seedlings are spread over smaller gaps.
        """
        found: list[Stretch] = []
        part = -(-seedlings // pieces)
        while seedlings and (gap := self._gap(min(part, seedlings)) or self._widest()):
            name, row, first, room = gap
            last = first + min(part, seedlings, room) - 1
            stretch = Stretch(name, row, first, last)
            self.taken[name, row].append(stretch)
            found.append(stretch)
            seedlings -= stretch.seedlings
        return found

    def free(self, stretch: Stretch) -> None:
        """The stretch is dug; its positions can be taken again."""
        self.taken[stretch.bed, stretch.row].remove(stretch)

    def _gaps(self) -> list[tuple[str, int, int, int]]:
        """(bed, row, first position, length) of everything that is free."""
        gaps = []
        for name, row, positions in self.rows:
            first = 1
            for stretch in sorted(self.taken[name, row], key=lambda taken: taken.first):
                gaps.append((name, row, first, stretch.first - self.STAKE - first))
                first = stretch.last + self.STAKE + 1
            gaps.append((name, row, first, positions - first + 1))
        return [gap for gap in gaps if gap[3] >= 1]

    def _gap(self, least: int) -> tuple[str, int, int, int] | None:
        return next((gap for gap in self._gaps() if gap[3] >= least), None)

    def _widest(self) -> tuple[str, int, int, int] | None:
        return max(self._gaps(), key=lambda gap: gap[3], default=None)
