"""From parents to seedlings as arrays: recorded parents, strange pollen, mistaken tags.

A seedling's table is a mixture. With the chance `mistakes` its recorded parents are wrong, and then
either the pollen was strange (the seed parent is right) or the tag was (neither is). So nothing
that is seen is impossible.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.kinds import (
    Kind,
    from_both,
    from_one,
    gamete_table,
    scaled,
    ways_shares,
)
from breeding.inheritance.copies.told import Hint
from breeding.inheritance.genotypes import Sets, at_random
from breeding.inheritance.loci import types_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from breeding.inheritance.loci import Locus

    Array = NDArray[np.float64]

# No allele is ruled out by frequency alone.
RAREST = 1e-6
# Stands for 0 where a logarithm is taken.
LEAST = 1e-300


@dataclass(frozen=True, slots=True)
class Ways:
    """Chances of a seedling's states (last axis) by its known parents (axes before), and how
    likely each way is.

    Attributes
    ----------
    recorded, strange, tag : ndarray
        Under the recorded parents, strange pollen, a mistaken tag; of one shape.
    shares : (float, float, float)
        Chance of each way; the sum is 1.
    """

    recorded: Array
    strange: Array
    tag: Array
    shares: tuple[float, float, float]

    @property
    def mixed(self) -> Array:
        """All ways together."""
        right, strange, tag = self.shares
        return np.asarray(right * self.recorded + strange * self.strange + tag * self.tag)


@dataclass(frozen=True, slots=True)
class Leaf:
    """Chances of a seedling's states that show what was seen (last axis) by its known parents,
    their sums over its states, and the logarithms of these."""

    table: Array
    sums: Array
    logs: Array


@dataclass(frozen=True, slots=True)
class Strangers:
    """Logarithms of what a seedling of a pod shows whose parents are one seed parent and one pollen
    parent, either of which may be any plant of the garden at large.

    Attributes
    ----------
    types : ndarray, shape (seed genotypes, pollen genotypes, types)
    seed, pollen : ndarray
        Of the genotypes of a plant taken at random.
    """

    types: Array
    seed: Array
    pollen: Array

    def any_pollen(self, logs: Array) -> Array:
        """Of tables (seed, pollen) in logs: by the seed parent, the pollen parent a stranger."""
        return np.asarray(np.logaddexp.reduce(logs + self.pollen, axis=1))

    def any_seed(self, logs: Array) -> Array:
        """By the pollen parent, the seed parent a stranger."""
        return np.asarray(np.logaddexp.reduce(logs + self.seed[:, None], axis=0))


class Chances:
    """All tables of one locus in one garden; each is worked out once and shared.

    Parameters
    ----------
    locus : Locus
    frequencies : ndarray of float, shape (alleles,)
        Of the alleles in the garden at large; scaled to a sum of 1.
    mistakes : float
        Chance that a seedling's recorded parents are wrong, 0–1.
    """

    def __init__(self, locus: Locus, frequencies: Array, mistakes: float) -> None:
        self.locus, self.mistakes = locus, mistakes
        self.alleles = len(locus.alleles)
        kept = np.maximum(np.asarray(frequencies, dtype=float), RAREST)
        self.frequencies: Array = kept / kept.sum()
        self._founders: dict[tuple[Sets, float], Array] = {}
        self._ways: dict[Kind, Ways] = {}
        self._mixed: dict[Kind, Array] = {}
        self._types: dict[Sets, NDArray[np.intp]] = {}
        self._leaves: dict[tuple[Kind, frozenset[str] | Hint | None], Leaf] = {}
        self._by_type: dict[tuple[Kind, ...], Ways] = {}
        self._strangers: dict[tuple[Kind, ...], Strangers] = {}

    def founder(self, sets: Sets, double: float = 0.0) -> Array:
        """Chances of the genotypes of a plant taken at random."""
        key = (sets, double)
        if key not in self._founders:
            told = at_random(sets, tuple(self.frequencies.tolist()), double)
            self._founders[key] = np.asarray(told, dtype=float)
        return self._founders[key]

    def types(self, sets: Sets) -> NDArray[np.intp]:
        """Place of the type that each genotype shows."""
        if sets not in self._types:
            self._types[sets] = np.array(types_of(self.locus, sets))
        return self._types[sets]

    def shows(self, sets: Sets, allowed: frozenset[str] | Hint) -> Array:
        """1 for each genotype that shows one of the types, 0 for others; of a hint, weights."""
        keys = [each.key for each in self.locus.types]
        if isinstance(allowed, Hint):
            weights = dict(allowed)
            return np.array([weights[key] for key in keys])[self.types(sets)]
        return np.isin(self.types(sets), [keys.index(key) for key in allowed]).astype(float)

    def by_type(self, sets: Sets) -> Array:
        """The matrix (genotypes, types) that sums genotypes to types."""
        return np.eye(len(self.locus.types))[self.types(sets)]

    def ways(self, kind: Kind) -> Ways:
        """Seedlings of one kind by the recorded parents and by mistakes.

        Axes are the known parents, seed before pollen (one for a selfed plant), then the seedling.
        """
        if kind not in self._ways:
            self._ways[kind] = self._worked_out(kind)
        return self._ways[kind]

    def mixed(self, kind: Kind) -> Array:
        """All ways together; the same array each time it is asked for."""
        if kind not in self._mixed:
            self._mixed[kind] = self.ways(kind).mixed
        return self._mixed[kind]

    def leaf(self, kind: Kind, allowed: frozenset[str] | Hint | None) -> Leaf:
        """What a seedling without offspring says, seen as one of these types (None: not seen)."""
        key = (kind, allowed)
        if key not in self._leaves:
            table = self.mixed(kind)
            if allowed is not None:
                table = table * self.shows(kind.child, allowed)
            sums = np.maximum(table.sum(axis=-1), LEAST)
            self._leaves[key] = Leaf(table, sums, np.log(sums))
        return self._leaves[key]

    def of_types(self, kinds: tuple[Kind, ...]) -> Ways:
        """Chances of the types (last axis) of seedlings that are of one of the kinds, as likely."""
        if kinds not in self._by_type:
            ways = [self.ways(kind) for kind in kinds]
            sums = [self.by_type(kind.child) for kind in kinds]
            recorded, strange, tag = (
                np.mean(
                    [told @ by_type for told, by_type in zip(tables, sums, strict=True)], axis=0
                )
                for tables in zip(
                    *((way.recorded, way.strange, way.tag) for way in ways), strict=True
                )
            )
            self._by_type[kinds] = Ways(recorded, strange, tag, ways[0].shares)
        return self._by_type[kinds]

    def strangers(self, kinds: tuple[Kind, ...]) -> Strangers:
        """The same by one seed parent and one pollen parent, known or not."""
        if kinds not in self._strangers:
            told = [
                from_both(replace(kind, selfed=False), self.alleles) @ self.by_type(kind.child)
                for kind in kinds
            ]
            seed, pollen = (
                logs(self.founder(side.sets, side.double))
                for side in (kinds[0].seed, kinds[0].pollen)
            )
            self._strangers[kinds] = Strangers(logs(np.mean(told, axis=0)), seed, pollen)
        return self._strangers[kinds]

    def _worked_out(self, kind: Kind) -> Ways:
        strange_pollen = self._one_side(kind, seed=True)
        if kind.selfed:
            recorded, strange = from_both(kind, self.alleles), strange_pollen
        elif kind.seed_known and kind.pollen_known:
            recorded, strange = from_both(kind, self.alleles), strange_pollen[:, None, :]
        else:
            recorded = strange = self._one_side(kind, seed=kind.seed_known)
        tag = self.founder(kind.child, kind.child_double)
        strange, tag = (np.broadcast_to(told, recorded.shape) for told in (strange, tag))
        return Ways(recorded, strange, tag, ways_shares(kind, self.mistakes))

    def _one_side(self, kind: Kind, seed: bool) -> Array:
        """Seedlings by the one parent, the other gamete from the garden at large."""
        other = kind.pollen if seed else kind.seed
        strange = self.founder(other.sets, other.double) @ gamete_table(other, self.alleles)[1]
        return scaled(np.tensordot(strange, from_one(kind, seed, self.alleles), 1))


def logs(told: Array) -> Array:
    """Logarithms, of 0 a very small number."""
    return np.asarray(np.log(np.maximum(told, LEAST)))
