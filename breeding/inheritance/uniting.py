"""Two gametes meet: which seedling they make, and of which sizes they can have been."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from functools import lru_cache
from itertools import product

from breeding.inheritance.drawing import dealt
from breeding.inheritance.sets import Chances, Genotype, Sets, gamete_shapes, totals


def united(
    seed_gamete: Genotype, pollen_gamete: Genotype, child: Sets, swap: bool = False
) -> Genotype:
    """The seedling of two gametes.

    Group by group where the groups of both fit the seedling's; two gametes of one group each stand
    side by side in a seedling of two groups (`swap`: the pollen's first); otherwise all copies lie
    in one group.

    Raises
    ------
    ValueError
        If the sets do not add up to the seedling's, or the copies cannot be told apart into its
        groups: then `unions` deals them out.

    Examples
    --------
    >>> united(((1, 1),), ((0, 2),), Sets((4,))), united(((1, 1),), ((0, 2),), Sets((2, 2)))
    (((1, 3),), ((1, 1), (0, 2)))
    """
    found = _fitted(seed_gamete, pollen_gamete, child, swap)
    if found is None:
        raise ValueError(f"These gametes do not tell which copies lie in which of {child.groups}.")
    return found


def unions(
    seed_gamete: Genotype, pollen_gamete: Genotype, child: Sets, swap: bool = False
) -> Chances:
    """The seedlings of two gametes: one, or, where the groups do not fit, the copies dealt out to
    the seedling's groups at random (an assumption)."""
    found = _fitted(seed_gamete, pollen_gamete, child, swap)
    if found is not None:
        return {found: Fraction(1)}
    return dict(dealt(totals(seed_gamete + pollen_gamete), child.groups))


@lru_cache(maxsize=512)
def gamete_sizes(seed: Sets, pollen: Sets, child: Sets) -> tuple[tuple[int, int], ...]:
    """Sizes of the two gametes that can have made a seedling, in the likeliest way alone.

    Both reduced if that fits, else one unreduced, else both; empty when nothing fits.

    Examples
    --------
    >>> four, two = Sets((4,)), Sets((2,))
    >>> gamete_sizes(four, two, Sets((3,))), gamete_sizes(four, two, four)
    (((2, 1),), ((2, 2),))
    """
    ways: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for (one, odd), (other, odder) in product(_may_be(seed).items(), _may_be(pollen).items()):
        if one + other == child.ploidy:
            ways[odd + odder].append((one, other))
    return tuple(sorted(ways[min(ways)])) if ways else ()


def _may_be(sets: Sets) -> dict[int, int]:
    """Sizes of a plant's gametes: 0 beside the reduced ones, 1 beside the unreduced."""
    return {sets.ploidy: 1} | {sum(shape): 0 for shape in product(*gamete_shapes(sets, None))}


def _fitted(one: Genotype, other: Genotype, child: Sets, swap: bool) -> Genotype | None:
    """The one seedling of two gametes; None where the copies must be dealt out."""
    both = one + other
    if sum(map(sum, both)) != child.ploidy:
        raise ValueError(f"These gametes do not make a plant of {child.ploidy} sets.")
    if len(child.groups) == 1:
        return (totals(both),)
    if len(one) == len(other) == len(child.groups):
        found = tuple(totals(pair) for pair in zip(one, other, strict=True))
        return found if _shape(found) == child.groups else None
    found = other + one if swap else one + other
    return found if _shape(found) == child.groups else None


def _shape(gamete: Genotype) -> tuple[int, ...]:
    return tuple(map(sum, gamete))
