"""Genes for colour as the story handles them: how they are read, handed on, and seen. No Django.

Loci are taken as unlinked and meiosis as without double reduction.
"""

from __future__ import annotations

import json
import random
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

from breeding.inheritance.genotypes import Genotype, Sets, gametes, progeny, totals, unions
from breeding.inheritance.loci import Locus, locus_from_mapping
from breeding.pedigree import inheritance

Genes = dict[str, Genotype]
Weighed = tuple[tuple[Genotype, ...], tuple[float, ...]]


def read_loci(folder: Path) -> tuple[Locus, ...]:
    """The loci of a folder of JSON files, in the order in which a flower is painted."""
    files = sorted(folder.glob("*.json"))
    return tuple(locus_from_mapping(json.loads(file.read_text(encoding="utf-8"))) for file in files)


def read_genes(file: Path) -> dict[str, Genes]:
    """The true copies of the plants of the list, by name or number and locus."""
    told = json.loads(file.read_text(encoding="utf-8"))
    return {
        label: {
            symbol: tuple(tuple(part) for part in genotype) for symbol, genotype in genes.items()
        }
        for label, genes in told.items()
    }


def class_of(one: str, other: str) -> str:
    """The class of a seedling of plants of two classes; '' where none is named for them."""
    classes = {one, other}
    if len(classes) == 1:
        return one
    if classes <= {"SDB", "MDB", "SPECIES"}:
        return "MDB"
    if classes & {"SDB", "MDB", "IB"}:
        return "IB"
    if "SPECIES" in classes:
        return "SDB"
    return "TB" if classes == {"TB", "BB"} else ""


def sets_of_plant(iris_class: str, ploidy: int | None, chromosomes: int | None = None) -> Sets:
    """How its sets pair, from what is recorded of it."""
    rule = inheritance(iris_class, chromosomes, ploidy)
    return Sets.of(rule.ploidy, rule.mode)


def types_of_genes(loci: Sequence[Locus], genes: Mapping[str, Genotype]) -> dict[str, str]:
    """The type at each locus that these copies make, seen or not."""
    return {locus.symbol: locus.type_of(totals(genes[locus.symbol])).key for locus in loci}


def handed_on(
    dice: random.Random, seed: Genotype, pollen: Genotype, child: Sets, swap: bool = False
) -> Genotype:
    """A seedling's genotype at one locus: a gamete of each parent, united."""
    one, other = (_drawn(dice, _gametes(parent)) for parent in (seed, pollen))
    return _drawn(dice, _unions(one, other, child, swap))


@lru_cache(maxsize=4096)
def possible(locus: Locus, seed: Genotype, pollen: Genotype, child: Sets) -> frozenset[str]:
    """The types that seedlings of two plants can be of at a locus."""
    return frozenset(locus.type_of(totals(each)).key for each in progeny(seed, pollen, child))


def _weighed(chances: Mapping[Genotype, Fraction]) -> Weighed:
    return tuple(chances), tuple(float(share) for share in chances.values())


@lru_cache(maxsize=4096)
def _gametes(parent: Genotype) -> Weighed:
    return _weighed(gametes(parent))


@lru_cache(maxsize=4096)
def _unions(seed: Genotype, pollen: Genotype, child: Sets, swap: bool) -> Weighed:
    return _weighed(unions(seed, pollen, child, swap))


def _drawn(dice: random.Random, weighed: Weighed) -> Genotype:
    states, weights = weighed
    return states[0] if len(states) == 1 else dice.choices(states, weights)[0]
