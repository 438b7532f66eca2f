"""What is told to the inference, and what it tells: plain data."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass


class Hint(frozenset[tuple[str, float]]):
    """Types with their weights, of a flower that may be read in more than one way."""

    __slots__ = ()


def for_certain(allowed: frozenset[str] | Hint | None) -> frozenset[str] | None:
    """The types that a flower can be of; None where it was not seen, or only hints at some."""
    return None if isinstance(allowed, Hint) else allowed


@dataclass(frozen=True, slots=True)
class Family:
    """Seedlings of one cross that were counted by type and are no plants of the pedigree.

    `pollen` is None where the pollen parent is unknown (one plant of the garden at large: tell pods
    that may have different ones apart), and `seed` itself where it was selfed.
    `counts` holds seedlings of each type, by the type's key.
    """

    seed: Hashable
    pollen: Hashable | None
    counts: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Support:
    """What the copies of a plant rest on.

    Attributes
    ----------
    flower_seen : bool
        Its own flower was seen, and tells something.
    parents : int
        Known parents, 0–2.
    offspring : int
        Plants of the pedigree from it, a selfed one counted once.
    offspring_seen : int
        Those of them whose flower was seen.
    families, seedlings : int
        Counted families it is a parent of, and the seedlings in them.
    bits : float
        How much narrower its genotypes are than those of the garden at large: divergence of
        Kullback and Leibler 1951, Ann. Math. Stat. 22:79–86, in bits.
    """

    flower_seen: bool
    parents: int
    offspring: int
    offspring_seen: int
    families: int
    seedlings: int
    bits: float


@dataclass(frozen=True, slots=True)
class Odds:
    """What may lie behind a contradiction: chances that sum to 1.

    Attributes
    ----------
    strange_pollen : float
        A bee, or pollen that was not pure: the seed parent is right.
    mistaken_tag : float
        Neither parent is right.
    misread_flower : float
        Another type than was written down.
    wrong_hypothesis : float
        The locus does not work like this.
    chance_alone : float
        Everything is right; the unlikely happened.
    """

    strange_pollen: float
    mistaken_tag: float
    misread_flower: float
    wrong_hypothesis: float
    chance_alone: float


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Something seen that the hypothesis forbids, or makes very unlikely, under the record.

    `plant` is a plant of the pedigree, or else `family` the place of a family among those told;
    `types` are the types seen, `seedlings` how many showed them, and `chance` is the chance of one
    such flower from the recorded parents, by everything else that is known (0–1). For a plant
    that contradicts by its own offspring, `by_offspring` is set.
    """

    plant: Hashable | None
    family: int | None
    types: tuple[str, ...]
    seedlings: int
    chance: float
    odds: Odds
    by_offspring: bool = False
