"""Widths of names in the notebook's faces, and breaking them into lines."""

from __future__ import annotations

from functools import lru_cache

from garden.paper import fonts

# The charts' words for the faces of paper.
FACES = {"name": fonts.NAME, "hand": fonts.ITALIC, "code": fonts.BOLD, "text": fonts.TEXT}
# Signs that the face lacks are measured as paper sets them; one that no font here has is drawn by
# the browser's, and taken to be as wide as this, in ems.
FOREIGN = 1.0
SHRINK, WIDEST = 0.86, 300.0


def font(face: str) -> str:
    """The name under which reportlab knows a face; registers it at first use."""
    fonts.register()
    return FACES[face]


def has(face: str, sign: str) -> bool:
    """Whether the face has this sign."""
    return fonts.has(FACES[face], sign)


@lru_cache(maxsize=16384)
def ems(text: str, face: str) -> float:
    """Width of `text` in ems of its size, kerning left out."""
    known = FACES[face]
    dots = sum(piece.count(fonts.MISSING) for piece, _ in fonts.runs(text, known))
    foreign = dots - text.count(fonts.MISSING)
    dot = fonts.advance(known, fonts.MISSING)
    return fonts.ems(text, known) + foreign * (FOREIGN - dot)


def clean(text: str) -> str:
    """One line, composed letters, no control signs (XML forbids them)."""
    return fonts.clean(text)


def filled(words: list[str], face: str, most: float) -> list[str]:
    """`words` in lines not wider than `most` ems; a word is never parted."""
    lines = [words[0]]
    for word in words[1:]:
        longer = f"{lines[-1]} {word}"
        if ems(longer, face) <= most:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _broken(word: str, face: str, most: float) -> list[str]:
    """A word in pieces that fit; only for words wider than a whole line."""
    pieces = [""]
    for sign in word:
        if pieces[-1] and ems(pieces[-1] + sign, face) > most:
            pieces.append("")
        pieces[-1] += sign
    return pieces


@lru_cache(maxsize=16384)
def fitted(
    text: str, face: str, size: float, least: float, most: float
) -> tuple[tuple[str, ...], float]:
    """`text` in lines not wider than `most`, and the size to set them in; nothing is cut off.

    Shrinks a little first (not below `least` nor 0.86 of `size`), then breaks at blanks into lines
    of like width. A long word may be wider than `most`, up to 300; only beyond that it is broken.
    Sizes and widths in chart units.
    """
    smaller = max(least, size * SHRINK)
    longest = max((ems(word, face) for word in text.split()), default=0.0)
    most = max(most, min(WIDEST, longest * smaller))
    if ems(text, face) * size <= most or " " not in text and ems(text, face) * smaller <= most:
        return (text,), min(size, max(smaller, most / max(ems(text, face), 1e-9)))
    if ems(text, face) * smaller <= most:
        return (text,), most / ems(text, face)
    room = most / smaller
    words = [piece for word in text.split() for piece in _broken(word, face, room)]
    lines = filled(words, face, room)
    # The narrowest setting with as many lines: no single short word at the end.
    low, high = ems(text, face) / len(lines), room
    for _ in range(6):
        middle = (low + high) / 2
        if len(filled(words, face, middle)) <= len(lines):
            high = middle
        else:
            low = middle
    lines = filled(words, face, high)
    widest = max(ems(one, face) for one in lines)
    return tuple(lines), max(smaller, min(size, most / widest))
