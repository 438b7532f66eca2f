"""What nature knows of the story's plants, and no person: simulated truth behind the marks.

Each plant has genetic values for ten criteria, handed on as many small genes would: a child has
the mean of its parents and a Mendelian part of its own (the infinitesimal model). What lasts in a
plant, wherever and by whomever it is judged, adds its own nature to that. Free of Django.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass, field

from evaluation.demo.cast import Cast

Values = dict[str, float]


@dataclass(frozen=True)
class Trait:
    """One criterion: its scale, and how much of what lasts in a plant is inherited.

    A plant whose lasting value is z shows `mean` + `spread` × z on the scale; `least` earns
    nothing, `full` full marks, `weight` points of a hundred.
    """

    key: str
    group: str
    weight: float
    heritability: float
    mean: float
    spread: float
    least: float = 0.0
    full: float = 5.0


# Scales and weights of the full rubric (fixtures/rubrics/full_hundred.json); the rest is invented.
TRAITS = {
    trait.key: trait
    for trait in (
        Trait("vigour", "plant", 12, 0.35, 3.1, 0.95),
        Trait("foliage", "plant", 8, 0.45, 2.9, 0.9),
        Trait("increase", "plant", 10, 0.4, 2.7, 1.2),
        Trait("branching", "stalk", 12, 0.6, 2.5, 1.0, full=4),
        Trait("buds", "stalk", 13, 0.55, 6.8, 1.9, least=3, full=10),
        Trait("strength", "stalk", 10, 0.4, 3.0, 0.9),
        Trait("form", "flower", 9, 0.6, 2.9, 1.0),
        Trait("colour", "flower", 8, 0.65, 3.0, 0.9),
        Trait("substance", "flower", 8, 0.45, 2.9, 0.9),
        Trait("novelty", "distinct", 10, 0.4, 0.35, 0.35, full=1),
    )
}
# How much of a genetic value all criteria share, and how much those of one group.
SHARED, SHARED_IN_GROUP = 0.4, 0.5
OWN = math.sqrt(1 - SHARED**2 - SHARED_IN_GROUP**2)
# What is new in colour often lacks the rest.
AGAINST_THE_REST = {"novelty": -0.5}
# How far a class is from the tall ones to the dwarfs, and what full dwarfs have less of.
DWARFNESS = {"SDB": 1.0, "MDB": 1.0, "IB": 0.5}
OF_DWARFS = {"branching": -1.7, "buds": -1.5}
# Where wild founders differ from garden irises, in standard deviations.
OF_SPECIES = {"form": -1.2, "substance": -1.0, "branching": -0.6}


@dataclass(frozen=True)
class Sockets:
    """A stalk: buds in the terminal, in each branch from the top downward, and in each spur."""

    terminal: int
    branches: tuple[int, ...] = ()
    spurs: tuple[int, ...] = ()

    @property
    def buds(self) -> int:
        return self.terminal + sum(self.branches) + sum(self.spurs)

    def __str__(self) -> str:
        sockets = [f"T{self.terminal}", *(f"B{buds}" for buds in self.branches)]
        return " ".join([*sockets, *(f"S{buds}" for buds in self.spurs)])


@dataclass(frozen=True)
class Truth:
    """One plant: `genetic` values, and what lasts in it (`lasting`), both by criterion.

    Both are in standard deviations of the garden's founders. `dwarf` goes from 0 (tall) to 1; a
    dwarf's short stalk is in what lasts, not in the genes told here. `lost_after` is how many
    seasons after its lining out a seedling dies (0: before it ever blooms); None when it lives.
    """

    genetic: Values
    lasting: Values
    lost_after: int | None = None
    dwarf: float = 0.0

    @property
    def merit(self) -> float:
        """Points of a hundred that the plant would earn without any error of judging."""
        return sum(
            trait.weight * share(trait, trait.mean + trait.spread * self.lasting[trait.key])
            for trait in TRAITS.values()
        )

    def overall(self) -> float:
        """All criteria in one, in about standard deviations."""
        weighed = sum(trait.weight * self.lasting[trait.key] for trait in TRAITS.values())
        return weighed / 58

    def stalk(self, better: float = 0.0) -> Sockets:
        """Its stalk in a season or place that is `better` by so many standard deviations."""
        sites, buds = TRAITS["branching"], TRAITS["buds"]
        return stalk_of(
            round(sites.mean + sites.spread * (self.lasting["branching"] + better)),
            round(buds.mean + buds.spread * (self.lasting["buds"] + better)),
        )


def share(trait: Trait, value: float) -> float:
    """The share of full marks that a value on the scale earns, 0 to 1."""
    return min(1.0, max(0.0, (value - trait.least) / (trait.full - trait.least)))


def stalk_of(sites: int, buds: int) -> Sockets:
    """A stalk of so many branches and spurs with about so many buds, filled from the top."""
    sites = min(max(sites, 0), 6)
    spurs = sites // 3
    most = [4, *[3] * (sites - spurs), *[2] * spurs]
    buds = min(max(buds, sites + 1), sum(most))
    filled = [1] * len(most)
    while sum(filled) < buds:
        # The terminal and the upper branches get their second and third buds first.
        place = min((n for n in range(len(most)) if filled[n] < most[n]), key=lambda n: filled[n])
        filled[place] += 1
    branches = filled[1 : 1 + sites - spurs]
    return Sockets(filled[0], tuple(branches), tuple(filled[1 + len(branches) :]))


@dataclass
class Truths:
    """The truth of every plant of a story; each has dice of its own, so that no order matters.

    `seed` names the story. `known` holds what was asked for before, and the
    seedlings that became plants under the keys that they then got.
    """

    cast: Cast
    seed: str
    known: dict[str, Truth] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._rows = {f"plant:{row['name'] or row['number']}": row for row in self.cast.rows}

    def of_plant(self, key: str) -> Truth:
        """A plant of the list by its key 'plant:…', or a seedling chosen in the story."""
        if key not in self.known:
            row = self._rows[key]
            dice = random.Random(f"{self.seed} {key}")
            one, other = (self._parent(row[name]) for name in ("seed_parent", "pollen_parent"))
            dwarf = DWARFNESS.get(row["class"], 0.0)
            self.known[key] = raised(dice, _founder(row, dice), one, other, dwarf)
        return self.known[key]

    def of_seedling(self, seed: str, pollen: str | None, row: str, position: int) -> Truth:
        """The seedling at a position of a planting `row`, from its parents' keys."""
        key = f"{row} {position}"
        if key not in self.known:
            dice = random.Random(f"{self.seed} {key}")
            one = self.of_plant(seed)
            other = self.of_plant(pollen) if pollen else None
            dwarf = (one.dwarf + (other or one).dwarf) / 2
            genes = other.genetic if other else None
            self.known[key] = raised(dice, drawn(dice), one.genetic, genes, dwarf)
        return self.known[key]

    def _parent(self, label: str) -> Values | None:
        return self.of_plant(f"plant:{label}").genetic if f"plant:{label}" in self._rows else None


