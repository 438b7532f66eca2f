"""Rules of the code for cultivated plants that a program can look at; one function a rule."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from garden.epithets.findings import (
    CODE_FROM_MEMORY,
    CODE_OF_1995,
    DOUBLE_QUOTES,
    OLDER_LIST,
    Name,
    Said,
    Severity,
)
from garden.epithets.words import (
    BANNED_ABROAD,
    BANNED_OLDER,
    BANNED_READ,
    LATIN,
    LATIN_ENDINGS,
    PRAISE,
)
from garden.names import JOINERS, tidy

BREAKS, DOUBT, NOTE = Severity.BREAKS, Severity.DOUBT, Severity.NOTE
MOST_SIGNS, MOST_OF_A_CODE = 30, 10
CULTIVAR_MARKS = ("cv.", "cv", "c.v.", "cvs.")
ALLOWED = "'’ʼ,!-‐‑."
# Signs that stand close behind a word.
LOOSE = re.compile(r" ([,.!])")
# Signs that the newest edition may allow as well, from memory.
MAYBE_ALLOWED = "/\\"


def counted(text: str) -> int:
    """Signs of a name as the code counts them: without spaces and quotation marks."""
    name = Name.read(text)
    return sum(not sign.isspace() for sign in name.plain)


def length(name: Name) -> Iterator[Said]:
    """At most 30 signs, spaces and quotation marks not counted; since 1996."""
    many = counted(name.text)
    if many > MOST_SIGNS:
        yield Said(
            BREAKS,
            f"{many} signs without spaces and quotation marks; at most {MOST_SIGNS} are allowed.",
        )


def something(name: Name) -> Iterator[Said]:
    """Not only one letter, and not only numerals."""
    letters = [sign for sign in name.text if sign.isalpha()]
    numerals = any(unicodedata.category(sign).startswith("N") for sign in name.text)
    if not letters:
        yield Said(
            BREAKS,
            "A name is not made of numerals alone."
            if numerals
            else "There is no letter in this name.",
        )
    elif len(letters) == 1 and not numerals:
        # One sign of a script without letters may be a whole word.
        is_letter = unicodedata.category(letters[0]) != "Lo"
        yield Said(BREAKS if is_letter else DOUBT, "A name is not a single letter.")


def code_word(name: Name) -> Iterator[Said]:
    """A code is a name as well, of at most 10 signs."""
    text = name.plain
    looks_so = " " not in text and text.isalnum() and text.upper() == text and text.lower() != text
    if looks_so and len(text) > MOST_OF_A_CODE:
        yield Said(
            DOUBT, f"This reads as a code; codes have at most {MOST_OF_A_CODE} letters or numerals."
        )


def latin(name: Name) -> Iterator[Said]:
    """Not wholly Latin since 1959; no program can be sure of that."""
    words = [word for word in name.folded if len(word) > 1]
    if not words:
        return
    known = [word in LATIN for word in words]
    formed = [word in LATIN or (len(word) > 4 and word.endswith(LATIN_ENDINGS)) for word in words]
    if all(known) or (len(words) > 1 and all(formed) and any(known)):
        yield Said(DOUBT, "This may be Latin throughout, which no new name is since 1959.")
    elif len(words) > 1 and all(formed):
        yield Said(DOUBT, "All its words end as Latin ones do; wholly Latin names are not allowed.")


def banned(name: Name) -> Iterator[Said]:
    """Words that say what a plant is, in any language, in singular and plural."""
    for word in dict.fromkeys(name.folded):
        if word in BANNED_READ or word in BANNED_READ.values():
            yield Said(BREAKS, f"The word ‘{word}’ is not allowed in a name.")
        elif word in BANNED_OLDER or word in filter(None, BANNED_OLDER.values()):
            yield Said(
                BREAKS, f"The word ‘{word}’ stands in an older list of banned words.",
                source=OLDER_LIST,
            )  # fmt: skip
        elif found := _abroad(word):
            language, english = found
            yield Said(
                BREAKS,
                f"‘{word}’ is {language} for ‘{english}’, which is not allowed in any language "
                "(the translation is ours).",
                source=OLDER_LIST if english in BANNED_OLDER else CODE_FROM_MEMORY,
            )


def _abroad(word: str) -> tuple[str, str] | None:
    for language, words in BANNED_ABROAD.items():
        for english, others in words.items():
            if word in others.split():
                return language, english
    return None


def praise(name: Name) -> Iterator[Said]:
    """No superlatives, no merit beyond the facts: a matter of opinion, so a doubt only."""
    words = {word for told in PRAISE.values() for word in told.split()}
    found = list(dict.fromkeys(word for word in name.folded if word in words))
    if found:
        told = " and ".join(f"‘{word}’" for word in found)
        yield Said(
            DOUBT, f"{told} may be read as a superlative or as exaggerated merit, which is not "
            "allowed."
        )  # fmt: skip


def quotation(name: Name) -> Iterator[Said]:
    """Single quotation marks round it, never double ones."""
    if any(sign in DOUBLE_QUOTES for sign in name.text):
        plain = tidy("".join(" " if sign in DOUBLE_QUOTES else sign for sign in name.text))
        yield Said(
            BREAKS,
            "Double quotation marks are never used; single ones stand round a name.",
            LOOSE.sub(r"\1", plain),
        )


def cultivar_mark(name: Name) -> Iterator[Said]:
    """No 'cv.' before a name."""
    parts = name.text.split()
    kept = [part for part in parts if part.casefold() not in CULTIVAR_MARKS or part == "CV"]
    if len(kept) < len(parts):
        yield Said(BREAKS, "‘cv.’ is no longer used; single quotation marks tell it.",
                   " ".join(kept))  # fmt: skip


def signs(name: Name) -> Iterator[Said]:
    """Apostrophe, comma, hyphen, full stop; nothing else but letters and numerals."""
    strange = [sign for sign in dict.fromkeys(name.plain) if _is_strange(sign)]
    if not strange:
        return
    wider = all(sign in MAYBE_ALLOWED for sign in strange)
    told = " ".join(strange)
    better = "".join(_plainly(sign) for sign in name.text)
    yield Said(
        DOUBT if wider else BREAKS,
        f"Not among the signs of a name: {told}"
        + (" (the newest edition may allow it)." if wider else "."),
        tidy(better),
        CODE_OF_1995,
    )


def _is_strange(sign: str) -> bool:
    category = unicodedata.category(sign)
    fine = category[0] in "LM" or category == "Nd" or sign.isspace() or sign in JOINERS
    return not fine and sign not in ALLOWED


def _plainly(sign: str) -> str:
    if sign in "&+":
        return " and "
    return " " if _is_strange(sign) and sign not in DOUBLE_QUOTES else sign


def exclamation(name: Name) -> Iterator[Said]:
    """One exclamation mark at most."""
    many = name.text.count("!")
    if many > 1:
        first = name.text.index("!") + 1
        yield Said(
            # The newest edition may allow two, from memory.
            DOUBT if many == 2 else BREAKS,
            f"{many} exclamation marks; one is allowed for certain.",
            tidy(name.text[:first] + name.text[first:].replace("!", "")),
            CODE_OF_1995,
        )


def scripts(name: Name) -> Iterator[Said]:
    """Letters of one script; what is not Latin needs a way to be written in Latin letters."""
    found = dict.fromkeys(_script(sign) for sign in name.text if sign.isalpha())
    told = [script.capitalize() for script in found if script]
    if len(told) > 1 and "Latin" in told and set(told) & {"Cyrillic", "Greek"}:
        yield Said(
            DOUBT, f"Letters of more than one script: {', '.join(told)}. Some look alike and are "
            "not the same."
        )  # fmt: skip
    elif told and "Latin" not in told:
        yield Said(
            NOTE, "Registers write names in Latin letters: say how this one is to be written there."
        )  # fmt: skip


def _script(sign: str) -> str:
    return unicodedata.name(sign, "").partition(" ")[0]
