"""What a goal asks of the garden: the plants that may be parents, and every pair of them.

Held in memory as long as nothing of it moves.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from breeding import worths
from breeding.blooming import GardenBloom, in_store, the_bloom
from breeding.fertile import Fertility, the_fertility
from breeding.heredity import GardenCopies, the_copies
from breeding.kin import GardenPedigree, the_pedigree
from breeding.models import Goal
from breeding.pages.planchance import WantedTypes
from breeding.pages.planseason import coming_season
from breeding.worths import Value, Values
from garden.calendar import GardenCalendar
from garden.models import Garden

if TYPE_CHECKING:
    from breeding.planning.candidates import Candidates, Floats
    from breeding.planning.pairs import Pairs

# 44,850 pairs are weighed at once; of more plants those that promise most.
MOST_CANDIDATES = 300
MOST_GROUNDS, MOST_TABLES = 3, 4


@dataclass(frozen=True, slots=True)
class Question:
    """Everything that a goal asks and that does not depend on how columns are weighed."""

    iris_class: str
    wanted: tuple[tuple[str, str], ...]
    traits: tuple[tuple[str, float], ...]
    season: int

    @classmethod
    def of(cls, goal: Goal, calendar: GardenCalendar, today: date) -> Question:
        """As the goal stands, for the season that can still be planned."""
        traits = ((str(key), float(weight)) for key, weight in goal.traits)
        return cls(
            goal.iris_class,
            tuple((str(symbol), str(key)) for symbol, key in goal.wanted),
            tuple((key, weight) for key, weight in traits if weight > 0),
            coming_season(calendar, today),
        )


@dataclass(frozen=True, slots=True)
class Sources:
    """What the matrices are made of, each as its own part of the house holds it."""

    kin: GardenPedigree
    copies: GardenCopies | None
    bloom: GardenBloom
    fertility: Fertility
    values: Values
    stored: frozenset[int]

    @classmethod
    def now(cls, garden: Garden, question: Question, today: date) -> Sources:
        """Each as of now; six queries at most when nothing moved."""
        return cls(
            the_pedigree(garden),
            the_copies(garden) if question.wanted else None,
            the_bloom(garden, today),
            the_fertility(),
            worths.values(garden, [key for key, _ in question.traits]),
            frozenset(in_store(today)),
        )

    def same(self, other: Sources) -> bool:
        """Whether nothing moved between the two; looks at no contents."""
        held = ("kin", "copies", "fertility", "values")
        return all(getattr(self, name) is getattr(other, name) for name in held) and (
            (self.bloom.key, self.stored) == (other.bloom.key, other.stored)
        )


@dataclass
class Ground:
    """The candidates of one question with their matrices, and the tables made of them so far.

    Attributes
    ----------
    keys : tuple of int
        Candidates, MOST_CANDIDATES at most.
    growing : int
        Plants that might have been candidates.
    index : dict of int to Value
        What each candidate is worth for the goal, in points; only of those that anything is known
        of.
    wanted : WantedTypes or None
    """

    question: Question
    sources: Sources
    keys: tuple[int, ...]
    growing: int
    index: dict[int, Value]
    wanted: WantedTypes | None
    candidates: Candidates
    kin: Floats
    overlap: Floats | None
    fertility: Floats
    lock: threading.Lock = field(default_factory=threading.Lock)
    # Of the solver, so that tables need not wait for it.
    solving: threading.Lock = field(default_factory=threading.Lock)
    tables: dict[tuple[Any, ...], Pairs] = field(default_factory=dict)

    def table(self, weights: dict[str, float], limit: float, least_chance: float) -> Pairs:
        """All pairs, weighed so, those marked that are never chosen; kept for the next question.

        Where no flower shows all the wanted types, no chance is too low.
        """
        from breeding.planning.candidates import Weights
        from breeding.planning.pairs import pair_table

        least = least_chance if self.wanted and not self.wanted.hidden else 0.0
        key = (tuple(sorted(weights.items())), limit, least)
        with self.lock:
            if key not in self.tables:
                trimmed(self.tables, MOST_TABLES)
                self.tables[key] = pair_table(
                    self.candidates,
                    self.kin,
                    self.wanted.matrix if self.wanted else None,
                    self.overlap,
                    self.fertility,
                    Weights(**weights),
                    limit,
                    least,
                )
            return self.tables[key]


def trimmed(kept: dict[Any, Any], most: int) -> None:
    """Make room for one more: the oldest goes."""
    while len(kept) >= most:
        kept.pop(next(iter(kept)))


_grounds: dict[Question, Ground] = {}
_lock = threading.Lock()


def forget() -> None:
    """Let everything go that is held."""
    _grounds.clear()


def the_ground(garden: Garden, question: Question, today: date) -> Ground:
    """The candidates of a question, worked out again only when something of it moved.

    Notes
    -----
    Six queries at most when nothing moved. Otherwise the copies at the loci that matter are
    inferred, bloom and fertility fitted, the model of merit solved: each only if it moved itself.
    """
    sources = Sources.now(garden, question, today)
    held = _grounds.get(question)
    if held is None or not held.sources.same(sources):
        with _lock:
            held = _grounds.get(question)
            if held is None or not held.sources.same(sources):
                held = _made(question, sources)
                _grounds.pop(question, None)
                trimmed(_grounds, MOST_GROUNDS)
                _grounds[question] = held
    return held


def _made(question: Question, sources: Sources) -> Ground:
    import numpy as np

    from breeding.planning.candidates import Candidates

    growing = [
        plant
        for plant, line in sources.kin.lines.items()
        if line.growing and question.iris_class in ("", line.iris_class)
    ]
    index = _index(question, sources.values, growing)
    wanted = None
    if sources.copies is not None:
        wanted = WantedTypes(sources.copies, question.wanted, growing)
        wanted = wanted if wanted.wanted else None
    keys = growing
    if len(growing) > MOST_CANDIDATES:
        keys = _promising(growing, index, wanted)
        wanted = wanted.among(keys) if wanted else None
    known = [index.get(plant) for plant in keys]
    return Ground(
        question,
        sources,
        tuple(keys),
        len(growing),
        index,
        wanted,
        Candidates(
            keys,
            np.array([each.value if each else np.nan for each in known]),
            np.array([each.error if each else np.nan for each in known]),
        ),
        sources.kin.pedigree.kinship_matrix(keys) if keys else np.zeros((0, 0)),
        _overlap(sources, keys, question.season),
        sources.fertility.pods.pair_means(keys, keys) if keys else np.zeros((0, 0)),
    )


def _index(question: Question, values: Values, plants: Sequence[int]) -> dict[int, Value]:
    """The weighed mean of breeding values: of all scores together, and of the goal's traits.

    Merit weighs 1. Of a plant that nothing is known of at a trait, its value there is the
    founders' mean, and its error what breeding values of founders differ by. Errors are taken as
    independent, which makes the mean's too small where a trait counts in the merit too.
    """
    found = {}
    whole = 1 + sum(weight for _, weight in question.traits)
    for plant in plants:
        merit = values.merit.get(plant)
        told = [(values.traits.get(key, {}).get(plant), key, weight)
                for key, weight in question.traits]  # fmt: skip
        if merit is None and not any(each for each, _, _ in told):
            continue
        value, square = (merit.value, merit.error**2) if merit else (0.0, 0.0)
        for each, key, weight in told:
            error = each.error if each else values.trait_spread.get(key, 0.0)
            value += weight * each.value if each else 0.0
            square += (weight * error) ** 2
        known = [each.reliability for each in (merit, *(trait for trait, _, _ in told)) if each]
        found[plant] = Value(value / whole, square**0.5 / whole, max(known))
    return found


def _promising(
    plants: Sequence[int], index: dict[int, Value], wanted: WantedTypes | None
) -> list[int]:
    """Those of the highest merit and the highest chance of the wanted types, both alike.

    What is not known counts as the mean.
    """
    import numpy as np

    from breeding.planning.columns import scaled

    merit = np.array([index[plant].value if plant in index else np.nan for plant in plants])
    score = scaled(merit)
    if wanted is not None:
        score = score + scaled(wanted.with_anybody())
    best = np.argsort(-score, kind="stable")[:MOST_CANDIDATES]
    return [plants[at] for at in sorted(best.tolist())]


def _overlap(sources: Sources, keys: Sequence[int], season: int) -> Floats | None:
    """Chances that a pair can be crossed: both open on one day, or pollen of the one in store.

    None before the first note of bloom.
    """
    if not sources.bloom.noted or not keys:
        return None
    found = sources.bloom.flowering.overlaps(keys, season)
    stored = [at for at, plant in enumerate(keys) if plant in sources.stored]
    found[:, stored] = 1.0
    return found
