"""How names are written down and how they are compared. Free of Django."""

from __future__ import annotations

import unicodedata

QUOTES = str.maketrans("", "", "'\"‘’‚‛“”„`´")
# Letters that carry no combining mark to strip.
PLAIN_LETTERS = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe", "þ": "th"})
# Letters by their class, but nothing to be seen: Hangul and Braille fillers.
BLANKS = "\u115f\u1160\u2800\u3164\uffa0"
JOINERS = "\u200c\u200d"
UNSEEN = ("Cc", "Cf")


# Digits that the key of a row may have; more than a column holds.
MOST_DIGITS = 17


def is_key(text: str) -> bool:
    """Whether a text from outside may be the key of something: plain digits, and not too many."""
    return text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS


def tidy(text: str) -> str:
    """A name as it is written down: no unseen signs, no doubled or outer spaces.

    Joiners stay, as some scripts are misspelt without them.
    """
    text = unicodedata.normalize("NFC", text)
    seen = "".join(
        " " if sign in BLANKS or sign.isspace() else sign
        for sign in text
        if sign in JOINERS or sign.isspace() or unicodedata.category(sign) not in UNSEEN
    )
    return " ".join(seen.split())


def fold(text: str) -> str:
    """`text` as names are compared: no case, accents, quotes, unseen signs or doubled spaces."""
    # Taken apart before and after the case goes: each of the two uncovers work for the other.
    plain = unicodedata.normalize("NFKD", tidy(text).translate(QUOTES)).casefold()
    plain = unicodedata.normalize("NFKD", plain)
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    plain = plain.translate(PLAIN_LETTERS).translate(QUOTES)
    return " ".join(tidy(plain).replace("\u200c", "").replace("\u200d", "").split())
