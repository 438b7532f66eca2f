"""What a text would change in a stock of plants: what is linked, what is created, what clashes."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from breeding.notation.nodes import LoopError, Node, Refs, Written, parents_first, pedigree_of

K = TypeVar("K", bound=Hashable)
SIDES = ("seed", "pollen")


@dataclass(frozen=True)
class PlannedPlant(Generic[K]):
    """One plant of the text.

    `name` : as written; None for a plant without name or number, and for a plant of the stock that
    the text means without naming it (a parent of a sib). `key` : the plant of the stock that it is;
    a plant without name is the one that is recorded as parent of its child.
    `candidates` : plants of the stock of which it may be one. `parents` : places in `Plan.plants`,
    each None where unknown; None where the text does not say. `fills` : sides ('seed', 'pollen')
    of a plant of the stock for which the text tells a parent that is not recorded yet.
    `position` : offset in the text.
    """

    name: str | None
    key: K | None
    candidates: tuple[K, ...]
    parents: Refs | None
    fills: tuple[str, ...]
    position: int

    @property
    def created(self) -> bool:
        return self.key is None and not self.candidates


@dataclass(frozen=True)
class Conflict:
    """The text contradicts the stock. `kind`: 'parent', 'swapped' or 'loop'."""

    place: int
    kind: str
    sentence: str


@dataclass(frozen=True)
class Plan(Generic[K]):
    """What would happen. `plants`: parents before children. `root`: place of the plant itself.

    `notes` : sentences about what is taken as unknown though the text says more.
    """

    plants: tuple[PlannedPlant[K], ...]
    root: int
    conflicts: tuple[Conflict, ...]
    notes: tuple[str, ...]

    @property
    def linked(self) -> list[PlannedPlant[K]]:
        """Plants that stand in the stock."""
        return [plant for plant in self.plants if plant.key is not None]

    @property
    def created(self) -> list[PlannedPlant[K]]:
        """Plants that are new, parents before children."""
        return [plant for plant in self.plants if plant.created]

    @property
    def ambiguous(self) -> list[PlannedPlant[K]]:
        """Plants whose name several plants of the stock answer to."""
        return [plant for plant in self.plants if plant.candidates]

    @property
    def ready(self) -> bool:
        """Whether it can be done without asking."""
        return not self.conflicts and not self.ambiguous


def plan(
    tree: Node,
    known: Mapping[str, K],
    fold: Callable[[str], str],
    *,
    parents: Mapping[K, tuple[K | None, K | None]] | None = None,
    label: Callable[[K], str] = str,
    several: Mapping[str, Sequence[K]] | None = None,
    root: K | None = None,
) -> Plan[K]:
    """Compare what a text says with the stock. Nothing is written.

    Parameters
    ----------
    tree : from `read_parentage` or `read_purdy`.
    known : folded name -> plant of the stock.
    fold : how names are compared.
    parents : recorded parents, plant -> (seed parent or None, pollen parent or None).
    label : name of a plant of the stock, for the sentences.
    several : folded name -> plants, where more than one answers to it; it goes before `known`.
    root : the plant of the stock whose parentage the text is, when the text does not name it.

    A parent recorded otherwise than the text says is a conflict; a parent of which only one of the
    two knows is none. Without `parents` no conflict can be seen, and a sib of a plant of the
    stock gets unknown parents.

    Raises ParentageError when the text contradicts itself. Cost: the text, and the recorded
    ancestors of its plants.
    """
    said = pedigree_of(tree, fold)
    planner = _Planner(said, parents or {}, label)
    for place, name in enumerate(said.names):
        found = () if name is None else tuple((several or {}).get(fold(name), ()))
        key = known.get(fold(name)) if name is not None and not found else None
        if place == said.root and name is None:
            key = root
        planner.add(place, found[0] if len(found) == 1 else key, found if len(found) > 1 else ())
    return planner.plan()


class _Planner(Generic[K]):
    def __init__(
        self,
        said: Written,
        recorded: Mapping[K, tuple[K | None, K | None]],
        label: Callable[[K], str],
    ) -> None:
        self.said, self.recorded, self.label = said, recorded, label
        self.keys: list[K | None] = []
        self.candidates: list[tuple[K, ...]] = []
        self.parents: list[Refs | None] = []
        self.names = list(said.names)
        self.positions = list(said.positions)
        self.conflicts: list[Conflict] = []
        self.notes: list[str] = []

    def add(self, place: int, key: K | None, candidates: tuple[K, ...]) -> None:
        self.keys.append(key)
        self.candidates.append(candidates)
        self.parents.append(self.said.parents[place])

    def plan(self) -> Plan[K]:
        self._recognize()
        for place, sib in self.said.sibs.items():
            self._place_sib(place, sib)
        for place in range(len(self.keys)):
            self._compare(place)
        self._look_for_loops()
        order = self._order()
        new: dict[int | None, int | None] = {None: None}
        new.update({old: number for number, old in enumerate(order)})
        return Plan(
            tuple(self._planned(old, new) for old in order),
            new[self.said.root],
            tuple(Conflict(new[one.place], one.kind, one.sentence) for one in self.conflicts),
            tuple(self.notes),
        )

    def _recognize(self) -> None:
        """A plant that the text leaves without name is the recorded parent of its child."""
        taken = set(self.keys)
        for place in range(len(self.keys) - 1, -1, -1):
            recorded = self.recorded.get(self.keys[place]) if self.keys[place] is not None else None
            for one, other in zip(self.parents[place] or (), recorded or (), strict=False):
                nameless = one is not None and self.names[one] is None and self.keys[one] is None
                if nameless and other is not None and other not in taken:
                    self.keys[one] = other
                    taken.add(other)

    def _place_sib(self, place: int, sib: int) -> None:
        """A sib of a plant whose parents the text leaves out has those that are recorded."""
        if self.parents[sib] is not None:
            self.parents[place] = self.parents[sib]
            return
        pair = self.recorded.get(self.keys[sib]) if self.keys[sib] is not None else None
        self.parents[place] = tuple(self._bring(parent) for parent in pair or (None, None))
        if None in self.parents[place]:
            self.notes.append(
                f"The parents of {self._show(sib)} are not all recorded, "
                f"so those of {self._show(place)}, its sib, are not all known."
            )

    def _bring(self, key: K | None) -> int | None:
        if key is None:
            return None
        if key in self.keys:
            return self.keys.index(key)
        self.names.append(None)
        self.positions.append(self.said.positions[self.said.root])
        self.keys.append(key)
        self.candidates.append(())
        self.parents.append(None)
        return len(self.keys) - 1

    def _show(self, place: int) -> str:
        key = self.keys[place]
        return self.names[place] or ("a plant without number" if key is None else self.label(key))

    def _pairs(self, place: int) -> list[tuple[str, int, K]]:
        """(side, parent by the text, parent by the record) where both know one."""
        stated, recorded = self.parents[place], self.recorded.get(self.keys[place])
        if self.keys[place] is None or stated is None or recorded is None:
            return []
        return [
            (side, one, other)
            for side, one, other in zip(SIDES, stated, recorded, strict=True)
            if one is not None and other is not None
        ]

    def _compare(self, place: int) -> None:
        """The parents that the text tells of a plant of the stock, against those recorded."""
        differing = [
            (side, one, other)
            for side, one, other in self._pairs(place)
            if self.keys[one] != other and other not in self.candidates[one]
        ]
        if len(differing) == 2 and {self.keys[one] for _, one, _ in differing} == {
            other for _, _, other in differing
        }:
            sentence = f"{self._show(place)} is recorded with its parents the other way round."
            self.conflicts.append(Conflict(place, "swapped", sentence))
            return
        for side, one, other in differing:
            sentence = (
                f"The {side} parent of {self._show(place)} is {self._show(one)} here, "
                f"but recorded is {self.label(other)}."
            )
            self.conflicts.append(Conflict(place, "parent", sentence))

    def _fills(self, place: int) -> tuple[str, ...]:
        if self.keys[place] is None:
            return ()
        recorded = self.recorded.get(self.keys[place]) or (None, None)
        stated = self.parents[place] or (None, None)
        return tuple(
            side
            for side, one, other in zip(SIDES, stated, recorded, strict=True)
            if one is not None and other is None
        )

    def _look_for_loops(self) -> None:
        """Text and record together: a plant that would become its own ancestor."""
        places = {key: place for place, key in enumerate(self.keys) if key is not None}

        def before(at: tuple[bool, object]) -> list[tuple[bool, object]]:
            in_stock, what = at
            place = places.get(what) if in_stock else what
            found = [(True, one) for one in self.recorded.get(what) or () if in_stock]
            found = [one for one in found if one[1] is not None]
            stated = () if place is None else self.parents[place] or ()
            return found + [self._id(one) for one in stated if one is not None]

        def show(at: tuple[bool, object]) -> str:
            return self.label(at[1]) if at[0] else self._show(at[1])

        try:
            parents_first([self._id(place) for place in range(len(self.keys))], before, show)
        except LoopError as loop:
            ids = [self._id(place) for place in range(len(self.keys))]
            place = next((ids.index(at) for at in loop.path if at in ids), self.said.root)
            self.conflicts.append(Conflict(place, "loop", str(loop)))

    def _id(self, place: int) -> tuple[bool, object]:
        return (False, place) if self.keys[place] is None else (True, self.keys[place])

    def _order(self) -> list[int]:
        def before(place: int) -> list[int]:
            return [one for one in self.parents[place] or () if one is not None]

        try:
            return parents_first(range(len(self.keys)), before, self._show)
        except LoopError:  # told as a conflict already
            return list(range(len(self.keys)))

    def _planned(self, old: int, new: Mapping[int | None, int | None]) -> PlannedPlant[K]:
        pair = self.parents[old]
        return PlannedPlant(
            name=self.names[old],
            key=self.keys[old],
            candidates=self.candidates[old],
            parents=pair and (new[pair[0]], new[pair[1]]),
            fills=self._fills(old),
            position=self.positions[old],
        )
