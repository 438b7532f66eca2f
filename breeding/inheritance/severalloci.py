"""Several loci at once: the chances of what can be seen of them all.

Loci are taken as not linked: their copies are passed on independently.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import product
from math import prod
from typing import TypeVar

from breeding.inheritance.gametes import Number
from breeding.inheritance.genotypes import Genotype, Sets, progeny, totals
from breeding.inheritance.loci import Locus, visible

# Symbols and keys of the types that can be seen, in the order of the loci.
Seen = tuple[tuple[str, str], ...]
Chance = TypeVar("Chance", float, Fraction)


def types_of_progeny(
    locus: Locus, seed: Genotype, pollen: Genotype, child: Sets, double_reduction: Number = 0
) -> dict[str, Fraction]:
    """How often a seedling is of which type at one locus.

    Returns
    -------
    dict of str to Fraction
        By key, in the order of the locus, only what can occur; the sum is 1.
    """
    sums: defaultdict[str, Fraction] = defaultdict(Fraction)
    for genotype, share in progeny(seed, pollen, child, double_reduction).items():
        sums[locus.type_of(totals(genotype)).key] += share
    return {type_.key: sums[type_.key] for type_ in locus.types if type_.key in sums}


def joint_outcomes(
    loci: Sequence[Locus], chances: Mapping[str, Mapping[str, Chance]]
) -> dict[Seen, Chance]:
    """Joint chances of what can be seen, from the chances of the types at each locus.

    Parameters
    ----------
    loci : sequence of Locus
    chances : mapping of str to mapping of str to float or Fraction
        Symbol to the chance of each type; loci that are not told are passed over.

    Returns
    -------
    dict of Seen to float or Fraction
        Likeliest first. What differs in hidden loci alone is one outcome.

    Notes
    -----
    Types are combined one by one: k types at each of n loci that hide or are hidden cost kⁿ steps,
    about ten milliseconds for the loci that a garden begins with.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Locus, Type
    >>> white = Locus("C", "colour", ("C", "c"), (Type("coloured", "coloured", (("C", 1),)),
    ...               Type("white", "white", hides=("B",))), "", Confidence.SUPPOSED)
    >>> black = Locus("B", "black", ("B", "b"), (Type("black", "black", (("B", 1),)),
    ...               Type("brown", "brown")), "", Confidence.SUPPOSED)
    >>> third = {"C": {"coloured": 0.75, "white": 0.25}, "B": {"black": 0.75, "brown": 0.25}}
    >>> [round(16 * chance) for chance in joint_outcomes((white, black), third).values()]
    [9, 4, 3]
    """
    told = [locus for locus in loci if locus.symbol in chances]
    hidden = {symbol for locus in told for type_ in locus.types for symbol in type_.hides}
    tied = [
        locus
        for locus in told
        if locus.symbol in hidden or any(type_.hides for type_ in locus.types)
    ]
    sums: dict[Seen, Chance] = {}
    for types, share in _combined(tied, chances):
        seen = tuple(visible(tied, types).items())
        sums[seen] = sums[seen] + share if seen in sums else share
    free = list(_combined([locus for locus in told if locus not in tied], chances))
    symbols = [locus.symbol for locus in told]
    every: dict[Seen, Chance] = {}
    for seen, share in sums.items():
        for types, chance in free:
            both = dict(seen) | types
            look = tuple((symbol, both[symbol]) for symbol in symbols if symbol in both)
            every[look] = share * chance
    return dict(sorted(every.items(), key=lambda item: -item[1]))


def _combined(
    loci: Sequence[Locus], chances: Mapping[str, Mapping[str, Chance]]
) -> Iterator[tuple[dict[str, str], Chance]]:
    """All combinations of types with the products of their chances; an empty one of no loci."""
    kinds = [[(key, share) for key, share in chances[locus.symbol].items() if share]
             for locus in loci]  # fmt: skip
    for chosen in product(*kinds):
        types = {locus.symbol: key for locus, (key, _) in zip(loci, chosen, strict=True)}
        whole: Chance = prod(share for _, share in chosen)  # type: ignore[assignment]
        yield types, whole


def progeny_of_loci(
    loci: Sequence[Locus],
    seed: Mapping[str, Genotype],
    pollen: Mapping[str, Genotype],
    child: Sets,
    double_reduction: Number = 0,
) -> dict[Seen, Fraction]:
    """Exact joint chances of what can be seen of a seedling whose parents' copies are known.

    Parameters
    ----------
    loci : sequence of Locus
    seed, pollen : mapping of str to Genotype
        Symbol to the parent's genotype; loci that are told of one parent alone are passed over.
    child : Sets
        Of the seedling.
    double_reduction
        As for `gamete_frequencies`.

    Returns
    -------
    dict of Seen to Fraction
        As `joint_outcomes`; the sum is 1.
    """
    both = [locus for locus in loci if locus.symbol in seed and locus.symbol in pollen]
    chances = {
        locus.symbol: types_of_progeny(
            locus, seed[locus.symbol], pollen[locus.symbol], child, double_reduction
        )
        for locus in both
    }
    return joint_outcomes(both, chances)
