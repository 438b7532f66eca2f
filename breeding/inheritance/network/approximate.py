"""Approximate marginals of networks too wide for an exact answer."""

from __future__ import annotations

from breeding.inheritance.network.beliefs import Beliefs
from breeding.inheritance.network.core import Core
from breeding.inheritance.network.factors import Network
from breeding.inheritance.network.gathering import Answer, gathered
from breeding.inheritance.network.simplifying import simplify

# Variables whose table has at most so many entries are summed out exactly beforehand.
SMALL = 700
ROUNDS, TOLERANCE, DAMPING = 200, 1e-5, 0.2


def approximate(
    network: Network,
    rounds: int = ROUNDS,
    tolerance: float = TOLERANCE,
    small: float = SMALL,
    damping: float = DAMPING,
) -> Beliefs:
    """All marginals by loopy message passing round a core, everything else exactly.

    Parameters
    ----------
    network : Network
    rounds : int
        Most rounds of messages.
    tolerance : float
        Settled when no probability changes by more in a round.
    small : float
        Entries of the largest table that is made to sum a variable out beforehand.
    damping : float
        Share of the old messages that is kept in each round, 0 to below 1.

    Returns
    -------
    Beliefs
        With the error not estimated (NaN) where not exact: `solve` estimates it.

    Raises
    ------
    Impossible
        If a contradiction is noticed; one that runs round a loop may not be.

    Examples
    --------
    >>> import numpy as np
    >>> from breeding.inheritance.network import Factor
    >>> alike = np.array([[2.0, 1.0], [1.0, 2.0]])
    >>> ring = [Factor(pair, alike) for pair in ((0, 1), (1, 2), (0, 2))]
    >>> seen = Factor((0,), np.array([3.0, 1.0]))
    >>> told = approximate(Network([2, 2, 2], [*ring, seen]), small=1)
    >>> told.settled, told.exact
    (True, False)
    """
    simple = simplify(network)
    answers = []
    for part in simple.parts:
        core = Core(part.network, small, damping)
        core.passing.run(rounds, tolerance)
        answers.append(core.answer())
    return gathered(network, simple, answers)


def loopy_part(network: Network) -> tuple[Core, Answer]:
    """One part with the usual settings; once more, damped strongly, when it does not settle."""
    core = Core(network, SMALL, DAMPING)
    core.passing.run(ROUNDS, TOLERANCE)
    if not core.passing.settled:
        core.passing.damping = 0.7
        core.passing.run(ROUNDS, TOLERANCE)
    return core, core.answer()
