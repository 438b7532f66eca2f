"""How the model of merit grows: 500, 5,000 and 50,000 judged seedlings.

`python -m tests.speed.ranking` prints seconds, and each as a ratio to the one before.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np

from breeding.pedigree import Pedigree
from evaluation.ranking.kin import Unit
from evaluation.ranking.ranking import Judgements, rank

GENERATIONS, A_GENERATION, SIBS = 8, 75, 25


def garden(crosses: int, seed: int = 1) -> tuple[Judgements, list[Unit], Pedigree]:
    """Eight generations of parents, and scores of the seedlings of their crosses."""
    dice = np.random.default_rng(seed)
    parents, last = {}, []
    for generation in range(GENERATIONS):
        plants = [(generation, at) for at in range(A_GENERATION)]
        for plant in plants:
            pair = dice.choice(A_GENERATION, 2, replace=False) if last else (None, None)
            parents[plant] = tuple(last[at] for at in pair) if last else (None, None)
        last = plants
    pool = [plant for plant in parents if plant[0] > GENERATIONS - 4]
    pairs = [dice.choice(len(pool), 2, replace=False) for _ in range(crosses)]
    units = [Unit(("of cross", cross, sib), None, pool[one], pool[two])
             for cross, (one, two) in enumerate(pairs) for sib in range(SIBS)]  # fmt: skip
    unit = np.repeat(np.arange(len(units)), dice.choice([1, 1, 1, 2, 3], len(units)))
    n = len(unit)
    of_plant: dict = {}
    for plant, pair in parents.items():
        of_plant[plant] = sum(of_plant[p] for p in pair if p) / 2 + dice.normal(0, 2.5)
    merit = [sum(of_plant[p] for p in each.parents) / 2 + dice.normal(0, 3) for each in units]
    value = 60 + np.array(merit)[unit] + dice.normal(0, 4, n)
    judgements = Judgements(
        value, unit, dice.integers(0, 4, n), dice.integers(0, 4, n), unit // 250, np.ones(n)
    )
    return judgements, units, Pedigree(parents, ploidy=4)


def seconds(crosses: int) -> tuple[float, float]:
    """(with components estimated, with components given) for so many crosses."""
    judgements, units, pedigree = garden(crosses)
    begin = perf_counter()
    told = rank(judgements, units, pedigree)
    middle = perf_counter()
    rank(judgements, units, pedigree, components=told.components)
    return middle - begin, perf_counter() - middle


def main() -> None:
    seconds(4)
    before = None
    for crosses in (20, 200, 2000):
        estimated, given = seconds(crosses)
        grown = f", {given / before:.1f} times the one before" if before else ""
        print(
            f"{crosses * SIBS:>6} seedlings: {estimated:6.2f} s with components estimated, "
            f"{given:.2f} s with components given{grown}"
        )
        before = given


if __name__ == "__main__":
    main()
