"""What is believed of every variable once all factors have been heard."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from string import ascii_letters as LETTERS

import numpy as np
from numpy.typing import NDArray

from breeding.inheritance.network.factors import Scope, Table, log_sum, normalised


@dataclass(slots=True)
class Clique:
    """Variables whose joint weight is known; `table` gives its logarithms."""

    scope: Scope
    entries: int
    table: Callable[[], Table]


@dataclass(frozen=True, slots=True, eq=False)
class Beliefs:
    """Marginals of all variables.

    Attributes
    ----------
    marginals : tuple of ndarray
        Probabilities of each variable's states.
    log_evidence : float
        Logarithm of the sum of all weights; by Bethe's approximation where not exact.
    exactly : ndarray of bool
        Which marginals are exact.
    error : ndarray
        Stated error of each variable's probabilities: 0 where exact; elsewhere the largest
        difference over its states that nine in ten of them are meant to keep below. NaN: not
        estimated.
    rounds, change, settled
        Of the message passing: how many rounds, the largest change of a probability in the last,
        and whether that is below the tolerance. 0, 0, True where all is exact.
    """

    marginals: tuple[Table, ...]
    log_evidence: float
    exactly: NDArray[np.bool_]
    error: Table
    rounds: int = 0
    change: float = 0.0
    settled: bool = True
    cliques: tuple[Clique, ...] = ()
    states: Mapping[int, NDArray[np.intp]] = field(default_factory=dict)
    _by_variable: dict[int, list[int]] = field(default_factory=dict)

    @property
    def exact(self) -> bool:
        """Whether every marginal is exact."""
        return bool(self.exactly.all())

    def marginal(self, variable: int) -> Table:
        """Probabilities of the states of one variable."""
        return self.marginals[variable]

    def joint(self, variables: Sequence[int]) -> Table:
        """Probabilities of the states of several variables together, axes as they are named.

        Exact where the variables are. Where no clique holds them all but at most one of them is
        uncertain, the product of marginals is the joint.

        Raises
        ------
        KeyError
            If no table on the way held all of them.
        """
        named = tuple(dict.fromkeys(variables))
        open_ones = tuple(sorted(one for one in named if np.max(self.marginals[one]) < 1))
        told = [self._open_joint(open_ones)]
        told += [self.marginals[one] for one in named if one not in open_ones]
        groups = [open_ones, *((one,) for one in named if one not in open_ones)]
        letters = ["".join(LETTERS[named.index(one)] for one in group) for group in groups]
        return np.asarray(np.einsum(f"{','.join(letters)}->{LETTERS[: len(named)]}", *told))

    def _open_joint(self, wanted: Scope) -> Table:
        if len(wanted) < 2:
            return self.marginals[wanted[0]] if wanted else np.ones(())
        if not self._by_variable:
            for at, clique in enumerate(self.cliques):
                for variable in clique.scope:
                    self._by_variable.setdefault(variable, []).append(at)
        places = set.intersection(*(set(self._by_variable.get(one, ())) for one in wanted))
        if not places:
            raise KeyError(f"No table holds the variables {wanted} together.")
        clique = min((self.cliques[at] for at in places), key=lambda one: one.entries)
        axes = tuple(at for at, one in enumerate(clique.scope) if one not in wanted)
        logs = clique.table()
        found = normalised(log_sum(logs, axes) if axes else logs)
        full = np.zeros([len(self.marginals[one]) for one in wanted])
        every = [self.states.get(one, np.arange(len(self.marginals[one]))) for one in wanted]
        full[np.ix_(*every)] = found
        return full
