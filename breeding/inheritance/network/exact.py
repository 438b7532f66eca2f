"""Exact marginals by a junction tree."""

from __future__ import annotations

import numpy as np

from breeding.inheritance.network.beliefs import Beliefs
from breeding.inheritance.network.buckets import Elimination
from breeding.inheritance.network.factors import Network, Table
from breeding.inheritance.network.gathering import Answer, gathered
from breeding.inheritance.network.ordering import best_order
from breeding.inheritance.network.simplifying import simplify

# Entries of the largest table: half a second and 32 MB.
MOST = 2**22


def exact(network: Network, most: int = MOST) -> Beliefs:
    """All marginals and the log evidence, exactly.

    Parameters
    ----------
    network : Network
    most : int
        Entries of the largest table; all together may fill four such.

    Raises
    ------
    TooWide
        If a larger table would be needed.
    Impossible
        If the factors contradict each other, so that the sum of all weights is zero.

    Notes
    -----
    One sweep forward and one back over the buckets of a greedy order, in logarithms, so that
    weights of any size stand beside each other. Cost: linear in the entries of all tables.

    Examples
    --------
    >>> import numpy as np
    >>> from breeding.inheritance.network import Factor
    >>> alike = Factor((0, 1), np.array([[2.0, 1.0], [1.0, 2.0]]))
    >>> seen = Factor((0,), np.array([1.0, 0.0]))
    >>> exact(Network([2, 2], [alike, seen])).marginal(1).round(3).tolist()
    [0.667, 0.333]
    """
    simple = simplify(network)
    return gathered(network, simple, [exact_part(part.network, most) for part in simple.parts])


def exact_part(network: Network, most: float) -> Answer:
    """The same for a part of which nothing is certain."""
    order = best_order(network.scopes, network.sizes, most)
    run = Elimination(network.sizes, network.scopes, network.tables, order)
    run.tell_back()
    marginals: list[Table] = [np.zeros(0)] * len(network)
    for variable, told in zip(order, run.marginals(order), strict=True):
        marginals[variable] = told
    return Answer(marginals, run.log_weight, run.cliques())
