"""Small pedigrees against a sum over every combination of genotypes, written without arrays."""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from math import comb, prod

import pytest

from breeding.inheritance.copies import Family, infer
from breeding.inheritance.genotypes import Sets, at_random, gametes, genotypes, totals, unions
from breeding.pedigree import Mode, Pedigree
from tests.breeding.copies_garden import GRADED, PATTERN, VIOLET

MISTAKES = 0.01


class Enumerated:
    """The sum over all states of a few plants: every rule told again, plant by plant."""

    def __init__(self, pedigree, locus, seen, families, frequencies, double=0.0):
        self.pedigree, self.locus, self.seen, self.families = pedigree, locus, seen, families
        self.shares, self.double = [frequencies[allele] for allele in locus.alleles], double
        self.sets = {
            plant: Sets.of(pedigree.ploidy(plant), pedigree.mode(plant))
            for plant in self.pedigree.keys()  # noqa: SIM118 – a pedigree is no mapping
        }
        self._known: dict = {}

    def rate(self, sets):
        """No plant of four uneven sets stands beside double reduction here."""
        return self.double if sets.groups == (4,) else 0.0

    def founder(self, sets):
        key = ("founder", sets)
        if key not in self._known:
            self._known[key] = self._founder(sets)
        return self._known[key]

    def _founder(self, sets):
        told = at_random(sets, self.shares, self.rate(sets))
        return dict(zip(genotypes(sets, len(self.shares)), told.tolist(), strict=True))

    def strange(self, sets, size):
        """Gametes of a plant taken at random."""
        sums = defaultdict(float)
        for parent, chance in self.founder(sets).items():
            for gamete, share in gametes(parent, self.rate(sets), size).items():
                sums[gamete] += chance * float(share)
        return sums

    def from_parents(self, child_sets, seed, pollen, sizes, like):
        """Chances of a seedling; a parent that is None is taken at random from plants `like` it."""
        sides = []
        for parent, size, sets in zip((seed, pollen), sizes, like, strict=True):
            if parent is None:
                sides.append(self.strange(sets, size))
            else:
                sides.append(gametes(parent, self.rate(sets), size))
        sums = defaultdict(float)
        for (one, share), (other, chance) in product(sides[0].items(), sides[1].items()):
            for genotype, dealt in unions(one, other, child_sets).items():
                sums[genotype] += float(share) * float(chance) * float(dealt)
        return sums

    def seedling(self, child_sets, parents, genotype_of, sizes, like, known):
        """The mixture: recorded parents, strange pollen, mistaken tag."""
        key = (child_sets, tuple(genotype_of.get(parent) for parent in parents), sizes, like, known)
        if key in self._known:
            return self._known[key]
        seed, pollen = (genotype_of.get(parent) for parent in parents)
        strange, tag = 0.7 * MISTAKES, 0.3 * MISTAKES
        if not known[1]:
            strange = 0.0
        elif not known[0]:
            strange, tag = 0.0, MISTAKES
        ways = [
            (1 - strange - tag, self.from_parents(child_sets, seed, pollen, sizes, like)),
            (strange, self.from_parents(child_sets, seed, None, sizes, like)),
            (tag, self.founder(child_sets)),
        ]
        self._known[key] = ways
        return ways

    def type(self, genotype):
        if genotype not in self._known:
            self._known[genotype] = self._type(genotype)
        return self._known[genotype]

    def _type(self, genotype):
        return self.locus.type_of(totals(genotype)).key

    def of_plant(self, plant, genotype, states):
        parents = self.pedigree.parents(plant)
        if parents == (None, None):
            return self.founder(self.sets[plant])[genotype]
        sizes = tuple(copies for copies, _ in self.pedigree.gametes(plant))
        known = tuple(parent is not None for parent in parents)
        like = tuple(
            self.sets[parent] if parent is not None
            else self.sets[plant] if 2 * size == self.sets[plant].ploidy else Sets((2 * size,))
            for parent, size in zip(parents, sizes, strict=True)
        )  # fmt: skip
        ways = self.seedling(self.sets[plant], parents, states, sizes, like, known)
        return sum(share * told.get(genotype, 0.0) for share, told in ways)

    def of_family(self, family, states):
        parents = (family.seed, family.pollen)
        key = (id(family), *(states.get(parent) for parent in parents))
        if key not in self._known:
            self._known[key] = self._of_family(family, parents, states)
        return self._known[key]

    def _of_family(self, family, parents, states):
        known = (True, family.pollen is not None)
        like = tuple(self.sets[parent if parent is not None else family.seed] for parent in parents)
        sizes = tuple(sets.ploidy // 2 for sets in like)
        child = Sets((sum(sizes),))
        seed, pollen = (states.get(parent) for parent in parents)
        ways = self.seedling(child, parents, states, sizes, like, known)
        right, strange, tag = (share for share, _ in ways)

        def types(told):
            sums = defaultdict(float)
            for genotype, chance in told.items():
                sums[self.type(genotype)] += chance
            return sums

        def chance(*mixed):
            return prod(
                sum(share * told[key] for share, told in mixed) ** count
                for key, count in family.counts.items()
            )

        def by_pollen(one, *more, own=1.0):
            """The pod's pollen parent is one plant taken at random."""
            return sum(
                weight
                * chance((own, types(self.from_parents(child, one, other, sizes, like))), *more)
                for other, weight in self.founder(like[1]).items()
            )

        rest = [(share, types(told)) for share, told in ways]
        each = chance(*rest) if known[1] else by_pollen(seed, rest[2], own=right)
        return (
            right * each
            + strange * (by_pollen(seed) if strange else 0)
            + tag * sum(weight * by_pollen(one) for one, weight in self.founder(like[0]).items())
        )

    def answer(self):
        """Chances of every plant's genotypes; parents stand before their children."""
        plants = self.pedigree.keys()
        sums = {plant: defaultdict(float) for plant in plants}

        def go(at, states, weight):
            if at == len(plants):
                weight *= prod(self.of_family(family, states) for family in self.families)
                for plant, genotype in states.items():
                    sums[plant][genotype] += weight
                return
            plant = plants[at]
            for genotype in genotypes(self.sets[plant], len(self.shares)):
                allowed = self.seen.get(plant)
                if allowed is None or self.type(genotype) in allowed:
                    now = {**states, plant: genotype}
                    go(at + 1, now, weight * self.of_plant(plant, genotype, now))

        go(0, {}, 1.0)
        total = sum(sums[plants[0]].values())
        return {plant: {g: w / total for g, w in told.items()} for plant, told in sums.items()}


def agree(pedigree, locus, seen, families, frequencies, double=0.0):
    told = infer(
        pedigree, locus, seen, families, double_reduction=double, mistakes=MISTAKES,
        frequencies=frequencies,
    )  # fmt: skip
    expected = Enumerated(pedigree, locus, seen, families, frequencies, double).answer()
    for plant, chances in expected.items():
        assert told.exact(plant)
        assert told.error(plant) == 0
        assert told.genotypes(plant) == pytest.approx(
            {genotype: chances.get(genotype, 0.0) for genotype in told.genotypes(plant)}, abs=1e-12
        )
    return told


V = {"V": 0.3, "v": 0.7}
FULL = ["violet"]
BARE = ["white"]


@pytest.mark.parametrize("double", [0.0, 1 / 7])
def test_copies_of_a_looped_pedigree_are_those_of_the_full_sum(double):
    family = {
        "a": (None, None), "b": (None, None), "c": ("a", "b"), "d": ("a", "b"), "e": ("c", "d"),
    }  # fmt: skip
    agree(
        Pedigree(family, ploidy=4), VIOLET, {"a": FULL, "e": BARE, "c": FULL},
        [Family("a", "b", {"violet": 5, "white": 1}), Family("d", "d", {"violet": 4})], V, double,
    )  # fmt: skip


def test_copies_with_bees_selfings_and_mates_either_way_round_are_those_of_the_full_sum():
    family = {
        "a": (None, None), "b": ("a", None), "c": ("b", "b"), "d": (None, "b"), "e": ("d", "c"),
        "f": ("c", "d"),
    }  # fmt: skip
    families = [
        Family("a", None, {"violet": 2, "white": 3}),
        Family("c", "d", {"violet": 6}),
        Family("d", "c", {"white": 1, "violet": 2}),
    ]
    agree(Pedigree(family, ploidy=4), VIOLET, {"d": FULL, "f": BARE}, families, V)


def test_copies_in_mixed_ploidies_are_those_of_the_full_sum():
    family = {
        "tall": (None, None), "small": (None, None), "dwarf": (None, None),
        "between": ("tall", "small"), "tetra": ("tall", "between"), "median": ("dwarf", "tall"),
    }  # fmt: skip
    ploidy = {"tall": 4, "small": 2, "dwarf": 4, "between": 3, "tetra": 4, "median": 4}
    modes = {"dwarf": Mode.DISOMIC, "median": Mode.UNEVEN}
    pedigree = Pedigree(family, ploidy, modes=modes)
    families = [Family("dwarf", "dwarf", {"violet": 11, "white": 1}),
                Family("tall", "dwarf", {"violet": 7})]  # fmt: skip
    agree(pedigree, VIOLET, {"tall": FULL, "between": BARE, "median": FULL}, families, V)


def test_copies_through_unreduced_gametes_and_dwarfs_are_those_of_the_full_sum():
    family = {
        "low": (None, None), "tall": (None, None), "cross": ("tall", "low"), "dwarf": (None, None),
        "young": ("dwarf", "dwarf"),
    }  # fmt: skip
    ploidy = {"low": 2, "tall": 4, "cross": 4, "dwarf": 4, "young": 4}
    modes = {"dwarf": Mode.DISOMIC, "young": Mode.DISOMIC}
    pedigree = Pedigree(family, ploidy, modes=modes)
    agree(pedigree, VIOLET, {"low": FULL, "cross": FULL, "young": BARE}, [], V)


def test_copies_of_a_graded_type_are_those_of_the_full_sum():
    family = {"a": (None, None), "b": (None, None), "c": ("a", "b"), "d": ("c", "a")}
    seen = {"a": ["dark", "mid"], "c": ["dark"], "d": ["pale", "mid"]}
    families = [Family("c", "d", {"dark": 3, "mid": 8, "pale": 1})]
    agree(Pedigree(family, ploidy=4), GRADED, seen, families, {"G": 0.4, "g": 0.6})


def test_copies_of_three_alleles_are_those_of_the_full_sum():
    family = {"a": (None, None), "b": (None, None), "c": ("a", "b")}
    seen = {"a": ["full"], "b": ["stitched"], "c": ["clear"]}
    families = [Family("a", "b", {"full": 9, "stitched": 8, "clear": 1})]
    told = agree(
        Pedigree(family, ploidy=4), PATTERN, seen, families, {"F": 0.3, "p": 0.4, "a": 0.3}
    )
    assert sum(told.copies("b", "a")) == pytest.approx(1)
    assert told.copies("b", "F")[0] == pytest.approx(1)


def test_founders_alone_are_drawn_by_frequency():
    told = infer(Pedigree({"a": (None, None)}, ploidy=4), VIOLET, {}, frequencies=V)
    assert told.copies("a") == pytest.approx(
        [comb(4, k) * 0.3**k * 0.7 ** (4 - k) for k in range(5)]
    )
