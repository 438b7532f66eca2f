"""The relationship matrix of a pedigree taken apart, so that its inverse can be written down.

With A the additive relationships (`Pedigree.relationship`), A = T D T' and its inverse is
(I − B)' D⁻¹ (I − B): B has at most two entries a row, what a plant's value takes from those of its
parents, and D is diagonal. Nothing has to be inverted.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree.pedigree import Pedigree

if TYPE_CHECKING:
    import numpy as np
    from scipy.sparse import csr_array

# A clone has no part of its own: beneath this share of a plant's variance the inverse has no end.
LEAST_OWN = 1e-6


@dataclass(frozen=True, slots=True)
class Factors:
    """A = T D T', parents before children.

    Attributes
    ----------
    keys : list of plants, length n
    parent : ndarray of int, shape (n, 2)
        Places of the parents in `keys`; -1 for an unknown one.
    share : ndarray of float, shape (n, 2)
        What of a parent's value goes into the plant's: a half, between plants of one ploidy.
    own : ndarray of float, shape (n,)
        D: variance that the parents do not explain, in units of the additive variance; 1 in a
        founder that is not inbred, a half in a child of two such.
    diagonal : ndarray of float, shape (n,)
        A_ii = 1 + (ploidy − 1) F_i.
    """

    keys: list[Hashable]
    parent: np.ndarray
    share: np.ndarray
    own: np.ndarray
    diagonal: np.ndarray

    def less_parents(self) -> csr_array:
        """I − B, sparse, shape (n, n), lower triangular."""
        import numpy as np
        from scipy.sparse import csr_array

        n = len(self.keys)
        rows, sides = np.nonzero(self.parent >= 0)
        data = np.concatenate([np.ones(n), -self.share[rows, sides]])
        at = np.concatenate([np.arange(n), rows])
        columns = np.concatenate([np.arange(n), self.parent[rows, sides]])
        # A selfed plant names its parent twice: the entries are summed.
        return csr_array((data, (at, columns)), shape=(n, n))

    def inverse(self) -> csr_array:
        """A⁻¹, sparse, shape (n, n)."""
        from scipy.sparse import dia_array

        n, less = len(self.keys), self.less_parents()
        own = dia_array((1 / self.own[None, :], [0]), shape=(n, n))
        return (less.T @ own @ less).tocsr()

    def log_determinant(self) -> float:
        """ln |A|."""
        import numpy as np

        return float(np.log(self.own).sum())


def factors(pedigree: Pedigree) -> Factors:
    """Take the relationship matrix of all plants of a pedigree apart.

    Notes
    -----
    Cost as of `inbreeding.inbreeding` for all plants, once. The own part of a clone is taken as a
    millionth of a founder's, so that the inverse exists.

    References
    ----------
    .. [1] Henderson 1976, Biometrics 32:69–83 (the inverse, diploids).
    .. [2] Kerr, Li, Tier, Dutkowski & McRae 2012, Theor. Appl. Genet. 124:1271–1282;
       Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860 (any ploidy).

    Examples
    --------
    >>> family = {"A": (None, None), "B": (None, None), "C": ("A", "B")}
    >>> factors(Pedigree(family, ploidy=4)).inverse().toarray().tolist()
    [[1.5, 0.5, -1.0], [0.5, 1.5, -1.0], [-1.0, -1.0, 2.0]]
    """
    import numpy as np

    r = pedigree._recursion
    inbred = pedigree._memory.all_inbreeding()
    ploidy = r.ploidy.astype(float)
    root = np.sqrt(ploidy)
    # Row −1 of the roots belongs to an unknown parent, whose share is nought.
    scale = root[:, None] / np.append(root, 1.0)[r.parent]
    own = np.maximum(pedigree._memory.own_part * ploidy, LEAST_OWN)
    keys = [pedigree._key(at) for at in range(len(pedigree))]
    return Factors(keys, r.parent, r.share * scale, own, 1 + (ploidy - 1) * inbred)
