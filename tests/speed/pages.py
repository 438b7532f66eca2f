"""Server time and queries of every page: archives of 1, 10 and 100 % beside the demo garden.

    python -m tests.speed.pages [--percent 1 10 100] [--hoarder] [--keep FOLDER] [--rounds 5]

Each garden is a process of its own with its own data folder and the settings of the real site;
Django's test client asks through the whole middleware, signed in, with csrf checks and gzip. The
gardens take turns page by page, so that a busy machine slows all of them alike. Every post is
kept for real and then undone, which is measured too. The clock stands on a day in bloom.

A line is flagged when its median is above 1.3 times that of the demo garden, its p95 above 50 ms,
or its number of queries another one. Where a list is longer than the demo's, so is its page: the
last columns give the size of both answers. Times are wall times in ms; nothing is asserted.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
from contextlib import ExitStack
from itertools import product
from pathlib import Path

from tests.speed.archive import PASSWORD, TODAY, open_folder
from tests.speed.visits import NOW, Seen, Visitor, pages, things

MOST_RATIO, MOST_P95 = 1.3, 50.0
SAMPLES = 8


def measure(folder: str) -> None:
    """Measure the page whose number comes on stdin; answer each with a line of JSON."""
    open_folder(folder)
    from django.utils import timezone

    timezone.now = lambda: NOW
    visitor = Visitor()
    every = list(pages(things()))
    for asked in every:
        visitor.ask(asked)
        visitor.count_queries(asked)
    print(len(every), flush=True)
    for number in sys.stdin:
        visitor.seen = {name: Seen([], seen.queries) for name, seen in visitor.seen.items()}
        for _ in range(SAMPLES):
            visitor.ask(every[int(number)])
        told = {name: vars(seen) for name, seen in visitor.seen.items() if seen.times}
        print(json.dumps(told), flush=True)


# -- beside them: the gardens in turn, and the table


def make_garden(folder: Path, name: str, hoarder: bool) -> None:
    """Fill a folder with the demo garden or with an archive; one that is there is left alone."""
    if (folder / "filled").exists():
        return
    if name == "demo":
        open_it = f"from tests.speed.pages import load_demo; load_demo({str(folder)!r})"
        command = [sys.executable, "-c", open_it]
    else:
        command = [sys.executable, "-m", "tests.speed.archive", str(folder), "--percent", name]
        command += ["--hoarder"] if hoarder else []
    subprocess.run(command, check=True)
    (folder / "filled").touch()


def load_demo(folder: str) -> None:
    """The demo garden as it stands on TODAY."""
    open_folder(folder)
    from evaluation.demo.loading import load_demo
    from garden.models import Garden

    print(f"demo garden: {load_demo(PASSWORD, today=TODAY)}")
    # As in the archive: pods ripen fast, so that every kind of work is due on one day.
    Garden.objects.update(pod_ripe_days=30)


def run(gardens: dict[str, Path], rounds: int) -> dict[str, dict[str, Seen]]:
    """All gardens, page by page and round by round."""
    found: dict[str, dict[str, Seen]] = {name: {} for name in gardens}
    with ExitStack() as stack:
        workers = {
            name: stack.enter_context(subprocess.Popen(
                [sys.executable, "-m", "tests.speed.pages", "--measure", str(folder)],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True))
            for name, folder in gardens.items()
        }  # fmt: skip
        # All of them have to stand ready before the first is measured.
        count = [int(worker.stdout.readline()) for worker in workers.values()][0]
        for number, (name, worker) in product([*range(count)] * rounds, workers.items()):
            worker.stdin.write(f"{number}\n")
            worker.stdin.flush()
            for page, seen in json.loads(worker.stdout.readline()).items():
                kept = found[name].setdefault(page, Seen([], seen["queries"], seen["size"]))
                kept.times += seen["times"]
        for worker in workers.values():
            worker.stdin.close()
    return found


def table(found: dict[str, dict[str, Seen]]) -> None:
    demo, *archives = found
    heads = "".join(f"{f'{name} %':>20}" for name in archives)
    print(f"\n{'':26}{'demo':>16}{heads}")
    columns = f"{'p50':>6}{'p95':>6}{'ratio':>8}"
    print(f"{'page':26}{'q':>4}{'p50':>6}{'p95':>6}{columns * len(archives)}   kB      flags")
    for page, base in found[demo].items():
        line = f"{page:26}{base.queries:>4}{base.median:6.1f}{base.p95:6.1f}"
        flags = ["p95"] if base.p95 > MOST_P95 else []
        for name in archives:
            seen = found[name][page]
            ratio = seen.median / base.median
            line += f"{seen.median:6.1f}{seen.p95:6.1f}{ratio:7.2f}x"
            flags += [f"{name}%: {ratio:.1f}x"] * (ratio > MOST_RATIO)
            flags += [f"{name}%: p95"] * (seen.p95 > MOST_P95)
            flags += [f"{name}%: {seen.queries} queries"] * (seen.queries != base.queries)
        last = found[archives[-1]][page].size if archives else 0
        print(f"{line}  {base.size / 1024:4.1f} {last / 1024:4.1f}  {', '.join(flags)}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--percent", nargs="*", default=["1", "10", "100"])
    parser.add_argument("--hoarder", action="store_true", help="rows are never put away")
    parser.add_argument("--keep", type=Path, help="where gardens are kept for the next run")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--measure", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.measure:
        measure(asked.measure)
        return
    home = asked.keep or Path(tempfile.mkdtemp(prefix="haftbook-speed-"))
    try:
        gardens = {}
        for name in ["demo", *asked.percent]:
            kind = f"{name}-hoarder" if asked.hoarder and name != "demo" else name
            gardens[name] = home / kind
            gardens[name].mkdir(parents=True, exist_ok=True)
            make_garden(gardens[name], name, asked.hoarder)
        table(run(gardens, asked.rounds))
    finally:
        if asked.keep is None:
            shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
