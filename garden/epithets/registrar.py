"""What an older text of the registrar for irises asks beyond the code: notes only."""

from __future__ import annotations

from collections.abc import Iterator

from garden.epithets.findings import Name, Said, Severity
from garden.epithets.words import GENUS_WORDS, SPECIES, TITLES

NOTE = Severity.NOTE
MOST_WORDS = 3


def titles(name: Name) -> Iterator[Said]:
    """No Mr., Mrs., Miss or Ms."""
    for word in name.folded:
        if word in TITLES:
            yield Said(NOTE, f"Titles such as ‘{word.capitalize()}’ were not taken.")
            return


def opening(name: Name) -> Iterator[Said]:
    """No 'a' and no 'the' at the beginning."""
    if name.folded and name.folded[0] in ("a", "the") and len(name.folded) > 1:
        yield Said(NOTE, f"Names that begin with ‘{name.folded[0]}’ were not taken.")


def numerals(name: Name) -> Iterator[Said]:
    """No numerals."""
    if any(sign.isdigit() for sign in name.text) and any(sign.isalpha() for sign in name.text):
        yield Said(NOTE, "Numerals in a name were not taken.")


def genus(name: Name) -> Iterator[Said]:
    """Neither 'iris' nor 'flag', nor the name of a species."""
    for word in dict.fromkeys(name.folded):
        if word in GENUS_WORDS:
            yield Said(NOTE, f"The word ‘{word}’ was not taken.")
        elif word in SPECIES:
            yield Said(
                NOTE, f"Names of species were not taken, and ‘{word}’ is one (our list, from "
                "memory)."
            )  # fmt: skip


def many_words(name: Name) -> Iterator[Said]:
    """Three words at most: given up since."""
    if len(name.text.split()) > MOST_WORDS:
        yield Said(
            NOTE, f"More than {MOST_WORDS} words were not taken once; that rule is given up."
        )
