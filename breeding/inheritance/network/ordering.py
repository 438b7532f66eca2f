"""In which order to sum variables out, so that no table grows large."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from heapq import heapify, heappop, heappush
from math import log2

from breeding.inheritance.network.factors import Scope

Neighbours = list[set[int]]
# Variables left over by the quick order from which on the slow one is not tried.
HOPELESS = 150


class TooWide(Exception):
    """An exact answer would need a table of more entries than allowed; `width` says how many."""

    def __init__(self, width: float) -> None:
        super().__init__(f"A table of {width:.3g} entries would be needed.")
        self.width = width


def neighbours(scopes: Iterable[Scope], variables: int) -> Neighbours:
    """Who shares a factor with whom."""
    near: Neighbours = [set() for _ in range(variables)]
    for scope in scopes:
        for variable in scope:
            near[variable].update(scope)
    for variable, others in enumerate(near):
        others.discard(variable)
    return near


def order_of(
    near: Neighbours, sizes: Sequence[int], most: float, by_fill: bool = False
) -> tuple[list[int], float, float]:
    """Greedily, the variable whose table is smallest (or adds the least links) first.

    Parameters
    ----------
    near : list of set of int
        Who shares a factor with whom; used up.
    sizes : sequence of int
        States of each variable.
    most : float
        No table of more entries is made: variables that would need one stay.
    by_fill : bool
        Rank by the links that summing out would add, weighted by their sizes; slower, and often
        better for pedigrees.

    Returns
    -------
    (list of int, float, float)
        The order, the entries of all tables on the way, and those of the smallest table that was
        refused (0 when nothing stays).
    """
    logs = [log2(size) for size in sizes]

    def cost(variable: int) -> tuple[float, float]:
        others = near[variable]
        weight = logs[variable] + sum(logs[other] for other in others)
        if not by_fill:
            return weight, len(others)
        added, links = 0.0, list(others)
        for at, one in enumerate(links):
            added += sum(logs[one] + logs[two] for two in links[at + 1 :] if two not in near[one])
        return added, weight

    limit = log2(most) + 1e-9
    costs = {variable: cost(variable) for variable in range(len(near))}
    heap = [(told, variable) for variable, told in costs.items()]
    heapify(heap)
    order: list[int] = []
    total, refused = 0.0, 0.0
    while heap:
        told, variable = heappop(heap)
        if costs.get(variable) != told:
            continue
        weight = told[1] if by_fill else told[0]
        if weight > limit:
            refused = min(refused, weight) if refused else weight
            if not by_fill:
                break
            # It comes back when its neighbours change.
            continue
        order.append(variable)
        total += 2**weight
        del costs[variable]
        for touched in _sum_out(near, variable, by_fill):
            if costs[touched] != (fresh := cost(touched)):
                costs[touched] = fresh
                heappush(heap, (fresh, touched))
    return order, total, 2**refused if len(order) < len(near) else 0.0


def _sum_out(near: Neighbours, variable: int, by_fill: bool) -> set[int]:
    """Link the neighbours of a variable and take it away; whose cost may have changed."""
    others = near[variable]
    touched = set(others)
    for other in others:
        grown = others - near[other]
        near[other] |= others
        near[other].discard(other)
        near[other].discard(variable)
        if by_fill and len(grown) > 1:
            touched |= near[other]
    near[variable] = set()
    return touched


def best_order(scopes: Sequence[Scope], sizes: Sequence[int], most: float) -> list[int]:
    """The better of two greedy orders in which every variable is summed out.

    Raises
    ------
    TooWide
        If both need a table of more than `most` entries, or so many that they fill four such.
    """
    found: list[tuple[float, list[int]]] = []
    widths: list[float] = []
    for by_fill in (False, True):
        near = neighbours(scopes, len(sizes))
        order, total, refused = order_of(near, sizes, most, by_fill)
        if refused or total > 4 * most:
            widths.append(max(refused, total / 4))
            # With so much left over no other order will do, and this one would be slow.
            if len(sizes) - len(order) > HOPELESS:
                break
        else:
            found.append((total, order))
    if not found:
        raise TooWide(min(widths))
    return min(found)[1]
