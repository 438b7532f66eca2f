"""Which crosses a season sees: a hybridizer's aims, runs and odd ideas. Free of Django."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from evaluation.demo.cast import Parent

CROSSES_A_SEASON = 54
# First and last day of bloom (month, day) of the classes, in an ordinary spring.
BLOOM = {
    "MDB": ((4, 22), (5, 2)),
    "SDB": ((4, 24), (5, 10)),
    "SPECIES": ((4, 22), (5, 2)),
    "IB": ((5, 7), (5, 20)),
    "MTB": ((5, 20), (6, 6)),
    "BB": ((5, 20), (6, 8)),
    "TB": ((5, 18), (6, 11)),
}
EARLIER_OR_LATER = {"VE": 0.1, "E": 0.25, "EM": 0.4, "M": 0.5, "ML": 0.65, "L": 0.8, "VL": 0.9}
Pair = tuple[str, str]


@dataclass(frozen=True)
class Planned:
    """One cross of a season: seed parent, pollen parent (None: bee pod), flowers, first day."""

    seed: Parent
    pollen: Parent | None
    flowers: int
    day: date
    note: str = ""


def season_plan(
    dice: random.Random, season: int, late: int, parents: list[Parent], scale: float
) -> list[Planned]:
    """The crosses of one season among `parents`; `late`: how many days bloom is behind."""
    count = max(6, round(CROSSES_A_SEASON * scale))
    usable = [parent for parent in parents if parent.line and parent.used_from <= season]
    plan: dict[Pair, tuple[Parent, Parent | None, str]] = {}
    for seed, pollen, note in _ideas(dice, usable, scale):
        plan.setdefault((seed.key, pollen.key if pollen else ""), (seed, pollen, note))
        if len(plan) == count:
            break
    return [
        Planned(
            seed,
            pollen,
            dice.choice((2, 2, 3, 3, 4, 4, 5, 6)) if pollen else dice.choice((1, 1, 2)),
            bloom_day(dice, season, late, seed),
            note,
        )
        for seed, pollen, note in plan.values()
    ]


def bloom_day(dice: random.Random, season: int, late: int, parent: Parent) -> date:
    """A day on which the plant has fresh flowers."""
    first, last = (date(season, *day) for day in BLOOM[parent.iris_class])
    share = EARLIER_OR_LATER[parent.season] + dice.uniform(-0.2, 0.2)
    days = round((last - first).days * min(max(share, 0), 1))
    return first + timedelta(days=days + late)


def _ideas(
    dice: random.Random, usable: list[Parent], scale: float
) -> Iterator[tuple[Parent, Parent | None, str]]:
    """Runs, selfings, bee pods and reciprocal pairs first; then crosses within the lines."""
    tall = [parent for parent in usable if parent.iris_class == "TB"]
    small = [parent for parent in usable if parent.iris_class == "SDB"]
    recent = sorted(tall, key=lambda parent: -parent.year)[:16]
    some = max(1, round(2 * scale))
    for favourite in dice.sample(recent, some):
        mothers = [parent for parent in tall if parent is not favourite]
        for mother in dice.sample(mothers, max(3, round(8 * scale))):
            yield mother, favourite, ""
    for plant in dice.sample(recent, some):
        yield plant, plant, "Selfed on purpose."
    for plant in dice.sample(usable, some):
        yield plant, None, "A pod that bees made."
    yield dice.choice(small), dice.choice(recent), "Pollen of last year, kept cold."
    for _ in range(round(3 * scale)):
        one, other = dice.sample(recent, 2)
        yield one, other, ""
        yield other, one, ""
    while True:
        yield *_within_a_line(dice, usable), ""


def _within_a_line(dice: random.Random, usable: list[Parent]) -> tuple[Parent, Parent]:
    """Two plants of one line, the younger ones more often."""
    line = dice.choice([parent.line for parent in usable])
    members = sorted(
        (parent for parent in usable if parent.line == line), key=lambda parent: parent.year
    )
    weights = range(2, len(members) + 2)
    one = dice.choices(members, weights)[0]
    other = dice.choice([parent for parent in members if parent is not one])
    return (one, other) if dice.random() < 0.5 else (other, one)
