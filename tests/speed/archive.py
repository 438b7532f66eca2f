"""An archive of thirty seasons in a garden's own data folder, for the benchmarks beside it.

    python -m tests.speed.archive FOLDER [--percent 100] [--hoarder]

At 100 %: 20,000 crosses in 30 seasons, the present one as busy as the others, 200,000 flowers
under as many tags, their cups, pots, counts and rows with about 1,000,000 positions, 5,000 plants
with parents, and a journal line for each thing done. The sums on crosses, cups and pots are those
that the verbs would keep. What is over is put away as in life; a hoarder puts no row away and
digs a new bed every year. The archive ends on TODAY, in bloom, when every kind of work is due.
"""

from __future__ import annotations

import argparse
import os
import random
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from tests.speed.pouring import write, write_journal

TODAY = date(2026, 6, 10)
LAST, SEASONS = TODAY.year, 30
CROSSES, PLANTS, SPARE_TAGS = 20_000, 5_000, 2_000
ROW_LENGTH, ROWS_IN_A_BED = 100, 500
BEDS_IN_TURN = 4
PASSWORD = "the mill race runs again"  # noqa: S105
COLOURS = ("white", "yellow", "violet", "purple", "navy", "apricot", "pink", "brown", "")
BEARDS = ("white", "yellow", "orange", "")
CLASSES = ("TB", "TB", "TB", "SDB", "IB", "MTB", "BB")
FIRST = (
    "Amber", "Birch", "Cobalt", "Dapple", "Elder", "Fallow", "Garnet", "Hazel", "Ivory",
    "Juniper", "Kestrel", "Larder", "Marzipan", "Nettle", "Oriel", "Pewter", "Quillon", "Russet",
    "Saffron", "Thistle", "Umber", "Velvet", "Wicker", "Yonder", "Zephyr",
)  # fmt: skip
SECOND = (
    "Almanac", "Barrow", "Cartwheel", "Doorstep", "Errand", "Footpath", "Gatepost", "Hayloft",
    "Inkwell", "Jetty", "Kettle", "Ledger", "Milestone", "Notebook", "Orchard", "Postman",
    "Quarry", "Rowboat", "Semaphore", "Teapot", "Upland", "Viaduct", "Waltz", "Yard",
)  # fmt: skip


def name_of(number: int) -> str:
    """A made-up name for plant `number`, no two alike."""
    number, first = divmod(number, len(FIRST))
    number, second = divmod(number, len(SECOND))
    return f"{FIRST[first]} {SECOND[second]}" + (f" {number + 1}" if number else "")


@dataclass
class Sums:
    """What a cross adds up along its thread."""

    flowers: int = 0
    pods: int = 0
    failed: int = 0
    seeds: int = 0
    sown: int = 0
    up: int = 0
    out: int = 0


