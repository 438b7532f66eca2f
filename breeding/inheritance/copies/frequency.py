"""How common the alleles are in the garden at large, from the copies of its founders."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.garden import Garden
from breeding.inheritance.genotypes import Sets, genotypes, totals

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from breeding.inheritance.copies.chances import Chances
    from breeding.inheritance.loci import Locus

    Array = NDArray[np.float64]

# As if one copy of each allele had been counted before: a weak prior (Dirichlet).
BEFOREHAND = 1.0
ROUNDS, STILL = 12, 0.002
# A longer leap than so many steps is not trusted.
LONGEST = 4.0


def given(locus: Locus, frequencies: Mapping[str, float]) -> Array:
    """Frequencies as told, in the order of the locus.

    Raises
    ------
    ValueError
        If an allele is missing or unknown, a number negative, or all are zero.
    """
    if set(frequencies) != set(locus.alleles):
        raise ValueError(f"A frequency is needed for each of {', '.join(locus.alleles)}.")
    told = np.array([float(frequencies[allele]) for allele in locus.alleles])
    if not np.isfinite(told).all() or told.min() < 0 or told.sum() <= 0:
        raise ValueError("Frequencies are not negative, and not all zero.")
    return np.asarray(told / told.sum())


def estimate(once: Callable[[Array], Array], guess: Array) -> Array:
    """Frequencies that agree with the founders' copies they lead to.

    Parameters
    ----------
    once : callable
        From frequencies to the founders' expected copies of each allele, given all evidence.
    guess : ndarray of float, shape (alleles,)
        Where to begin.

    Notes
    -----
    The steps of expectation and maximisation (Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B
    39:1–38) with a weak prior; where steps shrink evenly, the rest of them is leapt (Aitken).
    Unknown pollen is not counted: the founders' copies alone are on average right at the true
    frequencies, whatever is seen.
    """
    now = _within(guess)
    before: Array | None = None
    for _ in range(ROUNDS):
        copies = once(now) + BEFOREHAND
        step = copies / copies.sum() - now
        if np.abs(step).max() < STILL:
            return np.asarray(now + step)
        leap = _leap(before, step)
        now, before = _within(now + leap * step), (None if leap > 1 else step)
    return now


def guess(garden: Garden, alleles: int, chances: Callable[[Array], Chances]) -> Array:
    """The same as if every plant whose flower was seen were a founder of its own: a first guess."""
    sorts = Counter((garden.sets[at], garden.double[at], told) for at, told in garden.seen.items())

    def once(frequencies: Array) -> Array:
        now, copies = chances(frequencies), np.zeros(alleles)
        for (sets, double, allowed), many in sorts.items():
            weights = now.founder(sets, double) * now.shows(sets, allowed)
            copies += many * (weights / weights.sum()) @ copies_of(sets, alleles)
        return copies

    return estimate(once, np.ones(alleles))


@lru_cache(maxsize=128)
def copies_of(sets: Sets, alleles: int) -> Array:
    """Copies of each allele (columns) in each genotype."""
    return np.array([totals(state) for state in genotypes(sets, alleles)], dtype=float)


def _leap(before: Array | None, step: Array) -> float:
    """How many steps to take at once."""
    if before is None:
        return 1.0
    shrinks = float(step @ before / (before @ before))
    return min(1 / (1 - shrinks), LONGEST) if 0 < shrinks < 1 else 1.0


def _within(frequencies: Array) -> Array:
    kept = np.clip(frequencies, 1e-3, None)
    return np.asarray(kept / kept.sum())


def founders_copies(garden: Garden, marginals: Mapping[int, Array], alleles: int) -> Array:
    """Expected copies of each allele in all founders together."""
    told: Array = np.zeros(alleles)
    for at, kind in enumerate(garden.kinds):
        if kind is None:
            told = told + marginals[at] @ copies_of(garden.sets[at], alleles)
    return told
