"""Variables with finitely many states, and tables that weigh them together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from string import ascii_letters as LETTERS

import numpy as np
from numpy.typing import NDArray

Table = NDArray[np.float64]
Scope = tuple[int, ...]


class Impossible(ValueError):
    """What was told leaves no state at all."""


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """A table of weights over some variables.

    `table` has one axis for each of `variables`, in that order. A variable may be named twice
    (a selfed plant): then only equal states count. With `logs` the table holds natural logarithms,
    −inf for what cannot be; so weights of any size can be told.
    """

    variables: Scope
    table: Table
    logs: bool = False


class Network:
    """Variables 0 … n−1, and the factors whose product weighs all their states together.

    Parameters
    ----------
    sizes : sequence of int
        How many states each variable has, at least 1.
    factors : iterable of Factor
        Weights need not be normalised. Factors with equal tables are worked through together;
        those that share one array are read once.

    Attributes
    ----------
    scopes : list of tuple of int
        Variables of each factor, in ascending order, none twice.
    tables : list of ndarray
        Their weights as natural logarithms, axes in the order of the scope.

    Raises
    ------
    ValueError
        If a table does not fit its variables, or holds anything that is no weight.

    Examples
    --------
    >>> coin = Network([2], [Factor((0,), np.array([1.0, 3.0]))])
    >>> coin.scopes
    [(0,)]
    """

    def __init__(self, sizes: Sequence[int], factors: Iterable[Factor] = ()) -> None:
        self.sizes = tuple(int(size) for size in sizes)
        if min(self.sizes, default=1) < 1:
            raise ValueError("Every variable needs at least one state.")
        self.scopes: list[Scope] = []
        self.tables: list[Table] = []
        # Equal tables become one array. What is known by its id is kept alive.
        known: dict[tuple[int, bool, Scope], Table] = {}
        equal: dict[tuple[tuple[int, ...], bytes], Table] = {}
        kept = []
        for factor in factors:
            scope = tuple(sorted(set(factor.variables)))
            pattern = tuple(scope.index(variable) for variable in factor.variables)
            key = (id(factor.table), factor.logs, pattern)
            if key not in known:
                read = _in_logs(factor.table, factor.logs, pattern)
                known[key] = equal.setdefault((read.shape, read.tobytes()), read)
                kept.append(factor.table)
            table = known[key]
            if any(not 0 <= variable < len(self.sizes) for variable in scope):
                raise ValueError(f"A factor names a variable that is not there: {scope}.")
            if table.shape != tuple(self.sizes[variable] for variable in scope):
                raise ValueError(f"A table of shape {table.shape} does not fit variables {scope}.")
            self.scopes.append(scope)
            self.tables.append(table)

    @classmethod
    def of(cls, sizes: Sequence[int], scopes: list[Scope], tables: list[Table]) -> Network:
        """From scopes in ascending order and tables in logs, unchecked."""
        network = cls(sizes)
        network.scopes, network.tables = scopes, tables
        return network

    def __len__(self) -> int:
        return len(self.sizes)


def _in_logs(table: Table, logs: bool, pattern: Scope) -> Table:
    """The table in logarithms, its axes in ascending order and equal ones taken together."""
    read = np.asarray(table, dtype=np.float64)
    if read.ndim != len(pattern):
        raise ValueError(f"A table of {read.ndim} axes for {len(pattern)} variables.")
    if np.isnan(read).any() or np.isposinf(read).any() or (not logs and (read < 0).any()):
        raise ValueError("Weights are finite numbers, and not negative.")
    for axis, at in enumerate(pattern):
        if read.shape[axis] != read.shape[pattern.index(at)]:
            raise ValueError("One variable is named twice, with two numbers of states.")
    if not logs:
        with np.errstate(divide="ignore"):
            read = np.log(read)
    axes = sorted(set(pattern))
    if pattern != tuple(axes):
        named = ["".join(map(LETTERS.__getitem__, group)) for group in (pattern, axes)]
        read = np.asarray(np.einsum("->".join(named), read))
    return np.array(read, order="C")


def log_sum(table: Table, axes: int | Scope) -> Table:
    """log Σ exp over some axes, exact for weights of any size; −inf where all are zero."""
    most = np.max(table, axis=axes, keepdims=True)
    most = np.where(np.isneginf(most), 0.0, most)
    with np.errstate(divide="ignore"):
        sums = np.log(np.sum(np.exp(table - most), axis=axes, keepdims=True))
    return np.asarray(np.squeeze(sums + most, axis=axes))


def aligned(table: Table, scope: Scope, wider: Scope) -> Table:
    """The table with an axis of length 1 for each variable of `wider` that it lacks."""
    if scope == wider:
        return table
    sizes = iter(table.shape)
    there = set(scope)
    return table.reshape([next(sizes) if variable in there else 1 for variable in wider])


def product(scopes: Sequence[Scope], tables: Sequence[Table]) -> tuple[Scope, Table]:
    """The product (a sum of logarithms) of several factors, over all their variables."""
    wider = tuple(sorted({variable for scope in scopes for variable in scope}))
    told: Table = np.zeros(())
    for scope, table in zip(scopes, tables, strict=True):
        told = told + aligned(table, scope, wider)
    return wider, told


def normalised(logs: Table) -> Table:
    """Probabilities from logarithms of weights.

    Raises
    ------
    Impossible
        If every weight is zero.
    """
    most = float(np.max(logs))
    if most == -np.inf:
        raise Impossible("What was told contradicts itself: no state is possible.")
    weights = np.exp(logs - most)
    return np.asarray(weights / weights.sum())
