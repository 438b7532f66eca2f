"""Factors of one shape stacked upon each other, so that thousands are worked through at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breeding.inheritance.network.factors import Scope, Table

# So many factors with one table share it; fewer are stacked with others of their shape.
SHARED = 8


@dataclass(slots=True)
class Stack:
    """n factors of r variables: `variables` is (n, r).

    `table` has r axes when all share it, and one more in front when each has its own.
    `members` are the places of the factors in the list they came from.
    """

    variables: NDArray[np.intp]
    table: Table
    shared: bool
    members: list[int]

    @property
    def shape(self) -> tuple[int, ...]:
        """States along each of the r axes."""
        sizes: tuple[int, ...] = self.table.shape
        return sizes if self.shared else sizes[1:]


def stacked(
    scopes: Sequence[Scope], tables: Sequence[Table], chosen: Iterable[int] | None = None
) -> list[Stack]:
    """Put factors (of which only some may be chosen) of one table, or else one shape, together."""
    by_table: dict[int, list[int]] = {}
    for at in range(len(tables)) if chosen is None else chosen:
        by_table.setdefault(id(tables[at]), []).append(at)
    found: list[Stack] = []
    by_shape: dict[tuple[int, ...], list[int]] = {}
    for members in by_table.values():
        table = tables[members[0]]
        if len(members) >= SHARED:
            found.append(Stack(_variables(scopes, members), table, True, members))
        else:
            by_shape.setdefault(table.shape, []).extend(members)
    for members in by_shape.values():
        own = np.stack([tables[at] for at in members])
        found.append(Stack(_variables(scopes, members), own, False, members))
    return found


def _variables(scopes: Sequence[Scope], members: list[int]) -> NDArray[np.intp]:
    return np.array([scopes[at] for at in members], dtype=np.intp)


def outward(table: Table, shared: bool, messages: Sequence[Table]) -> list[Table]:
    """For each axis the sum over all others of table × their messages.

    Parameters
    ----------
    table : ndarray
        (d1, …, dr) when shared, else (n, d1, …, dr); weights, not logarithms.
    messages : sequence of r ndarrays (n, di)

    Returns
    -------
    list of r ndarrays (n, di)

    Notes
    -----
    The axes are halved again and again, so that the products are shared: about 2·size·log r.
    """
    if len(messages) == 1:
        return [np.broadcast_to(table, messages[0].shape) if shared else table]
    half = len(messages) // 2
    left = outward(_summed_behind(table, shared, messages[half:]), False, messages[:half])
    right = outward(_summed_before(table, shared, messages[:half]), False, messages[half:])
    return left + right


def _summed_behind(table: Table, shared: bool, messages: Sequence[Table]) -> Table:
    """Sum the last axes out."""
    for message in reversed(messages):
        n, size = message.shape
        if shared:
            kept = table.shape[:-1]
            table = (message @ table.reshape(-1, size).T).reshape(n, *kept)
            shared = False
        else:
            kept = table.shape[1:-1]
            table = (table.reshape(n, -1, size) @ message[:, :, None]).reshape(n, *kept)
    return table


def _summed_before(table: Table, shared: bool, messages: Sequence[Table]) -> Table:
    """Sum the first axes out."""
    for message in messages:
        n, size = message.shape
        if shared:
            kept = table.shape[1:]
            table = (message @ table.reshape(size, -1)).reshape(n, *kept)
            shared = False
        else:
            kept = table.shape[2:]
            table = (message[:, None, :] @ table.reshape(n, size, -1)).reshape(n, *kept)
    return table
