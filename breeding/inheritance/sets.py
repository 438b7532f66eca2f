"""Genotypes, gametes and seedlings of any number of alleles and any pairing, exactly.

A part holds the copies of each allele within one group of sets that pair with each other, in the
order of the locus; a genotype has one part for each group: ``((1, 3),)`` is a simplex tetraploid,
``((1, 1), (0, 2))`` a standard dwarf with one copy in one of its two pairs of sets. A gamete is
written in the same way. What is said here of one locus holds of several, if they are not linked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import product

from breeding.inheritance.gametes import MOST_SETS
from breeding.pedigree import Mode

MOST_ALLELES = 8
Part = tuple[int, ...]
Genotype = tuple[Part, ...]
Chances = dict[Genotype, Fraction]


@dataclass(frozen=True, slots=True)
class Sets:
    """How many sets of chromosomes pair with each other: (4,) for a tall bearded iris, (2,) for a
    diploid, (2, 2) for a standard dwarf.

    Raises
    ------
    ValueError
        If there is no set, or there are more than eight.
    """

    groups: tuple[int, ...]

    def __post_init__(self) -> None:
        whole = all(type(size) is int and size > 0 for size in self.groups)
        if not (whole and 1 <= sum(self.groups) <= MOST_SETS):
            raise ValueError(f"A plant has from 1 to {MOST_SETS} sets of chromosomes.")

    @property
    def ploidy(self) -> int:
        """Sets in all groups together."""
        return sum(self.groups)

    @classmethod
    def of(cls, ploidy: int, mode: Mode) -> Sets:
        """Groups from a plant's recorded ploidy and pairing.

        Examples
        --------
        >>> Sets.of(4, Mode.POLYSOMIC).groups, Sets.of(4, Mode.DISOMIC).groups
        ((4,), (2, 2))
        """
        if mode is Mode.DISOMIC and ploidy > 0 and ploidy % 2 == 0:
            return cls((2,) * (ploidy // 2))
        return cls((ploidy,))


@lru_cache(maxsize=512)
def genotypes(sets: Sets, alleles: int) -> tuple[Genotype, ...]:
    """All genotypes, by rising copies of the first allele, then of the second, and so on.

    With two alleles in one group the place of a genotype is the copies of the first allele.

    Parameters
    ----------
    sets : Sets
    alleles : int
        1–8.

    Returns
    -------
    tuple of Genotype
        For one group C(ploidy + alleles − 1, alleles − 1): 5 of a tetraploid with two alleles, 35
        with four; for several groups the product.

    Examples
    --------
    >>> genotypes(Sets((2,)), 2)
    (((0, 2),), ((1, 1),), ((2, 0),))
    """
    return states(sets.groups, alleles)


def totals(genotype: Genotype) -> Part:
    """Copies of each allele in all groups together.

    Examples
    --------
    >>> totals(((1, 1), (0, 2)))
    (1, 3)
    """
    return tuple(sum(copies) for copies in zip(*genotype, strict=True))


def sets_of(genotype: Genotype) -> Sets:
    """The groups that a genotype is written in."""
    return Sets(tuple(sum(part) for part in genotype))


def states(shape: tuple[int, ...], alleles: int) -> tuple[Genotype, ...]:
    """All ways to fill groups of these sizes, which in gametes of an odd plant may be empty."""
    check_alleles(alleles)
    return tuple(product(*(tuple(parts(size, alleles)) for size in shape)))


def check_alleles(alleles: int) -> None:
    """Raise ValueError unless a locus may have so many alleles."""
    if not 1 <= alleles <= MOST_ALLELES:
        raise ValueError(f"A locus has from 1 to {MOST_ALLELES} alleles, not {alleles}.")


def parts(size: int, alleles: int) -> Iterator[Part]:
    """All ways to have `size` copies of so many alleles."""
    if alleles == 1:
        yield (size,)
        return
    for first in range(size + 1):
        for rest in parts(size - first, alleles - 1):
            yield (first, *rest)


def gamete_shapes(sets: Sets, size: int | None) -> tuple[tuple[int, ...], ...]:
    """For each group the sizes that its part of a gamete may have, each as likely.

    Raises
    ------
    ValueError
        If there can be no gamete of `size` sets.
    """
    if size is None or (size * 2 == sets.ploidy and len(sets.groups) > 1):
        return tuple(tuple(sorted({n // 2, n - n // 2})) for n in sets.groups)
    if size == sets.ploidy:
        return tuple((n,) for n in sets.groups)
    if len(sets.groups) > 1 or not 0 <= size <= sets.ploidy:
        raise ValueError(f"Plants with the sets {sets.groups} give no gametes of {size} sets.")
    return ((size,),)
