"""2,000 labels with square codes, texts and flowers as one PDF.

    python -m tests.speed.labels [--labels 2000]

Seconds of wall and processor, and the latter as a ratio to making the square codes alone by their
library with a mask of its own choice, measured in the same run. Every label has names and a code
of its own. Nothing is asserted. Goal: 2,000 labels in at most 5 s.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from random import Random
from time import perf_counter, process_time

import segno

from garden.flower import COLOURS, PATTERNS
from garden.labels import READY, Label, labels_pdf, square

BASE = "HTTP://HAFT-7K.LOCAL:8000/T/"
SYLLABLES = (
    "mo", "ren", "ka", "lis", "tor", "vel", "an", "dru", "sil", "be", "no", "qua", "ži", "ру"
)  # fmt: skip
SIZES = ("a4-24-70x36", "a4-36-95x15", "a4-65-38-1x21-2", "roll-62x40", "letter-4-101-6x127")


def word(dice: Random) -> str:
    return "".join(dice.choices(SYLLABLES, k=dice.randint(2, 4)))


def name(dice: Random) -> str:
    return " ".join(word(dice) for _ in range(dice.randint(1, 4))).title()


def labels(count: int, base: str, seed: int = 1) -> list[Label]:
    """Labels of which no two are alike; 40 different flowers among them."""
    dice = Random(seed)
    flowers = [
        {"pattern": dice.choice(list(PATTERNS)), "falls": dice.choice(list(COLOURS))}
        for _ in range(40)
    ]
    return [
        Label(
            code=f"P{at:04}K",
            payload=f"{base}P{at:04}K",
            title=name(dice),
            parents=f"{name(dice)} × ({name(dice)} × {at % 30:02}-{at % 97:03}B)",
            lines=(f"TB · midseason · {dice.randint(70, 110)} cm", f"Bed C, row {at % 40}"),
            flower=dice.choice(flowers),
        )
        for at in range(count)
    ]


def seconds(work: Callable[[], object]) -> tuple[float, float]:
    """(wall, processor) time in seconds."""
    square.matrix.cache_clear()
    begin, busy = perf_counter(), process_time()
    work()
    return perf_counter() - begin, process_time() - busy


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--labels", type=int, default=2000)
    count = parser.parse_args().labels
    labels_pdf(labels(3, BASE), READY[SIZES[0]])
    made = labels(count, BASE)
    yard = seconds(lambda: [segno.make_qr(one.payload, error="m") for one in made])
    print(f"{'':<42}{'wall':>8}{'processor':>11}{'ratio':>7}")
    print(f"{'square codes by their library alone':<42}{yard[0]:>6.2f} s{yard[1]:>9.2f} s{1:>7.2f}")
    for at, key in enumerate(SIZES, 2):
        # Names differ from size to size, so that nothing is remembered from the one before.
        fresh = labels(count, BASE, seed=at)
        wall, busy = seconds(lambda fresh=fresh, key=key: labels_pdf(fresh, READY[key]))
        print(f"{READY[key].title:<42}{wall:>6.2f} s{busy:>9.2f} s{busy / yard[1]:>7.2f}")


if __name__ == "__main__":
    main()
