"""A plan for a goal: its pairs ranked, the set of crosses chosen together, what kinship costs.

numpy comes with the first plan that is asked for, scipy with the first set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

from breeding.models import Goal
from breeding.pages.planground import Ground, Question, the_ground, trimmed
from breeding.pages.planrecord import to_cross_summary
from breeding.pages.planwords import own_kinship
from garden.models import Garden

if TYPE_CHECKING:
    from breeding.planning.choosing import Chosen
    from breeding.planning.curve import Point
    from breeding.planning.pairs import Pair, Pairs

__all__ = ["COLUMNS", "USUAL_WEIGHTS", "Plan", "forget", "the_plan", "to_cross_summary"]

# The columns of the pair table in their order, and what each counts unless a goal says otherwise.
USUAL_WEIGHTS = {"merit": 1.0, "chance": 1.0, "kinship": 0.5, "overlap": 0.5, "fertility": 0.5}
COLUMNS = tuple(USUAL_WEIGHTS)
POINTS = 7
# Seconds that the solver may take for the set, and for each point of the curve.
SET_SECONDS, POINT_SECONDS = 2.0, 0.2
MOST_SETS = 16
SAME = 1e-9
# Without a limit a set is chosen as from the first of so many unrelated parents that does not lie
# in the lowest part of the curve, where little kinship costs most; else halfway up the curve.
USUAL_PARENTS = (8, 4)
LOWEST_PART = 0.2


@dataclass(frozen=True)
class Plan:
    """The pairs of a goal's candidates under certain weights and limits.

    `weights` by column; `set_limit` None where a middle point of the curve is to be chosen, 1 where
    the programme's kinship has no limit; `own` is the kinship of a plant from unrelated parents
    with itself.
    """

    ground: Ground
    weights: Mapping[str, float]
    pair_limit: float
    set_limit: float | None
    crosses: int
    least_chance: float
    own: float

    @property
    def possible(self) -> bool:
        """Whether there is any pair."""
        return len(self.ground.keys) > 1

    @property
    def pairs(self) -> Pairs:
        return self.ground.table(dict(self.weights), self.pair_limit, self.least_chance)

    @property
    def worthy(self) -> int:
        """Pairs that may be chosen."""
        return int((~self.pairs.excluded).sum()) if self.possible else 0

    @property
    def many(self) -> int:
        """How many crosses are chosen: as many as asked for, fewer where no more are worth it."""
        return min(self.crosses, self.worthy)

    @property
    def unit(self) -> float:
        """What a score is divided by, so that it is a mean of the columns that say anything."""
        told = sum(self.weights[name] for name, part in self.pairs.parts.items() if part.any())
        return told or 1.0

    @cached_property
    def limit(self) -> float:
        """The highest kinship of the set; a middle point of the curve where none is asked for."""
        if self.set_limit is not None:
            return self.set_limit
        points = self.curve()
        if not points:
            return 1.0
        low, high = points[0].kinship, points[-1].kinship
        floor = low + LOWEST_PART * (high - low)
        usual = [self.own / many for many in USUAL_PARENTS if self.own / many >= floor]
        return usual[0] if usual else (low + high) / 2

    def ranked(self, first: int, many: int, near: bool = False) -> list[Pair]:
        """A page of the pairs of the highest scores; with `near` those above the limit as well."""
        return self.pairs.best(first + many, with_excluded=near)[first:] if self.possible else []

    def chosen(self) -> Chosen:
        """The balanced set; up to some seconds the first time."""
        from breeding.planning.choosing import balanced_set

        limit = None if self.limit >= 1 else self.limit
        pairs, many = self.pairs, max(self.many, 1)
        key, held = (many, limit), _sets(self.pairs)
        with self.ground.solving:
            if key not in held.sets:
                trimmed(held.sets, MOST_SETS)
                held.sets[key] = balanced_set(pairs, many, limit, seconds=SET_SECONDS)
            found = held.sets[key]
            # Where time ended before the proof, the curve may have met a better one.
            for point in held.curves.get(many, ()):
                within = point.kinship <= self.limit
                better = not found.rows or point.total > found.total + SAME
                if within and point.chosen.rows and better:
                    found = replace(point.chosen, limit=limit)
            return found

    def curve(self) -> list[Point]:
        """What a lower kinship of the programme costs; some seconds the first time."""
        from breeding.planning.curve import trade_off

        pairs, many = self.pairs, max(self.many, 1)
        held = _sets(pairs)
        with self.ground.solving:
            if many not in held.curves:
                trimmed(held.curves, MOST_SETS)
                held.curves[many] = trade_off(pairs, many, POINTS, seconds=POINT_SECONDS)
            return held.curves[many]


@dataclass
class _Sets:
    """Sets and curves found for one table of pairs."""

    pairs: Pairs
    sets: dict[tuple[int, float | None], Chosen] = field(default_factory=dict)
    curves: dict[int, list[Point]] = field(default_factory=dict)


_held: list[_Sets] = []


def _sets(pairs: Pairs) -> _Sets:
    """What was found for a table; of the tables asked for last."""
    for held in _held:
        if held.pairs is pairs:
            return held
    held = _Sets(pairs)
    _held.append(held)
    del _held[:-MOST_SETS]
    return held


def forget() -> None:
    """Let everything go that is held."""
    from breeding.pages.planground import forget as forget_grounds

    _held.clear()
    forget_grounds()


def the_plan(garden: Garden, goal: Goal, today: date, **asked: Any) -> Plan:
    """The plan of a goal; `asked` are weights and limits other than its own.

    Six queries at most when nothing moved.
    """
    question = Question.of(goal, garden.calendar, today)
    weights = USUAL_WEIGHTS | {
        name: float(weight) for name, weight in goal.weights.items() if name in USUAL_WEIGHTS
    }
    own = {
        "weights": weights,
        "pair_limit": goal.pair_limit,
        "set_limit": goal.set_limit,
        "crosses": goal.crosses,
        "least_chance": goal.least_chance,
        "own": own_kinship(goal.iris_class, garden.double_reduction),
    }
    return Plan(the_ground(garden, question, today), **(own | asked))
