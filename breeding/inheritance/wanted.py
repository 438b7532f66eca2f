"""The chance that a seedling shows wanted types at several loci, as a mixture over readings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from itertools import product as combinations
from math import prod
from typing import TYPE_CHECKING, Any

from breeding.inheritance.loci import Locus, visible
from breeding.inheritance.mixtures import MOST_VALUES, Mixture, mixture, product
from breeding.inheritance.outcomes import joint_readings
from breeding.inheritance.parents import Readings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

Crosses = Mapping[str, Readings]
Wanted = Mapping[str, str | Collection[str]]
# For each locus the types with which a wanted one shows.
Block = Mapping[str, frozenset[str]]


def mixture_of(crosses: Crosses, wanted: Wanted) -> Mixture:
    """What the chance of a seedling that shows the wanted types may be.

    Parameters
    ----------
    crosses : mapping of str to Readings
    wanted : mapping of str to str, or to a collection of str
        By symbol, the key of the wanted type, or of all that will do.

    Returns
    -------
    Mixture
        A type that another locus hides is not shown. Loci that neither are wanted nor hide
        anything wanted do not matter.

    Raises
    ------
    ValueError
        If there is no such locus or type.
    """
    asked = {symbol: {keys} if isinstance(keys, str) else set(keys)
             for symbol, keys in wanted.items()}  # fmt: skip
    for symbol, keys in asked.items():
        known = crosses[symbol].keys if symbol in crosses else ()
        if not keys or not keys <= set(known):
            told = ", ".join(sorted(keys - set(known))) or "is named"
            raise ValueError(f"At {symbol} no type {told} is looked at.")
    blocks = _blocks(crosses, asked)
    if not blocks:
        return mixture([0.0], [1.0])
    if len(blocks) == 1:
        return product(
            cross.mixture(blocks[0][symbol])
            for symbol, cross in crosses.items()
            if len(blocks[0][symbol]) < len(cross.keys)
        )
    return _together(crosses, blocks)


def mixture_of_any(crosses: Crosses, several: Sequence[Mapping[str, str]]) -> Mixture:
    """What the chance of a seedling may be that looks like any of several outcomes.

    Parameters
    ----------
    crosses : mapping of str to Readings
    several : sequence of mapping of str to str
        All types that can be seen of each outcome, by symbol; no seedling is of two of them.

    Returns
    -------
    Mixture

    Raises
    ------
    ValueError
        If there is no outcome, or no such locus or type.

    Notes
    -----
    Of several outcomes up to 2,048 joint readings are gone through, some milliseconds.
    """
    if len(several) == 1:
        return mixture_of(crosses, several[0])
    blocks = []
    for types in several:
        if any(symbol not in crosses or key not in crosses[symbol].keys
               for symbol, key in types.items()):  # fmt: skip
            raise ValueError("A type is asked for that is not looked at.")
        blocks += _blocks(crosses, {symbol: {key} for symbol, key in types.items()})
    if not blocks:
        raise ValueError("Some outcome is needed that can be seen.")
    return _together(crosses, blocks)


def _blocks(crosses: Crosses, asked: Mapping[str, set[str]]) -> list[Block]:
    """The combinations of types that show what is asked, as few products of sets of types.

    Mostly one: more only where wanted types of one locus are hidden by different ones.
    """
    loci = [cross.locus for cross in crosses.values()]
    free: defaultdict[tuple[frozenset[str], ...], list[dict[str, str]]] = defaultdict(list)
    choices = [[key for key in crosses[symbol].keys if key in asked[symbol]] for symbol in asked]
    for keys in combinations(*choices):
        types = dict(zip(asked, keys, strict=True))
        if visible(loci, types).keys() == types.keys():
            free[tuple(_beside(loci, locus, types) for locus in loci)].append(types)
    blocks: list[Block] = []
    for beside, several in free.items():
        told = {locus.symbol: keys for locus, keys in zip(loci, beside, strict=True)}
        own = {symbol: frozenset(types[symbol] for types in several) for symbol in asked}
        if len(several) == prod(map(len, own.values())):
            blocks.append(told | own)
        else:
            alone = [{symbol: frozenset({key}) for symbol, key in one.items()} for one in several]
            blocks += [told | one for one in alone]
    return blocks


def _beside(loci: list[Locus], locus: Locus, types: Mapping[str, str]) -> frozenset[str]:
    """The types of a locus with which all the wanted types can be seen."""
    if locus.symbol in types:
        return frozenset()
    return frozenset(
        each.key
        for each in locus.types
        if types.keys() <= visible(loci, {**types, locus.symbol: each.key}).keys()
    )


def _together(crosses: Crosses, blocks: list[Block]) -> Mixture:
    """Several blocks, added reading by reading."""
    matter = {
        symbol: cross
        for symbol, cross in crosses.items()
        if any(len(block[symbol]) < len(cross.keys) for block in blocks)
    }
    picked = [
        [[key in block[symbol] for key in cross.keys] for symbol, cross in matter.items()]
        for block in blocks
    ]
    rows = [cross.distinct() for cross in matter.values()]
    weights, tables = joint_readings(rows, MOST_VALUES)
    value = _sum(picked, tables)
    # Readings in steps are off by a little in the mean, which is known.
    mean = _sum(picked, [weight @ chances for weight, chances in rows])
    return mixture((value * (mean / (weights @ value or 1.0))).clip(0, 1), weights)


def _sum(picked: list[list[list[bool]]], tables: Sequence[Array]) -> Array:
    """The chance of any block, from tables with the types of one locus along the last axis."""
    value: Array = sum(
        prod(table[..., some].sum(axis=-1) for some, table in zip(block, tables, strict=True))
        for block in picked
    )
    return value
