"""Words fitted into a place of given width: smaller first, then in lines, never cut."""

from __future__ import annotations

from collections.abc import Sequence

from garden.paper.words import clean, words_width

LEADING = 1.12


def _broken(word: str, face: str, size: float, room: float) -> list[str]:
    """A word in pieces that fit; a piece has one sign at least."""
    pieces = [""]
    for sign in word:
        if pieces[-1] and words_width(pieces[-1] + sign, face, size) > room:
            pieces.append("")
        pieces[-1] += sign
    return pieces


def set_in_lines(text: str, face: str, size: float, room: float) -> list[str]:
    """`text` in lines not wider than `room` points; only a word wider than that is broken."""
    lines: list[str] = []
    for word in clean(text).split():
        pieces = [word]
        if words_width(word, face, size) > room:
            pieces = _broken(word, face, size, room)
        for piece in pieces:
            longer = f"{lines[-1]} {piece}" if lines else piece
            if lines and piece is pieces[0] and words_width(longer, face, size) <= room:
                lines[-1] = longer
            else:
                lines.append(piece)
    return lines


def fits(text: str, face: str, size: float, room: float, lines: int) -> bool:
    """Whether it can be set in so many lines without breaking a word."""
    return (
        all(words_width(word, face, size) <= room for word in clean(text).split())
        and len(set_in_lines(text, face, size, room)) <= lines
    )


def shortest(text: str, face: str, size: float, lines: int) -> list[str]:
    """`text` in at most so many lines, the longest of them as short as can be."""
    low, high = 0.0, words_width(text, face, size)
    if lines == 1 or " " not in clean(text):
        return [clean(text)]
    low = max(words_width(word, face, size) for word in clean(text).split())
    for _ in range(8):
        middle = (low + high) / 2
        if len(set_in_lines(text, face, size, middle)) <= lines:
            high = middle
        else:
            low = middle
    return set_in_lines(text, face, size, high)


def largest(text: str, face: str, sizes: Sequence[float], room: float) -> float:
    """The first of `sizes` at which the text fits on one line, else one that makes it fit."""
    wide = words_width(text, face, 1.0)
    return next((size for size in sizes if wide * size <= room), room / max(wide, 1e-9))
