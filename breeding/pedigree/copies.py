"""The gametes that plants came from: how many copies each parent gave, and how."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree.check import (
    Checked,
    Fault,
    PedigreeError,
    Ploidy,
    Row,
    given_sets,
)
from breeding.pedigree.rules import Mode

if TYPE_CHECKING:
    import numpy as np

# (copies given, chance that two of them descend from one copy of the parent)
Gamete = tuple[int, float]


def _halves(ploidy: int) -> set[int]:
    """Sets in a reduced gamete; of an odd number one half is larger."""
    return {half for half in (ploidy // 2, ploidy - ploidy // 2) if half}


def read_copies(child: int, seed: int, pollen: int, selfed: bool = False) -> tuple[int, int]:
    """How many copies each parent gave, from the ploidy of the three.

    Reduced gametes are tried first, then one unreduced gamete, then two. An unknown parent gave
    the rest, and not more than half (rounded up).

    Parameters
    ----------
    child, seed, pollen : int
        Sets of chromosomes; 0 for an unknown parent.
    selfed : bool
        Both parents are the same plant, so that the sides cannot be told apart and need not be.

    Returns
    -------
    tuple of int
        Copies from the seed parent and from the pollen parent; their sum is `child`.

    Raises
    ------
    ValueError
        If no reading is possible, or more than one.

    Examples
    --------
    >>> read_copies(4, 4, 2)  # the diploid's gamete was not reduced
    (2, 2)
    """
    if not seed and not pollen:
        return child - child // 2, child // 2
    if not seed:
        pollen_gave, seed_gave = read_copies(child, pollen, 0)
        return seed_gave, pollen_gave
    for tier in _readings(child, seed, pollen):
        fitting = sorted({pair for pair in tier if _fits(pair, child, pollen)})
        if len(fitting) == 1 or (fitting and selfed):
            return fitting[0]
        if fitting:
            raise ValueError("more than one reading is possible")
    raise ValueError("no reading is possible")


def _fits(copies: tuple[int, int], child: int, pollen: int) -> bool:
    given, rest = copies
    return given + rest == child and (bool(pollen) or 1 <= rest <= (child + 1) // 2)


def _readings(child: int, seed: int, pollen: int) -> list[list[tuple[int, int]]]:
    if not pollen:
        reduced = [(half, child - half) for half in _halves(seed)]
        return [reduced, [(seed, child - seed)]]
    return [
        [(left, right) for left in _halves(seed) for right in _halves(pollen)],
        [(seed, right) for right in _halves(pollen)] + [(left, pollen) for left in _halves(seed)],
        [(seed, pollen)],
    ]


def unreadable(rows: Sequence[Row], ploidy: Ploidy, faulty: set[int]) -> list[Fault]:
    """Plants whose ploidy cannot come from their parents, beside rows that are `faulty` anyway.

    Parameters
    ----------
    rows, ploidy
        As for `check.validate`; what is wrong with them is passed over.
    faulty : set of int
        Places of rows, counted from 0, that need no second complaint.

    Returns
    -------
    list of Fault
    """
    sets = [known if type(known) is int else None for known in given_sets(rows, ploidy)]
    of = {row[0]: sets[place] for place, row in enumerate(rows) if place not in faulty}
    faults = []
    for place, (plant, seed, pollen) in enumerate(rows):
        both = [0 if parent is None else of.get(parent) for parent in (seed, pollen)]
        if place in faulty or sets[place] is None or None in both:
            continue
        try:
            read_copies(sets[place], *both, selfed=seed == pollen)
        except ValueError as wrong:
            said = " × ".join(str(known or "unknown") for known in both)
            faults.append(Fault(place, plant, f"ploidy {sets[place]} from {said}: {wrong}"))
    return faults


def all_copies(checked: Checked, keys: Sequence[Hashable], given: frozenset) -> np.ndarray:
    """Copies from each parent, shape (plants, 2), rows as in `checked`; 0 for plants of `given`.

    Raises
    ------
    PedigreeError
        If the ploidy of a plant cannot come from its parents, or in more than one way.
    """
    import numpy as np

    sets = np.append(checked.ploidy, 0)[checked.parent]
    read = np.fromiter((key not in given for key in keys), dtype=bool, count=len(keys))
    selfed = checked.parent[:, 0] == checked.parent[:, 1]
    code = ((checked.ploidy * 32 + sets[:, 0]) * 32 + sets[:, 1]) * 2 + selfed
    kinds, which = np.unique(code, return_inverse=True)
    table = np.zeros((len(kinds), 2), dtype=np.intp)
    faults = []
    for kind, number in enumerate(kinds.tolist()):
        child, seed, pollen = number // 2048, number // 64 % 32, number // 2 % 32
        rows = np.flatnonzero((which == kind) & read)
        if not rows.size:
            continue
        try:
            table[kind] = read_copies(child, seed, pollen, bool(number % 2))
        except ValueError as wrong:
            reason = f"ploidy {child} from {seed or 'unknown'} × {pollen or 'unknown'}: {wrong}"
            faults += [Fault(int(at), keys[at], reason) for at in rows]
    if faults:
        raise PedigreeError(sorted(faults, key=lambda fault: fault.place))
    return table[which]


@dataclass(frozen=True, slots=True)
class Gametes:
    """The gametes every plant came from; arrays of shape (plants, 2), seed side first.

    `copies` is the number of copies given; `double` the chance that two of them descend from one
    copy of the parent; `paired` marks gametes of plants whose sets pair in twos, one copy from
    each pair.
    """

    copies: np.ndarray
    double: np.ndarray
    paired: np.ndarray


def read_gametes(
    checked: Checked,
    keys: Sequence[Hashable],
    modes: np.ndarray,
    double_reduction: float,
    given: Mapping[Hashable, tuple[Gamete, Gamete]],
) -> Gametes:
    """The gametes that every plant came from, read from ploidy unless they are given.

    Parameters
    ----------
    checked : Checked
    keys : sequence
        Plants in the order of `checked`.
    modes : ndarray of object, shape (plants,)
        Mode of each plant.
    double_reduction : float
        λ of diploid gametes of polysomic tetraploids, 0–1. All other gametes have 0.
    given : mapping of plant to two (copies, λ)
        Gametes that are known otherwise, for example of clones (0 copies on one side).

    Returns
    -------
    Gametes

    Raises
    ------
    PedigreeError
        If ploidy and parents do not fit, or gametes given do not fit the ploidy.
    """
    import numpy as np

    copies = all_copies(checked, keys, frozenset(given))
    known = checked.parent >= 0
    polysomic = np.append(modes == Mode.POLYSOMIC, False)
    disomic = np.append(modes == Mode.DISOMIC, False)
    sets = np.append(checked.ploidy, 0)[checked.parent]
    odd = (checked.ploidy % 2 == 1)[:, None] & known.any(axis=1)[:, None]
    # An unknown parent is taken to be such as its child is; of a triploid, a tetraploid.
    like_child = (polysomic[:-1, None] & (checked.ploidy == 4)[:, None]) | odd
    doubling = np.where(known, polysomic[checked.parent] & (sets == 4), like_child)
    double = np.where(doubling & (copies == 2), double_reduction, 0.0)
    paired = known & disomic[checked.parent] & (copies * 2 == sets)
    for plant, sides in given.items():
        at = checked.index[plant]
        copies[at], double[at] = zip(*sides, strict=True)
        # Whoever gives a gamete's λ has said all about it.
        paired[at] = False
    _check_given(checked, given, copies, double)
    return Gametes(copies, double, paired)


def _check_given(
    checked: Checked,
    given: Mapping[Hashable, tuple[Gamete, Gamete]],
    copies: np.ndarray,
    double: np.ndarray,
) -> None:
    faults = []
    for plant in given:
        at = checked.index[plant]
        if copies[at].min() < 0 or copies[at].sum() != checked.ploidy[at]:
            faults.append(
                Fault(at, plant, f"gametes of {copies[at]} copies do not make its ploidy")
            )
        if not ((double[at] >= 0) & (double[at] <= 1)).all():
            faults.append(Fault(at, plant, "double reduction is a fraction from 0 to 1"))
    if faults:
        raise PedigreeError(faults)
