"""Kinship of many plants with each other, as a square."""

from __future__ import annotations

from typing import TYPE_CHECKING

from breeding.pedigree.kinship import CHUNK, Room, combine, contributions
from breeding.pedigree.recursion import Recursion
from breeding.pedigree.sums import Sums, self_kinship

if TYPE_CHECKING:
    import numpy as np

# Rows mirrored together: they stay in the processor's cache.
MIRRORED = 64


def tabular(r: Recursion) -> tuple[np.ndarray, Sums]:
    """Kinship of every pair of plants of a recursion.

    Parameters
    ----------
    r : Recursion

    Returns
    -------
    ndarray of float, shape (plants, plants)
        Symmetric, fractions 0–1; rows in the order of the recursion.
    Sums
        Inbreeding, found on the way.

    Notes
    -----
    Rows of a generation are two rows of their parents added, so that time and memory grow with
    plants². This is the tabular method (Emik & Terrill 1949, cited from memory) for any ploidy.
    """
    import numpy as np

    many = len(r.parent)
    sums, table = Sums(r), np.zeros((many, many))
    rows, square = Room(), Room()
    for low, high in zip(r.starts[:-1].tolist(), r.starts[1:].tolist(), strict=True):
        new = slice(low, high)
        p, q = r.parent[new].T
        known = (p >= 0) & (q >= 0)
        sums.fill(low, high, np.where(known, table[p, q], 0.0))
        if low:
            with_old = rows.take(high - low, low)
            among = square.take(high - low, high - low)
            seats = np.maximum(r.parent[new], 0).T
            combine(table[:, :low], seats, r.share[new].T, among, with_old)
            table[new, :low] = with_old
            table[:low, new] = with_old.T
            _mirror(among)
            table[new, new] = among
        diagonal = np.arange(low, high)
        table[diagonal, diagonal] = self_kinship(sums.inbreeding[new], r.ploidy[new])
    return table, sums


def _mirror(square: np.ndarray) -> None:
    """Make a square symmetric to the last bit: what stands below the diagonal counts."""
    for first in range(0, len(square), MIRRORED):
        here, beyond = slice(first, first + MIRRORED), slice(first + MIRRORED, None)
        corner = square[here, here]
        for row in range(1, len(corner)):
            corner[:row, row] = corner[row, :row]
        square[here, beyond] = square[beyond, here].T


def chosen(table: np.ndarray, seats: np.ndarray) -> np.ndarray:
    """Rows and columns of a square at the seats, in their order; the square itself if all are."""
    import numpy as np

    if len(seats) == len(table) and (seats == np.arange(len(seats))).all():
        return table
    answer, rows = np.empty((len(seats), len(seats))), np.empty((CHUNK, len(table)))
    for first in range(0, len(seats), CHUNK):
        some = seats[first : first + CHUNK]
        few = rows[: len(some)]
        table.take(some, axis=0, out=few, mode="clip")
        few.take(seats, axis=1, out=answer[first : first + CHUNK], mode="clip")
    return answer


def between(r: Recursion, plants: np.ndarray, own_part: np.ndarray) -> np.ndarray:
    """Kinship among a few plants with many ancestors, by K = V D V'.

    Parameters
    ----------
    r : Recursion
    plants : ndarray of int, shape (chosen,)
        Positions.
    own_part : ndarray of float, shape (plants,)
        D of `inbreeding`.

    Returns
    -------
    ndarray of float, shape (chosen, chosen)

    Notes
    -----
    Memory grows with chosen × plants of the recursion, time with chosen² × plants.
    """
    import numpy as np

    parts = np.array([contributions(r, int(plant)) for plant in plants])
    answer = (parts * own_part) @ parts.T
    return (answer + answer.T) / 2
