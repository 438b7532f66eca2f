"""Plants that do not fit their record under the hypothesis."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.chances import LEAST, Chances, Ways
from breeding.inheritance.copies.garden import Garden, Mates
from breeding.inheritance.copies.kinds import Kind
from breeding.inheritance.copies.matings import Mating, Plan, log_weight
from breeding.inheritance.copies.odds import MISREAD, Clue, weigh
from breeding.inheritance.copies.predicting import Told
from breeding.inheritance.copies.suspecting import LIKELY, Found, counted, normal
from breeding.inheritance.copies.told import Contradiction, Odds, for_certain

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Less likely a mistake than this, roughly reckoned: not looked at closer.
SUSPECT = 0.1
# A type this rare from the recorded parents counts as one that they should not give.
HARDLY = 0.02


def contradictions(
    garden: Garden, plan: Plan, chances: Chances, told: Told
) -> tuple[Contradiction, ...]:
    """Everything that is more likely a mistake than right, the least likely first.

    Notes
    -----
    The chance of a mistake is the network's. The odds are worked out beside it: from what the
    parents are by all other evidence, and from the types of the offspring by what their other
    parents are.
    """
    found = [*_plants(garden, plan, chances, told), *counted(garden, chances, told)]
    many = sum(each.clue.seedlings for each in found)
    agreeing = max(0, _could_contradict(garden, plan, chances, told) - many)
    wrong = chances.locus.wrong_odds
    odds = weigh([each.clue for each in found], agreeing, wrong)
    answers = [
        Contradiction(
            None if each.plant is None else garden.keys[each.plant],
            each.family, each.types, each.clue.seedlings, each.chance, told_odds, each.by_offspring,
        )
        for each, told_odds in zip(found, odds, strict=True)
    ]  # fmt: skip
    answers += [_cannot_be(garden, at, wrong) for at in garden.impossible]
    return tuple(sorted(answers, key=lambda each: each.chance))


def _cannot_be(garden: Garden, at: int, wrong: float) -> Contradiction:
    """A flower that no plant with so many sets can have: misread, or the hypothesis is wrong."""
    against = wrong * 0.1
    both = against + MISREAD
    odds = Odds(0.0, 0.0, MISREAD / both, against / both, 0.0)
    return Contradiction(
        garden.keys[at], None, tuple(sorted(garden.impossible[at])), 1, 0.0, odds
    )  # fmt: skip


def _plants(garden: Garden, plan: Plan, chances: Chances, told: Told) -> list[Found]:
    found: list[Found] = []
    for mates, mating in plan.matings.items():
        parents = told.together[mates][0]
        for (kind, allowed), plants in mating.leaves.items():
            if allowed is None or for_certain(allowed) is None:
                continue
            leaf, ways = chances.leaf(kind, allowed), chances.ways(kind)
            others = normal(parents / leaf.sums)
            shown = chances.shows(kind.child, allowed)
            if _share_of_mistakes(ways, others[..., None] * shown, chances.mixed(kind)) > LIKELY:
                found += [_found(chances, garden, at, kind, others, None) for at in plants]
    by_mate = _matings_of(plan)
    for mates, kind, child in _suspects(garden, plan, chances, told):
        ways, mixed = chances.ways(kind), chances.mixed(kind)
        rest = told.with_parents(mates, child) / mixed
        if _share_of_mistakes(ways, rest, mixed) > LIKELY:
            others = normal((rest * ways.tag).sum(axis=-1))
            offspring = _by_offspring(garden, chances, told, by_mate.get(child, []), child)
            found.append(_found(chances, garden, child, kind, others, offspring))
    return found


def _suspects(
    garden: Garden, plan: Plan, chances: Chances, told: Told
) -> Iterator[tuple[Mates, Kind, int]]:
    """Raised seedlings that might be a mistake.

    Parents and seedling are taken as independent, as they are after a mistake: where even so the
    record is likely, nobody need look closer.
    """
    groups: dict[Kind, list[tuple[Mates, int]]] = {}
    for mates, mating in plan.matings.items():
        for child in mating.raised:
            kind = garden.kinds[child]
            assert kind is not None
            groups.setdefault(kind, []).append((mates, child))
    for kind, group in groups.items():
        parents = np.array([told.together[mates][0] for mates, _ in group])
        children = np.array([told.marginals[child] for _, child in group])
        ways = chances.ways(kind)
        mistaken = 1 - ways.shares[0] * ways.recorded / chances.mixed(kind)
        rough = parents.reshape(len(group), -1) @ mistaken.reshape(-1, mistaken.shape[-1])
        for at in np.flatnonzero((rough * children).sum(axis=1) > SUSPECT):
            yield group[at][0], kind, group[at][1]


def _share_of_mistakes(ways: Ways, rest: Array, mixed: Array) -> float:
    """Chance of a mistake, from all other evidence on parents and seedling together; `mixed` is
    that of the ways."""
    # Many plants are asked for: one sum each for what is right and for all.
    right = ways.shares[0] * float(np.vdot(rest, ways.recorded))
    return 1 - right / float(np.vdot(rest, mixed))


def _found(
    chances: Chances, garden: Garden, at: int, kind: Kind, parents: Array, offspring: Array | None
) -> Found:
    """The likelihoods of one plant's evidence by each explanation."""
    ways = chances.ways(kind)
    seen = garden.seen.get(at)
    allowed = for_certain(seen)
    size = ways.tag.shape[-1]
    shown = np.ones(size) if seen is None else chances.shows(kind.child, seen)
    below = np.ones(size) if offspring is None else offspring
    states = [
        np.tensordot(parents, table, parents.ndim)
        for table in (ways.recorded, ways.strange, ways.tag)
    ]
    recorded, strange, tag = (float(told @ (shown * below)) for told in states)
    right, strange_share, tag_share = ways.shares
    misread = 0.0
    if allowed is not None:
        others = len(chances.locus.types) - len(allowed)
        misread = MISREAD * float(states[0] @ ((1 - shown) * below)) / max(others, 1)
    clue = Clue(right * recorded, strange_share * strange, tag_share * tag, misread, tag)
    chance = float(states[0] @ shown)
    by_offspring = allowed is None or chance > HARDLY
    return Found(at, None, tuple(sorted(allowed or ())), chance, clue, by_offspring)


