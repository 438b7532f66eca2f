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
import gzip
import json
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from datetime import time as clock
from itertools import product
from pathlib import Path
from typing import Any

from tests.speed.archive import PASSWORD, ROW_LENGTH, TODAY, open_folder

MOST_RATIO, MOST_P95 = 1.3, 50.0
SAMPLES = 8
NOW = datetime.combine(TODAY, clock(12), UTC)


@dataclass
class Asked:
    """One page or one post, with what it sends; a kept post is undone at once."""

    name: str
    path: str
    post: Callable[[], dict[str, Any]] | None = None
    htmx: bool = False


@dataclass
class Seen:
    """What was measured of one page in one garden."""

    times: list[float] = field(default_factory=list)
    queries: int = 0
    size: int = 0

    @property
    def median(self) -> float:
        return statistics.median(self.times)

    @property
    def p95(self) -> float:
        return sorted(self.times)[int(len(self.times) * 0.95)]


# -- in the garden's own process


def things() -> dict[str, Any]:
    """Things of middling size that every garden has, however large it is."""
    from django.db.models import Count, F, Func

    from breeding.models import Cross, Pollination, Pot, Row, SeedCup, Tag
    from garden.models import Bed, Person, Plant
    from garden.records import add_bed
    from garden.verbs import Act

    def nearest(rows: Any, name: str, size: int) -> Any:
        return rows.order_by(Func(F(name) - size, function="ABS"), "-pk").first()

    if not Bed.live.filter(name="Spare bed").exists():
        add_bed(
            Act(Person.objects.filter(role="owner").first()),
            name="Spare bed",
            rows=1,
            positions=ROW_LENGTH,
        )
    season = Cross.live.filter(season=TODAY.year)
    named = Plant.live.exclude(name="")
    few_up = Pot.live.filter(closed_on=None, up__gt=F("lined_out"), seeds__gt=F("up"))
    done = Pollination.live.filter(state="harvested", cup__pots__isnull=False)
    return {
        "bed": Bed.live.get(name="Spare bed"),
        "fresh": nearest(season.exclude(pollen_parent=None), "flowers", 6),
        "cross": nearest(Cross.live.filter(season=TODAY.year - 2, lined_out__gt=0), "flowers", 8),
        "flower": done.select_related("tag").order_by("-pk").first(),
        "cup": nearest(SeedCup.live.filter(pots__isnull=False, closed_on=None), "seeds", 60),
        "pot": nearest(Pot.live.filter(rows__isnull=False), "seeds", 40),
        "row": nearest(Row.live.filter(closed_on=None).annotate(size=F("last") - F("first")),
                       "size", 20),
        "unlooked": Pollination.live.filter(state="worked", day__year=TODAY.year).first(),
        "ripe": Pollination.live.filter(state="set", day__year=TODAY.year).first(),
        "unsown": SeedCup.live.filter(closed_on=None, seeds__gt=F("sown")).last(),
        "standing": few_up.last(),
        "favourite": named.annotate(n=Count("crosses_as_seed")).order_by("-n").first(),
        "free": Tag.live.filter(pollinations=None, spoiled="").order_by("-pk").first(),
    }  # fmt: skip


def pages(at: dict[str, Any]) -> Iterator[Asked]:
    """Everything that is measured."""
    yield Asked("Today", "/")
    for key in ("look", "harvest", "sow", "count", "line-out", "bloom"):
        yield Asked(f"due: {key}", f"/due/{key}/")
    yield Asked("new cross", "/new-cross/")
    label = at["favourite"].label
    for kind, typed in (("exact", label[:4]), ("slip", label[:3] + label[4:]), ("none", "zwqvxk")):
        yield Asked(f"answers {kind}", f"/new-cross/answers/seed/?seed_text={typed}", htmx=True)
    yield Asked("tag said", f"/new-cross/tag/?tag={at['free'].code}", htmx=True)
    yield from _posts(at)
    for name, key in (("cross", "cross"), ("cup", "cup"), ("pot", "pot")):
        yield Asked(name, f"/{key}{'es' if key == 'cross' else 's'}/{at[key].code}/")
    row, tag = at["row"], at["flower"].tag
    yield Asked("tag", f"/tags/{tag.code}/")
    yield Asked("tag sheets", "/tags/")
    yield Asked("row", f"/rows/{row.pk}/")
    yield Asked("bed row", f"/beds/{row.bed_id}/row/{row.row}/")
    yield Asked("bed", f"/beds/{row.bed_id}/")
    yield Asked("beds", "/beds/")
    yield Asked("plant, a favourite", f"/plants/{at['favourite'].pk}/")
    yield Asked("plants", "/plants/")
    yield Asked("plants by year", "/plants/?sort=-year")
    yield Asked("seasons", "/seasons/")
    yield Asked("season", f"/seasons/{TODAY.year - 2}/")
    yield Asked("season, next", f"/seasons/{TODAY.year - 2}/?after=50", htmx=True)
    for name, text in (("name", label), ("letters", label[:3]), ("cross", at["cross"].code[:4])):
        yield Asked(f"look up {name}", f"/look-up/?q={text}", htmx=True)
    yield Asked("look up tag", f"/look-up/?q={tag.code}", htmx=True)
    yield Asked("journal", "/journal/")
    yield Asked("journal of one", "/journal/?person=2")
    yield Asked("book", "/book/")


