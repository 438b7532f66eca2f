"""A few loci for the tests, in the way of the real ones but not tied to them."""

from __future__ import annotations

from collections.abc import Sequence

from breeding.inheritance.genotypes import Genotype, Sets, genotypes
from breeding.inheritance.loci import Confidence, Locus, Type

TWO, FOUR, DWARF = Sets((2,)), Sets((4,)), Sets((2, 2))


def locus(
    symbol: str, alleles: Sequence[str], *types: Type, counted: str = "", source: str = "invented"
) -> Locus:
    return Locus(
        symbol, f"locus {symbol}", tuple(alleles), types, source, Confidence.SUPPOSED, "", counted
    )


def dominant(symbol: str) -> Locus:
    """One dose shows, as 'shown'; no dose is 'plain'."""
    small = symbol.lower() if symbol != symbol.lower() else f"{symbol}-"
    return locus(
        symbol, (symbol, small),
        Type("shown", f"shown {symbol}", ((symbol, 1),)), Type("plain", f"plain {symbol}"),
    )  # fmt: skip


# Anthocyanin, what inhibits it, a graded pattern, a series of four alleles, a recessive pink.
V = locus("V", ("V", "v"), Type("violet", "violet", (("V", 1),)),
          Type("none", "without violet", hides=("W", "B", "P")))  # fmt: skip
W = locus("W", ("W", "i"), Type("white", "white", (("W", 1),), hides=("V", "B", "P")),
          Type("coloured", "coloured"))  # fmt: skip
B = locus("B", ("B", "b"), Type("strong", "strongly banded", (("B", 3),)),
          Type("weak", "weakly banded", (("B", 1),)), Type("self", "self"))  # fmt: skip
P = locus("P", ("P", "p", "q", "r"), Type("full", "full", (("P", 1),)),
          Type("edged", "edged", (("p", 1),)), Type("rayed", "rayed", (("q", 1),)),
          Type("clear", "clear"))  # fmt: skip
T = locus("T", ("T", "t"), Type("other", "not pink", (("T", 1),)), Type("pink", "pink"),
          counted="t")  # fmt: skip


def copies(count: int, sets: Sets = FOUR) -> dict[Genotype, float]:
    """Certainly so many copies of the first of two alleles, in one group of sets."""
    return {((count, sets.ploidy - count),): 1.0}


def spread(*weights: float) -> dict[Genotype, float]:
    """Probabilities of 0, 1, 2 … copies of the first of two alleles."""
    ploidy = len(weights) - 1
    return {((count, ploidy - count),): weight for count, weight in enumerate(weights)}


def by_places(locus: Locus, weights: Sequence[float], sets: Sets = FOUR) -> dict[Genotype, float]:
    """Probabilities of all genotypes in their order; weights that are missing are 0."""
    states = genotypes(sets, len(locus.alleles))
    return dict(zip(states, [*weights, *[0.0] * len(states)], strict=False))
