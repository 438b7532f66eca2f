"""Letters in the order in which they are drawn: Hebrew and Arabic run from right to left."""

from __future__ import annotations

import re

# Hebrew to Arabic Extended-A, and the presentation forms of both.
_FROM_THE_RIGHT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_ARABIC = re.compile("[\u0600-\u06ff\u0750-\u077f]")
# Points that DejaVu Sans cannot set on their letters without a shaping engine.
_POINTS = re.compile("[\u0591-\u05bd\u05bf\u05c1\u05c2\u05c4\u05c5\u05c7]")
# A number such as 26-014C is one thing: the algorithm alone would turn it into 014-26.
_NUMBER = re.compile(r"[0-9A-Za-z]+(?:[-–/.][0-9A-Za-z]+)+")
# Private signs count as letters from left to right; each stands for one number meanwhile.
_STANDS_IN = 0xF0000


def as_drawn(text: str) -> str:
    """One line of text in drawing order, from the left.

    By the Unicode bidirectional algorithm (UAX 9), brackets mirrored; Arabic letters take the
    form of their place in the word. Vowel points of both scripts are left out, as in everyday
    writing; letters and numbers never are.
    """
    if not _FROM_THE_RIGHT.search(text):
        return text
    from bidi.algorithm import get_display

    numbers: list[str] = []

    def put_by(found: re.Match[str]) -> str:
        numbers.append(found.group())
        return chr(_STANDS_IN + len(numbers) - 1)

    text = _NUMBER.sub(put_by, _POINTS.sub("", text))
    if _ARABIC.search(text):
        from arabic_reshaper import reshape

        text = reshape(text)
    drawn = str(get_display(text))
    return "".join(
        numbers[at] if 0 <= (at := ord(sign) - _STANDS_IN) < len(numbers) else sign
        for sign in drawn
    )
