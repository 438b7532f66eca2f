"""Positions of a row written as a spade reads them: '1–14, 16, 20–30'. Free of Django."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

Span = tuple[int, int]
MOST_POSITIONS = 20_000
_PART = re.compile(r"([0-9]{1,6})(?:–([0-9]{1,6}))?")


def spans(positions: Iterable[int]) -> list[Span]:
    """Neighbouring positions drawn together as (first, last), in order.

    >>> spans([3, 1, 2, 7])
    [(1, 3), (7, 7)]
    """
    drawn: list[Span] = []
    for at in sorted(set(positions)):
        if drawn and at == drawn[-1][1] + 1:
            drawn[-1] = (drawn[-1][0], at)
        else:
            drawn.append((at, at))
    return drawn


def positions_in(parts: Iterable[Sequence[int]]) -> set[int]:
    """All positions of spans (first, last).

    >>> sorted(positions_in([(1, 3), (7, 7)]))
    [1, 2, 3, 7]
    """
    return {at for first, last in parts for at in range(first, last + 1)}


def spans_text(parts: Iterable[Span]) -> str:
    """'1–3, 7'."""
    return ", ".join(f"{first}–{last}" if last > first else f"{first}" for first, last in parts)


def read_spans(text: str) -> list[int]:
    """The positions that '1-3, 7' names, in order.

    Raises
    ------
    ValueError
        With a sentence, when it cannot be read or names too many.
    """
    found: set[int] = set()
    tight = re.sub(r"\s*[-–]\s*", "–", text)
    for part in re.findall(r"[^,;\s]+", tight):
        match = _PART.fullmatch(part)
        if match is None:
            raise ValueError(f"‘{part}’ is no position: write them like 1–14, 16, 20–30.")
        first, last = int(match[1]), int(match[2] or match[1])
        if last < first or last - first > MOST_POSITIONS:
            raise ValueError(f"‘{part}’ does not run from a first to a last position.")
        found.update(range(first, last + 1))
    return sorted(found)
