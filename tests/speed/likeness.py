"""How long it takes to lay a name beside 500, 5,000 and 50,000 others.

`python -m tests.speed.likeness` prints milliseconds a name and for making ready, and each as a
ratio to the one before.
"""

from __future__ import annotations

import random
from statistics import median
from time import perf_counter

from garden.epithets import Names

_SYLLABLES = (
    "ba be bi bo ka ke ki ko la le li lo ma me mi mo na ne ni no ra re ri ro sa se si so ta te ti "
    "to va vi vo zan quin thor schel brand wyn mond ette elle ine on ard ley shire eau ü ö"
)
SYLLABLES = _SYLLABLES.split()
WORDS, LONG = 9000, (1, 2, 2, 2, 3)
ASKED = 60


def stock(many: int, seed: int = 3) -> list[tuple[str, int]]:
    """Invented names of one to three words."""
    dice = random.Random(seed)
    words = ["".join(dice.choices(SYLLABLES, k=dice.choice((2, 2, 3, 4)))).capitalize()
             for _ in range(WORDS)]  # fmt: skip
    return [(" ".join(dice.choices(words, k=dice.choice(LONG))), at) for at in range(many)]


def misspelt(name: str, dice: random.Random) -> str:
    """The name with two neighbouring letters swapped."""
    at = dice.randrange(len(name) - 1)
    return name[:at] + name[at + 1] + name[at] + name[at + 2 :]


def measured(many: int) -> tuple[float, float, float, float]:
    """(ms to make ready, median and p95 ms a name, share found) of so many names."""
    known, dice = stock(many), random.Random(5)
    begin = perf_counter()
    names = Names(known)
    ready = perf_counter() - begin
    took, found = [], 0
    for name, _ in dice.sample(known, ASKED):
        asked = misspelt(name, dice)
        begin = perf_counter()
        likes = names.like(asked)
        took.append(perf_counter() - begin)
        found += name in {like.known.text for like in likes}
    took.sort()
    return ready * 1e3, median(took) * 1e3, took[int(len(took) * 0.95)] * 1e3, found / ASKED


def main() -> None:
    measured(200)
    before = None
    for many in (500, 5000, 50_000):
        ready, middle, late, found = measured(many)
        ratios = f"x{ready / before[0]:.1f}, x{middle / before[1]:.1f}" if before else ""
        print(
            f"{many:6,} names: ready in {ready:6.0f} ms, a name {middle:5.1f} ms "
            f"(p95 {late:5.1f}), found {found:.0%}  {ratios}"
        )
        before = (ready, middle)


if __name__ == "__main__":
    main()
