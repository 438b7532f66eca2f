"""What a written parentage says: a tree of plants, and the pedigree it stands for."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

# Plants of a loop that its sentence shows.
LONGEST_WAY = 12
UNNAMED = "a seedling without number"

K = TypeVar("K", bound=Hashable)
Parents = tuple["Node | None", "Node | None"]
Refs = tuple[int | None, int | None]


class ParentageError(ValueError):
    """The text cannot be read. `position` is the offset in the text, counted from 0."""

    def __init__(self, position: int, sentence: str) -> None:
        super().__init__(f"At character {position + 1}: {sentence}")
        self.position = position
        self.sentence = sentence


class LoopError(ValueError):
    """A plant stands among its own ancestors.

    `path` holds keys from that plant back to itself, each followed by one of its parents.
    """

    def __init__(self, path: Sequence[Hashable], label: Callable[[Hashable], str]) -> None:
        shown = path if len(path) <= LONGEST_WAY else [*path[: LONGEST_WAY - 2], None, path[-1]]
        way = " ← ".join("…" if key is None else label(key) or UNNAMED for key in shown)
        super().__init__(
            f"{label(path[0]) or UNNAMED.capitalize()} is among its own ancestors: {way}."
        )
        self.path = tuple(path)

    @property
    def key(self) -> Hashable:
        return self.path[0]


@dataclass(frozen=True, eq=False, slots=True)
class Node:
    """One plant at one place of a text.

    `name` : as written, None for a plant without name or number.
    `parents` : (seed parent, pollen parent), each None where unknown; None when not written here.
    `sib_of` : the plant whose full sib it is said to be.
    `mark` : n of 'sdlg. #n', a plant without number that stands more than once in the text.
    `position` : offset in the text, counted from 0.

    Nodes compare by identity: the same plant may stand in several; see `pedigree_of`.
    """

    name: str | None
    parents: Parents | None = field(default=None, repr=False)
    sib_of: Node | None = field(default=None, repr=False)
    mark: int | None = None
    position: int = 0

    @property
    def before(self) -> Iterator[Node]:
        """Nodes that this one speaks of."""
        for node in (*(self.parents or ()), self.sib_of):
            if node is not None:
                yield node


@dataclass(frozen=True)
class Written:
    """The pedigree of a text: plants numbered 0, 1, …, parents before their children.

    `names` : as first written, None without name or number. `parents` : numbers of the two
    parents, each None where unknown; None where the text does not say. `sibs` : plant -> plant
    whose sib it is, where the text does not give their parents. `positions` : offset of the place
    where the plant's parents stand, else of its first place.
    """

    names: list[str | None]
    parents: list[Refs | None]
    sibs: dict[int, int]
    positions: list[int]
    root: int


def parents_first(
    start: Iterable[K], before: Callable[[K], Iterable[K]], label: Callable[[K], str]
) -> list[K]:
    """All that is reachable from `start`, everything after what comes `before` it.

    Iterative: depth is no limit. Cost: the plants and parents reached.
    Raises LoopError with the way round.
    """
    order: list[K] = []
    done: set[K] = set()
    for first in start:
        if first in done:
            continue
        way = {first: iter(before(first))}
        while way:
            at = next(reversed(way))
            for parent in way[at]:
                if parent in way:
                    path = list(way)
                    raise LoopError([*path[path.index(parent) :], parent], label)
                if parent not in done:
                    way[parent] = iter(before(parent))
                    break
            else:
                way.popitem()
                done.add(at)
                order.append(at)
    return order


def tree_of(
    key: K,
    parents: Mapping[K, tuple[K | None, K | None]],
    label: Callable[[K], str],
    named: Callable[[K], bool],
) -> Node:
    """The plant as a tree; plants that are named end the branch, the first one excepted.

    Arguments as for `write_parentage`. A plant that stands twice is one and the same node.
    Raises LoopError.
    """

    def before(at: K) -> list[K]:
        pair = parents.get(at) or (None, None)
        return [] if at != key and named(at) else [one for one in pair if one is not None]

    made: dict[K | None, Node | None] = {None: None}
    for at in parents_first([key], before, label):
        pair = parents.get(at) if before(at) else None
        made[at] = Node(label(at) or None, pair and (made[pair[0]], made[pair[1]]))
    return made[key]


def pedigree_of(tree: Node, fold: Callable[[str], str] = str.casefold) -> Written:
    """Put together what a text says of each plant, wherever it stands.

    Two places speak of the same plant when their names are equal after `fold`, or their marks.
    Each bracket without number is a plant of its own. A sib gets the parents of its sib.

    Raises ParentageError for a plant with two different parentages, for a plant among its own
    ancestors, and for a plant that is its own sib. Cost: the length of the text.
    """
    nodes = parents_first([tree], lambda node: node.before, lambda node: node.name or "")
    numbers: dict[object, int] = {}
    plants = {node: numbers.setdefault(_identity(node, fold), len(numbers)) for node in nodes}
    count = len(numbers)
    names: list[str | None] = [None] * count
    stated: list[Refs | None] = [None] * count
    positions: list[int] = [-1] * count
    sibs: dict[int, int] = {}
    for node in sorted(nodes, key=lambda node: node.position):
        number = plants[node]
        names[number] = names[number] or node.name
        if positions[number] < 0 or (node.parents and stated[number] is None):
            positions[number] = node.position
        if node.parents is not None:
            pair = tuple(None if one is None else plants[one] for one in node.parents)
            stated[number] = _joined(node, stated[number], pair)
        if node.sib_of is not None:
            sibs[number] = plants[node.sib_of]
    return _in_order(Written(names, stated, sibs, positions, plants[tree]))


def _identity(node: Node, fold: Callable[[str], str]) -> object:
    if node.name is not None:
        return ("name", fold(node.name))
    return node if node.mark is None else ("mark", node.mark)


def _joined(node: Node, one: Refs | None, other: Refs) -> Refs:
    """Both parentages of a plant in one: what is unknown here may be known there."""
    joined = []
    for first, second in zip(one or (None, None), other, strict=True):
        if None not in (first, second) and first != second:
            raise ParentageError(
                node.position,
                f"{node.name or f'sdlg. #{node.mark}'} stands twice, with different parents.",
            )
        joined.append(second if first is None else first)
    return (joined[0], joined[1])


def _in_order(said: Written) -> Written:
    """Sibs get their parents; plants are numbered anew, parents before children."""

    def show(number: int) -> str:
        return said.names[number] or ""

    def before(number: int) -> list[int]:
        known = [one for one in said.parents[number] or () if one is not None]
        return [*known, said.sibs[number]] if number in said.sibs else known

    try:
        order = parents_first([said.root], before, show)
    except LoopError as loop:
        raise ParentageError(said.positions[loop.path[0]], str(loop)) from None
    parents = list(said.parents)
    sibs = {}
    for number in order:
        if parents[number] is None and number in said.sibs:
            parents[number] = parents[said.sibs[number]]
            if parents[number] is None:
                sibs[number] = said.sibs[number]
    new = {number: place for place, number in enumerate(order)}
    new_or_none: dict[int | None, int | None] = {None: None, **new}
    return Written(
        names=[said.names[number] for number in order],
        parents=[
            pair and (new_or_none[pair[0]], new_or_none[pair[1]])
            for pair in (parents[number] for number in order)
        ],
        sibs={new[one]: new[other] for one, other in sibs.items()},
        positions=[said.positions[number] for number in order],
        root=new[said.root],
    )
