"""What one pedigree has worked out so far: inbreeding of the plants that were asked about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from breeding.pedigree.inbreeding import inbreeding
from breeding.pedigree.kinship import ancestors, contributions
from breeding.pedigree.recursion import Recursion
from breeding.pedigree.sums import self_kinship
from breeding.pedigree.table import between, chosen, tabular

if TYPE_CHECKING:
    import numpy as np

# A first question works out the ancestors it needs. When a later one needs more than this many
# again, all plants are worked out at once, so that every further question is quick.
PATIENCE = 1_000
# A whole table among up to this many plants beats sums over their ancestors.
SMALL_TABLE = 1_500


class Memory:
    """Positions in, numbers out; see `Pedigree` for what they mean."""

    def __init__(self, r: Recursion) -> None:
        import numpy as np

        self.r = r
        self.done = np.zeros(len(r.parent), dtype=bool)
        self.f = np.zeros(len(r.parent))
        self.own_part = np.zeros(len(r.parent))

    def work_out(self, wanted: np.ndarray) -> None:
        """Know F and D of the plants marked, which include all their ancestors."""
        import numpy as np

        missing = int((wanted & ~self.done).sum())
        if not missing:
            return
        if missing > PATIENCE and self.done.any():
            wanted = np.ones_like(wanted)
        some = np.flatnonzero(wanted)
        self.f[some], self.own_part[some] = inbreeding(self.r.part(some))
        self.done |= wanted

    def all_inbreeding(self) -> np.ndarray:
        """F of every plant, shape (plants,)."""
        import numpy as np

        self.work_out(np.ones(len(self.f), dtype=bool))
        return self.f

    def inbreeding(self, a: int) -> float:
        """F of one plant."""
        if not self.done[a]:
            self.work_out(ancestors(self.r, [a]))
        return float(self.f[a])

    def kinship(self, a: int, b: int) -> float:
        """Chance that any copy of a and any copy of b are alike by descent."""
        if a == b:
            return float(self_kinship(self.inbreeding(a), self.r.ploidy[a]))
        of_a, of_b = contributions(self.r, a), contributions(self.r, b)
        shared = (of_a > 0) & (of_b > 0)
        if not shared.any():
            return 0.0
        self.work_out(shared | self._above(shared))
        return float((of_a * of_b * self.own_part)[shared].sum())

    def _above(self, shared: np.ndarray) -> np.ndarray:
        """Ancestors of shared ancestors that gave them nothing (clones have a second parent)."""
        import numpy as np

        parent = self.r.parent[shared]
        odd = parent[(parent >= 0) & ~shared[parent]]
        return ancestors(self.r, odd.tolist()) if odd.size else np.zeros_like(shared)

    def table(self, plants: np.ndarray) -> np.ndarray:
        """Kinship of every pair of the positions given, rows in their order."""
        import numpy as np

        if not len(plants):
            return np.zeros((0, 0))
        marked = ancestors(self.r, plants.tolist())
        some = np.flatnonzero(marked)
        part, seats = self.r.part(some), np.searchsorted(some, plants)
        if len(some) > max(SMALL_TABLE, 2 * len(plants)):
            self.work_out(marked)
            return between(part, seats, self.own_part[some])
        return chosen(tabular(part)[0], seats)
