"""What founders and other ancestors contributed to a plant."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree import kinship

if TYPE_CHECKING:
    from breeding.pedigree.pedigree import Pedigree


@dataclass(frozen=True, slots=True)
class Founders:
    """Where the copies of a plant come from in the end.

    Attributes
    ----------
    shares : dict of plant to float
        Expected part of the plant's copies from each founder, largest first, 0–1.
    unknown : float
        Part that came through unknown parents of plants whose other parent is known, 0–1;
        with the shares it makes 1.
    equivalents : float
        As many founders with equal shares would keep as much: 1 / Σ share². Every unknown parent
        counts as a founder of its own.
    """

    shares: dict[Hashable, float]
    unknown: float
    equivalents: float


def of_plant(pedigree: Pedigree, plant: Hashable) -> dict[Hashable, float]:
    """Expected part of the copies of a plant that came through each ancestor; largest first.

    Parameters
    ----------
    pedigree : Pedigree
    plant : plant

    Returns
    -------
    dict of plant to float
        0–1; founders and all others, not the plant itself. Parts of an ancestor and of its own
        ancestors overlap.

    Notes
    -----
    Time grows with the ancestors.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> Pedigree({"A": (None, None), "S": ("A", None)}, ploidy=4).contributions("S")
    {'A': 0.5}
    """
    at = pedigree._at(plant)
    part = kinship.contributions(pedigree._recursion, at)
    part[at] = 0.0
    return _largest_first(pedigree, part)


def _largest_first(pedigree: Pedigree, part) -> dict[Hashable, float]:
    import numpy as np

    found = np.flatnonzero(part)
    found = found[np.argsort(-part[found], kind="stable")]
    return {pedigree._key(at): float(part[at]) for at in found}


def founders(pedigree: Pedigree, plant: Hashable) -> Founders:
    """Founders of a plant and how many they count for.

    Parameters
    ----------
    pedigree : Pedigree
    plant : plant
        A founder is its own founder.

    Returns
    -------
    Founders

    Notes
    -----
    Time grows with the ancestors.

    References
    ----------
    .. [1] Lacy 1989, Zoo Biol. 8:111–123 (founder equivalents; cited from memory).

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> Pedigree({"A": (None, None), "S": ("A", None)}, ploidy=4).founders("S")
    Founders(shares={'A': 0.5}, unknown=0.5, equivalents=2.0)
    """
    import numpy as np

    r = pedigree._recursion
    part = kinship.contributions(r, pedigree._at(plant))
    founder = (r.parent < 0).all(axis=1)
    lost = np.where(founder, 0.0, part * (1 - r.share.sum(axis=1)))
    lost[lost < 1e-15] = 0.0
    kept = np.where(founder, part, 0.0)
    equivalents = 1 / float((kept**2).sum() + (lost**2).sum())
    return Founders(_largest_first(pedigree, kept), float(lost.sum()), equivalents)
