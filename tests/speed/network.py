"""How inference grows: pedigrees of 50 to 5,000 tetraploids over twelve generations.

`python -m tests.speed.network` prints seconds, and each as a ratio to the one before.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np

from breeding.inheritance.network import Beliefs, Network, approximate, solve
from tests.breeding.networks import garden, random_mating

GENERATIONS, SIZES = 12, (60, 600, 1200, 2500, 5000)


def network(plants: int, seed: int = 1) -> Network:
    """Random mating among the last two generations; half of the flowers were seen."""
    dice = np.random.default_rng(seed)
    _, factors = garden(random_mating(plants, GENERATIONS, dice), dice, seen=0.5)
    return Network([5] * plants, factors)


def seconds(told: Network, way) -> tuple[float, Beliefs]:
    begin = perf_counter()
    beliefs = way(told)
    return perf_counter() - begin, beliefs


def main() -> None:
    before = None
    for plants in SIZES:
        made = network(plants)
        rough, _ = seconds(made, approximate)
        whole, beliefs = seconds(made, solve)
        grown = f", {rough / before:.1f} times the one before" if before else ""
        doubtful = beliefs.error[~beliefs.exactly]
        stated = f"; stated error up to {np.nanmax(doubtful):.3f}" if doubtful.size else ""
        print(
            f"{plants:>5} plants: approximate {rough:5.2f} s{grown}; solve {whole:5.2f} s, "
            f"{beliefs.exactly.mean():4.0%} exact, {beliefs.rounds} rounds{stated}"
        )
        before = rough


if __name__ == "__main__":
    main()
