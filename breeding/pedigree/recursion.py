"""The recursion of kinship and inbreeding, as coefficients for the kernels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree.check import Checked
from breeding.pedigree.copies import Gametes

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True, slots=True)
class Recursion:
    """A pedigree as the kernels want it: plants sorted by generation, parents before children.

    With p, q the parents of i, K kinship and F inbreeding:

        K_ij = share_ip K_pj + share_iq K_qj              (j no descendant of i)
        F_i  = base_i + own_ip F_p + own_iq F_q + cross_i K_pq

    Attributes
    ----------
    parent : ndarray of int, shape (plants, 2)
        Positions of the parents, smaller than the plant's own; -1 for an unknown one.
    share : ndarray of float, shape (plants, 2)
        Part of the plant's copies that a known parent gave, 0–1; 0 for an unknown one.
    base, cross : ndarray of float, shape (plants,)
    own : ndarray of float, shape (plants, 2)
    ploidy : ndarray of int, shape (plants,)
    starts : ndarray of int, shape (generations + 1,)
        Position of the first plant of each generation; at the end the number of plants.
    """

    parent: np.ndarray
    share: np.ndarray
    base: np.ndarray
    own: np.ndarray
    cross: np.ndarray
    ploidy: np.ndarray
    starts: np.ndarray

    def part(self, positions: np.ndarray) -> Recursion:
        """The recursion of some plants, which include all their ancestors; ascending positions."""
        import numpy as np

        place = np.full(len(self.parent) + 1, -1, dtype=np.intp)
        place[positions] = np.arange(len(positions))
        starts = np.unique(np.searchsorted(positions, self.starts))
        return Recursion(
            place[self.parent[positions]], self.share[positions], self.base[positions],
            self.own[positions], self.cross[positions], self.ploidy[positions], starts,
        )  # fmt: skip


def founder_inbreeding(ploidy: float, lambda_p: float, lambda_q: float) -> float:
    """Inbreeding that double reduction alone keeps in a random-mating population.

    Parameters
    ----------
    ploidy : number or ndarray
        Sets of chromosomes.
    lambda_p, lambda_q : float or ndarray
        Chance that two copies of a gamete descend from one copy of the parent, 0–1.

    Returns
    -------
    float or ndarray
        F of a founder, 0–1; λ/(2+λ) for a tetraploid.

    References
    ----------
    .. [1] Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860.

    Examples
    --------
    >>> founder_inbreeding(4, 0.5, 0.5)
    0.2
    """
    weight = (lambda_p + lambda_q) * (ploidy / 2 - 1)
    return weight / (ploidy + weight)


def recursion(checked: Checked, gametes: Gametes) -> tuple[Recursion, np.ndarray]:
    """The coefficients of the recursion, plants sorted by generation.

    Parameters
    ----------
    checked : Checked
    gametes : Gametes

    Returns
    -------
    Recursion
    ndarray of int, shape (plants,)
        Position of each row of `checked` among the sorted plants.

    Notes
    -----
    Two copies of one gamete of parent p are alike by descent with λ + (1 − λ) F_p [2]_; with 0
    where the parent's sets pair in twos, as one copy of each pair goes into the gamete. An
    unknown parent beside a known one is a fresh founder with twice the copies it gave and the
    same λ. No copies from a side (a clone) is not an unknown parent.

    References
    ----------
    .. [1] Kerr, Li, Tier, Dutkowski & McRae 2012, Theor. Appl. Genet. 124:1271–1282.
    .. [2] Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860.
    """
    import numpy as np

    order = np.argsort(checked.level, kind="stable")
    place = np.empty(len(order) + 1, dtype=np.intp)
    place[order], place[-1] = np.arange(len(order)), -1
    parent = place[checked.parent[order]]
    copies, double = gametes.copies[order], gametes.double[order]
    ploidy = checked.ploidy[order]
    known = parent >= 0
    pairs = np.maximum(ploidy * (ploidy - 1), 1)
    within = copies * (copies - 1) / pairs[:, None]
    fresh = founder_inbreeding(np.maximum(2 * copies, 2), double, double)
    alike = double + (1 - double) * np.where(known, 0.0, fresh)
    base = (within * np.where(gametes.paired[order], 0.0, alike)).sum(axis=1)
    founder = ~known.any(axis=1)
    base[founder] = founder_inbreeding(ploidy[founder], *double[founder].T)
    own = within * np.where(known & ~gametes.paired[order], 1 - double, 0.0)
    cross = np.where(known.all(axis=1), 2 * copies.prod(axis=1) / pairs, 0.0)
    share = np.where(known, copies / ploidy[:, None], 0.0)
    top = int(checked.level.max(initial=-1)) + 1
    starts = np.searchsorted(checked.level[order], np.arange(top + 1))
    return Recursion(parent, share, base, own, cross, ploidy, starts), place[:-1]