def _posts(at: dict[str, Any]) -> Iterator[Asked]:
    fresh, pot = at["fresh"], at["standing"]
    yield Asked("keep a pollination", "/new-cross/", lambda: {
        "seed": fresh.seed_parent_id, "pollen": fresh.pollen_parent_id, "tag": at["free"].code,
        "stigmas": 3})  # fmt: skip
    yield Asked("look", f"/flowers/{at['unlooked'].pk}/look/")
    yield Asked("keep a look", f"/flowers/{at['unlooked'].pk}/look/", lambda: {"outcome": "set"},
                htmx=True)  # fmt: skip
    yield Asked("harvest", f"/flowers/{at['ripe'].pk}/harvest/")
    yield Asked("keep a harvest", f"/flowers/{at['ripe'].pk}/harvest/", lambda: {"seeds": 31})
    yield Asked("sow", f"/cups/{at['unsown'].code}/sow/")
    yield Asked("keep a sowing", f"/cups/{at['unsown'].code}/sow/", lambda: {"seeds": 1})
    yield Asked("count", f"/pots/{pot.code}/count/")
    yield Asked("keep a count", f"/pots/{pot.code}/count/", lambda: {"standing_now": pot.standing})
    yield Asked("line out", f"/pots/{pot.code}/line-out/")
    yield Asked(
        "keep a row",
        f"/pots/{pot.code}/line-out/",
        lambda: {"bed": at["bed"].pk, "row": 1, "first": 1, "seedlings": 1},
    )
    ripe = at["ripe"]
    corrected = {"tag": ripe.tag.code, "day": ripe.day.isoformat(), "stigmas": 1,
                 "looked_on": ripe.looked_on.isoformat(), "reason": "slip"}  # fmt: skip
    yield Asked("keep a correction", f"/correct/flower/{ripe.pk}/", lambda: corrected)


def _wrong(answer: Any) -> list[str]:
    """What the page says is wrong."""
    return re.findall(r'class="err[^>]*>([^<]*)', gzip.decompress(answer.content).decode())


class Visitor:
    """Somebody signed in who asks and measures."""

    def __init__(self) -> None:
        from django.test import Client

        from garden.models import Person

        self.client = Client(
            enforce_csrf_checks=True, headers={"accept-encoding": "gzip"}, SERVER_NAME="127.0.0.1"
        )
        self.client.force_login(Person.objects.filter(role="owner").first())
        self.client.get("/new-cross/")
        self.seen: dict[str, Seen] = {}

    def ask(self, asked: Asked) -> None:
        """Ask once; a post that was kept is taken back again."""
        answer = self._send(asked.name, asked.path, asked.post and asked.post(), asked.htmx)
        if asked.post is None:
            assert answer.status_code == 200, (asked, answer.status_code)
            return
        from garden.models import JournalLine

        assert answer.status_code == (200 if asked.htmx else 303), (asked, _wrong(answer))
        line = JournalLine.objects.latest("pk")
        answer = self._send(f"{asked.name}: undo", f"/lines/{line.pk}/undo/", {}, False)
        assert answer.status_code == 303, (asked, _wrong(answer))

    def _send(self, name: str, path: str, post: dict | None, htmx: bool) -> Any:
        headers = {"HX-Request": "true"} if htmx else {}
        began = time.perf_counter()
        if post is None:
            answer = self.client.get(path, headers=headers)
        else:
            token = self.client.cookies["csrftoken"].value
            answer = self.client.post(path, post, headers=headers | {"X-CSRFToken": token})
        seen = self.seen.setdefault(name, Seen())
        seen.times.append((time.perf_counter() - began) * 1000)
        seen.size = len(answer.content)
        return answer

    def count_queries(self, asked: Asked) -> None:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        plain = self._send

        def counted(name: str, *rest: Any) -> Any:
            with CaptureQueriesContext(connection) as context:
                answer = plain(name, *rest)
            self.seen[name].queries = len(context)
            return answer

        self._send = counted
        self.ask(asked)
        self._send = plain


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
