"""Simulated gardens whose copies are known: chromosomes are dropped through a pedigree."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from breeding.inheritance.copies import Family
from breeding.inheritance.loci import Confidence, Locus, Type
from breeding.pedigree import Pedigree

VIOLET = Locus(
    "V", "violet", ("V", "v"), (Type("violet", "violet", (("V", 1),)), Type("white", "white")),
    "invented for tests", Confidence.SUPPORTED,
)  # fmt: skip
GRADED = Locus(
    "G", "graded", ("G", "g"),
    (Type("dark", "dark", (("G", 3),)), Type("mid", "mid", (("G", 1),)), Type("pale", "pale")),
    "invented for tests", Confidence.SUPPOSED,
)  # fmt: skip
PATTERN = Locus(
    "P", "pattern", ("F", "p", "a"),
    (Type("full", "full", (("F", 1),)), Type("stitched", "stitched", (("p", 1),)),
     Type("clear", "clear")),
    "invented for tests", Confidence.SUPPOSED,
)  # fmt: skip


@dataclass
class Simulated:
    """A tetraploid garden, what its people know of it, and the truth."""

    locus: Locus
    parents: dict = field(default_factory=dict)
    truth: dict = field(default_factory=dict)
    seen: dict = field(default_factory=dict)
    families: list = field(default_factory=list)
    mistaken: set = field(default_factory=set)

    @property
    def pedigree(self) -> Pedigree:
        return Pedigree(self.parents, ploidy=4)

    def copies(self, plant: object) -> tuple[int, ...]:
        """True copies of each allele."""
        return tuple(self.truth[plant].count(at) for at in range(len(self.locus.alleles)))

    def shows(self, chromosomes: list[int]) -> str:
        counted = tuple(chromosomes.count(at) for at in range(len(self.locus.alleles)))
        return self.locus.type_of(counted).key


class Dice:
    """Chromosomes drawn: plants of the garden at large, gametes, seedlings with their mistakes."""

    def __init__(self, seed: int, shares: list[float], alpha: float, mistakes: float) -> None:
        self.dice = np.random.default_rng(seed)
        self.shares, self.alpha, self.mistakes = shares, alpha, mistakes

    def stranger(self, rounds: int = 3) -> list[int]:
        """A plant without known parents; double reduction has worked on its ancestors too."""
        if not (rounds and self.alpha):
            return self.dice.choice(len(self.shares), 4, p=self.shares).tolist()
        return self.gamete(self.stranger(rounds - 1)) + self.gamete(self.stranger(rounds - 1))

    def gamete(self, plant: list[int]) -> list[int]:
        if self.dice.random() < self.alpha:
            return [plant[self.dice.integers(4)]] * 2
        return [plant[at] for at in self.dice.choice(4, 2, replace=False)]

    def mistake(self) -> str:
        """What is wrong with the record of a seedling, or of a whole pod."""
        if self.dice.random() >= self.mistakes:
            return ""
        return "pollen" if self.dice.random() < 0.7 else "tag"

    def seedling(self, seed: list[int], pollen: list[int], wrong: str = "") -> list[int]:
        if wrong == "tag":
            return self.stranger()
        return self.gamete(seed) + self.gamete(self.stranger() if wrong else pollen)


def simulate(
    seed: int,
    locus: Locus = VIOLET,
    *,
    shares: list[float] | None = None,
    alpha: float = 0.0,
    mistakes: float = 0.01,
    founders: int = 6,
    generations: int = 3,
    a_generation: int = 6,
    families: int = 4,
    seen: float = 0.7,
) -> Simulated:
    """A garden of some generations: crosses, siblings, selfings and bee pods, counted families."""
    shares = shares or [1 / len(locus.alleles)] * len(locus.alleles)
    luck = Dice(seed, shares, alpha, mistakes)
    dice, garden = luck.dice, Simulated(locus)
    for at in range(founders):
        plant = f"founder {at}"
        garden.parents[plant], garden.truth[plant] = (None, None), luck.stranger()
    for generation in range(1, generations + 1):
        pool, made = list(garden.parents), 0
        while made < a_generation:
            mother, father = _pair(dice, pool[-3 * a_generation :])
            for _ in range(min(int(dice.integers(1, 4)), a_generation - made)):
                plant, made = f"{generation}-{made}", made + 1
                wrong = luck.mistake()
                pollen = garden.truth[father] if father else luck.stranger()
                garden.truth[plant] = luck.seedling(garden.truth[mother], pollen, wrong)
                garden.parents[plant] = (mother, father)
                if wrong:
                    garden.mistaken.add(plant)
    for plant, chromosomes in garden.truth.items():
        if dice.random() < seen:
            garden.seen[plant] = [garden.shows(chromosomes)]
    for _ in range(families):
        _count_family(garden, luck, *_pair(dice, list(garden.parents)))
    return garden


def _pair(dice: np.random.Generator, pool: list) -> tuple[str, str | None]:
    mother, father = (pool[at] for at in dice.integers(len(pool), size=2))
    return mother, (None if dice.random() < 0.1 else father)


def _count_family(garden: Simulated, luck: Dice, mother: str, father: str | None) -> None:
    """A pod has one seed parent and one pollen parent, be they those on record or not."""
    pod, counts = luck.mistake(), Counter()
    seed = luck.stranger() if pod == "tag" else garden.truth[mother]
    pollen = garden.truth[father] if father and not pod else luck.stranger()
    for _ in range(int(luck.dice.integers(3, 25))):
        wrong = "" if pod else luck.mistake()
        counts[garden.shows(luck.seedling(seed, pollen, wrong))] += 1
    garden.families.append(Family(mother, father, dict(counts)))
