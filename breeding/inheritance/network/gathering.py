"""Answers for the parts of a network put together to beliefs of the whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from breeding.inheritance.network.beliefs import Beliefs, Clique
from breeding.inheritance.network.factors import Network, Table
from breeding.inheritance.network.simplifying import Simplified


@dataclass(slots=True)
class Answer:
    """What was found for one part, by its own numbering."""

    marginals: list[Table]
    log_weight: float
    cliques: list[Clique]
    exact: bool = True
    error: list[float] = field(default_factory=list)
    rounds: int = 0
    change: float = 0.0
    settled: bool = True


def gathered(network: Network, simple: Simplified, answers: Sequence[Answer]) -> Beliefs:
    """Beliefs over the numbering of `network`; what is certain has one state of weight 1."""
    marginals = [np.zeros(size) for size in network.sizes]
    for marginal, states in zip(marginals, simple.states, strict=True):
        if len(states) == 1:
            marginal[states[0]] = 1.0
    exactly = np.ones(len(network), dtype=bool)
    error = np.zeros(len(network))
    cliques = []
    for part, answer in zip(simple.parts, answers, strict=True):
        for at, variable in enumerate(part.variables):
            marginals[variable][simple.states[variable]] = answer.marginals[at]
            if not answer.exact:
                exactly[variable] = False
                error[variable] = answer.error[at] if answer.error else np.nan
        cliques += [
            replace(clique, scope=tuple(part.variables[one] for one in clique.scope))
            for clique in answer.cliques
        ]
    return Beliefs(
        tuple(marginals),
        simple.log_weight + sum(answer.log_weight for answer in answers),
        exactly,
        error,
        max((answer.rounds for answer in answers), default=0),
        max((answer.change for answer in answers), default=0.0),
        all(answer.settled for answer in answers),
        tuple(cliques),
        {at: states for at, states in enumerate(simple.states) if len(states) < network.sizes[at]},
    )