def _matings_of(plan: Plan) -> dict[int, list[Mating]]:
    found: dict[int, list[Mating]] = {}
    for mates, mating in plan.matings.items():
        for mate in mates:
            found.setdefault(mate, []).append(mating)
    return found


def _by_offspring(
    garden: Garden, chances: Chances, told: Told, matings: list[Mating], plant: int
) -> Array:
    """Likelihood of the types of a plant's offspring by its genotype, the largest 1."""
    logs = np.zeros(len(told.marginals[plant]))
    for mating in matings:
        said = log_weight(chances, mating)
        weight = np.zeros([len(told.marginals[mate]) for mate in mating.mates])
        weight = weight if said is None else said
        for child in mating.raised:
            kind, allowed = garden.kinds[child], garden.seen.get(child)
            if kind is not None and allowed is not None:
                shows = chances.mixed(kind) @ chances.shows(kind.child, allowed)
                weight = weight + np.log(np.maximum(shows, LEAST))
        if len(mating.mates) == 2:
            mine = mating.mates.index(plant)
            other = told.marginals[mating.mates[1 - mine]]
            weight = np.moveaxis(weight, mine, 0)
            weight = np.logaddexp.reduce(weight + np.log(np.maximum(other, LEAST)), axis=1)
        logs = logs + weight
    return np.asarray(np.exp(logs - logs.max()))


def _could_contradict(garden: Garden, plan: Plan, chances: Chances, told: Told) -> int:
    """Plants and seedlings whose recorded parents hardly give every type."""
    many = 0
    for mates, mating in plan.matings.items():
        parents = told.together[mates][0]
        seen: dict[Kind, int] = {}
        for (kind, allowed), plants in mating.leaves.items():
            seen[kind] = seen.get(kind, 0) + (len(plants) if for_certain(allowed) else 0)
        for child in mating.raised:
            kind_of = garden.kinds[child]
            if garden.certain(child) and kind_of is not None:
                seen[kind_of] = seen.get(kind_of, 0) + 1
        for kind, count in seen.items():
            many += count * _rules_out(chances, (kind,), parents)
        for family in mating.families:
            many += sum(family.counts) * _rules_out(chances, family.kinds, parents)
    return many


def _rules_out(chances: Chances, kinds: tuple[Kind, ...], parents: Array) -> bool:
    recorded = chances.of_types(kinds).recorded
    return bool(np.tensordot(parents, recorded, parents.ndim).min() < HARDLY)
