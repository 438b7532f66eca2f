"""Why two plants are related: common ancestors, and the paths that lead through them."""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree import kinship
from breeding.pedigree.sums import self_kinship

if TYPE_CHECKING:
    from breeding.pedigree.pedigree import Pedigree

# Steps of the search for paths, so that a wide old pedigree cannot hold anybody up.
MOST_STEPS = 20_000
Pair = tuple[tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class CommonAncestor:
    """A plant from which both descend; it may be one of the two.

    Attributes
    ----------
    generations : tuple of int
        Fewest generations back to it from the one and from the other plant; 0 is itself.
    shares : tuple of float
        Expected part of their copies that came through it, 0–1.
    """

    plant: Hashable
    generations: tuple[int, int]
    shares: tuple[float, float]


@dataclass(frozen=True, slots=True)
class CommonPath:
    """One path from the one plant up to a common ancestor and down to the other.

    Attributes
    ----------
    up : tuple of plants
        From the one plant to the ancestor, both included.
    down : tuple of plants
        From the ancestor to the other plant, both included.
    kinship : float
        What this path adds to the kinship of the pair, 0–1.
    """

    up: tuple[Hashable, ...]
    down: tuple[Hashable, ...]
    kinship: float

    def __str__(self) -> str:
        return " ← ".join(map(str, self.up)) + "".join(f" → {plant}" for plant in self.down[1:])


@dataclass(frozen=True, slots=True)
class CommonPaths:
    """The weightiest paths of a pair, and what was left out.

    Attributes
    ----------
    paths : tuple of CommonPath
        Weightiest first.
    explained : float
        Part of the kinship that they make, 0–1; 1 where there is none.
    complete : bool
        No path was left out.
    """

    paths: tuple[CommonPath, ...]
    explained: float
    complete: bool

    def __str__(self) -> str:
        many = len(self.paths)
        if self.complete:
            return f"{many} path{'' if many == 1 else 's'}, all there are."
        told = "The path that weighs most makes" if many == 1 else f"The {many} paths shown make"
        return f"{told} {self.explained:.1%} of the number; more are left out."


def common_ancestors(
    pedigree: Pedigree, a: Hashable, b: Hashable
) -> dict[Hashable, CommonAncestor]:
    """Plants from which both descend, nearest first.

    Parameters
    ----------
    pedigree : Pedigree
    a, b : plants

    Returns
    -------
    dict of plant to CommonAncestor
        `a` itself stands in it when `b` descends from it.

    Notes
    -----
    Time grows with the ancestors of the pair.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> family = {"A": (None, None), "C": ("A", None), "D": ("C", None)}
    >>> Pedigree(family).common_ancestors("C", "D")["A"].generations
    (1, 2)
    """
    at, bt = pedigree._at(a), pedigree._at(b)
    far = [_generations(pedigree, position) for position in (at, bt)]
    parts = [kinship.contributions(pedigree._recursion, position) for position in (at, bt)]
    shared = [position for position in far[0] if position in far[1]]
    row = pedigree._plant_at
    shared.sort(key=lambda position: (far[0][position] + far[1][position], row[position]))
    return {
        pedigree._key(position): CommonAncestor(
            pedigree._key(position),
            (far[0][position], far[1][position]),
            (float(parts[0][position]), float(parts[1][position])),
        )
        for position in shared
    }


def _generations(pedigree: Pedigree, plant: int) -> dict[int, int]:
    """Fewest generations back to the plant itself (0) and each ancestor that gave it copies."""
    r = pedigree._recursion
    far, waiting = {plant: 0}, deque([plant])
    while waiting:
        now = waiting.popleft()
        for up, share in zip(r.parent[now].tolist(), r.share[now].tolist(), strict=True):
            if share and up not in far:
                far[up] = far[now] + 1
                waiting.append(up)
    return far


def common_paths(pedigree: Pedigree, a: Hashable, b: Hashable, most: int = 12) -> CommonPaths:
    """The paths that make the kinship of two plants, written out.

    Parameters
    ----------
    pedigree : Pedigree
    a, b : plants
    most : int
        How many paths at most.

    Returns
    -------
    CommonPaths

    Notes
    -----
    A path goes up from one plant to a common ancestor and down to the other, and passes no plant
    twice [1]_. It adds the product of the shares that parents gave along it × self-kinship of the
    ancestor (for diploids (1/2)ⁿ × (1+F)/2); all paths together make the kinship at any ploidy,
    as they are what the recursion runs through. Weightiest are searched first, in at most
    MOST_STEPS steps: time grows with those and with the ancestors.

    References
    ----------
    .. [1] Wright 1922, Am. Nat. 56:330–338.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> family = {"A": (None, None), "C": ("A", None), "D": ("A", None)}
    >>> str(Pedigree(family).common_paths("C", "D").paths[0])
    'C ← A → D'
    """
    at, bt = pedigree._at(a), pedigree._at(b)
    whole = pedigree._memory.kinship(at, bt)
    scale = pedigree._scale(pedigree._row(a), pedigree._row(b))
    search = _Search(pedigree, at, bt)
    found = [
        CommonPath(
            tuple(pedigree._key(position) for position in up),
            tuple(pedigree._key(position) for position in reversed(down)),
            weight * scale,
        )
        for weight, (up, down) in search.run(most)
    ]
    found.sort(key=lambda path: -path.kinship)
    made = sum(path.kinship for path in found)
    explained = min(made / (whole * scale), 1.0) if whole else 1.0
    return CommonPaths(tuple(found), explained, search.complete or explained > 1 - 1e-9)


class _Search:
    """Best-first search for pairs of lines that meet for the first time in an ancestor."""

    def __init__(self, pedigree: Pedigree, a: int, b: int) -> None:
        self.memory, self.r = pedigree._memory, pedigree._recursion
        self.complete = True
        self.useful = self._leading(a, b)
        self.heap: list[tuple[float, int, Pair]] = [(-1.0, 0, ((a,), (b,)))] if self.useful else []
        self.pushed = 1

    def _leading(self, a: int, b: int) -> set[int]:
        """Ancestors of the pair from which a way leads up to a common ancestor."""
        import numpy as np

        of_a, of_b = (kinship.ancestors(self.r, [one]) for one in (a, b))
        leads = np.append(of_a & of_b, False)
        if not leads.any():
            return set()
        family = np.flatnonzero(of_a | of_b)
        for position in family.tolist():
            leads[position] |= leads[self.r.parent[position]].any()
        return set(np.flatnonzero(leads).tolist())

    def run(self, most: int) -> Iterator[tuple[float, Pair]]:
        found = steps = 0
        while self.heap:
            if found == most or steps == MOST_STEPS:
                self.complete = False
                return
            steps += 1
            minus, _, (up, down) = heapq.heappop(self.heap)
            if up[-1] == down[-1]:
                found += 1
                own = self_kinship(self.memory.inbreeding(up[-1]), self.r.ploidy[up[-1]])
                yield -minus * float(own), (up, down)
            else:
                self._go_up(-minus, up, down)

    def _go_up(self, weight: float, up: tuple[int, ...], down: tuple[int, ...]) -> None:
        """One generation up from the younger of both ends, as the recursion goes."""
        younger = max(up[-1], down[-1])
        parents, shares = self.r.parent[younger].tolist(), self.r.share[younger].tolist()
        if parents[0] == parents[1]:
            parents, shares = parents[:1], [sum(shares)]
        for parent, share in zip(parents, shares, strict=True):
            if share and parent in self.useful:
                pair = ((*up, parent), down) if younger == up[-1] else (up, (*down, parent))
                heapq.heappush(self.heap, (-weight * share, self.pushed, pair))
                self.pushed += 1
