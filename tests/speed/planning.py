"""What a plan costs: 300 candidates, 44,850 pairs; table, chance of a type, a set, the curve.

    python -m tests.speed.planning [--candidates 300] [--crosses 12] [--rounds 3]

Prints seconds, the best of some rounds, and each as a ratio to one product of two matrices of
1,000 × 1,000 numbers, taken in the same run, so that computers compare; nothing is asserted. For
sets it also prints how far the bound that was proven lies above the set found. The solver works
until its time ends (4 seconds for a set, half a second for each point of the curve) or until it
has proven the best; what stands before and after it is all of ours.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from time import perf_counter
from typing import TypeVar

import numpy as np

from breeding.inheritance.gametes import gamete_frequencies
from breeding.pedigree import Pedigree
from breeding.planning.candidates import Candidates
from breeding.planning.chances import chance_of_all, chance_of_type, unions
from breeding.planning.choosing import balanced_set
from breeding.planning.curve import trade_off
from breeding.planning.pairs import Pairs, pair_table

T = TypeVar("T")
GENERATIONS, FOUNDERS, PARENTS, LOCI = 8, 40, 25, 3
COPIES = (0, 1, 2)


def garden(candidates: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Breeding values and kinship of the last plants of eight generations under selection."""
    dice = np.random.default_rng(seed)
    family: dict = {(0, at): (None, None) for at in range(FOUNDERS)}
    merit = {plant: dice.normal(0, 3) for plant in family}
    size = max(candidates // 4, PARENTS)
    for generation in range(1, GENERATIONS):
        pool = [plant for plant in family if plant[0] >= generation - 3]
        pool.sort(key=lambda plant: -merit[plant] - dice.normal())
        for at in range(size):
            one, other = dice.choice(PARENTS, 2, replace=False)
            pair = pool[one], pool[other]
            family[generation, at] = pair
            merit[generation, at] = sum(merit[parent] for parent in pair) / 2 + dice.normal(0, 2)
    keys = list(family)[-candidates:]
    kinship = Pedigree(family, 4, 0.1).kinship_matrix(keys)
    return np.array([merit[key] for key in keys]), kinship


def chances(candidates: int) -> np.ndarray:
    """Of the double recessive at some loci, each plant's copies uncertain."""
    dice = np.random.default_rng(2)
    table = [gamete_frequencies(copies) for copies in range(5)]
    gametes = np.array([[float(each.get(copies, 0)) for copies in COPIES] for each in table])
    shown = unions(COPIES, COPIES, lambda one, other: one + other == 0)
    copies = [dice.dirichlet(np.full(5, 0.3), candidates) for _ in range(LOCI)]
    return chance_of_all(chance_of_type(each @ gametes, shown) for each in copies)


def best_of(rounds: int, call: Callable[[], T]) -> tuple[float, T]:
    taken = []
    for _ in range(rounds):
        begin = perf_counter()
        answer = call()
        taken.append(perf_counter() - begin)
    return min(taken), answer


def one_product() -> float:
    square = np.random.default_rng(3).random((1000, 1000))
    return best_of(5, lambda: square @ square)[0]


def the_table(candidates: int, chance: np.ndarray) -> Callable[[], Pairs]:
    merit, kinship = garden(candidates)
    dice = np.random.default_rng(4)
    days, pods = dice.gamma(2, 2, kinship.shape), dice.beta(2, 3, kinship.shape)
    listed = Candidates(range(candidates), merit, np.ones(candidates))
    return lambda: pair_table(listed, kinship, chance, days + days.T, pods, kin_limit=0.15)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--candidates", type=int, default=300)
    asked.add_argument("--crosses", type=int, default=12)
    asked.add_argument("--rounds", type=int, default=3)
    told = asked.parse_args()
    unit = one_product()

    def line(name: str, seconds: float, more: str = "") -> None:
        print(f"{name:<34} {seconds:8.3f} s {seconds / unit:9.1f} products  {more}")

    seconds, chance = best_of(told.rounds, lambda: chances(told.candidates))
    line(f"chance at {LOCI} loci, all pairs", seconds)
    seconds, pairs = best_of(told.rounds, the_table(told.candidates, chance))
    line(f"table of {len(pairs):,} pairs", seconds)
    seconds, _ = best_of(told.rounds, lambda: pairs.best(50))
    line("the best 50", seconds)
    seconds, free = best_of(1, lambda: balanced_set(pairs, told.crosses))
    line(f"{told.crosses} crosses, no limit", seconds, gap(free.total, free.bound))
    limits = [part * (free.kinship or 0.0) for part in (0.9, 0.75, 0.6)]
    for limit in limits:
        seconds, found = best_of(1, lambda at=limit: balanced_set(pairs, told.crosses, at))
        line(f"kinship {limit:.4f} or less", seconds, gap(found.total, found.bound))
    seconds, points = best_of(1, lambda: trade_off(pairs, told.crosses))
    line(f"curve of {len(points)} points", seconds)
    for point in points:
        print(f"  kinship {point.kinship:.4f}: {gap(point.total, point.bound)}")


def gap(total: float, bound: float) -> str:
    if bound == -np.inf:
        return "none can be"
    return f"{total:.2f}, bound {bound:.2f} ({100 * (bound - total) / max(abs(total), 1):.2f} %)"


if __name__ == "__main__":
    main()
