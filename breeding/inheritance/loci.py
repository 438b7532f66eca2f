"""Loci as data: alleles, the types of flowers they make, how those look, and how sure it is.

A locus is a working hypothesis with a source. People add their own, so that whatever is wrong with
one is said in a sentence.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache
from typing import Any

from breeding.inheritance.locuscheck import check_locus
from breeding.inheritance.locustold import check_told
from breeding.inheritance.sets import Part, Sets, genotypes, totals


class Confidence(StrEnum):
    """How well a hypothesis is supported."""

    SUPPOSED = "supposed"
    SUPPORTED = "supported"
    ESTABLISHED = "well supported"


# A convention, there are no figures to go by: that the hypothesis itself is wrong.
WRONG_ODDS = {
    Confidence.SUPPOSED: 0.3,
    Confidence.SUPPORTED: 0.1,
    Confidence.ESTABLISHED: 0.03,
}


@dataclass(frozen=True, slots=True)
class Type:
    """One visible class of flowers at a locus.

    `needs` are the least copies of alleles, which must all be there; the last type of a locus needs
    nothing. `paint` is how the flower looks: fields of a flower's recipe, or the words 'ground' and
    'pigment' (see `painting`). `signs` are alternatives, each a recorded look that shows this type
    for certain: fields of a recipe, and for each the words or families of colours of which one must
    be there; '!' before a word: none of it. `hides` names the loci that cannot be seen where this
    type shows.
    """

    key: str
    name: str
    needs: tuple[tuple[str, int], ...] = ()
    paint: Mapping[str, str] = field(default_factory=dict, hash=False)
    signs: tuple[Mapping[str, tuple[str, ...]], ...] = field(default=(), hash=False)
    hides: tuple[str, ...] = ()

    def holds(self, copies: Mapping[str, int]) -> bool:
        """Whether a plant with these copies is of this type, earlier types apart."""
        return all(copies.get(allele, 0) >= least for allele, least in self.needs)


@dataclass(frozen=True, slots=True)
class Locus:
    """A locus: its alleles, and its types in order; a plant is of the first whose needs hold.

    `counted` is the allele whose copies the pages speak of, the first one unless told otherwise.

    Raises
    ------
    ValueError
        With a sentence, when alleles, types or words do not make a locus.

    Examples
    --------
    >>> dark = Locus("D", "dark", ("D", "d"), (Type("dark", "dark", (("D", 2),)),
    ...              Type("pale", "pale")), "own notes", Confidence.SUPPOSED)
    >>> dark.type_of((1, 3)).key, dark.counted, dark.wrong_odds
    ('pale', 'D', 0.3)
    """

    symbol: str
    name: str
    alleles: tuple[str, ...]
    types: tuple[Type, ...]
    source: str
    confidence: Confidence
    note: str = ""
    counted: str = ""

    def __post_init__(self) -> None:
        if not self.counted and self.alleles:
            object.__setattr__(self, "counted", self.alleles[0])
        check_locus(self)

    def type_of(self, copies: Part) -> Type:
        """The type of a plant with these copies, in the order of the alleles."""
        told = dict(zip(self.alleles, copies, strict=True))
        return next(type_ for type_ in self.types if type_.holds(told))

    def type_named(self, key: str) -> Type:
        """The type with this key.

        Raises
        ------
        KeyError
            If there is none.
        """
        for type_ in self.types:
            if type_.key == key:
                return type_
        raise KeyError(key)

    @property
    def wrong_odds(self) -> float:
        """Chance, before anything is seen, that the hypothesis is wrong: a convention."""
        return WRONG_ODDS[self.confidence]


@lru_cache(maxsize=512)
def types_of(locus: Locus, sets: Sets) -> tuple[int, ...]:
    """For every genotype, in the order of `genotypes`, the place of its type in the locus.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Locus, Type
    >>> t = Locus("t", "tangerine", ("T", "t"), (Type("other", "not pink", (("T", 1),)),
    ...           Type("pink", "pink")), "", Confidence.SUPPORTED, counted="t")
    >>> types_of(t, Sets((4,)))
    (1, 0, 0, 0, 0)
    """
    places = {type_.key: at for at, type_ in enumerate(locus.types)}
    return tuple(
        places[locus.type_of(totals(genotype)).key]
        for genotype in genotypes(sets, len(locus.alleles))
    )


def visible(loci: Sequence[Locus], types: Mapping[str, str]) -> dict[str, str]:
    """The types that can be seen on a plant: those that no other locus hides.

    Parameters
    ----------
    loci : sequence of Locus
        Of two loci that hide each other the earlier one shows.
    types : mapping of str to str
        Symbol of a locus to the key of its type; loci that are not told are passed over.

    Returns
    -------
    dict of str to str
        In the order of `loci`.

    Notes
    -----
    What a locus hides stays hidden even where another hides the first.
    """
    told = [(locus.symbol, locus.type_named(types[locus.symbol]))
            for locus in loci if locus.symbol in types]  # fmt: skip
    return {
        symbol: type_.key
        for at, (symbol, type_) in enumerate(told)
        if not any(
            symbol in other.hides and not (at < place and name in type_.hides)
            for place, (name, other) in enumerate(told)
            if place != at
        )
    }


def locus_from_mapping(told: Mapping[str, Any]) -> Locus:
    """A locus from plain words, as in ``fixtures/loci``; see `locus_to_mapping`.

    Raises
    ------
    ValueError
        With a sentence, when something is missing, unknown or no locus.
    """
    check_told(told, [each.value for each in Confidence])
    return Locus(
        symbol=told["symbol"],
        name=told["name"],
        alleles=tuple(told["alleles"]),
        types=tuple(_type_from_mapping(each) for each in told["types"]),
        source=told["source"],
        confidence=Confidence(told["confidence"]),
        note=told.get("note", ""),
        counted=told.get("counted", ""),
    )


def locus_to_mapping(locus: Locus) -> dict[str, Any]:
    """The locus as lists, mappings and words, to be kept as JSON; read by `locus_from_mapping`."""
    return {
        "symbol": locus.symbol,
        "name": locus.name,
        "alleles": list(locus.alleles),
        "counted": locus.counted,
        "confidence": locus.confidence.value,
        "source": locus.source,
        "note": locus.note,
        "types": [_type_to_mapping(type_) for type_ in locus.types],
    }


def _type_from_mapping(told: Mapping[str, Any]) -> Type:
    return Type(
        key=told["key"],
        name=told["name"],
        needs=tuple(told.get("needs", {}).items()),
        paint=dict(told.get("paint", {})),
        signs=tuple(
            {field_: tuple(words) for field_, words in sign.items()}
            for sign in told.get("signs", ())
        ),
        hides=tuple(told.get("hides", ())),
    )


def _type_to_mapping(type_: Type) -> dict[str, Any]:
    return {
        "key": type_.key,
        "name": type_.name,
        "needs": dict(type_.needs),
        "paint": dict(type_.paint),
        "signs": [{field_: list(words) for field_, words in sign.items()} for sign in type_.signs],
        "hides": list(type_.hides),
    }
