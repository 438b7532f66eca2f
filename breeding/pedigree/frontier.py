"""Kinship among the plants that still have children to come, moved on by one generation."""

from __future__ import annotations

from typing import TYPE_CHECKING

from breeding.pedigree.kinship import Room, combine
from breeding.pedigree.recursion import Recursion

if TYPE_CHECKING:
    import numpy as np


def last_child(r: Recursion) -> np.ndarray:
    """Generation of each plant's last child, shape (plants + 1,); -1 without children."""
    import numpy as np

    last = np.full(len(r.parent) + 1, -1, dtype=np.intp)
    for low, high, generation in zip(
        r.starts[:-1], r.starts[1:], range(len(r.starts) - 1), strict=True
    ):
        last[r.parent[low:high].ravel()] = generation
    last[-1] = -1
    return last


def frontier_size(r: Recursion) -> int:
    """The most plants that at any time still have children to come."""
    import numpy as np

    many = len(r.starts) - 1
    last = last_child(r)[:-1]
    born = np.repeat(np.arange(many), np.diff(r.starts))
    parents = last >= 0
    came = np.bincount(born[parents], minlength=many)
    went = np.bincount(last[parents], minlength=many)
    return int((np.cumsum(came) - np.cumsum(went)).max(initial=0))


class Frontier:
    """A square of kinships; row and column 0 stand for nobody and hold zeros.

    Cost of a step grows with new plants × plants of the frontier.
    """

    def __init__(self, r: Recursion) -> None:
        import numpy as np

        self.r = r
        self.last = last_child(r)
        self.slot = np.zeros(len(r.parent) + 1, dtype=np.intp)
        self.size = frontier_size(r) + 1
        self.held = np.empty(0, dtype=np.intp)
        self.kinship = np.zeros((self.size, self.size))
        self.spare: np.ndarray | None = None
        self.rows, self.square = Room(), Room()

    def of_parents(self, low: int, high: int) -> np.ndarray:
        """Kinship of the parents of plants low … high−1, 0 where one is unknown."""
        p, q = self.slot[self.r.parent[low:high]].T
        return self.kinship[p, q]

    def step(self, generation: int, own: np.ndarray) -> None:
        """Take up the plants of a generation, and let go those whose last child is in it.

        `own` is the self-kinship of the generation's plants.
        """
        import numpy as np

        low, high = self.r.starts[generation], self.r.starts[generation + 1]
        stays = np.flatnonzero(self.last[low:high] > generation)
        new = low + stays
        kept = self.held[self.last[self.held] > generation]
        if kept.size:
            self._join(new, kept, own[stays])
        elif new.size:
            self._replace(new, own[stays])
        self.held = np.concatenate([kept, new])

    def _replace(self, new: np.ndarray, own: np.ndarray) -> None:
        """Nobody of the old stays: a fresh square beside the old one, then change places."""
        import numpy as np

        fresh = np.zeros(self.kinship.shape) if self.spare is None else self.spare
        many = len(new)
        self._combine(new, fresh[1 : many + 1, 1 : many + 1], None)
        inner = np.arange(1, many + 1)
        fresh[inner, inner] = own
        self.slot[self.held], self.slot[new] = 0, inner
        self.kinship, self.spare = fresh, self.kinship

    def _join(self, new: np.ndarray, kept: np.ndarray, own: np.ndarray) -> None:
        """New plants take the slots of those who went."""
        import numpy as np

        with_old = self.rows.take(len(new), self.size)
        among = self.square.take(len(new), len(new))
        self._combine(new, among, with_old)
        np.fill_diagonal(among, own)
        free = np.ones(self.size, dtype=bool)
        free[self.slot[kept]] = free[0] = False
        slots = np.flatnonzero(free)[: len(new)]
        self.kinship[slots] = with_old
        self.kinship[:, slots] = with_old.T
        self.kinship[np.ix_(slots, slots)] = among
        self.slot[new] = slots

    def _combine(self, new: np.ndarray, among: np.ndarray, with_old: np.ndarray | None) -> None:
        seats = self.slot[self.r.parent[new].T]
        combine(self.kinship, seats, self.r.share[new].T, among, with_old)