def _founder(row: Mapping[str, str], dice: random.Random) -> Values:
    # Closer together than chance has it, or the few founders would decide the whole garden.
    shift = OF_SPECIES if row["kind"] == "species" else {}
    return {key: 0.6 * value + shift.get(key, 0.0) for key, value in drawn(dice).items()}


def drawn(dice: random.Random) -> Values:
    """Genetic values of a plant of unknown parents: variance 1, related within their groups."""
    overall = dice.gauss(0, 1)
    groups = {group: dice.gauss(0, 1) for group in ("plant", "stalk", "flower", "distinct")}
    return {
        trait.key: SHARED * AGAINST_THE_REST.get(trait.key, 1.0) * overall
        + SHARED_IN_GROUP * groups[trait.group]
        + OWN * dice.gauss(0, 1)
        for trait in TRAITS.values()
    }


def raised(
    dice: random.Random,
    founder: Values,
    one: Values | None,
    other: Values | None,
    dwarf: float = 0.0,
) -> Truth:
    """A plant of two parents, either of which may be unknown; without both, it is `founder`.

    Half of the genetic variance is between the children of one pair.
    """
    if one is None and other is None:
        genetic = founder
    else:
        one, other = one or drawn(dice), other or drawn(dice)
        own = drawn(dice)
        genetic = {key: (one[key] + other[key]) / 2 + math.sqrt(0.5) * own[key] for key in own}
    lasting = {
        trait.key: math.sqrt(trait.heritability) * genetic[trait.key]
        + math.sqrt(1 - trait.heritability) * dice.gauss(0, 1)
        + dwarf * OF_DWARFS.get(trait.key, 0.0)
        for trait in TRAITS.values()
    }
    lost = dice.choices((None, 0, 1, 2), (89, 5, 3, 3))[0]
    return Truth(genetic, lasting, lost, dwarf)
