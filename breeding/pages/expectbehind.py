"""The sum behind a chance: every factor, and the make-up of the parents that it rests on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from breeding.pages.expectwords import listed, nearly, odds, percent
from breeding.pages.planchance import types_that_show

if TYPE_CHECKING:
    from breeding.pages.expected import Expected

# As good as never.
NEVER = 0.005
# Readings gone through for each row of the table, and the ratios that are told exactly.
MOST_READINGS, LARGEST_DENOMINATOR = 20, 5000
# Ways in which one flower may come about.
MOST_WAYS = 6
Genotype = tuple[tuple[int, ...], ...]


def the_sum(found: Expected, ways: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    """The factors of each way, and where there is one way alone a table for each of its loci.

    `ways` are types that are to be seen together; what comes in several ways is their sum.
    """
    told = [_way(found, types) for types in ways[:MOST_WAYS]]
    alone = told[0] if len(ways) == 1 else None
    return {
        "sum_ways": told,
        "more_ways": max(0, len(ways) - MOST_WAYS),
        "sum_tables": [behind(found, each["symbol"], each["keys"]) for each in alone["factors"]]
        if alone else [],
    }  # fmt: skip


def _way(found: Expected, types: Mapping[str, str]) -> dict[str, Any]:
    """Each locus that must be right for these types to be seen, with its own chance."""
    factors, whole = [], 1.0
    for symbol, keys in (types_that_show(found.loci, tuple(types.items())) or {}).items():
        cross = found.told.crosses[symbol]
        chance = cross.mixture(keys).mean
        whole *= chance
        names = [type_.name for type_ in cross.locus.types if type_.key in keys]
        factors.append({"symbol": symbol, "keys": keys, "name": listed(names, "or"),
                        "chance": chance, "odds": odds(chance),
                        "percent": nearly(chance)})  # fmt: skip
    return {"factors": factors, "together": nearly(whole)}


def behind(found: Expected, symbol: str, keys: Collection[str], most: int = 6) -> dict[str, Any]:
    """The likely make-up of both parents at a locus, and how many of some types each gives."""
    from breeding.inheritance.parents import ratio_in_words

    cross = found.told.crosses[symbol]
    locus = cross.locus
    places = [at for at, key in enumerate(cross.keys) if key in keys]
    order = (-cross.weights).argsort(kind="stable")[: MOST_READINGS * most].tolist()
    sums: defaultdict[tuple[Genotype, Genotype, float], float] = defaultdict(float)
    for at in order:
        ratio = round(float(cross.chances[at, places].sum()), 10)
        sums[(*one_way_round(*cross.pairs[at]), ratio)] += float(cross.weights[at])
    told = sorted(sums.items(), key=lambda item: -item[1])[:most]
    rest = 1 - sum(chance for _, chance in told if chance >= NEVER)
    rows = [
        {"seed": make_up(seed, locus.alleles), "pollen": make_up(pollen, locus.alleles),
         "probability": nearly(chance),
         "ratio": ratio_in_words(Fraction(ratio).limit_denominator(LARGEST_DENOMINATOR))}
        for (seed, pollen, ratio), chance in told if chance >= NEVER
    ]  # fmt: skip
    return {
        "locus": locus,
        "type": listed([f"‘{type_.name}’" for type_ in locus.types if type_.key in keys], "or"),
        "rows": rows,
        "rest": percent(rest) if rest > NEVER else "",
    }


def one_way_round(seed: Genotype, pollen: Genotype) -> tuple[Genotype, Genotype]:
    """Where both have two pairs of sets, nobody knows which pair is the first."""
    alike = len({sum(part) for part in (*seed, *pollen)}) == 1 and len(seed) == len(pollen)
    return min((seed, pollen), (seed[::-1], pollen[::-1])) if alike else (seed, pollen)


def make_up(genotype: Genotype, alleles: Sequence[str]) -> str:
    r"""'Pl pl pl pl-a': every copy; what pairs with each other apart from the rest.

    >>> told = [make_up(each, ("T", "t")) for each in (((1, 3),), ((1, 1), (0, 2)))]
    >>> [words.replace("\u00a0", " ") for words in told]
    ['T t t t', 'T t / t t']
    """
    parts = (
        [allele for allele, many in zip(alleles, part, strict=True) for _ in range(many)]
        for part in genotype
    )
    # A line may end between two pairs, and not within the sign of an allele.
    told = (
        " ".join("\u00a0".join(part[at : at + 2]) for at in range(0, len(part), 2))
        for part in parts
    )
    return "\u00a0/ ".join(told).replace("-", "\u2011")
