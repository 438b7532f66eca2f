"""A balanced set: N crosses chosen together, the kinship of the whole programme under a limit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from math import inf

import numpy as np

from breeding.planning import words
from breeding.planning.pairs import Pairs
from breeding.planning.planner import Answer, Least, Planner

SECONDS = 4.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """The crosses chosen, or why there are none.

    Attributes
    ----------
    rows : tuple of int
        Rows of the pair table, the highest score first; empty where no set was found.
    total : float
        Sum of what was made as large as may be, score or merit, over the crosses; 0 without any.
    bound : float
        No set that keeps to the limits has a higher total; −∞ where there is none.
    proven : bool
        Whether these are the best, or it is certain that none keeps to the limits.
    merit : float or None
        Mean of the expected merit of the crosses where it is known.
    kinship : float or None
        c'Kc of the programme, 0–1.
    limit : float or None
    least : float or None
        Without a set: the least kinship that was found for so many crosses.
    least_bound : float or None
        And what it cannot be below.
    uses : mapping of plant to int
        How often each parent is used, the most used first.
    allowed, looked_at : int
        Pairs that may be chosen, and those among them that the solver weighed one by one. All
        others take part in the bound.
    words : str
        The same in a sentence or two.
    """

    rows: tuple[int, ...]
    total: float
    bound: float
    proven: bool
    merit: float | None
    kinship: float | None
    limit: float | None
    least: float | None
    least_bound: float | None
    uses: Mapping[Hashable, int]
    allowed: int
    looked_at: int
    words: str


def balanced_set(
    pairs: Pairs,
    crosses: int,
    limit: float | None = None,
    most_uses: int | None = None,
    *,
    goal: str = "score",
    seconds: float = SECONDS,
) -> Chosen:
    """Choose N crosses whose sum of scores is highest while the programme keeps to a limit.

    Parameters
    ----------
    pairs : Pairs
        Excluded pairs are never chosen.
    crosses : int
        N, 1 or more; each pair is crossed once.
    limit : float, optional
        Most kinship c'Kc of the programme, 0–1. Each cross gives 1 / 2N of the contributions c to
        either parent, and K holds each plant's kinship with itself.
    most_uses : int, optional
        How often one plant may be a parent, on either side.
    goal : {'score', 'merit'}
        What is summed. Unknown merit counts as the table's mean.
    seconds : float
        For the solver; bounds, and a question that has no answer, may take as long again.

    Returns
    -------
    Chosen

    Raises
    ------
    ValueError
        If a number cannot be, or kinship is far from positive semidefinite.

    Notes
    -----
    The best set at a limit of kinship is the idea of optimal contributions [1]_, here for whole
    crosses. A price on kinship gives a bound over all pairs and each pair's distance from it
    (`relaxing`); pairs too far off to be in a better set are left out, and the rest goes to
    HiGHS by `scipy.optimize.milp` with flat pieces in place of c'Kc (`solving`). Where time ends
    first, or more than 600 pairs are left, the best set found is handed back with the bound.
    Kinships that differ by less than 1e-9 are taken as equal.

    References
    ----------
    .. [1] Meuwissen 1997, Maximizing the response of selection with a predefined rate of
       inbreeding, J. Anim. Sci. 75:934–940 (from memory).

    Examples
    --------
    >>> from breeding.planning.candidates import Candidates
    >>> from breeding.planning.pairs import pair_table
    >>> table = pair_table(Candidates("ABCD", merit=(4, 3, 2, 1)), np.eye(4) / 4)
    >>> [table.pair(row).merit for row in balanced_set(table, 2, goal="merit").rows]
    [3.5, 3.0]
    >>> balanced_set(table, 2, limit=0.0625, goal="merit").uses
    {'A': 1, 'B': 1, 'C': 1, 'D': 1}
    """
    check_limit(limit)
    planner = Planner(pairs, crosses, most_uses, goal)
    if planner.possible < crosses:
        return impossible(planner, limit)
    bar = inf if limit is None else limit
    answer = planner.choose(bar, seconds)
    if answer.found is None:
        return nothing(planner, bar, answer, planner.least(seconds))
    return chosen(planner, bar, answer)


def check_limit(limit: float | None) -> None:
    """Raise ValueError unless it can be a kinship."""
    if limit is not None and not 0 <= limit <= 1:
        raise ValueError("A limit of kinship lies between 0 and 1.")


def chosen(planner: Planner, limit: float, answer: Answer) -> Chosen:
    """What is told of a set that was found."""
    found = answer.found
    assert found is not None
    rows, pairs = planner.rows(found), planner.pairs
    merits = pairs.columns["merit"][list(rows)]
    known = merits[~np.isnan(merits)]
    parents = [pairs.keys[at] for row in rows for at in (pairs.seed[row], pairs.pollen[row])]
    return Chosen(
        rows=rows,
        total=found.value,
        bound=max(answer.bound, found.value),
        proven=answer.proven,
        merit=float(known.mean()) if len(known) else None,
        kinship=found.kinship,
        limit=None if limit == inf else limit,
        least=None,
        least_bound=None,
        uses=dict(Counter(parents).most_common()),
        allowed=len(planner.allowed),
        looked_at=answer.looked_at,
        words=words.of_set(
            len(rows), len(planner.allowed), found.value, answer.bound, answer.proven
        ),
    )


def nothing(planner: Planner, limit: float, answer: Answer, least: Least) -> Chosen:
    """What is told where no set keeps to the limit, or none was found."""
    if least.found.kinship <= limit:
        # The search for the least kinship met one after all.
        return chosen(planner, limit, Answer(least.found, answer.bound, answer.looked_at))
    proven = answer.proven or least.bound > limit
    said = words.too_low(
        planner.programme.crosses, limit, least.found.kinship, least.bound, proven, least.proven
    )
    bound = -inf if proven else answer.bound
    return _none(planner, limit, bound, said, (least.found.kinship, least.bound), answer.looked_at)


def impossible(planner: Planner, limit: float | None) -> Chosen:
    """What is told where so many crosses cannot be made at all."""
    said = words.too_many(planner.programme.crosses, planner.possible, len(planner.allowed))
    return _none(planner, inf if limit is None else limit, -inf, said, (None, None), 0)


def _none(
    planner: Planner,
    limit: float,
    bound: float,
    said: str,
    least: tuple[float | None, float | None],
    looked_at: int,
) -> Chosen:
    return Chosen(
        rows=(),
        total=0.0,
        bound=bound,
        proven=bound == -inf,
        merit=None,
        kinship=None,
        limit=None if limit == inf else limit,
        least=least[0],
        least_bound=least[1],
        uses={},
        allowed=len(planner.allowed),
        looked_at=looked_at,
        words=said,
    )
