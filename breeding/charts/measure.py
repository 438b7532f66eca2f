"""Widths of names in the notebook's faces, and breaking them into lines."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from pathlib import Path

FONTS = Path(__file__).resolve().parent.parent.parent / "static/vendor/fonts"
FILES = {
    "name": "alegreya-600.ttf",
    "hand": "alegreya-500-italic.ttf",
    "code": "atkinson-next-700.ttf",
    "text": "atkinson-next-400.ttf",
}
# A sign that the face lacks is drawn by another font; it is taken to be as wide as this, in ems.
FOREIGN = 1.0
SHRINK, WIDEST = 0.86, 300.0


def font(face: str) -> str:
    """The name under which reportlab knows a face; registers it at first use."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = f"Haftbook {face}"
    if known not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(known, str(FONTS / FILES[face])))
    return known


@lru_cache(maxsize=8)
def _widths(face: str) -> dict[int, float]:
    from reportlab.pdfbase import pdfmetrics

    return {
        sign: wide / 1000 for sign, wide in pdfmetrics.getFont(font(face)).face.charWidths.items()
    }


def has(face: str, sign: str) -> bool:
    """Whether the face has this sign."""
    return ord(sign) in _widths(face)


@lru_cache(maxsize=16384)
def ems(text: str, face: str) -> float:
    """Width of `text` in ems of its size, kerning left out."""
    widths = _widths(face)
    return sum(widths.get(ord(sign), FOREIGN) for sign in text)


def clean(text: str) -> str:
    """One line, composed letters, no control signs (XML forbids them)."""
    text = unicodedata.normalize("NFC", text)
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


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
