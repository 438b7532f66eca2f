"""Kernels for pairs and tables of plants: ancestors, contributions, kinship."""

from __future__ import annotations

import os
from functools import partial
from typing import TYPE_CHECKING

from breeding.pedigree.recursion import Recursion

if TYPE_CHECKING:
    import numpy as np

# Rows worked on together: they stay in the processor's cache.
CHUNK = 8
# From this many kinships on, more than one core is put to work.
LARGE, MOST_WORKERS = 1_000_000, 4


def ancestors(r: Recursion, plants: list[int]) -> np.ndarray:
    """Mark plants and all their ancestors.

    Parameters
    ----------
    r : Recursion
    plants : list of int
        Positions.

    Returns
    -------
    ndarray of bool, shape (plants,)

    Notes
    -----
    Cost: one byte a plant, and time that grows with the ancestors and the generations above.
    """
    import numpy as np

    marked = np.zeros(len(r.parent) + 1, dtype=bool)
    marked[plants] = True
    for low, high in _generations_up(r, max(plants, default=-1)):
        found = low + np.flatnonzero(marked[low:high])
        marked[r.parent[found].ravel()] = True
    return marked[:-1]


def _generations_up(r: Recursion, youngest: int) -> list[tuple[int, int]]:
    """(first, after last) position of each generation from the youngest plant's to the second."""
    starts = r.starts.tolist()
    pairs = zip(starts[1:-1], starts[2:], strict=True)
    return [pair for pair in pairs if pair[0] <= youngest][::-1]


def contributions(r: Recursion, plant: int) -> np.ndarray:
    """Expected part of a plant's copies that descend from each plant.

    Parameters
    ----------
    r : Recursion
    plant : int
        Position.

    Returns
    -------
    ndarray of float, shape (plants,)
        Fractions, 0–1; 1 at the plant itself, 0 at all that are no ancestors.

    Notes
    -----
    Time grows with the ancestors and the generations above.
    """
    import numpy as np

    part = np.zeros(len(r.parent) + 1)
    part[plant] = 1.0
    for low, high in _generations_up(r, plant):
        found = low + np.flatnonzero(part[low:high])
        if found.size:
            np.add.at(part, r.parent[found], r.share[found] * part[found, None])
            part[-1] = 0.0
    return part[:-1]


class Room:
    """Scratch space that is used again: fresh pages of memory cost more than the sums in them."""

    def __init__(self) -> None:
        import numpy as np

        self.held = np.empty(0)

    def take(self, rows: int, columns: int) -> np.ndarray:
        """An array of that shape, with whatever stands in it; the one taken before is void."""
        import numpy as np

        if self.held.size < rows * columns:
            self.held = np.empty(rows * columns)
        return self.held[: rows * columns].reshape(rows, columns)


def combine(
    table: np.ndarray,
    seats: np.ndarray,
    shares: np.ndarray,
    among: np.ndarray,
    with_old: np.ndarray | None,
) -> None:
    """Kinship of new plants with old ones and with each other, from that of their parents.

    Parameters
    ----------
    table : ndarray of float, shape (at least all parents, old)
        Kinship so far; parents' seats below `old`.
    seats : ndarray of int, shape (2, new)
        Seats of the parents in the table. Where a parent is unknown its share is 0.
    shares : ndarray of float, shape (2, new)
        Parts of the copies from each parent, 0–1.
    among : ndarray of float, shape (new, new)
        Filled; its diagonal is not self-kinship.
    with_old : ndarray of float, shape (new, old), or None
        Filled where it is given.
    """
    many = len(among)
    workers = min(MOST_WORKERS, os.cpu_count() or 1) if many * table.shape[1] > LARGE else 1
    if workers == 1:
        _combine_rows(table, seats, shares, among, with_old, range(0, many, CHUNK))
        return
    # Numpy lets go of the interpreter while it copies: the processor's other cores help.
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(workers) as pool:
        parts = [range(turn * CHUNK, many, workers * CHUNK) for turn in range(workers)]
        work = partial(_combine_rows, table, seats, shares, among, with_old)
        list(pool.map(work, parts))


def _combine_rows(
    table: np.ndarray,
    seats: np.ndarray,
    shares: np.ndarray,
    among: np.ndarray,
    with_old: np.ndarray | None,
    firsts: range,
) -> None:
    """`combine` for the CHUNK rows from each of `firsts`."""
    import numpy as np

    (p, q), (s, t) = seats, shares
    # Scratch space is used again and again: new pages would take most of the time.
    size = min(CHUNK, len(p))
    scratch, columns = np.empty((2, size, table.shape[1])), np.empty((size, len(p)))
    # Where all parents gave the same part, it is put in at the end.
    even = shares.size > 0 and bool(shares.min() == shares.max())
    for first in firsts:
        rows = slice(first, first + CHUNK)
        here = among[rows]
        old, other, column = scratch[0, : len(here)], scratch[1, : len(here)], columns[: len(here)]
        _rows(table, p[rows], old, None if even else s[rows, None])
        _rows(table, q[rows], other, None if even else t[rows, None])
        old += other
        _columns(old, p, here, None if even else s)
        _columns(old, q, column, None if even else t)
        here += column
        if even:
            here *= s[0] * s[0]
        if with_old is not None:
            np.multiply(old, s[0] if even else 1.0, out=with_old[rows])


def _rows(table: np.ndarray, seats: np.ndarray, out: np.ndarray, share: np.ndarray | None) -> None:
    if table.flags.c_contiguous:
        # 'clip' spares numpy a copy of `out`; all seats are valid.
        table.take(seats, axis=0, out=out, mode="clip")
    else:
        for row, seat in zip(out, seats.tolist(), strict=True):
            row[:] = table[seat]
    if share is not None:
        out *= share


def _columns(old: np.ndarray, seats: np.ndarray, out: np.ndarray, share: np.ndarray | None) -> None:
    old.take(seats, axis=1, out=out, mode="clip")
    if share is not None:
        out *= share
