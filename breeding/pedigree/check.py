"""The one place where a pedigree is checked: doubled and unknown plants, loops, ploidy.

The kernels of this package assume what is checked here, and check nothing themselves.
"""

from __future__ import annotations

import operator
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, repeat
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

Row = tuple[Hashable, Hashable, Hashable]
Ploidy = int | Mapping[Hashable, int] | list[int]
SIDES = ("seed parent", "pollen parent")
MOST_SETS = 16
# So many plants of a loop are named; a longer one is told by its length.
MOST_NAMED = 20
NOBODY, NOT_LISTED = -1, -2


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one plant; `place` is its position among the rows, from 0."""

    place: int
    plant: Hashable
    reason: str

    def __str__(self) -> str:
        return f"{self.plant}: {self.reason}"


class PedigreeError(ValueError):
    """A pedigree that cannot be; `faults` tells every reason, each with the plant's name."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("; ".join(map(str, faults)))
        self.faults = tuple(faults)

    def __str__(self) -> str:
        return "; ".join(map(str, self.faults))


class UnknownPlant(PedigreeError, KeyError):
    """Somebody asked for a plant that the pedigree does not hold."""

    def __init__(self, plant: Hashable) -> None:
        super().__init__([Fault(-1, plant, "no such plant in the pedigree")])


@dataclass(frozen=True, slots=True)
class Checked:
    """A pedigree without faults, rows in the order given.

    Attributes
    ----------
    index : dict
        Row of each plant.
    parent : ndarray of int, shape (plants, 2)
        Rows of the seed and pollen parent; -1 for an unknown one.
    ploidy : ndarray of int, shape (plants,)
        Sets of chromosomes.
    level : ndarray of int, shape (plants,)
        Longest way up to a founder, in generations; founders 0.
    """

    index: dict[Hashable, int]
    parent: np.ndarray
    ploidy: np.ndarray
    level: np.ndarray


def validate(rows: Sequence[Row], ploidy: Ploidy) -> Checked:
    """Check a pedigree whole, and turn its names into numbers.

    Parameters
    ----------
    rows : sequence of (plant, seed parent or None, pollen parent or None)
        In any order.
    ploidy : int, mapping of plant to int, or list of int, one for each row
        Sets of chromosomes, 1 to 16.

    Returns
    -------
    Checked

    Raises
    ------
    PedigreeError
        If a plant is listed twice, is called None, has a parent that is not listed, has no whole
        number of sets, or stands among its own ancestors. All these faults are told at once.

    Notes
    -----
    Cost grows with the number of plants. Whether the ploidy of a plant fits its parents is
    checked where gametes are read, in `copies`.

    Examples
    --------
    >>> validate([("child", "mother", None), ("mother", None, None)], 4).parent.tolist()
    [[1, -1], [-1, -1]]
    """
    import numpy as np

    index: dict[Hashable, int] = {row[0]: place for place, row in enumerate(rows)}
    parent, faults = _parent_rows(rows, index)
    faults += _doubled(rows, index) + _wrong_sets(rows, ploidy)
    level = generations(parent)
    if len(rows) and level.min() < 0:
        faults += _loops(rows, parent, level)
    if faults:
        raise PedigreeError(sorted(faults, key=lambda fault: fault.place))
    return Checked(index, parent, np.array(given_sets(rows, ploidy), dtype=np.intp), level)


def _doubled(rows: Sequence[Row], index: dict[Hashable, int]) -> list[Fault]:
    faults = [Fault(index[None], None, "a plant needs a name")] if None in index else []
    if len(index) != len(rows):
        seen: set[Hashable] = set()
        for place, (plant, *_) in enumerate(rows):
            if plant in seen:
                faults.append(Fault(place, plant, "is listed twice"))
            seen.add(plant)
    return faults


