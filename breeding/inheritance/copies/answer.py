"""The answer: what is believed of every plant's copies, and what it rests on."""

from __future__ import annotations

from collections.abc import Hashable
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.averaging import Blend
from breeding.inheritance.copies.chances import Chances
from breeding.inheritance.copies.garden import Garden
from breeding.inheritance.copies.predicting import Told
from breeding.inheritance.copies.told import Contradiction, Support
from breeding.inheritance.genotypes import Genotype, Sets, genotypes, totals
from breeding.pedigree import UnknownPlant

if TYPE_CHECKING:
    from breeding.inheritance.copies.garden import Counted
    from breeding.inheritance.loci import Locus


class Copies:
    """Chances of the genotypes of every plant of a pedigree at one locus.

    Made by `infer`. All chances are fractions, 0–1; a plant that is not in the pedigree raises
    `UnknownPlant`.

    Attributes
    ----------
    locus : Locus
    frequencies : dict of str to float
        Of the alleles in the garden at large, estimated or as given.
    contradictions : tuple of Contradiction
        The least likely first.
    method : str
        How the numbers were found, in a sentence or two.
    """

    def __init__(
        self,
        garden: Garden,
        chances: Chances,
        told: Told,
        contradictions: tuple[Contradiction, ...],
        method: str,
    ) -> None:
        self.locus: Locus = chances.locus
        self.contradictions, self.method = contradictions, method
        shares = chances.frequencies.tolist()
        self.frequencies: dict[str, float] = dict(zip(self.locus.alleles, shares, strict=True))
        self._garden, self._chances, self._told = garden, chances, told
        self._row = {key: at for at, key in enumerate(garden.keys)}
        self._families: dict[int, list[Counted]] | None = None

    def _at(self, plant: Hashable) -> int:
        try:
            return self._row[plant]
        except KeyError:
            raise UnknownPlant(plant) from None

    def sets(self, plant: Hashable) -> Sets:
        """How the plant's sets of chromosomes are grouped."""
        return self._garden.sets[self._at(plant)]

    @property
    def averaged(self) -> bool:
        """Whether the answer is averaged over frequencies that little is known of."""
        return isinstance(self._chances, Blend)

    def double(self, plant: Hashable) -> float:
        """Rate of double reduction in the plant's gametes; 0 unless its four sets pair freely."""
        return self._garden.double[self._at(plant)]

    def founder(self, sets: Sets, double: float = 0.0) -> dict[Genotype, float]:
        """Chances of the genotypes of a plant of which nothing is known but its sets.

        Over all frequencies that were averaged over, where they were; `double` is the rate of
        double reduction of such plants.
        """
        chances = self._chances.founder(sets, double).tolist()
        return dict(zip(genotypes(sets, len(self.locus.alleles)), chances, strict=True))

    def genotypes(self, plant: Hashable) -> dict[Genotype, float]:
        """Chance of each genotype, in the order of `genotypes.genotypes`; impossible ones too."""
        at = self._at(plant)
        states = genotypes(self._garden.sets[at], len(self.locus.alleles))
        return dict(zip(states, self._told.marginals[at].tolist(), strict=True))

    def copies(self, plant: Hashable, allele: str | None = None) -> tuple[float, ...]:
        """Chance of 0, 1, … copies, up to the ploidy, of an allele (`locus.counted` by default).

        Raises
        ------
        ValueError
            If the locus has no such allele.
        """
        at = self._at(plant)
        which = self.locus.counted if allele is None else allele
        if which not in self.locus.alleles:
            raise ValueError(f"{which} is no allele of {self.locus.name}.")
        place = self.locus.alleles.index(which)
        sets = self._garden.sets[at]
        has = [totals(state)[place] for state in genotypes(sets, len(self.locus.alleles))]
        sums = np.bincount(has, self._told.marginals[at], sets.ploidy + 1)
        # Sums of rounded numbers may be a hair above 1.
        return tuple(min(1.0, chance) for chance in sums.tolist())

    def types(self, plant: Hashable) -> dict[str, float]:
        """Chance of each type of flower, by its key."""
        at = self._at(plant)
        sums = self._told.marginals[at] @ self._chances.by_type(self._garden.sets[at])
        keys = [each.key for each in self.locus.types]
        return dict(zip(keys, np.minimum(sums, 1.0).tolist(), strict=True))

    def exact(self, plant: Hashable) -> bool:
        """Whether the plant's chances are exact, given the frequencies."""
        return self._told.exact[self._at(plant)]

    def error(self, plant: Hashable) -> float:
        """Stated error of the plant's chances: 0 where exact, NaN where none could be estimated.

        Nine in ten chances are meant to be off by less.
        """
        return self._told.error[self._at(plant)]

    def support(self, plant: Hashable) -> Support:
        """What the plant's chances rest on, in numbers."""
        at = self._at(plant)
        garden = self._garden
        if self._families is None:
            self._families = garden.of_families()
        mine = self._families.get(at, [])
        children = garden.children.get(at, [])
        known = garden.kinds[at]
        return Support(
            flower_seen=garden.certain(at),
            parents=0 if known is None else known.seed_known + known.pollen_known,
            offspring=len(children),
            offspring_seen=sum(garden.certain(child) for child in children),
            families=len(mine),
            seedlings=sum(sum(family.counts) for family in mine),
            bits=self._bits(at),
        )

    def _bits(self, at: int) -> float:
        """How much narrower the plant's genotypes are than the garden's, in bits."""
        garden = self._garden
        usual = self._chances.founder(garden.sets[at], garden.double[at])
        now = self._told.marginals[at]
        there = now > 0
        return max(0.0, float((now[there] * np.log2(now[there] / usual[there])).sum()))
