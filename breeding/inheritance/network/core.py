"""A network too wide for an exact answer: all that is easy summed out, messages round the rest."""

from __future__ import annotations

from functools import partial

import numpy as np

from breeding.inheritance.network.beliefs import Clique
from breeding.inheritance.network.buckets import Elimination
from breeding.inheritance.network.factors import Impossible, Network, Table, log_sum
from breeding.inheritance.network.gathering import Answer
from breeding.inheritance.network.ordering import neighbours, order_of
from breeding.inheritance.network.pairing import Region, regions
from breeding.inheritance.network.passing import Passing


class Core:
    """A connected network of which the easy variables are summed out exactly.

    Parameters
    ----------
    network : Network
        One part, nothing in it certain.
    small : float
        Entries of the largest table made to sum a variable out.

    Attributes
    ----------
    left : list of int
        The variables that stay; their places in this list are their numbers in `passing`.
    home : dict of int to int
        The region of each factor that elimination left, by its number there.
    """

    def __init__(self, network: Network, small: float, damping: float) -> None:
        self.network = network
        near = neighbours(network.scopes, len(network))
        self.order, _, _ = order_of(near, network.sizes, small)
        self.run = Elimination(network.sizes, network.scopes, network.tables, self.order)
        self.left = sorted(set(range(len(network))) - set(self.order))
        place = {variable: at for at, variable in enumerate(self.left)}
        factors = {
            number: (tuple(place[one] for one in scope), table)
            for number, (scope, table) in self.run.core.items()
        }
        sizes = [network.sizes[one] for one in self.left]
        self.regions, inner = regions(factors, sizes)
        self._scope_of = {number: scope for number, (scope, _) in factors.items()}
        self.home = {
            number: at for at, region in enumerate(self.regions) for number in region.members
        }
        if any(region.table.max() == -np.inf for region in self.regions):
            raise Impossible("What was told contradicts itself: several factors leave no state.")
        self.passing = Passing(inner, damping)

    def answer(self) -> Answer:
        """Marginals of all variables from the messages as they stand; to be asked once."""
        self.run.tell_back(self._around)
        marginals: list[Table] = [np.zeros(0)] * len(self.network)
        for variable, told in zip(self.order, self.run.marginals(self.order), strict=True):
            marginals[variable] = told
        for variable, told in zip(self.left, self.passing.marginals(), strict=False):
            marginals[variable] = told
        cliques = self.run.cliques()
        cliques += [
            Clique(tuple(self.left[one] for one in region.scope), region.table.size,
                   partial(self.joint, at))
            for at, region in enumerate(self.regions)
        ]  # fmt: skip
        passing = self.passing
        return Answer(
            marginals,
            self.run.log_weight + passing.bethe(),
            cliques,
            exact=not self.left,
            rounds=passing.rounds,
            change=passing.change,
            settled=passing.settled,
        )

    def joint(self, at: int) -> Table:
        """Logarithm of the joint weight of a region's variables."""
        region: Region = self.regions[at]
        return np.asarray(region.table + region.unpaired(self.passing.around(at)))

    def _around(self, number: int) -> Table:
        """What the rest of the core says about the scope of a factor, itself left out."""
        at, scope = self.home[number], set(self._scope_of[number])
        wider, sent = self.regions[at].scope, self.run.core[number][1]
        axes = tuple(axis for axis, one in enumerate(wider) if one not in scope)
        joint = log_sum(self.joint(at), axes) if axes else self.joint(at)
        return np.asarray(joint - np.where(np.isneginf(sent), 0.0, sent))