def _parent_rows(rows: Sequence[Row], index: dict[Hashable, int]) -> tuple[np.ndarray, list[Fault]]:
    """Rows of the parents, shape (plants, 2); those not listed are told, and left as unknown."""
    import numpy as np

    known = {**index, None: NOBODY}
    sides = [
        np.fromiter(map(known.get, side, repeat(NOT_LISTED)), dtype=np.intp, count=len(rows))
        for side in ([row[1] for row in rows], [row[2] for row in rows])
    ]
    parent = np.stack(sides, axis=1)
    faults = [
        Fault(place, rows[place][0], f"{SIDES[side]} {rows[place][1 + side]} is not listed")
        for place, side in np.argwhere(parent == NOT_LISTED).tolist()
    ]
    return np.maximum(parent, NOBODY), faults


def given_sets(rows: Sequence[Row], ploidy: Ploidy) -> list:
    if isinstance(ploidy, list):
        return ploidy
    if isinstance(ploidy, Mapping):
        return [ploidy.get(row[0]) for row in rows]
    return [ploidy] * len(rows)


def _wrong_sets(rows: Sequence[Row], ploidy: Ploidy) -> list[Fault]:
    faults, fine = [], set()
    for place, sets in enumerate(given_sets(rows, ploidy)):
        # Few different values stand for many plants; True is no number of sets.
        if type(sets) is int and sets in fine:
            continue
        reason = _why_not(sets)
        if reason:
            faults.append(Fault(place, rows[place][0], reason))
        elif type(sets) is int:
            fine.add(sets)
    return faults


def _why_not(sets: object) -> str:
    """Why this is no ploidy, or nothing."""
    if sets is None:
        return "its ploidy is not given"
    try:
        fits = not isinstance(sets, bool) and 1 <= operator.index(sets) <= MOST_SETS
    except TypeError:
        fits = False
    return "" if fits else f"ploidy {sets} is not a whole number from 1 to {MOST_SETS}"


def generations(parent: np.ndarray) -> np.ndarray:
    """Longest way from each plant up to a founder; -1 where a loop stands in the way.

    Parameters
    ----------
    parent : ndarray of int, shape (plants, 2)
        Rows of the parents, -1 for unknown.

    Returns
    -------
    ndarray of int, shape (plants,)

    Notes
    -----
    Plants are taken up when both parents are done. Cost grows with plants × log(plants).

    Examples
    --------
    >>> import numpy as np
    >>> generations(np.array([[-1, -1], [0, -1], [1, 0]])).tolist()
    [0, 1, 2]
    """
    import numpy as np

    waiting = (parent >= 0).sum(axis=1)
    links = np.argsort(parent, axis=None, kind="stable")
    children = links // 2
    begin = np.searchsorted(parent.ravel()[links], np.arange(len(parent) + 1))
    level = np.full(len(parent), -1, dtype=np.intp)
    ready = np.flatnonzero(waiting == 0)
    now = 0
    while ready.size:
        level[ready] = now
        many = begin[ready + 1] - begin[ready]
        first = np.repeat(begin[ready] - np.cumsum(many) + many, many)
        born, times = np.unique(children[first + np.arange(many.sum())], return_counts=True)
        waiting[born] -= times
        ready = born[waiting[born] == 0]
        now += 1
    return level


def _loops(rows: Sequence[Row], parent: np.ndarray, level: np.ndarray) -> list[Fault]:
    """One loop for each knot of plants that are among their own ancestors."""
    import networkx as nx

    stuck = [place for place in range(len(rows)) if level[place] < 0]
    graph = nx.DiGraph(
        chain.from_iterable(
            ((place, int(p)) for p in parent[place] if p >= 0 and level[p] < 0) for place in stuck
        )
    )
    faults = []
    for knot in nx.strongly_connected_components(graph):
        first = min(knot)
        if len(knot) == 1 and not graph.has_edge(first, first):
            continue
        loop = [first, *(child for _, child in nx.find_cycle(graph.subgraph(knot), first))]
        # The search may walk a little before it enters the loop that it finds.
        loop = loop[loop.index(loop[-1]) :]
        names = " ← ".join(str(rows[place][0]) for place in loop[:MOST_NAMED])
        if len(loop) > MOST_NAMED:
            names += f" ← … ({len(loop) - 1} plants)"
        faults.append(Fault(loop[0], rows[loop[0]][0], f"is among its own ancestors: {names}"))
    return sorted(faults, key=lambda fault: fault.place)
