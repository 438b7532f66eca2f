"""What seedlings say of their parents: one table of log weights for each mating.

Seedlings without offspring of their own are summed out here; those that were raised further stay
variables of the network.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.chances import Chances, logs
from breeding.inheritance.copies.garden import Allowed, Counted, Garden, Mates
from breeding.inheritance.copies.kinds import Kind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

Sort = tuple[Kind, Allowed | None]


@dataclass(slots=True)
class Mating:
    """One or two plants and what came of them.

    Attributes
    ----------
    mates : (int,) or (int, int)
        The seed parent first.
    raised : list of int
        Seedlings that are variables of the network themselves.
    leaves : dict of (Kind, types or None) to list of int
        The others, by kind and by what was seen.
    families : list of Counted
    """

    mates: Mates
    raised: list[int] = field(default_factory=list)
    leaves: dict[Sort, list[int]] = field(default_factory=lambda: defaultdict(list))
    families: list[Counted] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Plan:
    """Which plants are variables of the network, and the matings.

    Attributes
    ----------
    inner : tuple of int
        The variables.
    matings : dict of mates to Mating
        Those whose mates are all inner.
    predicted : list of int
        Plants that are told from their parents, or by themselves, when the network is solved;
        parents before children.
    whole : bool
        Every plant with offspring is a variable, though its offspring say nothing.
    """

    inner: tuple[int, ...]
    matings: dict[Mates, Mating]
    predicted: list[int]
    whole: bool


def plan(garden: Garden, whole: bool) -> Plan:
    """Part the plants: whose offspring or counted families speak, or might, and the others."""
    inner = _inner(garden, whole)
    matings: dict[Mates, Mating] = {}
    for at, mates in enumerate(garden.mates):
        kind = garden.kinds[at]
        if kind is None or not inner.issuperset(mates):
            continue
        if at not in inner and not whole and at not in garden.seen:
            continue
        mating = matings.setdefault(mates, Mating(mates))
        if at in inner:
            mating.raised.append(at)
        else:
            mating.leaves[kind, garden.seen.get(at)].append(at)
    for family in garden.families:
        matings.setdefault(family.mates, Mating(family.mates)).families.append(family)
    predicted = [at for at in garden.order if at not in inner]
    return Plan(tuple(sorted(inner)), matings, predicted, whole)


def _inner(garden: Garden, whole: bool) -> set[int]:
    inner = {mate for family in garden.families for mate in family.mates}
    if whole:
        return inner | set(garden.children)
    for at in reversed(garden.order):
        if at in garden.seen or at in inner:
            inner.update(garden.mates[at])
    return inner


def log_weight(chances: Chances, mating: Mating) -> Array | None:
    """Log likelihood of all leaves and families by the genotypes of the mates; None: no word."""
    told: Array | None = None
    for (kind, allowed), plants in mating.leaves.items():
        if allowed is not None:
            said = len(plants) * chances.leaf(kind, allowed).logs
            told = said if told is None else told + said
    for family in mating.families:
        said = family_weight(chances, family).log
        told = said if told is None else told + said
    return told


@dataclass(frozen=True, slots=True)
class FamilyWeight:
    """Likelihood of a counted family by its parents' genotypes, in logs.

    Attributes
    ----------
    log : ndarray
        All readings together.
    each, pod, tag : ndarray
        The readings, each with its chance: as recorded but for single mistakes; the whole pod from
        strange pollen; a mistaken tag for all.
    """

    log: Array
    each: Array
    pod: Array
    tag: Array


def family_weight(
    chances: Chances, family: Counted, counts: tuple[int, ...] | None = None
) -> FamilyWeight:
    """Likelihood of a family's counts (or of other `counts` from the same parents).

    Every seedling may be a mistake by itself, and with the same chance the pod or the tag of all.
    An unknown pollen parent, or one that is wrong for all, is one plant of the garden at large:
    what its seedlings have in common may be its doing.
    """
    kinds = family.kinds
    ways, strangers = chances.of_types(kinds), chances.strangers(kinds)
    came = np.array(family.counts if counts is None else counts, dtype=float)
    right, strange, tag = (logs(np.array(share)) for share in ways.shares)
    anybody = strangers.types @ came
    if kinds[0].seed_known and kinds[0].pollen_known:
        each = logs(ways.mixed) @ came
        pod = strangers.any_pollen(anybody)
        pod = pod if kinds[0].selfed else pod[:, None]
    else:
        mistaken = ways.shares[2] * ways.tag.reshape(-1, len(came))[0]
        both = logs(ways.shares[0] * np.exp(strangers.types) + mistaken) @ came
        each = (strangers.any_pollen if kinds[0].seed_known else strangers.any_seed)(both)
        pod = each
    of_all = np.logaddexp.reduce(strangers.any_pollen(anybody) + strangers.seed)
    readings = [
        np.broadcast_to(told, each.shape) for told in (right + each, strange + pod, tag + of_all)
    ]
    return FamilyWeight(np.logaddexp.reduce(readings, axis=0), *readings)
