"""Which crosses a season sees: a hybridizer's aims, runs and odd ideas. Free of Django."""

from __future__ import annotations

import random
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain

from evaluation.demo.cast import Parent
from evaluation.demo.spring import Chance, Spring

CROSSES_A_SEASON = 54
# Crosses of a season with pollen that was put by some weeks before.
JARS_OF_THE_SEASON = 4
Pair = tuple[str, str]
Idea = tuple[Parent, Parent | None, str]


@dataclass(frozen=True)
class Planned:
    """One cross of a season: seed parent, pollen parent (None: bee pod), flowers, first day.

    `jar` is 'this' or 'last' for pollen put by in this season or in the one before, '' for fresh.
    """

    seed: Parent
    pollen: Parent | None
    flowers: int
    day: date
    note: str = ""
    jar: str = ""


def season_plan(
    dice: random.Random,
    season: int,
    spring: Spring,
    parents: list[Parent],
    kept: Collection[str],
    scale: float,
    wishes: Sequence[tuple[Parent, Parent]] = (),
) -> list[Planned]:
    """The crosses of one season among `parents`, on days on which they can be made.

    `kept`: the keys of plants whose pollen of last year is in store; `wishes`: pairs that are
    thought of before all others.
    """
    count = max(6, round(CROSSES_A_SEASON * scale))
    usable = [parent for parent in parents if parent.line and parent.used_from <= season]
    jarred = [parent for parent in usable if parent.key in kept]
    plan: dict[Pair, tuple[Idea, Chance]] = {}
    put_by = 0
    first = [(seed, pollen, "") for seed, pollen in wishes[: count // 6]]
    for idea in chain(first, _ideas(dice, usable, jarred, scale)):
        seed, pollen, _ = idea
        pair = seed.key, pollen.key if pollen else ""
        chance = spring.chance(seed, pollen, season)
        wanting = chance.jar == "last" and pair[1] not in kept
        if pair in plan or wanting or (chance.jar == "this" and put_by == JARS_OF_THE_SEASON):
            continue
        put_by += chance.jar == "this"
        plan[pair] = idea, chance
        if len(plan) == count:
            break
    return [_planned(dice, idea, chance) for idea, chance in plan.values()]


def _planned(dice: random.Random, idea: Idea, chance: Chance) -> Planned:
    seed, pollen, note = idea
    flowers = dice.choice((2, 2, 3, 3, 4, 4, 5, 6)) if pollen else dice.choice((1, 1, 2))
    day = chance.first + timedelta(days=dice.randint(0, (chance.last - chance.first).days))
    if chance.jar == "last":
        note = "Pollen of last year, kept cold."
    elif chance.jar == "this":
        note = "Pollen from the jar."
    return Planned(seed, pollen, flowers, day, note, chance.jar)


def recent_ones(usable: list[Parent]) -> list[Parent]:
    """The tall irises that a hybridizer thinks of first."""
    tall = [parent for parent in usable if parent.iris_class == "TB"]
    return sorted(tall, key=lambda parent: -parent.year)[:16]


def _ideas(
    dice: random.Random, usable: list[Parent], jarred: list[Parent], scale: float
) -> Iterator[Idea]:
    """Runs, selfings, bee pods and reciprocal pairs first; then crosses within the lines."""
    tall = [parent for parent in usable if parent.iris_class == "TB"]
    small = [parent for parent in usable if parent.iris_class == "SDB"]
    recent = recent_ones(usable)
    some = max(1, round(2 * scale))
    for favourite in dice.sample(recent, some):
        mothers = [parent for parent in tall if parent is not favourite]
        for mother in dice.sample(mothers, max(3, round(8 * scale))):
            yield mother, favourite, ""
    for plant in dice.sample(recent, some):
        yield plant, plant, "Selfed on purpose."
    for plant in dice.sample(usable, some):
        yield plant, None, "A pod that bees made."
    for father in jarred[:2]:
        yield dice.choice(small), father, ""
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
