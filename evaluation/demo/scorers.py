"""Who judges in the story, how strictly, and what season and row add to it. Free of Django."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from evaluation.demo.truth import TRAITS, Sockets, Trait, Truth, share

Groups = dict[str, float]
# What the short rubric's one mark for a group is made of.
WALK_MARKS = {
    "plant": ("vigour", "foliage", "increase"),
    "stalk": ("branching", "strength"),
    "flower": ("form", "colour", "substance"),
}
WALK_WEIGHTS = {"plant": 30.0, "stalk": 20.0, "buds_seen": 15.0, "flower": 25.0, "novelty": 10.0}
COUNTED = ("branching", "buds", "buds_seen")
# In every fourth season a frost in April leaves short stalks and thin clumps.
BAD_YEAR = {"plant": -0.9, "stalk": -0.8, "flower": -0.5, "distinct": 0.0}
ONE_POINT = 0.95


@dataclass(frozen=True)
class Scorer:
    """One person's eye: `strictness` and `noise` in points of 0 to 5, `halo` the share of a mark
    that comes from the whole impression, `mood` the error that all marks of one score share,
    `leaves_out` the share of marks not given.
    """

    name: str
    strictness: float
    noise: float
    halo: float
    mood: float
    leaves_out: float


@dataclass(frozen=True)
class Sight:
    """One look of a scorer at a plant: `shift` is what season and place add, by group."""

    scorer: Scorer
    shift: Groups
    mood: float = 0.0


def the_scorers(owner: str, helpers: Iterable[str]) -> list[Scorer]:
    """A strict and steady owner, a generous helper, and one whose marks go up and down."""
    eyes = [
        Scorer("", 0.5, 0.4, 0.1, 0.2, 0.02),
        Scorer("", -0.55, 0.55, 0.35, 0.3, 0.08),
        Scorer("", 0.0, 0.85, 0.2, 0.35, 0.05),
    ]
    people = [owner, *helpers]
    return [replace(eye, name=name) for eye, name in zip(eyes, people, strict=False)]


@lru_cache(maxsize=64)
def season_effect(seed: str, year: int) -> Groups:
    """What a season adds to everything judged in it, in standard deviations, by group."""
    dice = random.Random(f"{seed} season {year}")
    bad = year % 4 == random.Random(f"{seed} bad years").randrange(4)
    usual = BAD_YEAR if bad else dict.fromkeys(BAD_YEAR, 0.0)
    return {group: value + dice.gauss(0, 0.15) for group, value in usual.items()}


@lru_cache(maxsize=512)
def place_effect(seed: str, bed: str, row: int) -> Groups:
    """What the ground of a row adds, in standard deviations, by group."""
    dice = random.Random(f"{seed} place {bed} {row}")
    good = dice.gauss(0, 0.4)
    return {"plant": good, "stalk": good * 0.8, "flower": good * 0.2, "distinct": 0.0}


def sight(
    dice: random.Random, scorer: Scorer, seed: str, year: int, place: tuple[str, int]
) -> Sight:
    """A look in a season at a place (bed, row)."""
    season, ground = season_effect(seed, year), place_effect(seed, *place)
    shift = {group: season[group] + ground[group] for group in season}
    return Sight(scorer, shift, dice.gauss(0, scorer.mood))


def calls(dice: random.Random, truth: Truth, seen: Sight, wanted: float) -> bool:
    """Whether somebody walking by wants to look again; `wanted`: how good it has to be."""
    return impression(dice, truth, seen) > wanted


def impression(dice: random.Random, truth: Truth, seen: Sight) -> float:
    """The whole plant at one glance, in about standard deviations.

    Beside its neighbours of the same bad spring it does not look as poor as its marks will be.
    """
    level = sum(seen.shift.values()) / 8 - seen.scorer.strictness * 0.25
    return truth.overall() + level + dice.gauss(0, 0.35 + 0.5 * seen.scorer.noise)


def counted_stalk(dice: random.Random, truth: Truth, seen: Sight) -> Sockets:
    """The stalk as somebody counts it; hurried people miss a bud or take a bract for one."""
    stalk = truth.stalk(seen.shift["stalk"])
    if dice.random() > 0.25 * seen.scorer.noise or not stalk.branches:
        return stalk
    low = min(4, max(1, stalk.branches[-1] + dice.choice((-1, 1))))
    return replace(stalk, branches=(*stalk.branches[:-1], low))


def mark(dice: random.Random, truth: Truth, key: str, seen: Sight) -> float | None:
    """One mark on its criterion's scale, as it is written down; None when it is left out.

    What is counted from the stalk (`COUNTED`) is not given here.
    """
    scorer = seen.scorer
    if dice.random() < scorer.leaves_out:
        return None
    parts = [TRAITS[part] for part in WALK_MARKS.get(key, (key,))]
    z = sum(truth.lasting[part.key] for part in parts) / len(parts)
    z = z * (1.25 if len(parts) > 1 else 1.0) + seen.shift[parts[0].group]
    z = (1 - scorer.halo) * z + scorer.halo * truth.overall()
    if key == "increase":
        # Fans are counted: strict or not, they are as many as they are.
        return float(max(0, round(_shown(parts[0], z) + dice.gauss(0, 0.4))))
    z += (seen.mood - scorer.strictness + dice.gauss(0, scorer.noise)) / ONE_POINT
    if key == "novelty":
        return float((z > 0.5) + (z > 1.5))
    value = _shown(parts[0], z) if len(parts) == 1 else 3.0 + ONE_POINT * z
    return float(min(5, max(0, round(value))))


def _shown(trait: Trait, z: float) -> float:
    return trait.mean + trait.spread * z


def marks(
    dice: random.Random, truth: Truth, keys: Iterable[str], seen: Sight
) -> dict[str, float | None]:
    """All marks of one score, by criterion; those counted from the stalk are left to it."""
    return {key: mark(dice, truth, key, seen) for key in keys if key not in COUNTED}


def percent(given: Mapping[str, float | None], stalk: Sockets | None) -> float:
    """About the percent of full marks that a score earns; 50 when it says nothing."""
    known = {key: value for key, value in given.items() if value is not None}
    if stalk:
        sites = len(stalk.branches) + len(stalk.spurs)
        known |= {"branching": float(sites), "buds": float(stalk.buds)}
    short = "flower" in known or "plant" in known
    weights = WALK_WEIGHTS if short else {trait.key: trait.weight for trait in TRAITS.values()}
    earned = possible = 0.0
    for key, value in known.items():
        if key in weights:
            trait = TRAITS["buds"] if key == "buds_seen" else TRAITS.get(key, TRAITS["form"])
            # The choices of novelty are numbered 0, 1, 2.
            earned += weights[key] * share(trait, value / 2 if key == "novelty" else value)
            possible += weights[key]
    return 100 * earned / possible if possible else 50.0
