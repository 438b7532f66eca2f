"""Finding a plant among 50,000 names, typed right, with a slip or two, and in vain.

    python -m tests.speed.search [--names 50000] [--asked 400]

Names are made of syllables, one to three words long, no two alike, from a seed. A slip is a letter
left out, doubled, changed or swapped with the next one; whole names of nine letters and more get
two of them. Printed per way of asking: median and p95 in ms, and how often the plant that was meant
is among the first ten. Times are those of the processor: there is nothing to wait for, and what
else runs on the machine does not count. Goals: p95 at most 20 ms, found in 98 of 100 where the
whole name was typed. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import itertools
import random
import statistics
import tempfile
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from tests.speed.archive import open_folder

if TYPE_CHECKING:
    from garden.finding import Names

MOST_MS, LEAST_FOUND = 20.0, 0.98
LETTERS = "abcdefghijklmnopqrstuvwxyz"
BEGIN = (
    "b",
    "br",
    "c",
    "d",
    "f",
    "fl",
    "g",
    "h",
    "k",
    "l",
    "m",
    "n",
    "p",
    "r",
    "s",
    "st",
    "t",
    "tr",
)
MIDDLE, END = ("a", "e", "i", "o", "u", "ea"), ("", "l", "n", "r", "st")
SYLLABLES = tuple("".join(parts) for parts in itertools.product(BEGIN, MIDDLE, END))


def make_names(count: int, chance: random.Random) -> list[str]:
    """Different folded names, sorted as they are held."""
    found: set[str] = set()
    while len(found) < count:
        words = chance.choices((1, 2, 3), (1, 5, 2))[0]
        found.add(" ".join("".join(chance.choices(SYLLABLES, k=chance.choice((1, 2, 2, 3))))
                           for _ in range(words)))  # fmt: skip
    return sorted(found)


def slip(text: str, chance: random.Random) -> str:
    """`text` with one letter left out, doubled, changed or swapped with the next."""
    at = chance.randrange(1, len(text) - 1)
    return chance.choice((
        text[:at] + text[at + 1 :],
        text[:at] + text[at] + text[at:],
        text[:at] + chance.choice(LETTERS) + text[at + 1 :],
        text[:at] + text[at + 1] + text[at] + text[at + 2 :],
    ))  # fmt: skip


def two_slips(name: str, chance: random.Random) -> str:
    """The whole name with a slip, with two from nine letters on."""
    once = slip(name, chance)
    return slip(once, chance) if len(name) > 8 else once


def _later_word(name: str, chance: random.Random) -> str:
    rest = name.split(" ", 1)[-1]
    return slip(rest if len(rest) > 5 else name, chance)


WAYS: dict[str, Callable[[str, random.Random], str]] = {
    "whole name": lambda name, chance: name,
    "first five letters": lambda name, chance: name[:5],
    "one slip": slip,
    "two slips": two_slips,
    "beginning, one slip": lambda name, chance: slip(name[:8], chance),
    "later words, one slip": _later_word,
    "in vain": lambda name, chance: "".join(chance.choices(LETTERS, k=9)),
}


def measure(held: Names, way: str, asked: int, chance: random.Random) -> tuple[list[float], float]:
    """Times in ms, and the share of questions whose plant stood in the first ten."""
    from garden.finding import find_keys

    times, found = [], 0
    long_enough = [key for key, name in enumerate(held.folded) if len(name) > 5]
    for key in chance.sample(long_enough, asked):
        typed = WAYS[way](held.folded[key], chance)
        began = time.process_time()
        keys = find_keys(typed, held, 10)
        times.append((time.process_time() - began) * 1000)
        found += key in keys
    return sorted(times), found / asked


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--names", type=int, default=50_000)
    parser.add_argument("--asked", type=int, default=400)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="haftbook-speed-") as folder:
        open_folder(folder)
        from garden.finding import Names, find_keys

        chance = random.Random(20)
        names = make_names(asked.names, chance)
        held = Names(1, tuple(names), tuple(range(len(names))))
        began = time.process_time()
        find_keys("all that is held is made ready now", held)
        print(f"{len(names):,} names, made ready in {(time.process_time() - began) * 1000:.0f} ms")
        print(f"{'asked':24}{'p50':>8}{'p95':>8}{'max':>8}{'found':>8}")
        for way in WAYS:
            times, found = measure(held, way, asked.asked, chance)
            p95 = times[int(len(times) * 0.95)]
            # A beginning is shared by many names; in vain there is nothing to find.
            whole = way in ("whole name", "one slip", "two slips")
            flags = ["slow"] * (p95 > MOST_MS) + ["missed"] * (whole and found < LEAST_FOUND)
            line = f"{way:24}{statistics.median(times):8.1f}{p95:8.1f}{times[-1]:8.1f}"
            print(f"{line}{found:8.1%}  {' '.join(flags)}")


if __name__ == "__main__":
    main()
