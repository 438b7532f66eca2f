"""What is wrong with a locus that somebody wrote, as a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import TYPE_CHECKING

from breeding.inheritance.sets import parts
from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS

if TYPE_CHECKING:
    from breeding.inheritance.loci import Locus, Type

LEAST_ALLELES, MOST_ALLELES = 2, 4
LEAST_TYPES, MOST_TYPES = 2, 6
LONGEST_SYMBOL, LONGEST_NAME = 8, 60
MOST_COPIES = 8
# Enough to see whether any plant can be of a type.
PLOIDIES = (2, 3, 4, 8)
FIELDS = ("pattern", "standards", "falls", "styles", "beard", "haft", "rim")
# What painting knows besides the colour words.
LAYERS = ("pigment", "paler pigment", "ground")
# How deep the pigment is, from pale to deepest.
DEPTHS = ("pale", "middle", "deep", "deepest")
_COLOUR_WORDS = frozenset(COLOURS) | {colour.family for colour in COLOURS.values()}
_BEARD_WORDS = frozenset(BEARD_COLOURS) | {colour.family for colour in BEARD_COLOURS.values()}


def check_locus(locus: Locus) -> None:
    """Raise ValueError with a sentence unless alleles, types and words make a locus."""
    if not 1 <= len(locus.symbol.strip()) <= LONGEST_SYMBOL:
        raise ValueError("A locus needs a symbol of one to eight letters, as in V or Pl.")
    if not 1 <= len(locus.name.strip()) <= LONGEST_NAME:
        raise ValueError(f"Give {locus.symbol} a name of at most {LONGEST_NAME} letters.")
    _check_alleles(locus)
    if not LEAST_TYPES <= len(locus.types) <= MOST_TYPES:
        raise ValueError(f"{locus.symbol} needs two to six types of flowers to tell apart.")
    for what in ("key", "name"):
        words = [getattr(type_, what).strip() for type_ in locus.types]
        if "" in words or len(set(words)) < len(words):
            raise ValueError(f"Each type of {locus.symbol} needs a {what} of its own.")
    for type_ in locus.types:
        _check_needs(locus, type_)
        _check_paint(type_)
        _check_signs(type_)
        if locus.symbol in type_.hides:
            raise ValueError(f"{locus.symbol} cannot hide itself: see type '{type_.name}'.")
    _check_reachable(locus)


def _check_alleles(locus: Locus) -> None:
    names = [allele.strip() for allele in locus.alleles]
    few = not LEAST_ALLELES <= len(names) <= MOST_ALLELES
    if few or "" in names or len(set(names)) < len(names):
        raise ValueError(f"{locus.symbol} needs two to four different alleles, as in V and v.")
    if locus.counted not in locus.alleles:
        raise ValueError(
            f"The copies of {locus.counted} cannot be counted: the alleles of {locus.symbol} are "
            f"{', '.join(locus.alleles)}."
        )


def _check_needs(locus: Locus, type_: Type) -> None:
    last = type_ is locus.types[-1]
    if last and type_.needs:
        raise ValueError(
            f"'{type_.name}' is the last type of {locus.symbol}, so it takes all plants that are "
            "left and needs no copies."
        )
    if not last and not type_.needs:
        raise ValueError(
            f"Say which copies make '{type_.name}': only the last type needs none of its own."
        )
    for allele, least in type_.needs:
        if allele not in locus.alleles:
            raise ValueError(
                f"'{type_.name}' asks for {allele}, but the alleles of {locus.symbol} are "
                f"{', '.join(locus.alleles)}."
            )
        if type(least) is not int or not 1 <= least <= MOST_COPIES:
            raise ValueError(f"'{type_.name}' needs from 1 to {MOST_COPIES} copies of {allele}.")


def _check_reachable(locus: Locus) -> None:
    """Every type must be the first that holds for some plant."""
    plants = chain.from_iterable(parts(size, len(locus.alleles)) for size in PLOIDIES)
    seen = {locus.type_of(copies).key for copies in plants}
    for type_ in locus.types:
        if type_.key not in seen:
            raise ValueError(
                f"'{type_.name}' can never show: a type before it takes every such plant."
            )


def _check_paint(type_: Type) -> None:
    for field, word in type_.paint.items():
        if field == "pattern":
            known = word in PATTERNS
        elif field == "beard":
            known = word in BEARD_COLOURS
        elif field == "ground":
            known = word in COLOURS
        elif field == "pigment":
            known = word in COLOURS or word in DEPTHS
        elif field in FIELDS:
            known = word in COLOURS or word in LAYERS
        else:
            raise ValueError(
                f"'{type_.name}' paints '{field}', which is no part of a flower: use "
                f"{', '.join(FIELDS)}, ground or pigment."
            )
        if not known:
            raise ValueError(
                f"'{type_.name}' paints the {field} '{word}', which is no word of the paint box."
            )


def _check_signs(type_: Type) -> None:
    for sign in type_.signs:
        if not any(not word.startswith("!") for words in sign.values() for word in words):
            raise ValueError(
                f"A sign of '{type_.name}' must say what is seen, not only what is not."
            )
        for field, words in sign.items():
            if field not in FIELDS:
                raise ValueError(
                    f"'{type_.name}' is read from '{field}', which is no part of a flower: use "
                    f"{', '.join(FIELDS)}."
                )
            _check_sign_words(type_, field, words)


def _check_sign_words(type_: Type, field: str, words: Sequence[str]) -> None:
    box = {"pattern": frozenset(PATTERNS), "beard": _BEARD_WORDS}.get(field, _COLOUR_WORDS)
    for word in words:
        if word.removeprefix("!") not in box:
            raise ValueError(
                f"'{type_.name}' is read from the {field} '{word.removeprefix('!')}', which is "
                "no word and no family of the paint box."
            )
