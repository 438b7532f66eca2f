"""What a prediction costs: seven loci at once, numbers to grow, test crosses, flowers to work.

`python -m tests.speed.expecting` prints milliseconds, and each as a ratio to one locus. The first
line is the very first prediction of a fresh process, after its imports.
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

import numpy as np

from breeding.inheritance.came import compare
from breeding.inheritance.expecting import Expectation, expect, grow
from breeding.inheritance.genotypes import genotypes
from breeding.inheritance.loci import Locus
from breeding.inheritance.parents import Mating
from breeding.inheritance.quadrature import Spread
from breeding.inheritance.sheets import sheet
from breeding.inheritance.telling import best_testers
from breeding.inheritance.working import Rates, flowers_to_work
from tests.breeding.invented_loci import FOUR, B, P, T, V, W, dominant

SEVEN = [V, W, B, P, T, dominant("Y"), dominant("A")]
RATES = Rates(Spread(0.4, 0.02), Spread(25, 150), Spread(0.5, 0.03), Spread(0.8), 20)


def parents(loci: list[Locus], seed: int) -> dict[str, dict]:
    """A plant of whose copies nothing is known for certain."""
    dice = np.random.default_rng(seed)
    states = {each.symbol: genotypes(FOUR, len(each.alleles)) for each in loci}
    return {
        symbol: dict(zip(every, dice.dirichlet(np.full(len(every), 0.5)).tolist(), strict=True))
        for symbol, every in states.items()
    }


def page(loci: list[Locus], first: int) -> Expectation:
    """All that a page says of one cross."""
    told = expect(loci, parents(loci, first), parents(loci, first + 1), FOUR, double_reduction=0)
    sheet(told.outcomes)
    for each in loci:
        told.explain(each.symbol)
    assert told.by_locus
    grow(told, {each.symbol: each.types[0].key for each in loci[:2]})
    return told


def milliseconds(what: Callable[[], object], times: int = 1) -> float:
    """The quickest of several."""
    spent = []
    for _ in range(times):
        begin = perf_counter()
        what()
        spent.append(1000 * (perf_counter() - begin))
    return min(spent)


def main() -> None:
    first = milliseconds(lambda: page(SEVEN, 1))
    print(f"{first:7.1f} ms  the first prediction, seven loci")
    one = milliseconds(lambda: page([V], 3), 5)
    print(f"{one:7.1f} ms  one locus: 1")
    told = page(SEVEN, 5)
    target = parents([V, B, P], 7)
    mates = {symbol: {key: parents([V, B, P], 10 + key)[symbol] for key in range(300)}
             for symbol in "VBP"}  # fmt: skip
    same = Mating(FOUR, FOUR, FOUR)
    rows: dict[str, Callable[[], object]] = {
        "seven loci": lambda: page(SEVEN, 5),
        "the wanted type at three loci, and numbers to grow": lambda: grow(
            told, {"P": "edged", "T": "pink", "B": "weak"}
        ),
        "flowers to work for five": lambda: flowers_to_work(
            told.mixture_of({"T": "pink"}), 5, RATES
        ),
        "40 seedlings against what was expected": lambda: compare(
            told.crosses["B"], {"weak": 25, "self": 15}
        ),
        "300 testers at two alleles and two types": lambda: best_testers(
            target["V"], mates["V"], V, same
        ),
        "300 testers at two alleles and three types": lambda: best_testers(
            target["B"], mates["B"], B, same, 30
        ),
        "300 testers at four alleles and four types": lambda: best_testers(
            target["P"], mates["P"], P, same
        ),
    }
    for words, what in rows.items():
        spent = milliseconds(what, 3)
        print(f"{spent:7.1f} ms  {words}: {spent / one:.1f}")


if __name__ == "__main__":
    main()
