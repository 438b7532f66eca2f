"""Do the scorers see the same in the same seedlings? What a season's marks can tell of it.

Marks come one by one, since not every scorer sees every seedling. The sums behind it stand in
icc.py, concordance.py and alpha.py and can be had singly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    from evaluation.ranking.concordance import Concordance
    from evaluation.ranking.icc import Estimate

    Floats: TypeAlias = NDArray[np.float64]

# Below this many shared seedlings any number would be chance.
FEWEST_UNITS = 5
# Common order is asked of at least that many seedlings seen by the same people.
FEWEST_IN_COMMON = 3
# Bounds of the words, after Koo & Li (2016), Journal of Chiropractic Medicine 15: 155-163.
WORDS = ((0.9, "Very good"), (0.75, "Good"), (0.5, "Moderate"), (-math.inf, "Poor"))
# From this difference on, strictness is worth a sentence of its own.
STRICTNESS = 0.1


@dataclass(frozen=True)
class Agreement:
    """What marks of several scorers tell; `units`, `scorers`, `marks` are those it rests on.

    `agreement` is ICC(2, 1): the same points. `consistency` is ICC(3, 1): the same differences,
    once every scorer's own strictness is forgiven. `agreement_of_mean` is that of the mean of as
    many scorers as saw a unit on average. All three have 95% intervals, and are ``None`` where
    the marks cannot tell them, as is `order` (Kendall's W of the units that the same people saw).
    `alpha` is Krippendorff's, NaN where it cannot be told.
    """

    units: int
    scorers: int
    marks: int
    sentence: str
    agreement: Estimate | None = None
    consistency: Estimate | None = None
    agreement_of_mean: Estimate | None = None
    order: Concordance | None = None
    alpha: float = math.nan


def agreement(
    units: ArrayLike, scorers: ArrayLike, values: ArrayLike, level: str = "interval"
) -> Agreement:
    """Agreement of scorers in the seedlings that two of them or more saw.

    Parameters
    ----------
    units, scorers
        Shape (m,): the seedling and the person of each mark, by any names that sort.
    values
        Shape (m,): the marks; NaN are left out. Several marks of one seedling by the same person
        count as their mean, here only.
    level
        What distances between marks mean for alpha: see `alpha.LEVELS`. For other levels than
        "interval" and "ratio" no intraclass correlation is told.

    Raises
    ------
    ValueError
        When the three are not of one length, or the level is unknown.
    """
    import numpy as np

    from evaluation.ranking.alpha import LEVELS, krippendorff

    if level not in LEVELS:
        raise ValueError(f"level: unknown word {level!r}")
    values = np.asarray(values, dtype=float)
    units, scorers = np.asarray(units), np.asarray(scorers)
    if not (values.ndim == 1 and units.shape == scorers.shape == values.shape):
        raise ValueError("Every mark needs its seedling and its scorer.")
    table = _shared(units, scorers, values)
    units_seen, people = table.shape
    marks = int((~np.isnan(table)).sum())
    if units_seen < FEWEST_UNITS:
        return Agreement(units_seen, people, marks, _too_few(units_seen))
    alpha = krippendorff(table.T, level)
    told = Agreement(units_seen, people, marks, "", order=_order(table), alpha=alpha)
    if level in ("interval", "ratio"):
        told = _with_correlations(told, table)
    return replace(told, sentence=_sentence(told))


def _too_few(units: int) -> str:
    if not units:
        return "Not enough seedlings seen by two people: none so far."
    return (
        f"Not enough seedlings seen by two people: {units} so far, {FEWEST_UNITS} are the fewest "
        "that tell anything."
    )


def _shared(units: NDArray[Any], scorers: NDArray[Any], values: Floats) -> Floats:
    """Means of cells, shape (units, scorers): units seen by two or more, scorers who saw one."""
    import numpy as np

    there = ~np.isnan(values)
    _, unit = np.unique(units[there], return_inverse=True)
    _, scorer = np.unique(scorers[there], return_inverse=True)
    shape = (int(unit.max(initial=-1)) + 1, int(scorer.max(initial=-1)) + 1)
    sums, times = np.zeros(shape), np.zeros(shape)
    np.add.at(sums, (unit, scorer), values[there])
    np.add.at(times, (unit, scorer), 1.0)
    table = np.divide(sums, times, out=np.full(shape, math.nan), where=times > 0)
    table = table[(times > 0).sum(axis=1) > 1]
    return table[:, ~np.isnan(table).all(axis=0)] if len(table) else np.empty((0, 0))


def _with_correlations(told: Agreement, table: Floats) -> Agreement:
    import numpy as np

    from evaluation.ranking.icc import components

    unit, scorer = np.nonzero(~np.isnan(table))
    try:
        found = components(unit, scorer, table[unit, scorer])
    except ValueError:
        return told
    if math.isnan(found.agreement.value):
        return told
    of_mean = found.agreement.of_mean(found.per_unit)
    return replace(
        told,
        agreement=found.agreement,
        consistency=found.consistency,
        agreement_of_mean=of_mean,
    )


def _order(table: Floats) -> Concordance | None:
    """Kendall's W of the largest block of units that the same people saw."""
    import numpy as np

    from evaluation.ranking.concordance import kendall_w

    busiest = np.argsort(np.isnan(table).sum(axis=0), kind="stable")
    best: Floats | None = None
    for many in range(len(busiest), 1, -1):
        block = table[:, busiest[:many]]
        block = block[~np.isnan(block).any(axis=1)]
        if len(block) >= FEWEST_IN_COMMON and (best is None or block.size > best.size):
            best = block
    return None if best is None else kendall_w(best.T)


def _sentence(told: Agreement) -> str:
    rests = f"{told.units} seedlings, each seen by two or more of {told.scorers} people"
    if told.agreement is None or told.consistency is None:
        if math.isnan(told.alpha):
            return f"Nothing to compare: every mark is the same in {rests}."
        return f"{_word(told.alpha)} agreement: alpha {_two(told.alpha)}, from {rests}."
    same = told.agreement
    text = (
        f"{_word(same.value)} agreement: intraclass correlation {_two(same.value)} "
        f"({_two(same.low)} to {_two(same.high)}), from {rests}."
    )
    if told.consistency.value - same.value >= STRICTNESS:
        text += (
            f" Some are stricter than others; with that forgiven it is "
            f"{_two(told.consistency.value)}."
        )
    return text


def _word(value: float) -> str:
    return next(word for bound, word in WORDS if value >= bound)


def _two(value: float) -> str:
    return f"{value:.2f}".replace("-0.00", "0.00").replace("-", "−")
