"""What nature knows of the genes for colour: the true copies of every plant of the story.

The plants of the list have theirs in `fixtures/demo/copies.json`; a seedling draws a gamete of each
parent with dice of its own, so that no order of asking matters. Free of Django.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from breeding.inheritance.genotypes import Sets
from breeding.inheritance.loci import Locus
from evaluation.demo.cast import Cast, Parent
from evaluation.demo.genes import Genes, class_of, handed_on, possible, sets_of_plant

# The wild dwarf with four sets of eight: in a seedling its sets stand last, whoever bore the pod.
FOUR_SETS_OF_EIGHT = ("SPECIES", 4)
# How many seedlings bloom in the first summer after they were lined out.
BLOOMS_AT_ONCE = 0.8


@dataclass
class Copies:
    """The true copies of every plant of a story.

    `seed` names the story and `first` is its first season. `known` holds what was asked for
    before, and the seedlings that became plants under the keys that they then got. `strangers` are
    seedlings whose pollen parent is another plant than their row's, by row and position: a bee.
    """

    cast: Cast
    seed: str
    first: int
    known: dict[str, Genes] = field(default_factory=dict)
    strangers: dict[tuple[str, int], Parent] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.known |= {f"plant:{label}": genes for label, genes in self.cast.genes.items()}
        self._bees = list(self.cast.parents(self.first).values())

    @property
    def loci(self) -> tuple[Locus, ...]:
        return self.cast.loci

    def of_seedling(self, seed: Parent, pollen: Parent | None, row: str, position: int) -> Genes:
        """The seedling at a position of a planting `row`; without a known pollen parent, a bee
        brought the pollen of some plant of the same class."""
        key = f"{row} {position}"
        if key not in self.known:
            dice = random.Random(f"{self.seed} copies {key}")
            father = self.strangers.get((row, position)) or pollen or self.some_plant(dice, seed)
            self.known[key] = self._child(dice, seed, father)
        return self.known[key]

    def be_strange(self, row: str, position: int, father: Parent) -> None:
        """From now on the seedling at this position has another father."""
        self.strangers[row, position] = father
        self.known.pop(f"{row} {position}", None)

    def be_none(self, row: str, position: int) -> None:
        """The seedling is its row's again."""
        del self.strangers[row, position]
        self.known.pop(f"{row} {position}", None)

    def is_late(self, row: str, position: int) -> bool:
        """Whether the seedling does not bloom in its first summer."""
        return random.Random(f"{self.seed} bloom {row} {position}").random() > BLOOMS_AT_ONCE

    def some_plant(self, dice: random.Random, like: Parent) -> Parent:
        """Any plant of the list of this one's class and sets."""
        return dice.choice(
            [each for each in self._bees
             if (each.iris_class, each.ploidy) == (like.iris_class, like.ploidy or each.ploidy)]
        )  # fmt: skip

    def possible(self, seed: Parent, pollen: Parent) -> dict[str, frozenset[str]]:
        """The types that seedlings of two plants can be of, by symbol."""
        one, other, child = self.known[seed.key], self.known[pollen.key], _sets(seed, pollen)
        return {
            locus.symbol: possible(locus, one[locus.symbol], other[locus.symbol], child)
            for locus in self.loci
        }

    def _child(self, dice: random.Random, seed: Parent, pollen: Parent) -> Genes:
        child = _sets(seed, pollen)
        swap = (seed.iris_class, seed.ploidy) == FOUR_SETS_OF_EIGHT
        one, other = self.known[seed.key], self.known[pollen.key]
        return {
            locus.symbol: handed_on(dice, one[locus.symbol], other[locus.symbol], child, swap)
            for locus in self.loci
        }


def _sets(seed: Parent, pollen: Parent) -> Sets:
    """The sets of their seedlings, as these are recorded."""
    both = seed.ploidy if seed.ploidy == pollen.ploidy else None
    return sets_of_plant(class_of(seed.iris_class, pollen.iris_class), both)
