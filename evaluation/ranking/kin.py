"""Judged units in their pedigree: what each takes from the plants, and what is its own.

Most judged seedlings have no name and no offspring. They are not put into the pedigree one by one:
sibs of one cross take the same from their parents, and differ by a part of their own whose variance
is the same for all of them. One sib stands for the cross when that variance is worked out.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree import Mode, Pedigree, PedigreeError
from breeding.pedigree.factors import Factors, factors

if TYPE_CHECKING:
    import numpy as np
    from scipy.sparse import csr_array

Pair = tuple[Hashable, Hashable]
# What a seedling is taken to be of which neither parent is known.
USUAL_SETS = 4


@dataclass(frozen=True, slots=True)
class Unit:
    """What is judged: a plant of the pedigree, or a seedling known by its two parents.

    A parent is None where it is unknown (a bee pod).
    """

    key: Hashable
    plant: Hashable = None
    seed_parent: Hashable = None
    pollen_parent: Hashable = None

    @property
    def parents(self) -> Pair:
        return self.seed_parent, self.pollen_parent


@dataclass(frozen=True, slots=True)
class _Sib:
    """The seedling that stands for all of one cross."""

    parents: Pair


@dataclass(frozen=True)
class Family:
    """Units over the plants that they descend from.

    Attributes
    ----------
    core : Factors
        The plants among the units and all ancestors, n of them.
    rows : csr_array, shape (units, n)
        What each unit's additive value takes from theirs: 1 of itself, a half of each parent.
    own : ndarray, shape (units,)
        Variance within the cross, in units of the additive variance; 0 where the unit is a plant
        of the core.
    diagonal : ndarray, shape (units,)
        Relationship of each unit with itself, 1 + (ploidy − 1) F.
    """

    core: Factors
    rows: csr_array
    own: np.ndarray
    diagonal: np.ndarray


def family(units: Sequence[Unit], pedigree: Pedigree) -> Family:
    """Lay judged units over a pedigree. A plant or parent that it does not hold is unknown.

    Notes
    -----
    Grows with the ancestors of the units and with the number of different crosses. Seedlings of
    parents that cannot have any together (odd sets) are taken as of unknown parents.
    """
    import numpy as np
    from scipy.sparse import csr_array

    stands = [_stands_for(unit, pedigree) for unit in units]
    whole = factors(_extended(stands, pedigree))
    place = {key: at for at, key in enumerate(whole.keys)}
    is_core = np.array([not isinstance(key, _Sib) for key in whole.keys], dtype=bool)
    seat = np.where(is_core, np.cumsum(is_core) - 1, -1)
    core = _only(whole, is_core, seat)
    at = np.array([place[key] for key in stands], dtype=np.intp)
    named = is_core[at] if len(at) else np.zeros(0, dtype=bool)
    itself = np.flatnonzero(named)
    sib, side = np.nonzero((whole.parent[at] >= 0) & ~named[:, None])
    data = np.concatenate([np.ones(len(itself)), whole.share[at][sib, side]])
    columns = np.concatenate([seat[at[itself]], seat[whole.parent[at][sib, side]]])
    shape = (len(units), int(is_core.sum()))
    rows = csr_array((data, (np.concatenate([itself, sib]), columns)), shape=shape)
    return Family(core, rows, np.where(named, 0.0, whole.own[at]), whole.diagonal[at])


def _stands_for(unit: Unit, pedigree: Pedigree) -> Hashable:
    if unit.plant is not None and unit.plant in pedigree:
        return unit.plant
    known = [p if p is not None and p in pedigree else None for p in unit.parents]
    return _Sib((known[0], known[1]))


def _extended(stands: Sequence[Hashable], pedigree: Pedigree) -> Pedigree:
    """The plants and all their ancestors, with one sib for each cross."""
    sibs = {key for key in stands if isinstance(key, _Sib)}
    waiting = [key for key in stands if not isinstance(key, _Sib)]
    waiting += [parent for sib in sibs for parent in sib.parents if parent is not None]
    parents: dict[Hashable, Pair] = {}
    while waiting:
        plant = waiting.pop()
        if plant not in parents:
            parents[plant] = pedigree.parents(plant)
            waiting += [parent for parent in parents[plant] if parent is not None]
    ploidy = {plant: pedigree.ploidy(plant) for plant in parents}
    modes = {plant: pedigree.mode(plant) for plant in parents}
    gametes = {p: pedigree.gametes(p) for p, pair in parents.items() if pair != (None, None)}
    for sib in sibs:
        parents[sib], ploidy[sib] = sib.parents, _sets(sib, ploidy)
        if mode := _mode(sib, modes, ploidy[sib]):
            modes[sib] = mode
    while True:
        try:
            return Pedigree(
                parents, ploidy, pedigree.double_reduction, modes=modes, gametes=gametes
            )
        except PedigreeError as wrong:
            for fault in wrong.faults:
                if parents[fault.plant] == (None, None):
                    raise
                parents[fault.plant] = (None, None)
                gametes.pop(fault.plant, None)


def _sets(sib: _Sib, ploidy: dict[Hashable, int]) -> int:
    known = [ploidy[parent] for parent in sib.parents if parent is not None]
    if not known:
        return USUAL_SETS
    return known[0] if len(known) == 1 else known[0] // 2 + known[1] // 2


def _mode(sib: _Sib, modes: dict[Hashable, Mode], sets: int) -> Mode | None:
    found = {modes[parent] for parent in sib.parents if parent is not None}
    return found.pop() if len(found) == 1 and sets % 2 == 0 else None


def _only(whole: Factors, chosen: np.ndarray, seat: np.ndarray) -> Factors:
    """The factors of some plants that include all their ancestors."""
    import numpy as np

    parent = whole.parent[chosen]
    keys = [key for key, there in zip(whole.keys, chosen, strict=True) if there]
    return Factors(
        keys,
        np.where(parent >= 0, seat[parent], -1),
        whole.share[chosen],
        whole.own[chosen],
        whole.diagonal[chosen],
    )
