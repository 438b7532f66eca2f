"""One plant against all others at once."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import TYPE_CHECKING

from breeding.pedigree import kinship

if TYPE_CHECKING:
    import numpy as np

    from breeding.pedigree.pedigree import Pedigree


def relationships(pedigree: Pedigree, plant: Hashable) -> np.ndarray:
    """Additive relationship of one plant with every plant.

    Parameters
    ----------
    pedigree : Pedigree
    plant : plant

    Returns
    -------
    ndarray of float, shape (plants,)
        As `Pedigree.relationship` tells each, in the order of `Pedigree.keys`; of the plant with
        itself 1 + (ploidy − 1) × inbreeding.

    Raises
    ------
    UnknownPlant

    Notes
    -----
    With T the parts that ancestors gave and D the own parts, kinship is T D Tᵀ [1]_ [2]_: one way
    up through the ancestors of the plant, and one down through all generations. Time grows with
    the number of plants; the inbreeding of all plants is worked out once for a pedigree.

    References
    ----------
    .. [1] Henderson 1976, Biometrics 32:69–83.
    .. [2] Colleau 2002, Genet. Sel. Evol. 34:409–421 (both cited from memory).

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> family = {"A": (None, None), "B": (None, None), "S": ("A", "B")}
    >>> relationships(Pedigree(family, ploidy=4), "S").tolist()
    [0.5, 0.5, 1.0]
    """
    import numpy as np

    at, r, memory = pedigree._at(plant), pedigree._recursion, pedigree._memory
    # All at once: whoever asks for one plant's relatives mostly asks for another's next.
    memory.all_inbreeding()
    # A zero at the end stands for an unknown parent.
    found = np.append(kinship.contributions(r, at) * memory.own_part, 0.0)
    starts = r.starts.tolist()
    for low, high in zip(starts[1:-1], starts[2:], strict=True):
        rows = slice(low, high)
        found[rows] += (r.share[rows] * found[r.parent[rows]]).sum(axis=1)
    scaled = found[:-1] * np.sqrt(r.ploidy * float(r.ploidy[at]))
    return scaled[pedigree._place]


def relationship_table(pedigree: Pedigree, plants: Iterable[Hashable]) -> np.ndarray:
    """Additive relationship of every pair, each as `Pedigree.relationship` tells it.

    Parameters
    ----------
    pedigree : Pedigree
    plants : iterable of plants
        Rows and columns of the answer.

    Returns
    -------
    ndarray of float, shape (plants, plants)
        Symmetric.

    Raises
    ------
    UnknownPlant

    Notes
    -----
    Time and memory as of `Pedigree.kinship_matrix`.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> relationship_table(Pedigree({"A": (None, None), "S": ("A", None)}), "AS").tolist()
    [[1.0, 0.5], [0.5, 1.0]]
    """
    import numpy as np

    places = np.array([pedigree._at(plant) for plant in plants], dtype=np.intp)
    root = np.sqrt(pedigree._recursion.ploidy[places])
    return pedigree._memory.table(places) * np.outer(root, root)
