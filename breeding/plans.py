"""A plan for a goal: its pairs ranked, the set of crosses chosen together, what kinship costs.

numpy comes with the first plan that is asked for, scipy with the first set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from breeding.models import Goal
from breeding.planground import Ground, Question, the_ground, trimmed
from breeding.planrecord import to_cross_summary
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


@dataclass(frozen=True)
class Plan:
    """The pairs of a goal's candidates under certain weights and limits.

    `weights` by column; `set_limit` None where the programme's kinship has no limit.
    """

    ground: Ground
    weights: Mapping[str, float]
    pair_limit: float
    set_limit: float | None
    crosses: int

    @property
    def possible(self) -> bool:
        """Whether there is any pair."""
        return len(self.ground.keys) > 1

    @property
    def pairs(self) -> Pairs:
        return self.ground.table(dict(self.weights), self.pair_limit)

    def ranked(self, first: int, many: int, near: bool = False) -> list[Pair]:
        """A page of the pairs of the highest scores; with `near` those above the limit as well."""
        return self.pairs.best(first + many, with_excluded=near)[first:] if self.possible else []

    def chosen(self) -> Chosen:
        """The balanced set; up to some seconds the first time."""
        from breeding.planning.choosing import balanced_set

        pairs, key = self.pairs, (self.crosses, self.set_limit)
        held = _sets(pairs)
        with self.ground.solving:
            if key not in held.sets:
                trimmed(held.sets, MOST_SETS)
                held.sets[key] = balanced_set(
                    pairs, self.crosses, self.set_limit, seconds=SET_SECONDS
                )
            found = held.sets[key]
            # Where time ended before the proof, the curve may have met a better one.
            for point in held.curves.get(self.crosses, ()):
                within = self.set_limit is None or point.kinship <= self.set_limit
                if within and point.chosen.rows and point.total > found.total + SAME:
                    found = replace(point.chosen, limit=self.set_limit)
            return found

    def curve(self) -> list[Point]:
        """What a lower kinship of the programme costs; some seconds the first time."""
        from breeding.planning.curve import trade_off

        pairs = self.pairs
        held = _sets(pairs)
        with self.ground.solving:
            if self.crosses not in held.curves:
                trimmed(held.curves, MOST_SETS)
                held.curves[self.crosses] = trade_off(
                    pairs, self.crosses, POINTS, seconds=POINT_SECONDS
                )
            return held.curves[self.crosses]


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
    from breeding.planground import forget as forget_grounds

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
    }
    return Plan(the_ground(garden, question, today), **(own | asked))
