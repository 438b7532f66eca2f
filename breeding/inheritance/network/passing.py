"""Messages sent round a network with loops until they change no more."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breeding.inheritance.network.factors import Network, Table, aligned, log_sum
from breeding.inheritance.network.stacks import Stack, outward, stacked

# Log weights further apart than this are worked through as logarithms.
STEEP = 100.0
# log of the least weight of a message, so that a product of many is still a number.
FLOOR = -550.0
# log of what a steep table says where it says zero.
EMPTY = -1e6


@dataclass(slots=True)
class _Slots:
    """A stack, and where its messages stand: for each of its axes a piece of the long rows.

    `weights` are the table's, divided by their largest, whose logarithm is `most`; None where the
    table is steep.
    """

    stack: Stack
    weights: Table | None
    most: Table
    pieces: list[slice]

    def cut(self, row: Table) -> list[Table]:
        """(n, d) views of a long row, one for each axis."""
        return [
            row[piece].reshape(-1, size)
            for piece, size in zip(self.pieces, self.stack.shape, strict=True)
        ]


class Passing:
    """Loopy belief propagation: in each round every factor hears and speaks once.

    Parameters
    ----------
    network : Network
        Every state of every variable must be allowed by every factor (see `simplify`); what is
        impossible only together is kept above zero by a hair, so that no message is empty.
    damping : float
        Share of the old message (in logarithms) that is kept.

    Notes
    -----
    All messages stand one after the other in long rows (`_sent`, `_states`), so that all but the
    sums over tables is done for thousands of factors in one step. Messages into tables that are
    not steep count no odds beyond e^(550/(r − 1)) to 1, r the factor's variables. One round costs
    about 2·log₂(r) times the entries of all tables.
    """

    def __init__(self, network: Network, damping: float) -> None:
        self.network, self.damping = network, damping
        self.first = np.concatenate([[0], np.cumsum(network.sizes)]).astype(np.intp)
        self.total = np.zeros(int(self.first[-1]))
        self.slots: list[_Slots] = []
        self.place: dict[int, tuple[int, int]] = {}
        self._states = np.zeros(0, dtype=np.intp)
        states: list[NDArray[np.intp]] = []
        steep = {id(table): _steep(table) for table in network.tables}
        for kind in (False, True):
            mine = [at for at, table in enumerate(network.tables) if steep[id(table)] is kind]
            for stack in stacked(network.scopes, network.tables, mine):
                self._add(stack, kind, states)
        if states:
            self._states = np.concatenate([one.ravel() for one in states])
        self._lengths = np.concatenate(
            [np.zeros(0, np.intp), *(np.full(len(one), one.shape[1]) for one in states)]
        ).astype(np.intp)
        self._starts = np.cumsum(self._lengths) - self._lengths
        self._sent = np.zeros(len(self._states))
        self.rounds, self.change, self.settled = 0, 0.0, True

    def _add(self, stack: Stack, steep: bool, states: list[NDArray[np.intp]]) -> None:
        table = stack.table[None] if stack.shared else stack.table
        found = [
            self.first[stack.variables[:, at]][:, None] + np.arange(size)
            for at, size in enumerate(stack.shape)
        ]
        if len(found) == 1:
            np.add.at(self.total, found[0], np.broadcast_to(table, found[0].shape))
            return
        most = table.max(axis=tuple(range(1, table.ndim)), keepdims=True)
        weights = None
        if not steep:
            weights = np.exp(table - most)
            weights = weights[0] if stack.shared else weights
        for row, member in enumerate(stack.members):
            self.place[member] = (len(self.slots), row)
        pieces, end = [], sum(one.size for one in states)
        for one in found:
            pieces.append(slice(end, end + one.size))
            end += one.size
        states += found
        self.slots.append(_Slots(stack, weights, most.ravel(), pieces))

    def run(self, rounds: int, tolerance: float) -> None:
        """Send messages until no probability changes by more than `tolerance` in a round."""
        before = self.probabilities()
        self.settled = not self.slots
        for _ in range(rounds if self.slots else 0):
            self._send()
            now = self.probabilities()
            self.change = float(np.abs(now - before).max())
            before = now
            self.rounds += 1
            if self.change < tolerance:
                self.settled = True
                break

    def _send(self) -> None:
        heard = self._levelled(self.total[self._states] - self._sent)
        fresh = np.empty_like(heard)
        for slots in self.slots:
            for place, told in zip(slots.cut(fresh), _said(slots, slots.cut(heard)), strict=True):
                place[:] = told
        moved = (1 - self.damping) * (self._levelled(fresh) - self._sent)
        self._sent += moved
        self.total += np.bincount(self._states, moved, self.total.size)

    def _levelled(self, logs: Table) -> Table:
        """Each message with 0 as its largest."""
        return np.asarray(logs - np.repeat(np.maximum.reduceat(logs, self._starts), self._lengths))

    def probabilities(self) -> Table:
        """Probabilities of all states of all variables, one after the other."""
        if not self.total.size:
            return self.total
        starts, sizes = self.first[:-1], np.diff(self.first)
        most = np.maximum.reduceat(self.total, starts)
        weights = np.exp(self.total - np.repeat(most, sizes))
        return np.asarray(weights / np.repeat(np.add.reduceat(weights, starts), sizes))

    def marginals(self) -> list[Table]:
        """Probabilities by variable."""
        return np.split(self.probabilities(), self.first[1:-1]) if len(self.network) else []

    def bethe(self) -> float:
        """Bethe's approximation of the log of the sum of all weights; exact without loops."""
        if not self.total.size:
            return 0.0
        each = np.logaddexp.reduceat(self.total, self.first[:-1])
        found = float(each.sum())
        heard = self.total[self._states] - self._sent
        for slots in self.slots:
            told = slots.cut(heard)
            levels = [one.max(axis=1, keepdims=True) for one in told]
            level = [one - most for one, most in zip(told, levels, strict=True)]
            each_factor = log_sum(_said(slots, level)[0] + level[0], 1)
            found += float((each_factor + slots.most).sum() + sum(one.sum() for one in levels))
            found -= float(each[slots.stack.variables].sum())
        return found

    def heard(self, factor: int) -> list[Table]:
        """Logarithms of what each variable of a factor has heard from all others."""
        scope = self.network.scopes[factor]
        if len(scope) == 1:
            told = self.total[self.first[scope[0]] : self.first[scope[0] + 1]]
            return [told - self.network.tables[factor]]
        which, row = self.place[factor]
        return [
            self.total[self.first[variable] : self.first[variable + 1]] - sent[row]
            for variable, sent in zip(scope, self.slots[which].cut(self._sent), strict=True)
        ]

    def around(self, factor: int) -> Table:
        """The same as one table over the scope of the factor."""
        scope = self.network.scopes[factor]
        told: Table = np.zeros(())
        for variable, heard in zip(scope, self.heard(factor), strict=True):
            told = told + aligned(heard, (variable,), scope)
        return told


def _steep(table: Table) -> bool:
    """Whether its weights are too far apart for anything but logarithms."""
    possible = table[np.isfinite(table)]
    return bool(possible.size and possible.max() - possible.min() > STEEP)


def _said(slots: _Slots, heard: list[Table]) -> list[Table]:
    """What factors say to each of their variables, in logarithms; `heard` is levelled."""
    arity, stack = len(heard), slots.stack
    if slots.weights is not None:
        least = FLOOR / (arity - 1)
        messages = [np.exp(np.maximum(told, least)) for told in heard]
        fresh = outward(slots.weights, stack.shared, messages)
        return [np.log(np.maximum(told, 1e-300)) for told in fresh]
    most = slots.most.reshape(-1, *[1] * arity)
    joint = (stack.table[None] if stack.shared else stack.table) - most
    for at, told in enumerate(heard):
        sizes = [told.shape[1] if one == at else 1 for one in range(arity)]
        joint = joint + told.reshape(len(told), *sizes)
    found = []
    for at, told in enumerate(heard):
        sums = log_sum(joint, tuple(one + 1 for one in range(arity) if one != at))
        found.append(np.maximum(sums, EMPTY) - told)
    return found
