"""Factors of a core put together so that fewer short loops are left in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from breeding.inheritance.network.factors import Network, Scope, Table, product

# No pair with more states is made into one variable.
WIDEST_PAIR = 100


@dataclass(frozen=True, slots=True)
class Region:
    """Factors taken as one, with the numbers of those it is made of.

    `axes` is the order of the scope's variables in the core's table, `shape` their sizes there:
    a pair that became one variable is two axes again by it.
    """

    scope: Scope
    table: Table
    members: tuple[int, ...]
    axes: Scope
    shape: tuple[int, ...]

    def unpaired(self, table: Table) -> Table:
        """A table as the core has it, with an axis for each variable of the scope."""
        told = table.reshape(self.shape)
        return told.transpose([self.axes.index(variable) for variable in self.scope])


def regions(
    factors: Mapping[int, tuple[Scope, Table]], sizes: Sequence[int]
) -> tuple[list[Region], Network]:
    """Absorb factors in wider ones; make pairs that several share (two parents) one variable.

    Parameters
    ----------
    factors : dict of int to (scope, table)
        By variables 0 … len(sizes) − 1.

    Returns
    -------
    (list of Region, Network)
        The k-th region is the k-th factor of the network, whose further variables are the pairs
        and whose further factors tie each pair to its two.
    """
    whole = [
        (*product([factors[at][0] for at in group], [factors[at][1] for at in group]), group)
        for group in _absorbed({at: told[0] for at, told in factors.items()})
    ]
    used = _pairs([scope for scope, _, _ in whole], sizes)
    number = {pair: len(sizes) + at for at, pair in enumerate(sorted(set().union(*used)))}
    widths = [*sizes, *(sizes[one] * sizes[two] for one, two in number)]
    found, scopes, tables = [], [], []
    for (scope, table, group), pairs in zip(whole, used, strict=True):
        mine = sorted(pairs)
        single = [one for one in scope if not any(one in pair for pair in mine)]
        axes = (*single, *(one for pair in mine for one in pair))
        shape = tuple(sizes[one] for one in axes)
        inner = (*single, *(number[pair] for pair in mine))
        found.append(Region(scope, table, tuple(group), axes, shape))
        scopes.append(inner)
        turned = table.transpose([scope.index(one) for one in axes]) if mine else table
        tables.append(turned.reshape([widths[one] for one in inner]))
    ties: dict[tuple[int, int], Table] = {}
    for pair, at in number.items():
        one, two = sizes[pair[0]], sizes[pair[1]]
        tie = ties.setdefault((one, two), _tie(one, two))
        scopes.append((*pair, at))
        tables.append(tie)
    return found, Network.of(widths, scopes, tables)


def _tie(one: int, two: int) -> Table:
    """0 where the pair's state is that of its two, −inf elsewhere."""
    told = np.full((one, two, one * two), -np.inf)
    for first in range(one):
        for second in range(two):
            told[first, second, first * two + second] = 0.0
    return told


def _pairs(scopes: Sequence[Scope], sizes: Sequence[int]) -> list[set[tuple[int, int]]]:
    """For each scope the pairs to be made one variable: shared by several, and apart."""
    often = Counter(pair for scope in scopes for pair in combinations(scope, 2))
    shared = {
        pair
        for pair, times in often.items()
        if times > 1 and sizes[pair[0]] * sizes[pair[1]] <= WIDEST_PAIR
    }
    chosen: list[set[tuple[int, int]]] = []
    for scope in scopes:
        mine: set[tuple[int, int]] = set()
        for pair in sorted(combinations(scope, 2), key=lambda one: (-often[one], one)):
            if pair in shared and not any(set(pair) & set(other) for other in mine):
                mine.add(pair)
        chosen.append(mine)
    times = Counter(pair for mine in chosen for pair in mine)
    return [{pair for pair in mine if times[pair] > 1} for mine in chosen]


def _absorbed(scopes: Mapping[int, Scope]) -> list[list[int]]:
    """Factors put together with one that holds all their variables."""
    holding: dict[int, set[int]] = {}
    for at, scope in scopes.items():
        for variable in scope:
            holding.setdefault(variable, set()).add(at)
    groups: dict[int, list[int]] = {}
    for at in sorted(scopes, key=lambda one: (-len(scopes[one]), one)):
        wider = set.intersection(*(holding[variable] for variable in scopes[at]))
        home = min((one for one in wider if one in groups), default=at)
        groups.setdefault(home, []).append(at)
    return list(groups.values())
