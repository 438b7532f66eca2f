"""How the sums of bloom and fertility grow.

`python -m tests.speed.fertility` prints seconds, and each as a ratio to the one before. Threads of
the algebra fight on a busy machine: OPENBLAS_NUM_THREADS=1 tells the sums' own time.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np

from breeding.fertility import Attempt, fit_pods
from breeding.flowering import Noted, fit

CLASSES, STAGES = ("SDB", "IB", "TB"), ("first", "peak", "last")


def bloom(plants: int, years: int = 10, seed: int = 1) -> tuple[list[Noted], dict]:
    """Notes of plants over years, eight of ten stages noted."""
    dice = np.random.default_rng(seed)
    usual = {at: (CLASSES[at % 3], (at % 7) / 7 if at % 4 else None) for at in range(plants)}
    place, shift = dice.normal(130, 10, plants), dice.normal(0, 7, years)
    days = place[:, None, None] + shift[None, :, None] + np.array([0, 5, 13])
    days = np.rint(days + dice.normal(0, 2.5, (plants, years, 3)))
    seen = np.argwhere(dice.random(days.shape) < 0.8).tolist()
    return [Noted(p, 2015 + y, STAGES[s], days[p, y, s]) for p, y, s in seen], usual


def worked(parents: int, seed: int = 1) -> list[Attempt]:
    """Five crosses for each seed parent, one to eight flowers each."""
    dice = np.random.default_rng(seed)
    logit = dice.normal(-0.4, 1, parents)
    attempts = []
    for _ in range(5 * parents):
        seed_parent, pollen = (int(at) for at in dice.integers(parents, size=2))
        flowers, chance = int(dice.integers(1, 9)), 1 / (1 + np.exp(-logit[seed_parent]))
        attempts.append(Attempt(seed_parent, pollen, flowers, int(dice.binomial(flowers, chance))))
    return attempts


def timed(work) -> tuple[float, object]:
    begin = perf_counter()
    found = work()
    return perf_counter() - begin, found


def say(what: str, seconds: float, before: float | None) -> None:
    grown = f", {seconds / before:.1f} times the one before" if before else ""
    print(f"{what}: {seconds:6.3f} s{grown}")


def main() -> None:
    fit(*bloom(5)).overlaps(list(range(5)), 2024)
    fit_pods(worked(5)).pair_means([0], [0])
    before: list[float | None] = [None] * 5
    for many in (150, 300, 600):
        notes, usual = bloom(many)
        seconds, found = timed(lambda notes=notes, usual=usual: fit(notes, usual))
        plants = list(range(many))
        running = timed(lambda n=notes, u=usual: fit(n, u, year=2024, today=130))[0]
        meeting = timed(lambda f=found, p=plants: f.overlaps(p, 2024))[0]
        pods, rates = timed(lambda m=many: fit_pods(worked(m // 2)))
        pairs = timed(lambda r=rates, p=plants: r.pair_means(p, p))[0]
        lines = (
            (f"{many} plants over 10 years, {len(notes):,} notes", seconds),
            (f"{many} plants, the tenth year running", running),
            (f"{many} × {many} overlaps", meeting),
            (f"pod set of {many // 2} + {many // 2} parents", pods),
            (f"{many} × {many} pairs' pod set", pairs),
        )
        for at, (what, took) in enumerate(lines):
            say(what, took, before[at])
            before[at] = took


if __name__ == "__main__":
    main()
