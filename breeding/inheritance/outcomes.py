"""The kinds of flowers that a cross may give at several loci, as the eye tells them apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, permutations
from math import isqrt, prod, sqrt
from typing import TYPE_CHECKING, Any

from breeding.inheritance.mixtures import HELD, NEARLY
from breeding.inheritance.parents import Readings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

    Rows = list[tuple[Array, Array]]

# Combinations of types gone through; the rarest beyond are left out, and their chance is told.
MOST_COMBINATIONS = 2048
# Readings of all loci together: all of them up to so many, else so many, in steps.
MOST_JOINT = 256


@dataclass(frozen=True, slots=True)
class Outcome:
    """One kind of flower: the types that can be seen, and its chance with an interval (0–1)."""

    types: dict[str, str]
    chance: float
    low: float
    high: float


def outcomes_of(
    crosses: Sequence[Readings], held: float = HELD
) -> tuple[tuple[Outcome, ...], float]:
    """All kinds of flowers, the likeliest first, and the chance of what was left out.

    Parameters
    ----------
    crosses : sequence of Readings
        One for each locus; loci are taken as not linked.
    held : float
        Share of the readings that an interval holds.

    Returns
    -------
    tuple of Outcome
        Seedlings that look alike are one outcome: where a type hides another locus, that one is
        not named.
    float
        0, unless there are more than 2,048 combinations of types.

    Notes
    -----
    Chances are exact means over the readings. Intervals are quantiles over the joint readings of
    all loci, or over 256 of them, in equal steps of the probability at each locus, the orders
    unlike (no dice: the same again every time).
    """
    import numpy as np

    rows = [each.distinct() for each in crosses]
    weights, joint = joint_readings(rows)
    combos, means, table = _combined([w @ chances for w, chances in rows], joint)
    seen, place = _seen(crosses, combos)
    chance = np.bincount(place, means, minlength=len(seen))
    by_outcome = place.argsort(kind="stable")
    starts = np.searchsorted(place[by_outcome], np.arange(len(seen)))
    whole = np.add.reduceat(table[:, by_outcome], starts, axis=1)
    low, high = _quantiles(whole, weights, ((1 - held) / 2, (1 + held) / 2))
    keys = [each.keys for each in crosses]
    found = [
        Outcome(
            {cross.locus.symbol: keys[at][kind]
             for at, (cross, kind) in enumerate(zip(crosses, kinds, strict=True)) if kind >= 0},
            float(chance[one]), float(low[one]), float(high[one]),
        )
        for one, kinds in enumerate(seen.tolist())
    ]  # fmt: skip
    left = max(0.0, 1 - float(means.sum()))
    return tuple(sorted(found, key=lambda one: -one.chance)), left if left > NEARLY else 0.0


def joint_readings(rows: Rows, most: int = MOST_JOINT) -> tuple[Array, list[Array]]:
    """Weights of joint readings, shape (n,), and for each locus the chances, shape (n, types).

    All joint readings when there are no more than `most`, else so many of them, evenly.
    """
    import numpy as np

    sizes = [len(weights) for weights, _ in rows]
    many = prod(sizes)
    if many <= most:
        places = list(np.unravel_index(np.arange(many), sizes)) if rows else []
        weights = np.ones(many)
        for (each, _), at in zip(rows, places, strict=True):
            weights = weights * each[at]
        return weights, [chances[at] for (_, chances), at in zip(rows, places, strict=True)]
    steps, picked = np.arange(most), []
    for root, (each, chances) in zip(_roots(), rows, strict=False):
        order = (steps * root % 1).argsort().argsort()
        at = np.searchsorted(each.cumsum(), (order + 0.5) / most)
        picked.append(chances[at.clip(max=len(each) - 1)])
    return np.full(most, 1 / most), picked


def _roots() -> Iterator[float]:
    """Square roots of the numbers that no square divides: no two have a common measure, so that
    their multiples put the same steps into unlike orders."""
    for number in count(2):
        if all(number % (root * root) for root in range(2, isqrt(number) + 1)):
            yield sqrt(number)


def _combined(means: list[Array], joint: list[Array]) -> tuple[Array, Array, Array]:
    """(combinations of types by their places, their mean chances, their chances by reading)."""
    import numpy as np

    combos, chance = np.zeros((1, 0), dtype=int), np.ones(1)
    table = np.ones((len(joint[0]) if joint else 1, 1))
    for mean, chances in zip(means, joint, strict=True):
        there = np.flatnonzero(mean > 0)
        chance = np.outer(chance, mean[there]).ravel()
        combos = np.column_stack((combos.repeat(len(there), axis=0), np.tile(there, len(combos))))
        table = (table[:, :, None] * chances[:, None, there]).reshape(len(table), -1)
        if len(chance) > MOST_COMBINATIONS:
            kept = (-chance).argsort(kind="stable")[:MOST_COMBINATIONS]
            combos, chance, table = combos[kept], chance[kept], table[:, kept]
    return combos, chance, table


def _seen(crosses: Sequence[Readings], combos: Array) -> tuple[Array, Array]:
    """What is seen of each combination: distinct rows with −1 where hidden, and each one's row."""
    import numpy as np

    hidden = np.zeros(combos.shape, dtype=bool)
    for at, place in permutations(range(len(crosses)), 2):
        one, other = crosses[at].locus, crosses[place].locus
        for kind, type_ in enumerate(other.types):
            if one.symbol not in type_.hides:
                continue
            # Of two loci that hide each other the earlier one shows.
            wins = [at < place and other.symbol in mine.hides for mine in one.types]
            covers = combos[:, place] == kind
            hidden[covers & ~np.array(wins)[combos[:, at]], at] = True
    seen, row = np.unique(np.where(hidden, -1, combos), axis=0, return_inverse=True)
    return seen, row.ravel()


def _quantiles(table: Array, weights: Array, shares: Sequence[float]) -> tuple[Array, ...]:
    """Weighted quantiles of each column."""
    import numpy as np

    order = table.argsort(axis=0)
    reached = weights[order].cumsum(axis=0)
    ranked = np.take_along_axis(table, order, axis=0)
    found = []
    for share in shares:
        at = (reached >= share - NEARLY).argmax(axis=0)
        found.append(np.take_along_axis(ranked, at[None], axis=0)[0])
    return tuple(found)
