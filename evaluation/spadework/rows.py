"""Rows as the spade reads them: what is dug, what stays, what is gone, position by position."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import groupby

from evaluation.spans import Span, spans, spans_text


class Fate(StrEnum):
    """What becomes of one position."""

    DIG = "dig"
    # Somebody wants it, or has not made up their mind.
    LEAVE = "leave"
    # Nobody has looked at it often enough.
    WAIT = "wait"
    MOVED = "moved"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class Spot:
    """One position; `told` says who stays there and why: '26-014C, keep'."""

    position: int
    fate: Fate
    told: str = ""


def wanted(spot: Spot) -> bool:
    return spot.fate == Fate.LEAVE


@dataclass(frozen=True, slots=True)
class Chunk:
    """Positions of one fate, one behind the other but for gaps; only who is wanted is told."""

    fate: Fate
    positions: tuple[int, ...]
    told: str

    @property
    def where(self) -> str:
        """'1–14, 16'."""
        return spans_text(spans(self.positions))

    @property
    def parts(self) -> list[str]:
        """'1–14,', '16': pieces that hold together."""
        return self.where.replace(", ", ",|").split("|")

    @property
    def verb(self) -> str:
        """'dig', 'LEAVE' what is wanted, 'leave' the rest."""
        return {Fate.DIG: "dig", Fate.LEAVE: "LEAVE"}.get(self.fate, "leave")

    def __str__(self) -> str:
        return f"{self.verb} {self.where}{f' ({self.told})' if self.told else ''}"


@dataclass(frozen=True)
class SpadeRow:
    """A stretch of seedlings of one cross with the fate of each position, in order."""

    key: int
    number: int
    cross: str
    spots: tuple[Spot, ...]

    def of(self, *fates: Fate) -> tuple[int, ...]:
        """The positions with one of these fates."""
        return tuple(spot.position for spot in self.spots if spot.fate in fates)

    @cached_property
    def dig(self) -> tuple[int, ...]:
        return self.of(Fate.DIG)

    @cached_property
    def stays(self) -> tuple[int, ...]:
        """Positions at which something stands and goes on standing."""
        return self.of(Fate.LEAVE, Fate.WAIT)

    @cached_property
    def moved(self) -> tuple[int, ...]:
        return self.of(Fate.MOVED)

    @property
    def empty(self) -> bool:
        """Whether nothing stands in it any more but what has a place elsewhere."""
        return not self.dig and not self.stays

    @property
    def span(self) -> str:
        return spans_text([(self.spots[0].position, self.spots[-1].position)])

    @property
    def dig_text(self) -> str:
        return spans_text(spans(self.dig))

    @cached_property
    def line(self) -> list[Chunk]:
        """What the spade reads, in the order of positions; gaps are passed over."""
        standing = [spot for spot in self.spots if spot.fate not in (Fate.MOVED, Fate.GONE)]
        grouped = groupby(standing, key=lambda spot: (spot.fate, spot.told if wanted(spot) else ""))
        return [
            Chunk(fate, tuple(spot.position for spot in group), told)
            for (fate, told), group in grouped
        ]

    def runs(self, first: int, last: int) -> Iterator[tuple[Fate, Span]]:
        """Stretches of one fate from position `first` to `last`, in order."""
        within = [spot for spot in self.spots if first <= spot.position <= last]
        for fate, group in groupby(within, key=lambda spot: spot.fate):
            at = [spot.position for spot in group]
            yield fate, (at[0], at[-1])


@dataclass(frozen=True)
class SpadeBed:
    """A bed with the rows in which there is something to dig or nothing left, in their order.

    `resting` counts its other rows.
    """

    key: int
    name: str
    rows: tuple[SpadeRow, ...]
    resting: int = 0

    @property
    def dig(self) -> int:
        return sum(len(row.dig) for row in self.rows)

    @property
    def stays(self) -> int:
        return sum(len(row.stays) for row in self.rows)


@dataclass(frozen=True, slots=True)
class Stray:
    """A discarded plant that was moved out of its row before, and where it stands now."""

    key: int
    label: str
    place: str
