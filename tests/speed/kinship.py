"""What kinship costs: tables against sgkit's compiled code, and gardens of three sizes.

    python -m tests.speed.kinship [--rounds 5] [--sizes 1000 10000 100000]

Three parts, all of tetraploids with double reduction 0.1; nothing is asserted.

The table: kinship of all pairs among 5,000 plants, and sgkit's Hamilton-Kerr code for the same,
called once before so that its compiling is left out. Both take turns; the ratio is that of the
best rounds, above 1 is slower than sgkit.

One pair and all inbreeding, in gardens of 30 generations. In a bred garden 40 plants of the last
three generations are the parents of each; in a mingled one every plant of a generation is as
likely to be a parent as the next, so that nearly everybody is an ancestor of everybody: the worst
case. Cold is the whole command in a process of its own, reading of the file included; first,
second and third are pairs asked of one pedigree in memory (a second question that needs many more
ancestors works out all plants at once). Memory is the most that one pair took, pedigree excluded.

What the cost grows with: a pair with the ancestors of both (inbreeding of common ancestors: with
their number × those that still have children to come), all inbreeding with plants × plants that
still have children to come, the table with plants².
"""

from __future__ import annotations

import argparse
import csv
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np

from breeding.pedigree import Pedigree

ROOT = Path(__file__).resolve().parent.parent.parent
RATE, GENERATIONS, TABLE = 0.1, 30, 5_000
Family = dict[str, tuple[str | None, str | None]]


def garden(plants: int, pool: int | None, back: int, seed: int = 1) -> np.ndarray:
    """Parents, shape (plants, 2): drawn from the last `back` generations, or `pool` of them."""
    chance = np.random.default_rng(seed)
    size = plants // GENERATIONS
    parent = np.full((size * GENERATIONS, 2), -1)
    for generation in range(1, GENERATIONS):
        older = np.arange(max(0, generation - back) * size, generation * size)
        if pool:
            older = chance.choice(older, min(pool, len(older)), replace=False)
        parent[generation * size : (generation + 1) * size] = chance.choice(older, (size, 2))
    return parent


def named(parent: np.ndarray) -> Family:
    return {
        f"P{row}": tuple(f"P{p}" if p >= 0 else None for p in pair)
        for row, pair in enumerate(parent.tolist())
    }


def timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def tables(rounds: int) -> None:
    from sgkit.stats.pedigree import kinship_Hamilton_Kerr as by_sgkit

    print(f"All pairs among {TABLE:,} tetraploids   ours s   sgkit s   ratio   difference")
    for name, back in (("one generation back", 1), ("any generation back", GENERATIONS)):
        parent = garden(TABLE, None, back)
        copies = np.full(parent.shape, 2, dtype=np.uint64)
        rates = np.full(parent.shape, RATE)
        by_sgkit(parent[:40], copies[:40], rates[:40])
        pedigree, ours, theirs = Pedigree(named(parent), 4, RATE), [], []
        for _ in range(rounds):
            ours.append(timed(pedigree.kinship_matrix))
            theirs.append(timed(lambda: by_sgkit(parent, copies, rates)))  # noqa: B023
        off = np.abs(pedigree.kinship_matrix() - by_sgkit(parent, copies, rates)).max()
        best = min(ours), min(theirs)
        print(f"  {name:32} {best[0]:9.3f} {best[1]:9.3f} {best[0] / best[1]:7.2f} {off:12.1e}")


def cold(family: Family, pair: tuple[str, str], folder: Path, rounds: int) -> float:
    """Best time of the whole command, in seconds."""
    with (folder / "garden.csv").open("w", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(("id", "seed_parent", "pollen_parent", "ploidy"))
        writer.writerows((plant, seed, pollen, 4) for plant, (seed, pollen) in family.items())
    (folder / "pairs.csv").write_text(f"a,b\n{pair[0]},{pair[1]}\n")
    command = [sys.executable, "manage.py", "kinship", "--pedigree", folder / "garden.csv",
               "--pairs", folder / "pairs.csv", "--double-reduction", str(RATE)]  # fmt: skip
    run = [
        timed(lambda: subprocess.run(command, cwd=ROOT, check=True, capture_output=True))
        for _ in range(rounds)
    ]
    return min(run)


def memory(family: Family, pair: tuple[str, str]) -> float:
    """The most that one pair takes beside the pedigree, in MB."""
    pedigree = Pedigree(family, 4, RATE)
    tracemalloc.start()
    pedigree.kinship(*pair)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most / 1e6


def of_garden(kind: str, plants: int, rounds: int) -> None:
    family = named(garden(plants, *{"bred": (40, 3), "mingled": (None, 1)}[kind]))
    youngest = list(family)[-8:]
    pairs = list(zip(youngest[::2], youngest[1::2], strict=True))
    with tempfile.TemporaryDirectory() as folder:
        process = cold(family, pairs[0], Path(folder), rounds)
    build = timed(lambda: Pedigree(family, 4, RATE))
    pedigree = Pedigree(family, 4, RATE)
    asked = [timed(lambda: pedigree.kinship(*pair)) for pair in pairs[:3]]  # noqa: B023
    every = timed(Pedigree(family, 4, RATE).inbreedings)
    shown = " ".join(f"{seconds * 1e3:9.1f}" for seconds in asked)
    print(
        f"  {kind:8} {plants:8,} {process:8.2f} {build:8.3f} {shown} {every:9.3f} "
        f"{memory(family, pairs[0]):9.1f}"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--sizes", type=int, nargs="+", default=[1_000, 10_000, 100_000])
    options = parser.parse_args()
    tables(options.rounds)
    print(
        "\nOne pair                cold s  build s  first ms second ms  third ms     all s  pair MB"
    )
    for kind in ("bred", "mingled"):
        for plants in options.sizes:
            of_garden(kind, plants, options.rounds)


if __name__ == "__main__":
    main()
