"""Inbreeding of every plant without the kinship of every pair.

Kinship is K = T D T', with T the expected contributions of the plants to each other, and D the
part of a plant's own kinship that its parents do not explain (as Quaas 1976 and Colleau 2002 did
it for diploids). F of a plant needs the kinship of its parents only, and D follows from F.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from breeding.pedigree.frontier import Frontier, frontier_size
from breeding.pedigree.recursion import Recursion
from breeding.pedigree.sums import Sums, self_kinship

if TYPE_CHECKING:
    import numpy as np

# A square of kinships among this many plants takes 512 MB; above, columns are summed in strips.
LARGEST_FRONTIER = 8_000
STRIP_ENTRIES = 4_000_000


def inbreeding(r: Recursion) -> tuple[np.ndarray, np.ndarray]:
    """Inbreeding F of every plant, and the part D of its self-kinship that is its own.

    Parameters
    ----------
    r : Recursion
        Any set of plants with all their ancestors.

    Returns
    -------
    F, D : ndarray of float, shape (plants,)
        Fractions, 0–1.

    Notes
    -----
    Let w be the most plants that at any time still have children to come. Up to
    LARGEST_FRONTIER of them, time grows with plants × w and memory with plants + w². Above,
    time grows with plants², memory with the number of plants.

    References
    ----------
    .. [1] Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860 (F for any ploidy).
    .. [2] Quaas 1976, Biometrics 32:949–953; Colleau 2002, Genet. Sel. Evol. 34:409–421
       (K = T D T' for diploids; from memory, derived anew for any ploidy).
    """
    kernel = by_frontier if frontier_size(r) <= LARGEST_FRONTIER else by_strips
    sums = kernel(r)
    return sums.inbreeding[:-1], sums.own_part


def by_frontier(r: Recursion) -> Sums:
    """F and D with the kinships of those plants only that still have children to come."""
    sums, frontier = Sums(r), Frontier(r)
    for generation in range(len(r.starts) - 1):
        low, high = int(r.starts[generation]), int(r.starts[generation + 1])
        sums.fill(low, high, frontier.of_parents(low, high))
        frontier.step(generation, self_kinship(sums.inbreeding[low:high], r.ploidy[low:high]))
    return sums


def by_strips(r: Recursion, entries: int = STRIP_ENTRIES) -> Sums:
    """F and D by K = T D T', some columns of T at a time.

    Once D of a generation is known, what it adds to the kinship of every later couple is summed.
    """
    import numpy as np

    sums, of_parents = Sums(r), np.zeros(len(r.parent))
    parental = np.zeros(len(r.parent) + 1, dtype=bool)
    parental[r.parent.ravel()] = True
    width = max(1, entries // (len(r.parent) + 1))
    for generation in range(len(r.starts) - 1):
        low, high = int(r.starts[generation]), int(r.starts[generation + 1])
        sums.fill(low, high, of_parents[low:high])
        columns = low + np.flatnonzero(parental[low:high])
        for first in range(0, len(columns), width):
            _add_strip(sums, generation, columns[first : first + width], of_parents)
    return sums


def _add_strip(sums: Sums, generation: int, columns: np.ndarray, of_parents: np.ndarray) -> None:
    """Add Σ T_pc D_c T_qc over these columns to the kinship of every later couple (p, q)."""
    import numpy as np

    r, base = sums.r, int(sums.r.starts[generation])
    # Row 0 is nobody: unknown parents, and those older than the strip.
    strip = np.zeros((len(r.parent) - base + 1, len(columns)))
    strip[columns - base + 1, np.arange(len(columns))] = 1
    reached = np.zeros(len(strip), dtype=bool)
    reached[columns - base + 1] = True
    own = sums.own_part[columns]
    for later in range(generation + 1, len(r.starts) - 1):
        rows = np.arange(r.starts[later], r.starts[later + 1])
        places = np.maximum(r.parent[rows] - base + 1, 0)
        touched = reached[places].any(axis=1)
        rows, places = rows[touched], places[touched]
        left, right = strip[places[:, 0]], strip[places[:, 1]]
        of_parents[rows] += np.einsum("ij,ij,j->i", left, right, own)
        share = r.share[rows]
        strip[rows - base + 1] = left * share[:, :1] + right * share[:, 1:]
        reached[rows - base + 1] = True
