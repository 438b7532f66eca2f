"""How far off messages round loops are: the same worked out exactly near some variables."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from breeding.inheritance.network.core import Core
from breeding.inheritance.network.exact import exact
from breeding.inheritance.network.factors import (
    Network,
    Scope,
    Table,
    aligned,
    log_sum,
    normalised,
)
from breeding.inheritance.network.ordering import TooWide, neighbours, order_of

# Variables around the one that is looked at, most first, and the largest table among them.
BALLS = (40, 25, 16, 10)
WIDEST = 2**15


class Near:
    """Exact answers within a few steps of a variable; what is beyond speaks by its messages.

    `core` has been asked for its answer already.
    """

    def __init__(self, core: Core) -> None:
        self.core, self.passing = core, core.passing
        self.network = core.passing.network
        self.place = {variable: at for at, variable in enumerate(core.left)}
        self.near = neighbours(self.network.scopes, len(self.network))
        self.holding: list[list[int]] = [[] for _ in self.network.sizes]
        for at, scope in enumerate(self.network.scopes):
            for variable in scope:
                self.holding[variable].append(at)

    def marginal(self, variable: int, balls: Sequence[int] = BALLS, widest: int = WIDEST) -> Table:
        """Probabilities of one variable of the part, loops near it taken into account.

        Raises
        ------
        TooWide
            If even the smallest ball is.
        """
        if variable in self.place:
            return self._together((self.place[variable],), balls, widest)
        return self._summed_out(variable, balls, widest)

    def _summed_out(self, variable: int, balls: Sequence[int], widest: int) -> Table:
        """Of one that was summed out: p(it | clique) stays, the clique's region is looked at."""
        buckets, at = self.core.run.way_to_core(self.core.order.index(variable))
        region = self.core.regions[self.core.home[at]]
        inner = self.network.scopes[self.core.home[at]]
        before = self.core.joint(self.core.home[at])
        with np.errstate(divide="ignore"):
            told = region.unpaired(np.log(self._together(inner, balls, widest)))
        scope = tuple(self.core.left[one] for one in region.scope)
        for bucket in reversed(buckets):
            axes = tuple(axis for axis, one in enumerate(scope) if one not in bucket.scope)
            old, new = (log_sum(one, axes) if axes else one for one in (before, told))
            rest = tuple(one for one in scope if one in bucket.scope)
            moved = np.where(np.isneginf(old), 0.0, new - np.where(np.isneginf(old), 0.0, old))
            before, scope = bucket.table, bucket.scope
            told = before + aligned(moved, rest, scope)
        axes = tuple(axis for axis, one in enumerate(scope) if one != variable)
        return normalised(log_sum(told, axes) if axes else told)

    def _together(self, centre: Scope, balls: Sequence[int], widest: int) -> Table:
        """Probabilities of variables of the core, which one of its factors holds."""
        around = self._around(centre, max(balls))
        for count in balls:
            inside = sorted(around[: max(count, len(centre))])
            scopes, place = self._scopes(inside)
            sizes = [self.network.sizes[one] for one in inside]
            _, _, refused = order_of(neighbours(scopes.values(), len(inside)), sizes, widest)
            if not refused:
                tables = [self._table(at, set(inside)) for at in scopes]
                cut = Network.of(sizes, list(scopes.values()), tables)
                return exact(cut, 16 * widest).joint([place[one] for one in centre])
        raise TooWide(refused)

    def _around(self, centre: Scope, count: int) -> list[int]:
        """The nearest variables, nearest first."""
        found, seen = list(centre), set(centre)
        for one in found:
            if len(found) >= count:
                break
            fresh = sorted(self.near[one] - seen)
            seen.update(fresh)
            found += fresh
        return found[: max(count, len(centre))]

    def _scopes(self, inside: list[int]) -> tuple[dict[int, Scope], dict[int, int]]:
        """What each factor that touches the ball says within it, in the ball's numbers."""
        place = {variable: at for at, variable in enumerate(inside)}
        touching = sorted({at for variable in inside for at in self.holding[variable]})
        return {
            at: tuple(place[one] for one in self.network.scopes[at] if one in place)
            for at in touching
        }, place

    def _table(self, at: int, inside: set[int]) -> Table:
        """A factor's table; variables beyond the ball summed out with all that they have heard."""
        scope, table = self.network.scopes[at], self.network.tables[at]
        beyond = [axis for axis, one in enumerate(scope) if one not in inside]
        if not beyond:
            return table
        heard = self.passing.heard(at)
        for axis in beyond:
            table = table + aligned(heard[axis], (scope[axis],), scope)
        return log_sum(table, tuple(beyond))
