"""The network of a garden: a variable for each plant with offspring, a factor for what is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.chances import Chances
from breeding.inheritance.copies.garden import Garden, Mates
from breeding.inheritance.copies.matings import Plan, log_weight
from breeding.inheritance.network import Factor, Network

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from breeding.inheritance.network import Beliefs

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Built:
    """A network, the variable of each inner plant, and the log weights of the matings in it."""

    network: Network
    variable: Mapping[int, int]
    weights: Mapping[Mates, Array]


def build(garden: Garden, plan: Plan, chances: Chances) -> Built:
    """Put the network together.

    Factors: the founders' chances; of each plant that was raised its chances by its known parents;
    what own flowers show; and of each mating what its other seedlings say. Tables that are alike
    are one array.
    """
    variable = {plant: at for at, plant in enumerate(plan.inner)}
    alone = _Alone(garden, chances)
    sizes = [alone.size(plant) for plant in plan.inner]
    factors = [
        Factor((variable[plant],), table, logs=True)
        for plant in plan.inner
        if (table := alone.told(plant)) is not None
    ]
    weights: dict[Mates, Array] = {}
    for mates, mating in plan.matings.items():
        names = tuple(variable[mate] for mate in mates)
        for child in mating.raised:
            kind = garden.kinds[child]
            assert kind is not None
            factors.append(Factor((*names, variable[child]), chances.mixed(kind)))
        told = log_weight(chances, mating)
        if told is None and plan.whole and mating.leaves and len(names) == 2:
            # Says nothing; it keeps both parents together, so that their leaves are told exactly.
            told = _nothing(sizes[names[0]], sizes[names[1]])
        if told is not None:
            weights[mates] = told
            factors.append(Factor(names, told, logs=True))
    return Built(Network(sizes, factors), variable, weights)


def _nothing(rows: int, columns: int) -> Array:
    return np.zeros((rows, columns))


class _Alone:
    """What is known of a plant by itself; plants of one sort share their table."""

    def __init__(self, garden: Garden, chances: Chances) -> None:
        self.garden, self.chances = garden, chances
        self._told: dict[object, Array] = {}

    def size(self, plant: int) -> int:
        return len(self.chances.types(self.garden.sets[plant]))

    def told(self, plant: int) -> Array | None:
        """Logarithms of the weights of its genotypes; None: nothing."""
        sets, double = self.garden.sets[plant], self.garden.double[plant]
        founder = self.garden.kinds[plant] is None
        allowed = self.garden.seen.get(plant)
        if not founder and allowed is None:
            return None
        key = (sets, double, founder, allowed)
        if key not in self._told:
            weights = self.chances.founder(sets, double) if founder else np.ones(self.size(plant))
            if allowed is not None:
                weights = weights * self.chances.shows(sets, allowed)
            with np.errstate(divide="ignore"):
                self._told[key] = np.log(weights)
        return self._told[key]


def joint(beliefs: Beliefs, built: Built, plants: tuple[int, ...]) -> tuple[Array, bool]:
    """Chances of the genotypes of inner plants together, and whether they were known together.

    Otherwise they are taken as independent.
    """
    names = [built.variable[plant] for plant in plants]
    if len(names) == 1:
        return beliefs.marginal(names[0]), True
    try:
        return beliefs.joint(names), True
    except KeyError:
        told = beliefs.marginal(names[0])
        for name in names[1:]:
            told = np.multiply.outer(told, beliefs.marginal(name))
        return told, False
