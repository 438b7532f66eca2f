"""Time and weight of pedigree charts: layout, SVG for the page, PDF for the wall.

    python -m tests.speed.charts [--rounds 21]

Full pedigrees of 4 to 8 generations, in which nobody comes twice, and webs of 30, 100 and 300
plants. The first line of each kind is cold: it has the reading of the fonts in it. Times are wall
times in ms, the median of the rounds; nothing is asserted. Goal: the 127 places of 7 generations
in at most 20 ms and 30 kB as SVG, every plant one named link.
"""

from __future__ import annotations

import argparse
import gzip
import statistics
import time
from collections.abc import Callable

from breeding.charts import Chart, ancestors_chart, web_chart
from breeding.charts.layout_web import layered
from breeding.charts.pdf import to_pdf
from breeding.charts.svg import to_svg
from tests.breeding.pedigree_charts import full, large_web

ROW = "{:<22}{:>7}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}{:>8}"


def median(work: Callable[[], object], rounds: int) -> float:
    """Median wall time of `work` in ms; webs are ordered anew each time."""
    times = []
    for _ in range(rounds):
        layered.cache_clear()
        begin = time.perf_counter()
        work()
        times.append((time.perf_counter() - begin) * 1000)
    return statistics.median(times)


def measure(name: str, make: Callable[[], Chart], rounds: int) -> None:
    chart = make()
    begin = time.perf_counter()
    text = to_svg(chart)
    first = (time.perf_counter() - begin) * 1000
    sheet = to_pdf(chart)
    print(
        ROW.format(
            name,
            len(chart.places),
            f"{median(make, rounds):.2f}",
            f"{first:.1f}",
            f"{median(lambda: to_svg(chart), rounds):.1f}",
            f"{len(text.encode()) / 1000:.1f}",
            f"{len(gzip.compress(text.encode())) / 1000:.1f}",
            f"{median(lambda: to_pdf(chart), max(3, rounds // 7)):.0f}",
            f"{len(sheet) / 1000:.0f}",
        )
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=21)
    rounds = parser.parse_args().rounds
    heads = (
        "chart",
        "places",
        "made ms",
        "first ms",
        "svg ms",
        "svg kB",
        "gz kB",
        "pdf ms",
        "pdf kB",
    )
    print(ROW.format(*heads))
    for generations in range(4, 9):
        parents, plants = full(generations - 1)
        measure(
            f"ancestors, {generations} gen.",
            lambda p=parents, q=plants, d=generations - 1: ancestors_chart(1, p, q, d),
            rounds,
        )
    for count in (30, 100, 300):
        pedigree = large_web(count)
        measure(f"web of {count}", lambda w=pedigree: web_chart(0, 1, *w, 40), rounds)


if __name__ == "__main__":
    main()
