"""What a lower kinship costs: sets of crosses from the least kinship to the highest score."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from breeding.planning.choosing import Chosen, chosen
from breeding.planning.pairs import Pairs
from breeding.planning.planner import Answer, Planner

SECONDS = 0.5


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the curve: a limit, and the set that was chosen for it.

    `kinship` and `total` are the set's own, `bound` the total that none within the limit passes.
    """

    limit: float
    kinship: float
    total: float
    bound: float
    chosen: Chosen


def trade_off(
    pairs: Pairs,
    crosses: int,
    points: int = 8,
    most_uses: int | None = None,
    *,
    goal: str = "score",
    seconds: float = SECONDS,
) -> list[Point]:
    """Balanced sets at limits from the least kinship possible up to where it limits nothing.

    Parameters
    ----------
    pairs, crosses, most_uses, goal
        As for `choosing.balanced_set`.
    points : int
        2 or more, at even distances of kinship.
    seconds : float
        For the solver at each point.

    Returns
    -------
    list of Point
        Kinship, total and bound never fall from one to the next; fewer than `points` where sets
        repeat, empty where so many crosses cannot be made.

    Notes
    -----
    What is learned at one limit serves the others; each set is the best of all that were found.
    The first limit is the least kinship found, which is the least there is or, where the solver's
    time ended, close above it.

    Examples
    --------
    >>> from breeding.planning.candidates import Candidates
    >>> from breeding.planning.pairs import pair_table
    >>> table = pair_table(Candidates("ABCD", merit=(4, 3, 2, 1)), np.eye(4) / 4)
    >>> [(point.kinship, point.total) for point in trade_off(table, 2, goal="merit")]
    [(0.0625, 5.0), (0.09375, 6.5)]
    """
    if points < 2:
        raise ValueError("A curve has two points or more.")
    planner = Planner(pairs, crosses, most_uses, goal)
    if planner.possible < crosses:
        return []
    free = planner.choose(inf, seconds)
    least = planner.least(seconds)
    assert free.found is not None
    highest = max(free.found.kinship, least.found.kinship)
    limits = np.linspace(least.found.kinship, highest, points).tolist()
    answers = [planner.choose(limit, seconds) for limit in limits[:-1]]
    # At the end the free set itself keeps the limit, so that nothing is left to look for.
    answers.append(free)
    return _points(planner, limits, answers)


def _points(planner: Planner, limits: list[float], answers: list[Answer]) -> list[Point]:
    """The best of all sets met for each limit; what bounds a higher limit bounds a lower one."""
    bounds = np.minimum.accumulate([each.bound for each in answers][::-1])[::-1].tolist()
    told: list[Point] = []
    for limit, answer, bound in zip(limits, answers, bounds, strict=True):
        found = planner.programme.best(limit)
        assert found is not None
        answer = Answer(found, max(bound, found.value), answer.looked_at)
        one = chosen(planner, limit, answer)
        point = Point(limit, found.kinship, found.value, answer.bound, one)
        if told and told[-1].chosen.rows == one.rows:
            # The wider limit says more about the same set.
            told[-1] = point
        else:
            told.append(point)
    return told
