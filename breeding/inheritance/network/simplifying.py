"""What can be said before anything is summed: impossible states, certain ones, separate parts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breeding.inheritance.network.factors import Impossible, Network, Scope, Table
from breeding.inheritance.network.ordering import neighbours
from breeding.inheritance.network.stacks import outward, stacked

States = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Part:
    """A connected part: `variables` are the numbers that its own 0, 1, 2 … had before."""

    variables: tuple[int, ...]
    network: Network


@dataclass(frozen=True, slots=True)
class Simplified:
    """A network without what is certain.

    Attributes
    ----------
    states : tuple of ndarray of int
        Which states each variable can still have.
    parts : tuple of Part
        The variables with several states, in connected parts; smaller numbers first.
    log_weight : float
        Logarithm of the weight of what is certain.
    """

    states: tuple[States, ...]
    parts: tuple[Part, ...]
    log_weight: float


def simplify(network: Network) -> Simplified:
    """Take away states that cannot be, variables that are certain, and split what is left.

    Raises
    ------
    Impossible
        If a variable is left without any state.
    """
    states = possible(network)
    scopes, tables, weight = _cut(network, states)
    return Simplified(states, _parts(scopes, tables, states), weight)


def possible(network: Network) -> tuple[States, ...]:
    """The states of each variable that every one of its factors allows, again and again."""
    count, widest = len(network), max(network.sizes, default=1)
    sizes = np.array(network.sizes)
    open_ = np.arange(widest)[None, :] < sizes[:, None] if count else np.ones((0, 1), bool)
    checked = [
        (stack, np.where(np.isneginf(stack.table), 0.0, 1.0))
        for stack in stacked(network.scopes, network.tables)
        if stack.variables.shape[1] and np.isneginf(stack.table).any()
    ]
    before = -1
    while before != (before := int(open_.sum())):
        for stack, there in checked:
            heard = [
                open_[stack.variables[:, at], :size].astype(float)
                for at, size in enumerate(stack.shape)
            ]
            for at, told in enumerate(outward(there, stack.shared, heard)):
                refused = told == 0
                rows, columns = np.nonzero(refused)
                open_[stack.variables[rows, at], columns] = False
    if count and not open_.any(axis=1).all():
        raise Impossible("What was told contradicts itself: a variable is left without any state.")
    return tuple(np.nonzero(row)[0] for row in open_)


def _cut(network: Network, states: tuple[States, ...]) -> tuple[list[Scope], list[Table], float]:
    """Factors over the states that are left; what became a number is added up."""
    names: dict[bytes, int] = {}
    name = [
        -1 if len(kept) == size else names.setdefault(kept.tobytes(), len(names))
        for kept, size in zip(states, network.sizes, strict=True)
    ]
    many = [len(kept) > 1 for kept in states]
    known: dict[tuple[int, ...], Table] = {}
    scopes: list[Scope] = []
    tables: list[Table] = []
    weight = 0.0
    for scope, table in zip(network.scopes, network.tables, strict=True):
        key = (id(table), *(name[variable] for variable in scope))
        cut = known.get(key)
        if cut is None:
            cut = table[np.ix_(*(states[variable] for variable in scope))] if scope else table
            cut = cut.reshape([length for length in cut.shape if length > 1])
            cut = known[key] = table if cut.shape == table.shape else cut
        if cut.ndim:
            scopes.append(tuple(variable for variable in scope if many[variable]))
            tables.append(cut)
        else:
            weight += float(cut)
    if weight == -np.inf:
        raise Impossible("What was told contradicts itself: its weight is zero.")
    return scopes, tables, weight


def _parts(
    scopes: list[Scope], tables: list[Table], states: tuple[States, ...]
) -> tuple[Part, ...]:
    near = neighbours(scopes, len(states))
    part = [-1] * len(states)
    members: list[list[int]] = []
    for first, kept in enumerate(states):
        if part[first] >= 0 or len(kept) == 1:
            continue
        part[first] = len(members)
        found = [first]
        for variable in found:
            for other in near[variable]:
                if part[other] < 0:
                    part[other] = part[first]
                    found.append(other)
        members.append(sorted(found))
    place = {variable: at for group in members for at, variable in enumerate(group)}
    of_part: list[tuple[list[Scope], list[Table]]] = [([], []) for _ in members]
    for scope, table in zip(scopes, tables, strict=True):
        mine = of_part[part[scope[0]]]
        mine[0].append(tuple(place[variable] for variable in scope))
        mine[1].append(table)
    return tuple(
        Part(tuple(group), Network.of([len(states[one]) for one in group], *told))
        for group, told in zip(members, of_part, strict=True)
    )