@dataclass
class Archive:
    """The rows of every table, grown season by season."""

    percent: float
    hoarder: bool
    chance: random.Random
    plants: list[tuple] = field(default_factory=list)
    batches: list[tuple] = field(default_factory=list)
    tags: list[tuple] = field(default_factory=list)
    crosses: list[tuple] = field(default_factory=list)
    flowers: list[tuple] = field(default_factory=list)
    cups: list[tuple] = field(default_factory=list)
    pots: list[tuple] = field(default_factory=list)
    counts: list[tuple] = field(default_factory=list)
    rows: list[tuple] = field(default_factory=list)
    seedlings: list[tuple] = field(default_factory=list)
    # (day, verb, kind, key, text, ((kind, key), …) spoken of)
    lines: list[tuple] = field(default_factory=list)
    codes: Iterator[tuple[int, str]] = iter(())
    serial: int = 0
    # Row and position that are free next in this year's bed.
    place: tuple[int, int] = (1, 1)
    # Parents and number of the cross that grows now, and how many seedlings of it are selected.
    pair: tuple[int, int] = (0, 0)
    code: str = ""
    taken: int = 0

    @property
    def beds(self) -> int:
        return SEASONS + 1 if self.hoarder else BEDS_IN_TURN

    @property
    def size_of_bed(self) -> tuple[int, int]:
        return ROWS_IN_A_BED, ROW_LENGTH

    def share(self, whole: int, least: int = 1) -> int:
        return max(least, round(whole * self.percent / 100))

    # -- plants and tags

    def plant(self, name: str, number: str, parents: tuple, year: int) -> int:
        key, chance = len(self.plants) + 1, self.chance
        colours = (chance.choice(COLOURS), chance.choice(COLOURS), chance.choice(BEARDS))
        kind = "seedling" if number else "cultivar"
        self.plants.append((key, kind, name, number, (name or number).casefold(),
                            chance.choice(CLASSES), 4, year, *parents, *colours))  # fmt: skip
        return key

    def stock(self) -> None:
        """The named plants: each but the oldest descends from two older ones."""
        for number in range(self.share(PLANTS * 3 // 5, 60)):
            old = number < 20
            parents = (None, None) if old else tuple(self.chance.sample(range(1, number + 1), 2))
            self.plant(name_of(number), "", parents, LAST - SEASONS - 1)

    def tag(self) -> int:
        key = len(self.tags) + 1
        self.serial, code = next(self.codes)
        self.tags.append((key, code, len(self.batches)))
        return key

    def batch(self, day: date, count: int) -> None:
        key = len(self.batches) + 1
        self.batches.append((key, day.isoformat(), count))
        self.told(day, "print_tags", "breeding.tagbatch", key, f"Printed {count} tags")

    def told(self, day: date, verb: str, kind: str, key: int, text: str, *of: tuple) -> None:
        self.lines.append((day.isoformat(), verb, kind, key, text, ((kind, key), *of)))

    # -- one season

    def season(self, year: int) -> None:
        self.batch(date(year, 4, 1), self.share(CROSSES // SEASONS * 10))
        self.place = (1, 1)
        for number, pair in enumerate(self.pairs(self.share(CROSSES // SEASONS)), 1):
            self.cross(year, number, pair)

    def pairs(self, count: int) -> Iterator[tuple[int, int]]:
        """Different pairs; a few favourites are used again every year, as in life."""
        pool = [*range(1, self.share(60, 8)), *range(len(self.plants) - self.share(60, 8),
                                                     len(self.plants) + 1)]  # fmt: skip
        weights = [1 / (rank + 3) for rank in range(len(pool))]
        seen: set[tuple[int, int]] = set()
        while len(seen) < count:
            pair = tuple(self.chance.choices(pool, weights, k=2))
            if pair not in seen:
                seen.add(pair)
                yield pair

    def cross(self, year: int, number: int, pair: tuple[int, int]) -> None:
        key, code, sums = len(self.crosses) + 1, f"{year % 100:02d}-{number:03d}", Sums()
        self.pair, self.code, self.taken = pair, code, 0
        first = date(year, 4, 20) + timedelta(days=self.chance.randrange(42))
        pods = [self.flower(key, code, pair, first + timedelta(days=self.chance.randrange(4)), sums)
                for _ in range(self.chance.randint(4, 16))]  # fmt: skip
        self.harvests(key, code, [pod for pod in pods if pod], sums)
        self.crosses.append((key, year, number, code, *pair, *vars(sums).values()))

    def flower(self, cross: int, code: str, pair: tuple, day: date, sums: Sums) -> list | None:
        """Work one flower and tell how it did; its row when there is a pod to harvest."""
        tag, key, looked = self.tag(), len(self.flowers) + 1, day + timedelta(days=20)
        mates = (("garden.plant", plant) for plant in {*pair})
        self.told(day, "record_pollination", "breeding.pollination", key, f"{code}: worked",
                  ("breeding.cross", cross), ("breeding.tag", tag), *mates)  # fmt: skip
        sums.flowers += 1
        row = [key, cross, tag, day.isoformat(), "worked", None, "", None, None, None]
        # Of what should have been looked at this season, every fifth still waits.
        waits = 0.2 if day.year == LAST else 0.004
        late = looked >= TODAY or self.chance.random() < waits
        ripe = not late and self.chance.random() < 0.45
        if not late:
            state = "set" if ripe else "failed"
            row[4:7] = state, looked.isoformat(), "" if ripe else "dried up"
            sums.pods, sums.failed = sums.pods + ripe, sums.failed + (not ripe)
            self.told(looked, "note_pod", "breeding.pollination", key, f"{code}: {state}",
                      ("breeding.cross", cross), ("breeding.tag", tag))  # fmt: skip
        self.flowers.append(row)
        return row if ripe and day.year < LAST else None

    def harvests(self, cross: int, code: str, pods: list[list], sums: Sums) -> None:
        """Pods into one cup, every tenth time into two; then what became of each cup."""
        halves = [pods[::2], pods[1::2]] if self.chance.random() < 0.1 else [pods]
        for number, part in enumerate([half for half in halves if half], 1):
            key, filled, seeds = len(self.cups) + 1, date.max, 0
            for pod in part:
                day = date.fromisoformat(pod[3]) + timedelta(days=self.chance.randint(56, 75))
                pod[4], pod[7], pod[8], pod[9] = "harvested", day.isoformat(), self.seeds(), key
                filled, seeds = min(filled, day), seeds + pod[8]
                self.told(day, "harvest", "breeding.seedcup", key, f"Harvested {pod[8]} seeds",
                          ("breeding.pollination", pod[0]), ("breeding.cross", cross),
                          ("breeding.tag", pod[2]))  # fmt: skip
            self.cup((key, cross, number, f"{code}-{number}", filled, seeds), sums)

    def seeds(self) -> int:
        return self.chance.randint(4, 42)

    def cup(self, cup: tuple, sums: Sums) -> None:
        key, cross, number, code, filled, seeds = cup
        left = seeds // 3 if key % 5 == 0 else 0
        sown, away = seeds - left, filled.year < LAST - 1
        sums.seeds, sums.sown = sums.seeds + seeds, sums.sown + sown
        closed = date(filled.year + 1, 8, 1).isoformat() if away else None
        self.cups.append((key, cross, number, code, filled.isoformat(), seeds, sown, closed,
                          "all sown" if away else ""))  # fmt: skip
        parts = [sown // 2, sown - sown // 2] if sown > 90 else [sown]
        for place, part in enumerate(parts, 1):
            self.pot(cup, place, f"{code}-{place}", part, sums)

    def pot(self, cup: tuple, number: int, code: str, seeds: int, sums: Sums) -> None:
        key, spring = len(self.pots) + 1, cup[4].year + 1
        sown = date(cup[4].year, 11, 25) + timedelta(days=self.chance.randrange(15))
        of = ("breeding.seedcup", cup[0]), ("breeding.cross", cup[1])
        self.told(sown, "sow", "breeding.pot", key, f"Sowed {seeds} seeds", *of)
        up = round(seeds * self.chance.uniform(0.35, 0.75))
        days = [date(spring, 4, 2) + timedelta(days=self.chance.randrange(12)), date(spring, 4, 28)]
        for day, standing in zip(days, [up // 2, up], strict=True):
            self.counts.append((len(self.counts) + 1, key, day.isoformat(), standing))
            self.told(day, "count_up", "breeding.pot", key, f"{standing} standing", *of)
        came = days[0] if up // 2 else days[1] if up else None
        out = up if spring < LAST or key % 5 < 2 else 0
        away = spring < LAST - 1
        self.pots.append((
            key, cup[0], number, code, sown.isoformat(), seeds, up, out, came and came.isoformat(),
            days[1].isoformat(), date(spring + 1, 8, 1).isoformat() if away else None,
            "done" if away else "",
        ))  # fmt: skip
        sums.up, sums.out = sums.up + up, sums.out + out
        self.line_out(key, cup[1], spring, out)

    def line_out(self, pot: int, cross: int, year: int, left: int) -> None:
        """Seedlings into this year's bed, over the end of a row where it must be."""
        day = date(year, 6, 1) + timedelta(days=self.chance.randrange(9))
        away = year + 2 < LAST and not self.hoarder
        bed = (year - LAST + SEASONS) % self.beds + 1
        while left:
            row, first = self.place
            last = min(first + left - 1, ROW_LENGTH)
            key, left = len(self.rows) + 1, left - (last - first + 1)
            self.rows.append((key, pot, cross, bed, row, first, last, day.isoformat(),
                              date(year + 2, 8, 1).isoformat() if away else None,
                              "dug over" if away else ""))  # fmt: skip
            of = ("breeding.pot", pot), ("breeding.cross", cross), ("garden.bed", bed)
            self.told(day, "line_out", "breeding.row", key, f"Lined out {first}–{last}", *of)
            self.place = (row, last + 1) if last < ROW_LENGTH else (row + 1, 1)
            self.choose(key, cross, first, last, year + 1)

    def choose(self, row: int, cross: int, first: int, last: int, year: int) -> None:
        """Now and then a seedling is selected; it becomes a plant and a parent of later years."""
        if year >= LAST or self.chance.random() > PLANTS * 0.4 / (CROSSES * 1.6):
            return
        key, letter = len(self.seedlings) + 1, chr(ord("A") + self.taken)
        code, self.taken = f"{self.code}{letter}", self.taken + 1
        plant = self.plant("", code, self.pair, year)
        self.seedlings.append((key, cross, row, self.chance.randint(first, last), letter, code,
                               date(year, 6, 1).isoformat(), plant))  # fmt: skip


def fill(percent: float, hoarder: bool = False, seed: int = 20) -> dict[str, int]:
    """Fill the empty garden of these settings; how many of each thing stand in it then."""
    from breeding.tagnumbers import tag_codes
    from garden.models import Person

    people = [Person.objects.create_user("Wanda", PASSWORD, role="owner").pk,
              Person.objects.create_user("Emil", PASSWORD, role="helper").pk]  # fmt: skip
    archive = Archive(percent, hoarder, random.Random(seed))
    archive.codes = tag_codes(1000, 10**7)
    archive.stock()
    for year in range(LAST - SEASONS + 1, LAST + 1):
        archive.season(year)
    archive.batch(TODAY, SPARE_TAGS)
    for _ in range(SPARE_TAGS):
        archive.tag()
    write(archive)
    write_journal(archive, people)
    return {
        "plants": len(archive.plants),
        "crosses": len(archive.crosses),
        "flowers": len(archive.flowers),
        "cups": len(archive.cups),
        "pots": len(archive.pots),
        "rows": len(archive.rows),
        "positions": sum(row[6] - row[5] + 1 for row in archive.rows),
        "lines": len(archive.lines),
    }


def open_folder(folder: str) -> None:
    """Make Django ready with its data in `folder`, the database up to date."""
    os.environ["HAFTBOOK_DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "garden.settings"
    import django

    django.setup()
    from garden.opening import collect_static, migrate_if_needed

    migrate_if_needed()
    collect_static()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder")
    parser.add_argument("--percent", type=float, default=100)
    parser.add_argument("--hoarder", action="store_true")
    asked = parser.parse_args()
    open_folder(asked.folder)
    from django.db import connection, transaction

    began = time.perf_counter()
    with connection.cursor() as cursor:
        # Nothing is lost with a benchmark's database.
        cursor.execute("PRAGMA synchronous=OFF")
    with transaction.atomic():
        counts = fill(asked.percent, asked.hoarder)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    told = ", ".join(f"{count:,} {name}" for name, count in counts.items())
    print(f"{asked.percent:g} % in {time.perf_counter() - began:.1f} s: {told}")


if __name__ == "__main__":
    main()
