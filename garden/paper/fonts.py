"""The notebook's faces on paper: one text in runs of fonts, its width, and drawing it.

Words that a face has no letters for are set in DejaVu Sans, which knows Greek, Cyrillic, Hebrew,
Arabic and most signs. A sign that no font here has is drawn as a dot. reportlab neither orders
nor joins letters: what is read from right to left comes from `garden.paper.order`.

Every font is embedded as a subset. Sizes and widths are in points, kerning is left out.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Any

from garden.paper.order import as_drawn

FONTS = Path(__file__).resolve().parent.parent.parent / "static/vendor/fonts"
TEXT, BOLD, NAME, ITALIC = "Haftbook text", "Haftbook bold", "Haftbook name", "Haftbook italic"
FALLBACK, FALLBACK_BOLD = "Haftbook fall-back", "Haftbook fall-back bold"
FACES = (TEXT, BOLD, NAME, ITALIC)
# Behind each face the one that stands in for it; nobody else embeds these large files.
BEHIND = {TEXT: FALLBACK, BOLD: FALLBACK_BOLD, NAME: FALLBACK_BOLD, ITALIC: FALLBACK}
# Numbers such as 26-014C: Alegreya's figures hang, and its nought is like an o.
NUMBERS = {NAME: BOLD, ITALIC: TEXT}
_NUMBER = re.compile(r"(?=[A-Za-z0-9]*[0-9])[A-Za-z0-9]+(?:[-/][A-Za-z0-9]+)+")
_WORDS = re.compile(rf"{_NUMBER.pattern}|\s+|(?:(?!{_NUMBER.pattern})\S)+")
# How large other fonts are set beside a face, so that their letters are of like height.
BESIDE = {
    (TEXT, FALLBACK): 0.94,
    (BOLD, FALLBACK_BOLD): 0.94,
    (NAME, FALLBACK_BOLD): 0.86,
    (ITALIC, FALLBACK): 0.86,
    (NAME, BOLD): 0.94,
    (ITALIC, TEXT): 0.92,
}
FILES = {
    TEXT: "atkinson-next-400.ttf",
    BOLD: "atkinson-next-700.ttf",
    NAME: "alegreya-600.ttf",
    ITALIC: "alegreya-500-italic.ttf",
    FALLBACK: "dejavu-sans.ttf",
    FALLBACK_BOLD: "dejavu-sans-bold.ttf",
}
MISSING = "·"
# Signs without a look of their own: joiners, directions, how a sign is to be coloured.
_STEERS = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufe00-\ufe0f\ufeff]")
_one_at_a_time = Lock()


def register() -> None:
    """Make the four faces known to reportlab; a fall-back is read when a text first needs it."""
    from reportlab import rl_config

    # Streams as bytes instead of letters: a fifth smaller, and quicker.
    rl_config.useA85 = 0
    for face in FACES:
        _font(face)


def _font(name: str) -> Any:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    with _one_at_a_time:
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(FONTS / FILES[name])))
    return pdfmetrics.getFont(name)


@lru_cache(maxsize=len(FILES))
def _ems(name: str) -> dict[int, float]:
    """Advance widths in ems by code point."""
    return {sign: wide / 1000 for sign, wide in _font(name).face.charWidths.items()}


def has(face: str, sign: str) -> bool:
    """Whether the face itself has this sign."""
    return ord(sign) in _ems(face)


def advance(face: str, sign: str, other: float = 0.0) -> float:
    """Width of one sign in ems, `other` when the face itself lacks it."""
    return _ems(face).get(ord(sign), other)


@lru_cache(maxsize=len(FILES))
def ascent(face: str) -> float:
    """Height of a capital above the baseline, in ems."""
    return float(_font(face).face.capHeight) / 1000


def clean(text: str) -> str:
    """One line, composed letters, single blanks, nothing that only steers a screen."""
    text = _STEERS.sub("", unicodedata.normalize("NFC", text))
    return " ".join("".join(one if one.isprintable() else " " for one in text).split())


def _fonts_of(word: str, face: str) -> Iterator[tuple[str, str]]:
    """(sign, font) of a word; the whole word in the fall-back when the face lacks a letter."""
    behind = BEHIND[face]
    if any(not has(face, one) and unicodedata.category(one)[0] in "LM" for one in word):
        first, second = behind, face
    else:
        first, second = face, behind
    for sign in word:
        if has(first, sign):
            yield sign, first
        elif has(second, sign):
            yield sign, second
        else:
            yield MISSING, face


@lru_cache(maxsize=16384)
def runs(text: str, face: str) -> list[tuple[str, str]]:
    """`text` as (piece, font name), in the order in which it is drawn from the left.

    Raises
    ------
    KeyError
        When `face` is none of TEXT, BOLD, NAME, ITALIC.
    """
    BEHIND[face]
    if _ems(face).keys() >= set(map(ord, text)) and not (face in NUMBERS and _NUMBER.search(text)):
        return [(text, face)] if text else []
    text = _STEERS.sub("", unicodedata.normalize("NFC", text))
    found: list[tuple[str, str]] = []
    for word in _WORDS.findall(as_drawn(text)):
        number = face in NUMBERS and _NUMBER.fullmatch(word)
        for sign, font in _fonts_of(word, NUMBERS[face] if number else face):
            if found and found[-1][1] == font:
                found[-1] = (found[-1][0] + sign, font)
            else:
                found.append((sign, font))
    return found


def _widths(text: str, face: str) -> Iterator[tuple[str, str, float, float]]:
    """(piece, font, its size, its width) of each run at size 1."""
    for piece, font in runs(text, face):
        size = BESIDE.get((face, font), 1.0)
        widths = _ems(font)
        yield piece, font, size, sum(widths.get(ord(sign), 0.0) for sign in piece) * size


@lru_cache(maxsize=65536)
def ems(text: str, face: str) -> float:
    """Width of `text` in ems of its size."""
    return sum(wide for *_, wide in _widths(text, face))


def width(text: str, face: str, size: float) -> float:
    """Width of `text` in points, over its runs."""
    return ems(text, face) * size


def draw(canvas: Any, x: float, y: float, text: str, face: str, size: float) -> None:
    """`text` from `x` to the right on the baseline `y`, in the canvas's fill colour."""
    for piece, font, relative, wide in _widths(text, face):
        canvas.setFont(font, size * relative)
        canvas.drawString(x, y, piece)
        x += wide * size


def unprintable(text: str) -> str:
    """Signs of `text` that no font here has, each once, in the order met."""
    signs = dict.fromkeys(sign for sign in clean(text) if not sign.isspace())
    return "".join(sign for sign in signs if not has(TEXT, sign) and not has(FALLBACK, sign))
