"""How much of a plant's pedigree is known, so that an empty one is not taken for an outcross."""

from __future__ import annotations

from collections.abc import Hashable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from breeding.pedigree.pedigree import Pedigree


def by_generation(pedigree: Pedigree, plant: Hashable, generations: int = 5) -> list[float]:
    """Known ancestors over possible ones, for each generation back.

    Parameters
    ----------
    pedigree : Pedigree
    plant : plant
    generations : int
        How far back.

    Returns
    -------
    list of float
        Known places over 2, 4, 8, …; the parents' generation first, 0–1. An ancestor that stands
        in two places counts twice.

    Notes
    -----
    Time grows with ancestors × generations.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> family = {"A": (None, None), "H": ("A", None), "S": ("H", "A")}
    >>> Pedigree(family, ploidy=4).completeness("S", 2)
    [1.0, 0.25]
    """
    parent, place = pedigree._checked.parent, {pedigree._row(plant): 1.0}
    known = []
    for _ in range(generations):
        older: dict[int, float] = {}
        for row, weight in place.items():
            for up in parent[row].tolist():
                if up >= 0:
                    older[up] = older.get(up, 0.0) + weight / 2
        known.append(sum(older.values()))
        place = older
    return known
