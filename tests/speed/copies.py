"""How copies at one locus grow: 50, 500 and 5,000 plants of a garden of twelve generations.

`python -m tests.speed.copies` prints seconds, and each as a ratio to the one before.
"""

from __future__ import annotations

from time import perf_counter, process_time

from breeding.inheritance.copies import infer
from tests.breeding.copies_garden import VIOLET, simulate

GENERATIONS = 12


def seconds(plants: int) -> tuple[float, float, str]:
    """(by the clock, of the processor, how) for about so many plants, frequencies estimated."""
    garden = simulate(
        1, shares=[0.3, 0.7], founders=max(6, plants // 80), generations=GENERATIONS,
        a_generation=max(1, round(plants / GENERATIONS)), families=plants // 20,
    )  # fmt: skip
    pedigree = garden.pedigree
    clock, processor = perf_counter(), process_time()
    told = infer(pedigree, VIOLET, garden.seen, garden.families)
    return perf_counter() - clock, process_time() - processor, told.method


def main() -> None:
    seconds(50)
    before = None
    for plants in (50, 500, 5000):
        clock, processor, method = seconds(plants)
        grown = f", {processor / before:.1f} times the one before" if before else ""
        print(f"{plants:>6} plants: {clock:6.2f} s, {processor:.2f} s of the processor{grown}")
        print(f"       {method}")
        before = processor


if __name__ == "__main__":
    main()
