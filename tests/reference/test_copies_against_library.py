"""Copies of alleles against a general-purpose library of Bayesian networks (pyAgrum).

Ducamp, Gonzales & Wuillemin 2020, "aGrUM/pyAgrum: a toolbox to build models and algorithms for
probabilistic graphical models in Python", PMLR 138:609–612. Its nodes are plants and gametes, and
each counted seedling is a node of its own; nothing of the package that is tested makes its tables
but the exact gametes, which are held against published tables elsewhere.
"""

from __future__ import annotations

from itertools import product
from math import comb

import numpy as np
import pytest

from breeding.inheritance import gamete_frequencies
from breeding.inheritance.copies import Family, infer
from breeding.pedigree import Pedigree
from tests.breeding.copies_garden import VIOLET

gum = pytest.importorskip("pyagrum")

MISTAKES, V = 0.02, 0.35
STRANGE, TAG = 0.7 * MISTAKES, 0.3 * MISTAKES
PARENTS = {
    "a": (None, None), "b": (None, None), "c": (None, None), "d": (None, None),
    "e": ("a", "b"), "f": ("a", "b"), "g": ("c", "b"), "h": ("c", None),
    "i": ("e", "g"), "j": ("f", "e"), "k": ("g", "h"), "l": ("d", "d"),
    "m": ("i", "j"), "n": ("k", "l"), "o": ("m", "k"),
}  # fmt: skip
SEEN = {"a": "violet", "c": "white", "e": "violet", "h": "violet", "j": "white", "k": "violet",
        "l": "violet", "n": "white", "o": "white"}  # fmt: skip
FAMILIES = [
    Family("e", "g", {"violet": 9, "white": 2}),
    Family("d", "d", {"violet": 14, "white": 1}),
    Family("m", "h", {"violet": 3, "white": 4}),
    Family("b", None, {"violet": 5}),
]
# Random copies of five kinds: of plants by copies, of gametes by copies.
FOUNDER = np.array([comb(4, k) * V**k * (1 - V) ** (4 - k) for k in range(5)])
GAMETE = np.array([comb(2, k) * V**k * (1 - V) ** (2 - k) for k in range(3)])


class Library:
    """The same garden as a network of the library."""

    def __init__(self) -> None:
        self.net = gum.BayesNet()
        self.evidence: dict[str, int] = {}

    def add(self, name: str, parents: tuple[str, ...], size: int, chances) -> str:
        """A node; `chances` gives the list of chances for each setting of its parents."""
        self.net.add(gum.LabelizedVariable(name, "", size))
        for parent in parents:
            self.net.addArc(parent, name)
        sizes = [self.net.variable(parent).domainSize() for parent in parents]
        for states in product(*(range(width) for width in sizes)):
            told = [float(chance) for chance in chances(*states)]
            self.net.cpt(name)[dict(zip(parents, states, strict=True))] = told
        return name

    def gamete(self, name: str, way: str, parent: str | None, wrong: set[int]) -> str:
        """From the parent, unless the way says that it is from a stranger."""

        def chances(state, copies=0):
            if parent is None or state in wrong:
                return GAMETE
            told = gamete_frequencies(copies)
            return [told.get(k, 0) for k in range(3)]

        return self.add(name, (way, parent) if parent else (way,), 3, chances)

    def parent(self, name: str, pod: str, given: str | None, wrong: set[int]) -> str:
        """Who it was for a whole pod: the one on record, or one plant taken at random."""

        def chances(state, copies=0):
            if given is None or state in wrong:
                return FOUNDER
            return np.eye(5)[copies]

        return self.add(name, (pod, given) if given else (pod,), 5, chances)

    def seedling(
        self, name: str, seed: str, pollen: str | None, pod: str | None = None, known: bool = True
    ) -> str:
        """Its way (0 recorded, 1 strange pollen, 2 mistaken tag), its gametes, and the plant."""
        strange = STRANGE if pollen and known else 0.0
        alone = [1 - strange - TAG, strange, TAG]
        rows = {0: alone, 1: [1, 0, 0], 2: [1, 0, 0]}
        way = self.add(f"way {name}", (pod,) if pod else (), 3, lambda state=0: rows[state])
        one = self.gamete(f"seed {name}", way, seed, {2})
        two = self.gamete(f"pollen {name}", way, pollen, {1, 2})
        return self.add(name, (one, two), 5, lambda k, m: [float(k + m == at) for at in range(5)])

    def see(self, plant: str, type_: str) -> None:
        violet = self.add(f"flower {plant}", (plant,), 2, lambda k: [float(k == 0), float(k > 0)])
        self.evidence[violet] = int(type_ == "violet")

    def count(self, place: int, family: Family) -> None:
        strange = STRANGE if family.pollen else 0.0
        pod = self.add(f"pod {place}", (), 3, lambda: [1 - strange - TAG, strange, TAG])
        seed = self.parent(f"mother {place}", pod, family.seed, {2})
        pollen = self.parent(f"father {place}", pod, family.pollen, {1, 2})
        for type_, count in family.counts.items():
            for at in range(count):
                name = f"{place} {type_} {at}"
                told = self.seedling(name, seed, pollen, pod, family.pollen is not None)
                self.see(told, type_)


@pytest.fixture(scope="module")
def library():
    told = Library()
    for plant, (seed, pollen) in PARENTS.items():
        if seed is None:
            told.add(plant, (), 5, lambda: FOUNDER)
        else:
            told.seedling(plant, seed, pollen)
    for plant, type_ in SEEN.items():
        told.see(plant, type_)
    for place, family in enumerate(FAMILIES):
        told.count(place, family)
    asked = gum.LazyPropagation(told.net)
    asked.setEvidence(told.evidence)
    asked.makeInference()
    return {plant: asked.posterior(plant).toarray() for plant in PARENTS}


def test_copies_of_fifteen_plants_are_those_of_the_library(library):
    told = infer(
        Pedigree(PARENTS, ploidy=4), VIOLET, {plant: [type_] for plant, type_ in SEEN.items()},
        FAMILIES, mistakes=MISTAKES, frequencies={"V": V, "v": 1 - V},
    )  # fmt: skip
    for plant, chances in library.items():
        assert told.exact(plant)
        assert told.copies(plant) == pytest.approx(chances, abs=1e-9), plant
