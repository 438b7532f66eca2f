"""Plants that are no variables of the network, told from their parents once it is solved."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import MutableMapping
from dataclasses import dataclass, field
from math import nan
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.building import Built, joint
from breeding.inheritance.copies.chances import Chances
from breeding.inheritance.copies.garden import Garden, Mates
from breeding.inheritance.copies.matings import Plan

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from breeding.inheritance.network import Beliefs

    Array = NDArray[np.float64]


@dataclass(slots=True)
class Told:
    """The answer for all plants.

    Attributes
    ----------
    marginals : dict of int to ndarray
        Chances of each plant's genotypes.
    exact : dict of int to bool
    error : dict of int to float
        Stated error of the chances; NaN where none was estimated.
    together : dict of mates to (ndarray, bool)
        Chances of the genotypes of mates together, and whether that is more than a product.
    """

    beliefs: Beliefs
    built: Built
    marginals: MutableMapping[int, Array] = field(default_factory=dict)
    exact: dict[int, bool] = field(default_factory=dict)
    error: dict[int, float] = field(default_factory=dict)
    together: dict[Mates, tuple[Array, bool]] = field(default_factory=dict)

    def with_parents(self, mates: Mates, child: int) -> Array:
        """Chances of the genotypes of parents and a raised seedling together."""
        return joint(self.beliefs, self.built, (*mates, child))[0]


def tell(garden: Garden, plan: Plan, chances: Chances, built: Built, beliefs: Beliefs) -> Told:
    """Marginals of every plant: of the network's, of its leaves, of those that say nothing."""
    told = Told(beliefs, built)
    for plant, at in built.variable.items():
        told.marginals[plant] = beliefs.marginal(at)
        told.exact[plant] = bool(beliefs.exactly[at])
        told.error[plant] = float(beliefs.error[at])
    for mates in plan.matings:
        told.together[mates] = joint(beliefs, built, mates)
    for mates, group in _by_mates(garden, plan).items():
        _tell_seedlings(garden, chances, told, mates, group)
    return told


def _by_mates(garden: Garden, plan: Plan) -> dict[Mates, list[int]]:
    """The predicted plants by their parents, in an order that tells parents first."""
    groups: dict[Mates, list[int]] = defaultdict(list)
    for at in plan.predicted:
        groups[garden.mates[at]].append(at)
    return groups


def _tell_seedlings(
    garden: Garden, chances: Chances, told: Told, mates: Mates, group: list[int]
) -> None:
    if not mates:
        for plant in group:
            _keep(told, plant, by_itself(garden, chances, plant), True, 0.0)
        return
    parents, known = _parents(told, mates)
    exact = known and all(told.exact[mate] for mate in mates)
    error = max(told.error[mate] for mate in mates)
    if not exact and error == 0:
        # Parents that are certain one by one, but taken as independent: nobody knows how far off.
        error = nan
    done: dict[object, Array] = {}
    for plant in group:
        kind, allowed = garden.kinds[plant], garden.seen.get(plant)
        assert kind is not None
        if (kind, allowed) not in done:
            leaf = chances.leaf(kind, allowed)
            done[kind, allowed] = np.tensordot(parents / leaf.sums, leaf.table, parents.ndim)
        _keep(told, plant, done[kind, allowed], exact, error)


def by_itself(garden: Garden, chances: Chances, founder: int) -> Array:
    """Chances of the genotypes of a founder of whom nothing but its flower is known."""
    weights = chances.founder(garden.sets[founder], garden.double[founder])
    allowed = garden.seen.get(founder)
    if allowed is not None:
        weights = weights * chances.shows(garden.sets[founder], allowed)
    return np.asarray(weights / weights.sum())


def _parents(told: Told, mates: Mates) -> tuple[Array, bool]:
    """Chances of the parents together, and whether that is more than their product."""
    if mates in told.together:
        return told.together[mates]
    if len(mates) == 1:
        return told.marginals[mates[0]], True
    one, other = (told.marginals[mate] for mate in mates)
    sure = max(one.max(), other.max()) == 1
    return np.outer(one, other), bool(sure)


def _keep(told: Told, plant: int, weights: Array, exact: bool, error: float) -> None:
    told.marginals[plant] = weights / weights.sum()
    told.exact[plant], told.error[plant] = exact, error
