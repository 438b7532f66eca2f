"""Genotypes, gametes and seedlings of any number of alleles and any pairing.

See `sets` for how they are written. What is said here of one locus holds of several, if they are
not linked.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import product

from breeding.inheritance.drawing import gamete_states, gametes
from breeding.inheritance.gametes import Number
from breeding.inheritance.matrices import at_random, gamete_matrix
from breeding.inheritance.sets import Chances, Genotype, Part, Sets, genotypes, sets_of, totals
from breeding.inheritance.uniting import gamete_sizes, unions, united

__all__ = [
    "Chances",
    "Genotype",
    "Part",
    "Sets",
    "at_random",
    "gamete_matrix",
    "gamete_sizes",
    "gamete_states",
    "gametes",
    "genotypes",
    "progeny",
    "sets_of",
    "totals",
    "unions",
    "united",
]


def progeny(
    seed: Genotype,
    pollen: Genotype,
    child: Sets,
    double_reduction: Number = 0,
    sizes: tuple[int | None, int | None] = (None, None),
    swap: bool = False,
) -> Chances:
    """How often a seedling carries which copies.

    Parameters
    ----------
    seed, pollen : Genotype
        The parents.
    child : Sets
        Of the seedling. Of an odd parent only the gametes that add up to it are reckoned with.
    double_reduction
        As for `gamete_frequencies`.
    sizes : (int or None, int or None)
        Sets in the two gametes, as for `gametes`; see `gamete_sizes`.
    swap : bool
        As for `united`.

    Returns
    -------
    dict of Genotype to Fraction
        In order of copies, only what can occur; the sum is 1.

    Raises
    ------
    ValueError
        If no gametes of these sizes add up to the seedling.

    Examples
    --------
    >>> {totals(g): str(share) for g, share in progeny(((1, 3),), ((1, 3),), Sets((4,))).items()}
    {(0, 4): '1/4', (1, 3): '1/2', (2, 2): '1/4'}
    """
    sums: defaultdict[Genotype, Fraction] = defaultdict(Fraction)
    seeds = gametes(seed, double_reduction, sizes[0])
    pollens = gametes(pollen, double_reduction, sizes[1])
    for (one, share), (other, chance) in product(seeds.items(), pollens.items()):
        if sum(map(sum, one + other)) == child.ploidy:
            for genotype, dealt in unions(one, other, child, swap).items():
                sums[genotype] += share * chance * dealt
    whole = sum(sums.values())
    if not whole:
        raise ValueError(f"No two gametes of these parents make {child.ploidy} sets.")
    return {genotype: share / whole for genotype, share in sorted(sums.items())}
