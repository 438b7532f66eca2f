"""Small networks for the tests: random ones, pedigrees of tetraploids, and sums over everything."""

from __future__ import annotations

from itertools import product
from math import comb

import numpy as np

from breeding.inheritance.network import Factor, Network


def mendel() -> np.ndarray:
    """(child, seed, pollen): copies 0–4 of a tetraploid, from random chromosomes."""
    gametes = np.array([[comb(has, k) * comb(4 - has, 2 - k) / 6 for k in range(3)]
                        for has in range(5)])  # fmt: skip
    table = np.zeros((5, 5, 5))
    for seed, pollen in product(range(5), repeat=2):
        table[:, seed, pollen] = np.convolve(gametes[seed], gametes[pollen])
    return table


MENDEL = mendel()
FOUNDER = np.array([comb(4, copies) * 0.4**copies * 0.6 ** (4 - copies) for copies in range(5)])
NONE, SOME = np.array([1.0, 0, 0, 0, 0]), np.array([0.0, 1, 1, 1, 1])
Parents = list[tuple[int, int] | None]


def random_mating(plants: int, generations: int, dice: np.random.Generator) -> Parents:
    """Parents drawn from the two generations before; selfed ones happen."""
    width = plants // generations
    return [
        None if at < width else tuple(
            int(one) for one in dice.integers(max(0, (at // width - 2) * width),
                                              at // width * width, 2)
        )
        for at in range(plants)
    ]  # fmt: skip


def garden(
    parents: Parents, dice: np.random.Generator, seen: float = 0.5
) -> tuple[list[int], list[Factor]]:
    """Copies drawn down a pedigree, and the factors of parents and of flowers that were seen."""
    copies: list[int] = []
    factors = []
    for plant, pair in enumerate(parents):
        if pair is None:
            chances = FOUNDER
            factors.append(Factor((plant,), FOUNDER))
        else:
            chances = MENDEL[:, copies[pair[0]], copies[pair[1]]]
            factors.append(Factor((plant, *pair), MENDEL))
        copies.append(int(dice.choice(5, p=chances)))
        if dice.random() < seen:
            factors.append(Factor((plant,), SOME if copies[plant] else NONE))
    return copies, factors


def seedlings(seed: int, pollen: int, none: int, some: int) -> Factor:
    """Counts of seedlings without and with the allele, as logarithms of their chance."""
    chance = MENDEL[0]
    with np.errstate(divide="ignore"):
        told = (none * np.log(chance) if none else 0) + (some * np.log1p(-chance) if some else 0)
    return Factor((seed, pollen), told + np.zeros((5, 5)), logs=True)


def everything(network: Network) -> tuple[list[np.ndarray], float, np.ndarray]:
    """(marginals, log evidence, joint) by going through every combination of states."""
    joint = np.zeros(network.sizes)
    for states in np.ndindex(*network.sizes):
        joint[states] = sum(
            float(table[tuple(states[one] for one in scope)])
            for scope, table in zip(network.scopes, network.tables, strict=True)
        )
    most = joint.max()
    weights = np.exp(joint - most)
    whole = weights.sum()
    axes = range(len(network.sizes))
    marginals = [weights.sum(axis=tuple(set(axes) - {at})) / whole for at in axes]
    return marginals, float(most + np.log(whole)), weights / whole
