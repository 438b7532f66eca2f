"""Inbreeding and a plant's own part of its kinship, filled generation by generation."""

from __future__ import annotations

from typing import TYPE_CHECKING

from breeding.pedigree.recursion import Recursion

if TYPE_CHECKING:
    import numpy as np


def self_kinship(inbreeding: np.ndarray, ploidy: np.ndarray) -> np.ndarray:
    """Chance that two draws, with replacement, from one plant are alike: (1 + (k−1) F) / k."""
    return (1 + (ploidy - 1) * inbreeding) / ploidy


class Sums:
    """F and D of the plants of one recursion, filled generation by generation.

    Attributes
    ----------
    inbreeding : ndarray of float, shape (plants + 1,)
        F, 0–1; a zero at the end stands for an unknown parent.
    own_part : ndarray of float, shape (plants,)
        D: self-kinship less what the parents' kinship explains, 0–1.
    """

    def __init__(self, r: Recursion) -> None:
        import numpy as np

        self.r = r
        self.inbreeding = np.zeros(len(r.parent) + 1)
        self.own_part = np.zeros(len(r.parent))

    def fill(self, low: int, high: int, of_parents: np.ndarray) -> None:
        """Plants low … high−1, given the kinship of their parents, shape (high − low,)."""
        import numpy as np

        r, rows = self.r, slice(low, high)
        p, q = r.parent[rows].T
        s, t = r.share[rows].T
        f = self.inbreeding
        f[rows] = (
            r.base[rows] + r.own[rows, 0] * f[p] + r.own[rows, 1] * f[q]
            + r.cross[rows] * of_parents
        )  # fmt: skip
        sets = np.append(r.ploidy, 1)
        explained = (
            s * s * self_kinship(f[p], sets[p]) + t * t * self_kinship(f[q], sets[q])
            + 2 * s * t * of_parents
        )  # fmt: skip
        self.own_part[rows] = self_kinship(f[rows], r.ploidy[rows]) - explained
