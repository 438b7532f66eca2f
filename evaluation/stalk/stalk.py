"""The buds of a stalk, socket by socket, and their short notation.

``T3 B2 B2 B2 S1``: three buds in the terminal, three branches with two each, one spur with one.
Branches are told from the top of the stalk downward, spurs from the lowest upward (that is: away
from the top branch). Small letters, commas or no spaces at all are read as well.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

MOST_BUDS, MOST_BRANCHES, MOST_SPURS = 6, 8, 4
# Longest text worth reading: every socket there can be, generously spaced.
MOST_SIGNS = 100
_BETWEEN = re.compile(r"[\s,;+]+")
_SOCKET = re.compile(r"([A-Z]+)(\d*)|(\d+)|(.)")
_NAMES = {"T": "terminal", "B": "branch", "S": "spur"}


class StalkError(ValueError):
    """A stalk that cannot be, or a notation that cannot be read, in a gardener's sentence."""


@dataclass(frozen=True)
class Stalk:
    """Buds in the terminal, in each branch from the top downward, and in each spur.

    Raises
    ------
    StalkError
        For more than 6 buds a socket, 8 branches or 4 spurs.
    """

    terminal: int
    branches: tuple[int, ...] = ()
    spurs: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "branches", tuple(self.branches))
        object.__setattr__(self, "spurs", tuple(self.spurs))
        for name, _, buds in self.sockets():
            if not (type(buds) is int and 0 <= buds <= MOST_BUDS):
                raise StalkError(f"A {name} has between 0 and {MOST_BUDS} buds, not {buds}.")
        if len(self.branches) > MOST_BRANCHES:
            raise StalkError(f"A stalk has at most {MOST_BRANCHES} branches.")
        if len(self.spurs) > MOST_SPURS:
            raise StalkError(f"A stalk has at most {MOST_SPURS} spurs.")

    def sockets(self) -> list[tuple[str, int, int]]:
        """(kind, number within its kind from 0, buds): terminal, then branches, then spurs."""
        told = [("terminal", 0, self.terminal)]
        told += [("branch", i, buds) for i, buds in enumerate(self.branches)]
        return told + [("spur", i, buds) for i, buds in enumerate(self.spurs)]

    @property
    def buds(self) -> int:
        return self.terminal + sum(self.branches) + sum(self.spurs)

    @property
    def positions(self) -> int:
        """Bloom positions: sockets with at least one bud."""
        return sum(buds > 0 for _, _, buds in self.sockets())

    def __str__(self) -> str:
        return format_stalk(self)

    def words(self) -> str:
        """The counts in words: "9 buds in 5 positions: terminal 3; branches 2, 2, 1; spur 1"."""
        parts = [f"terminal {self.terminal}"]
        for name, many, counts in (
            ("branch", "branches", self.branches),
            ("spur", "spurs", self.spurs),
        ):
            if counts:
                parts.append(f"{many if len(counts) > 1 else name} {', '.join(map(str, counts))}")
        return (
            f"{_counted(self.buds, 'bud')} in {_counted(self.positions, 'position')}: "
            + "; ".join(parts)
        )


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def format_stalk(stalk: Stalk) -> str:
    """The notation of `stalk`, as ``T3 B2 B2 S1``."""
    sockets = [f"{_letter(kind)}{buds}" for kind, _, buds in stalk.sockets()]
    return " ".join(sockets)


def _letter(kind: str) -> str:
    return kind[0].upper()


def parse_stalk(text: str) -> Stalk:
    """The stalk that `text` tells.

    >>> parse_stalk("t3 b2,b2 s1")
    Stalk(terminal=3, branches=(2, 2), spurs=(1,))

    Raises
    ------
    StalkError
        When a socket cannot be read, the terminal is missing or told twice, or a limit is passed.
    """
    plain = _BETWEEN.sub("", text).upper()
    if not plain:
        raise StalkError("No buds are counted yet: write them as T3 B2 B2 S1.")
    if len(plain) > MOST_SIGNS:
        raise StalkError("This is too long for one stalk: write it as T3 B2 B2 S1.")
    counts: dict[str, list[int]] = {"T": [], "B": [], "S": []}
    for found in _SOCKET.finditer(plain):
        letter, buds = _read(found)
        counts[letter].append(buds)
    if len(counts["T"]) != 1:
        told = "is missing" if not counts["T"] else "stands more than once"
        raise StalkError(f"The terminal {told}: say once how many buds it has, as T3.")
    return Stalk(counts["T"][0], tuple(counts["B"]), tuple(counts["S"]))


def _read(found: re.Match[str]) -> tuple[str, int]:
    letter, digits = found[1], found[2]
    if letter not in _NAMES:
        raise StalkError(f"“{found[0]}” is no socket: write T, B or S and its buds, as T3 B2 S1.")
    if not digits:
        raise StalkError(f"A {_NAMES[letter]} stands without its buds: write it as {letter}2.")
    # A very long number is refused by the same limit.
    buds = int(digits[:3])
    if not (digits.isascii() and buds <= MOST_BUDS):
        raise StalkError(
            f"{letter}{digits[:3]}: a {_NAMES[letter]} has between 0 and {MOST_BUDS} buds."
        )
    return letter, buds
