"""How a seedling came about, and what its known parents may give: tables without frequencies."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.genotypes import (
    Genotype,
    Sets,
    gamete_matrix,
    gamete_states,
    gametes,
    genotypes,
    totals,
    unions,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Of wrong parents so many are wrong by their pollen alone; a convention: the tag is written once,
# the bee comes every day.
STRANGE_POLLEN, MISTAKEN_TAG = 0.7, 0.3


@dataclass(frozen=True, slots=True)
class Side:
    """A gamete: the sets of the plant it comes from, its own sets, the rate of double reduction."""

    sets: Sets
    size: int | None
    double: float = 0.0


@dataclass(frozen=True, slots=True)
class Kind:
    """How a seedling came about; seedlings of one kind share their tables.

    `seed_known` and `pollen_known` tell whether a side's parent is on record; of an unknown one
    the side says what is assumed of it. `child_double` is the rate of the seedling's own sets.
    """

    child: Sets
    seed: Side
    pollen: Side
    seed_known: bool = True
    pollen_known: bool = True
    selfed: bool = False
    child_double: float = 0.0
    _hash: int = field(init=False, repr=False, compare=False, default=0)

    def __post_init__(self) -> None:
        told = (self.child, self.seed, self.pollen, self.seed_known, self.pollen_known, self.selfed)
        object.__setattr__(self, "_hash", hash(told))

    def __hash__(self) -> int:
        # Kinds are looked up for every plant, and take long to hash.
        return self._hash


def ways_shares(kind: Kind, mistakes: float) -> tuple[float, float, float]:
    """How likely the record is right, the pollen strange, the tag mistaken.

    Strange pollen is no mistake where the pollen parent is unknown anyway, and cannot come to a
    clone; where only the pollen parent is known, it leaves nothing right.
    """
    strange, tag = STRANGE_POLLEN * mistakes, MISTAKEN_TAG * mistakes
    if kind.pollen.size == 0 or not kind.pollen_known:
        strange = 0.0
    elif kind.seed.size == 0 or not kind.seed_known:
        strange, tag = 0.0, strange + tag
    return 1 - strange - tag, strange, tag


@lru_cache(maxsize=256)
def gamete_table(side: Side, alleles: int) -> tuple[tuple[Genotype, ...], Array]:
    """States of the gamete, and its chances by the parent's genotype (rows)."""
    if side.size == 0:
        return ((),), np.ones((len(genotypes(side.sets, alleles)), 1))
    try:
        states = gamete_states(side.sets, alleles, side.size)
        return states, gamete_matrix(side.sets, alleles, side.double, side.size)
    except ValueError:
        return _drawn_from_all(side, alleles)


def _drawn_from_all(side: Side, alleles: int) -> tuple[tuple[Genotype, ...], Array]:
    """A gamete of an unusual size, drawn from all sets as if they were one group."""
    assert side.size is not None
    states = genotypes(Sets((side.size,)), alleles)
    place = {state: at for at, state in enumerate(states)}
    told = np.zeros((len(genotypes(side.sets, alleles)), len(states)))
    for row, parent in enumerate(genotypes(side.sets, alleles)):
        for gamete, share in gametes((totals(parent),), 0, side.size).items():
            told[row, place[gamete]] = float(share)
    return states, told


@lru_cache(maxsize=256)
def meeting(kind: Kind, alleles: int) -> Array:
    """Chance of each seedling (last axis) by seed gamete and pollen gamete."""
    seeds, pollens = (gamete_table(side, alleles)[0] for side in (kind.seed, kind.pollen))
    place = {state: at for at, state in enumerate(genotypes(kind.child, alleles))}
    told = np.zeros((len(seeds), len(pollens), len(place)))
    for row, seed in enumerate(seeds):
        for column, pollen in enumerate(pollens):
            if sum(map(sum, seed + pollen)) == kind.child.ploidy:
                for child, share in unions(seed, pollen, kind.child).items():
                    told[row, column, place[child]] += float(share)
    return told


@lru_cache(maxsize=256)
def from_both(kind: Kind, alleles: int) -> Array:
    """Seedlings by both parents' genotypes, (seed, pollen, child); selfed: (parent, child)."""
    seed, pollen = (gamete_table(side, alleles)[1] for side in (kind.seed, kind.pollen))
    axes = "sg,sh,ghc->sc" if kind.selfed else "sg,ph,ghc->spc"
    told = np.einsum(axes, seed, pollen, meeting(kind, alleles), optimize=True)
    return scaled(told)


@lru_cache(maxsize=256)
def from_one(kind: Kind, seed: bool, alleles: int) -> Array:
    """Seedlings by the other side's gamete and one parent's genotype, (gamete, parent, child)."""
    known = gamete_table(kind.seed if seed else kind.pollen, alleles)[1]
    axes = "pg,ghc->hpc" if seed else "pg,hgc->hpc"
    return np.asarray(np.einsum(axes, known, meeting(kind, alleles), optimize=True))


def scaled(told: Array) -> Array:
    """Of odd parents only the gametes that add up to the seedling count."""
    return np.asarray(told / told.sum(axis=-1, keepdims=True))
