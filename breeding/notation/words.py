"""The words of the notation, and when a name needs quotation marks."""

from __future__ import annotations

import re

SIGN = "×"
UNKNOWN = "unknown"
SIB = "sib"
SELF = "self"
UNNAMED = "sdlg."

# What a plant without a name may be called, folded.
UNKNOWN_WORDS = {
    "?", "??", "bee pod", "not known", "o.p.", "op", "open pollinated", "open-pollinated",
    "parentage unknown", "pod parent unknown", "pollen parent unknown", "pollen unknown",
    "seed parent unknown", "unk", "unk.", "unknown", "unknown parent", "unknown parentage",
    "unknown pod parent", "unknown pollen", "unknown pollen parent", "unknown seed parent",
}  # fmt: skip
SIB_WORDS = {"sib", "sib.", "sibling"}
SELF_WORDS = {"self", "selfed", "self-pollinated", "self pollinated"}
UNNAMED_WORDS = {
    "sdlg", "sdlg.", "seedling", "unknown sdlg", "unknown sdlg.", "unknown seedling",
    "unnamed", "unnamed sdlg", "unnamed sdlg.", "unnamed seedling",
}  # fmt: skip
INVOLVING = re.compile(r"(?:inv\.|involving\b)", re.IGNORECASE)
MARK = re.compile(r"(?:sdlg\.?|seedling)?\s*#(\d{1,6})", re.IGNORECASE)
# 'Sdlg. 14-031C' is 14-031C.
SEEDLING = re.compile(r"(?:sdlg\.?|seedling)\s+(?=\S*\d)", re.IGNORECASE)

# A name that reads the same without quotation marks: words of letters and digits, with signs that
# mean nothing to the grammar.
_PLAIN = re.compile(r"[^\W_][\w.'’/&!+-]*(?: [\w.'’/&!+-]+)*")
_LOUD = {"x", *SIB_WORDS, *SELF_WORDS, "sdlg", "sdlg.", "seedling", "inv.", "involving"}

# Signs without width, which come along with copied text. Each becomes one space.
BLANKS = str.maketrans(dict.fromkeys("\u200b\u2060\ufeff\x00", " "))


def tidy(name: str) -> str:
    """The name without stray spaces and line breaks."""
    return " ".join(name.translate(BLANKS).split())


def kind_of(name: str) -> str:
    """What a name without quotation marks stands for: the terminal of the grammar."""
    folded = tidy(name).casefold()
    for kind, words in (
        ("UNKNOWN", UNKNOWN_WORDS),
        ("SIB", SIB_WORDS),
        ("SELF", SELF_WORDS),
        ("UNNAMED", UNNAMED_WORDS),
    ):
        if folded in words:
            return kind
    return "MARK" if MARK.fullmatch(name) else "NAME"


def written(name: str) -> str:
    """The name as it is printed: in quotation marks where it would read as something else."""
    name = tidy(name)
    plain = (
        _PLAIN.fullmatch(name)
        and not name.endswith(".")
        and kind_of(name) == "NAME"
        and not _LOUD & set(name.casefold().split())
    )
    return name if plain else '"' + name.replace('"', '""') + '"'
