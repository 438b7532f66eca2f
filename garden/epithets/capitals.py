"""Initial capitals: which words of a name begin with one, and the name as it should stand."""

from __future__ import annotations

from collections.abc import Iterator

from garden.epithets.findings import Name, Said, Severity
from garden.epithets.words import ARTICLES, ELIDED, SMALL, SMALL_ENGLISH
from garden.names import fold


def capitals(name: Name) -> Iterator[Said]:
    """Each word begins with a capital but conjunctions, prepositions and what follows a hyphen."""
    parts = name.text.split()
    kinds = [_kind(part, at == 0) for at, part in enumerate(parts)]
    better = " ".join(_put_right(part, kind) for part, kind in zip(parts, kinds, strict=True))
    wrong = [part for part, kind in zip(parts, kinds, strict=True) if kind == "wrong"]
    if wrong:
        yield Said(
            Severity.BREAKS, f"Begins without a capital: {', '.join(wrong)}. Only conjunctions, "
            "prepositions and words after a hyphen may.", better,
        )  # fmt: skip
    if "first" in kinds:
        yield Said(Severity.DOUBT, "The first word usually has a capital, whatever it is.", better)
    if "article" in kinds:
        yield Said(
            Severity.DOUBT, "Guides let conjunctions and prepositions stand without a capital; of "
            "articles they say nothing.", better,
        )  # fmt: skip
    if "large" in kinds:
        large = [part for part, kind in zip(parts, kinds, strict=True) if kind == "large"]
        yield Said(Severity.NOTE, f"Usually written small: {', '.join(large)}.", better)


def _kind(part: str, first: bool) -> str:
    """'wrong', 'first', 'article' or 'large' where something is to be said; else ''."""
    letter = next((sign for sign in part if sign.isalpha()), "")
    # Scripts without capitals, numerals and signs have nothing to put right.
    if not letter or any(sign.isdigit() for sign in part[: part.index(letter)]):
        return ""
    word = fold(part).strip(",.!")
    if not letter.islower() or letter.title() == letter:
        return "large" if not first and word in SMALL_ENGLISH and not part.isupper() else ""
    before = part.replace("’", "'").partition("'")
    small = word in SMALL or (before[1] and before[2] and fold(before[0]) in ELIDED)
    if small:
        return "first" if first else ""
    return "first" if first and word in ARTICLES else "article" if word in ARTICLES else "wrong"


def _put_right(part: str, kind: str) -> str:
    if not kind:
        return part
    at = next(at for at, sign in enumerate(part) if sign.isalpha())
    if kind == "large":
        return part[:at] + part[at].lower() + part[at + 1 :]
    return part[:at] + part[at].title() + part[at + 1 :]
