"""Variables summed out one after the other, and told their marginals on the way back.

A variable's bucket is the product of all factors that hold it when its turn comes: a clique of a
junction tree. The factor that is left of it goes to the bucket, or to the core, that needs it next.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from breeding.inheritance.network.beliefs import Clique
from breeding.inheritance.network.factors import Scope, Table, aligned, log_sum, normalised, product


@dataclass(slots=True)
class Bucket:
    """The product over one variable and its neighbours; `left` is the factor that came of it."""

    scope: Scope
    table: Table
    left: int

    def whole(self) -> Table:
        """Its table, later on."""
        return self.table


class Elimination:
    """Sum the variables of `order` out of a product of factors.

    Attributes
    ----------
    core : dict of int to (scope, table)
        What is left: factors over the variables that stay, by their number.
    log_weight : float
        The factors without variables: the whole log evidence where nothing stays.
    """

    def __init__(
        self,
        sizes: Sequence[int],
        scopes: Sequence[Scope],
        tables: Sequence[Table],
        order: Sequence[int],
    ) -> None:
        self._factors = dict(enumerate(zip(scopes, tables, strict=True)))
        self._used: dict[int, int] = {}
        self.buckets: list[Bucket] = []
        holding: list[set[int]] = [set() for _ in sizes]
        for number, scope in enumerate(scopes):
            for variable in scope:
                holding[variable].add(number)
        for variable in order:
            self._sum_out(variable, sizes[variable], holding)
        open_ones = {at: told for at, told in self._factors.items() if at not in self._used}
        self.core = {at: told for at, told in open_ones.items() if told[0]}
        self.log_weight = sum(float(table) for scope, table in open_ones.values() if not scope)

    def _sum_out(self, variable: int, size: int, holding: list[set[int]]) -> None:
        mine = sorted(holding[variable])
        parts = [self._factors[number] for number in mine]
        parts = parts or [((variable,), np.zeros(size))]
        scope, table = product([part[0] for part in parts], [part[1] for part in parts])
        at = scope.index(variable)
        rest = scope[:at] + scope[at + 1 :]
        left = len(self._factors)
        for number in mine:
            self._used[number] = len(self.buckets)
            for other in self._factors[number][0]:
                holding[other].discard(number)
        for other in rest:
            holding[other].add(left)
        self._factors[left] = (rest, log_sum(table, at))
        self.buckets.append(Bucket(scope, table, left))

    def tell_back(self, told_by_core: Callable[[int], Table] | None = None) -> None:
        """Give every bucket what all others know; its table is then the joint of its scope.

        `told_by_core` gives, for the number of a core factor, the logarithm of all that the rest
        of the core says about its scope (the factor itself left out).
        """
        for bucket in reversed(self.buckets):
            rest, sent = self._factors[bucket.left]
            if not rest:
                continue
            if bucket.left in self._used:
                user = self.buckets[self._used[bucket.left]]
                there = set(rest)
                axes = tuple(at for at, one in enumerate(user.scope) if one not in there)
                joint = log_sum(user.table, axes) if axes else user.table
                # Where nothing was sent nothing comes back: −inf, not −inf + inf.
                back = joint - np.where(np.isneginf(sent), 0.0, sent)
            elif told_by_core is not None:
                back = told_by_core(bucket.left)
            else:
                raise ValueError("A core is left, and nobody speaks for it.")
            bucket.table = bucket.table + aligned(back, rest, bucket.scope)

    def marginals(self, order: Sequence[int]) -> list[Table]:
        """Probabilities of the variables summed out, in their order, once told back.

        Raises
        ------
        Impossible
            If all weights are zero.
        """
        found = []
        for variable, bucket in zip(order, self.buckets, strict=True):
            axes = tuple(at for at, one in enumerate(bucket.scope) if one != variable)
            found.append(normalised(log_sum(bucket.table, axes) if axes else bucket.table))
        return found

    def way_to_core(self, at: int) -> tuple[list[Bucket], int]:
        """The buckets from one on to the core, and the core's factor that the last one left."""
        way = [self.buckets[at]]
        while way[-1].left in self._used:
            way.append(self.buckets[self._used[way[-1].left]])
        return way, way[-1].left

    def cliques(self) -> list[Clique]:
        """The joint weights of all buckets."""
        return [Clique(one.scope, one.table.size, one.whole) for one in self.buckets]
