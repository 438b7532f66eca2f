"""Gametes drawn from a genotype, exactly; copies dealt out to groups of sets."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from functools import lru_cache
from itertools import product
from math import comb

from breeding.inheritance.gametes import Number, rate
from breeding.inheritance.sets import (
    Chances,
    Genotype,
    Part,
    Sets,
    check_alleles,
    gamete_shapes,
    parts,
    sets_of,
    states,
)


def gametes(genotype: Genotype, double_reduction: Number = 0, size: int | None = None) -> Chances:
    """How often a gamete carries which copies.

    Parameters
    ----------
    genotype : Genotype
        The plant.
    double_reduction : int, str, float or Fraction
        As for `gamete_frequencies`; groups of two sets have none.
    size : int, optional
        Sets in the gamete. Half by default; of an odd group one half of the gametes takes the
        smaller and one half the larger part. As many as the plant has: an unreduced gamete, taken
        as the whole genotype. Any other number only where the sets are one group.

    Returns
    -------
    dict of Genotype to Fraction
        Only what can occur; the sum is 1.

    Raises
    ------
    ValueError
        If copies, rate or size cannot be.

    Notes
    -----
    The copies of a gamete are drawn without replacement (multivariate hypergeometric), or one pair
    is doubled and the rest drawn; exact up to six sets, as in `gamete_frequencies`. Groups are
    independent.

    Examples
    --------
    >>> {gamete[0]: str(share) for gamete, share in gametes(((2, 2),)).items()}
    {(0, 2): '1/6', (1, 1): '2/3', (2, 0): '1/6'}
    """
    sets = sets_of(genotype)
    check_alleles(len(genotype[0]))
    if len({len(part) for part in genotype}) > 1 or min(map(min, genotype)) < 0:
        raise ValueError("Every group holds copies, 0 or more, of the same alleles.")
    return dict(_gametes(genotype, rate(double_reduction), gamete_shapes(sets, size)))


@lru_cache(maxsize=8192)
def _gametes(
    genotype: Genotype, double: Fraction, sizes: tuple[tuple[int, ...], ...]
) -> tuple[tuple[Genotype, Fraction], ...]:
    found: list[tuple[Genotype, Fraction]] = [((), Fraction(1))]
    for part, may_be in zip(genotype, sizes, strict=True):
        drawn = [
            (other, chance / len(may_be))
            for size in may_be
            for other, chance in _of_size(part, size, double).items()
        ]
        found = [
            ((*gamete, other), share * chance) for gamete, share in found for other, chance in drawn
        ]
    return tuple(found)


@lru_cache(maxsize=512)
def gamete_states(sets: Sets, alleles: int, size: int | None = None) -> tuple[Genotype, ...]:
    """All gametes of plants with these sets, in the order of `genotypes`; smaller ones first."""
    shapes = product(*gamete_shapes(sets, size))
    return tuple(state for shape in shapes for state in states(shape, alleles))


def _of_size(part: Part, size: int, double: Fraction) -> dict[Part, Fraction]:
    """`size` copies of one group: all from different sets, or one pair from the same."""
    ploidy, pairs = sum(part), comb(size, 2)
    doubled = double * pairs if ploidy > 2 and size < ploidy else Fraction(0)
    if doubled > 1:
        raise ValueError(f"In a gamete of {size} copies double reduction is at most 1/{pairs}.")
    sums: defaultdict[Part, Fraction] = defaultdict(Fraction)
    for drawn, share in _drawn(part, size):
        sums[drawn] += (1 - doubled) * share
    for at, copies in enumerate(part if doubled else ()):
        if copies:
            rest = tuple(have - (place == at) for place, have in enumerate(part))
            for drawn, share in _drawn(rest, size - 2):
                whole = tuple(have + 2 * (place == at) for place, have in enumerate(drawn))
                sums[whole] += doubled * Fraction(copies, ploidy) * share
    return {drawn: share for drawn, share in sorted(sums.items()) if share}


@lru_cache(maxsize=4096)
def _drawn(part: Part, size: int) -> tuple[tuple[Part, Fraction], ...]:
    """Multivariate hypergeometric: `size` copies drawn without replacement."""
    whole = comb(sum(part), size)
    found = []
    for drawn in parts(size, len(part)):
        ways = 1
        for have, take in zip(part, drawn, strict=True):
            ways *= comb(have, take)
        if ways:
            found.append((drawn, Fraction(ways, whole)))
    return tuple(found)


@lru_cache(maxsize=1024)
def dealt(copies: Part, groups: tuple[int, ...]) -> tuple[tuple[Genotype, Fraction], ...]:
    """All ways to lay copies into groups of these sizes at random, with their chances."""
    if len(groups) == 1:
        return (((copies,), Fraction(1)),)
    return tuple(
        ((drawn, *rest), share * chance)
        for drawn, share in _drawn(copies, groups[0])
        for rest, chance in dealt(
            tuple(have - take for have, take in zip(copies, drawn, strict=True)), groups[1:]
        )
    )
