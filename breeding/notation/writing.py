"""A pedigree printed as breeders write it in registrations.

The seed parent comes first, × stands between the parents, cultivars end the branch, a seedling's
number stands before its own parentage with a colon between (usage of the registrations and of the
Iris Check Lists; their sign is X, ours ×).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from breeding.notation import words
from breeding.notation.nodes import parents_first

K = TypeVar("K", bound=Hashable)
Pair = tuple[K | None, K | None]
CLOSING = {"(": ")", "[": "]", "{": "}"}


def write_parentage(
    key: K,
    parents: Mapping[K, Pair],
    label: Callable[[K], str],
    named: Callable[[K], bool],
    depth: int | None = None,
    *,
    heading: bool = True,
    brackets: str = "([{",
) -> str:
    """The parentage of a plant as one line of text, to any depth.

    Parameters
    ----------
    key : the plant. It is written out even when it is named.
    parents : plant -> (seed parent or None, pollen parent or None); a plant that is missing has
        no recorded parents.
    label : name or number of a plant, '' for a plant without either.
    named : whether a plant is a named one (cultivar, species), which ends its branch.
    depth : generations of parents to write; None for all, 0 for the label alone.
    heading : whether the plant's own label stands in front, as in '14-031C: (A × B)'; without it
        the text is what stands in a registration, 'A × B'.
    brackets : opening brackets from the outside in, begun anew when they are used up.

    How the less usual is written:

    - 'unknown' for an unknown parent; 'sdlg.' for a plant without label whose parents are not
      recorded or beyond `depth`.
    - A seedling is written out once, where it stands nearest to `key` (the leftmost of these);
      elsewhere its number stands alone. A repeated plant without label is written
      'sdlg. #1: (A × B)', then 'sdlg. #1', because a second bracket would be a second plant.
    - 'A × self' for a selfed plant.
    - '(A × B) × sib', or '14-2A: (A × B) × 14-2B, sib', when the pollen parent is no cultivar, has
      the very same two known parents on the same sides, and the seed parent is written out there.
    - A label that would read as something else stands in quotation marks: "Planet X".

    Raises LoopError for a plant among its own ancestors (those behind cultivars included), and
    ValueError for two plants of one label, a negative `depth` or unknown brackets.
    Iterative; cost: the plants written, and once all ancestors for the loops.

    >>> pedigree = {"14-031C": ("Wet Slate", "12-007A"), "12-007A": ("Attic Barometer", None)}
    >>> write_parentage("14-031C", pedigree, str, {"Wet Slate", "Attic Barometer"}.__contains__)
    '14-031C: (Wet Slate × 12-007A: [Attic Barometer × unknown])'
    """
    if depth is not None and depth < 0:
        raise ValueError("Depth is a number of generations, 0 or more.")
    if not brackets or set(brackets) - set(CLOSING):
        raise ValueError("Brackets are some of ( [ {.")
    parents_first([key], lambda at: _known(parents, at), label)
    layout = _lay_out(key, parents, label, named, depth)
    _refuse_twins(layout.uses, label)
    return _Writer(key, parents, label, layout, brackets).text(heading)


@dataclass
class _Layout(Generic[K]):
    """Which plants are written out, and where.

    `homes` : plant -> (child, side) under which it is written out. `sibs` : those of them that are
    written as sib. `uses` : how often a plant stands in the text.
    """

    homes: dict[K, tuple[K | None, int]] = field(default_factory=dict)
    sibs: set[K] = field(default_factory=set)
    uses: Counter[K] = field(default_factory=Counter)


def _known(parents: Mapping[K, Pair], at: K) -> list[K]:
    return [one for one in parents.get(at) or () if one is not None]


def _lay_out(
    key: K,
    parents: Mapping[K, Pair],
    label: Callable[[K], str],
    named: Callable[[K], bool],
    depth: int | None,
) -> _Layout[K]:
    """Generation by generation, so that each plant is written out nearest to `key`."""
    layout = _Layout[K]()
    layout.uses[key] = 1
    generation = [key] if depth != 0 and _known(parents, key) else []
    if generation:
        layout.homes[key] = (None, 0)
    written = 0
    while generation:
        written += 1
        following = []
        for child in generation:
            for side, parent in _own_parents(child, parents):
                layout.uses[parent] += 1
                goes_on = written != depth and not named(parent) and _known(parents, parent)
                if not goes_on or parent in layout.homes:
                    continue
                layout.homes[parent] = (child, side)
                if side == 1 and _is_sib(child, parent, parents, layout.homes):
                    layout.sibs.add(parent)
                else:
                    following.append(parent)
        generation = following
    return layout


def _own_parents(child: K, parents: Mapping[K, Pair]) -> Iterator[tuple[int, K]]:
    """(side, parent) of the known parents; that of a selfed plant once."""
    seed, pollen = parents[child]
    if seed is not None:
        yield 0, seed
    if pollen is not None and pollen != seed:
        yield 1, pollen


def _is_sib(
    child: K, pollen: K, parents: Mapping[K, Pair], homes: Mapping[K, tuple[K | None, int]]
) -> bool:
    """Whether the pollen parent is a full sib of the seed parent, which is written out there."""
    seed = parents[child][0]
    own = tuple(parents[pollen])
    return homes.get(seed) == (child, 0) and None not in own and own == tuple(parents[seed])


def _refuse_twins(plants: Counter[K], label: Callable[[K], str]) -> None:
    """Two plants of one label would be read as one."""
    seen: dict[str, K] = {}
    for plant in plants:
        name = words.tidy(label(plant)).casefold()
        if name and seen.setdefault(name, plant) != plant:
            raise ValueError(f"Two plants of this pedigree are called {label(plant)}.")


class _Writer(Generic[K]):
    def __init__(
        self,
        key: K,
        parents: Mapping[K, Pair],
        label: Callable[[K], str],
        layout: _Layout[K],
        brackets: str,
    ) -> None:
        self.key, self.parents, self.label = key, parents, label
        self.layout, self.brackets = layout, brackets
        self.marks: dict[K, int] = {}

    def text(self, heading: bool) -> str:
        out: list[str] = []
        # What is still to be written, the next at the end: text, or (child, side, plant, level).
        todo: list[str | tuple[K | None, int, K | None, int]] = []
        if heading and words.tidy(self.label(self.key)):
            todo.append((None, 0, self.key, 0))
        elif self.key in self.layout.homes:
            todo += reversed(self._cross(self.key, 0))
        elif heading or _known(self.parents, self.key):
            todo.append(self._short(self.key))
        else:
            todo.append(words.UNKNOWN)
        while todo:
            now = todo.pop()
            if isinstance(now, str):
                out.append(now)
            else:
                todo += reversed(self._plant(*now))
        return "".join(out)

    def _plant(self, child: K | None, side: int, plant: K | None, level: int) -> list:
        """A plant at its place: with its parentage when it is at home there."""
        if plant is None:
            return [words.UNKNOWN]
        short = self._short(plant)
        if self.layout.homes.get(plant) != (child, side):
            return [short]
        if plant in self.layout.sibs:
            return [words.SIB if short == words.UNNAMED else f"{short}, {words.SIB}"]
        opening = self.brackets[level % len(self.brackets)]
        front = opening if short == words.UNNAMED else f"{short}: {opening}"
        return [front, *self._cross(plant, level + 1), CLOSING[opening]]

    def _cross(self, child: K, level: int) -> list:
        seed, pollen = self.parents[child]
        first = (child, 0, seed, level)
        sign = f" {words.SIGN} "
        if seed is not None and seed == pollen:
            return [first, sign + words.SELF]
        return [first, sign, (child, 1, pollen, level)]

    def _short(self, plant: K) -> str:
        label = self.label(plant)
        if words.tidy(label):
            return words.written(label)
        if self.layout.uses[plant] < 2:
            return words.UNNAMED
        return f"{words.UNNAMED} #{self.marks.setdefault(plant, len(self.marks) + 1)}"
