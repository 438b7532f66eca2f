"""What a pedigree holds, by the names of its plants."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

from breeding.pedigree.check import PedigreeError, Ploidy, Row, UnknownPlant, validate
from breeding.pedigree.copies import Gamete, read_gametes, unreadable
from breeding.pedigree.memory import Memory
from breeding.pedigree.recursion import recursion
from breeding.pedigree.rules import Mode, mode_of_ploidy

Parents = tuple[Hashable, Hashable]


class Record:
    """Plants, their parents, sets and gametes; the sums stand in `Pedigree`."""

    def _build(
        self,
        rows: Sequence[Row],
        ploidy: Ploidy,
        double_reduction: float,
        modes: Mapping[Hashable, Mode],
        gametes: Mapping[Hashable, tuple[Gamete, Gamete]],
    ) -> None:
        import numpy as np

        if not 0 <= double_reduction <= 1:
            raise ValueError("double reduction is a fraction from 0 to 1")
        try:
            checked = validate(rows, ploidy)
        except PedigreeError as wrong:
            places = {fault.place for fault in wrong.faults}
            faults = [*wrong.faults, *unreadable(rows, ploidy, places)]
            raise PedigreeError(sorted(faults, key=lambda fault: fault.place)) from None
        for plant in (*modes, *gametes):
            if plant not in checked.index:
                raise UnknownPlant(plant)
        self._keys = [row[0] for row in rows]
        by_ploidy = np.array([mode_of_ploidy(sets) for sets in range(17)], dtype=object)
        mode = by_ploidy[checked.ploidy]
        for plant, given in modes.items():
            mode[checked.index[plant]] = Mode(given)
        read = read_gametes(checked, self._keys, mode, double_reduction, gametes)
        self._double_reduction = float(double_reduction)
        self._checked, self._gametes, self._modes = checked, read, mode
        self._recursion, self._place = recursion(checked, read)
        self._plant_at = np.argsort(self._place, kind="stable")
        self._memory = Memory(self._recursion)

    def __len__(self) -> int:
        return len(self._keys)

    def __contains__(self, plant: Hashable) -> bool:
        return plant in self._checked.index

    def keys(self) -> list[Hashable]:
        """All plants, in the order given."""
        return list(self._keys)

    def _row(self, plant: Hashable) -> int:
        try:
            return self._checked.index[plant]
        except KeyError:
            raise UnknownPlant(plant) from None

    def _at(self, plant: Hashable) -> int:
        return int(self._place[self._row(plant)])

    def _key(self, position: int) -> Hashable:
        return self._keys[self._plant_at[position]]

    def parents(self, plant: Hashable) -> Parents:
        """Seed and pollen parent, None for an unknown one."""
        known = self._checked.parent[self._row(plant)]
        return tuple(self._keys[row] if row >= 0 else None for row in known)

    def ploidy(self, plant: Hashable) -> int:
        """Sets of chromosomes."""
        return int(self._checked.ploidy[self._row(plant)])

    def mode(self, plant: Hashable) -> Mode:
        """How the plant's sets are taken to pair."""
        return self._modes[self._row(plant)]

    def gametes(self, plant: Hashable) -> tuple[Gamete, Gamete]:
        """(copies, λ) of the gametes of seed and pollen parent that the plant came from."""
        row = self._row(plant)
        copies, double = self._gametes.copies[row], self._gametes.double[row]
        return tuple((int(c), float(d)) for c, d in zip(copies, double, strict=True))

    def _pairs(self, row: int) -> int:
        """Diploid sets of a plant whose sets pair in twos within their kind; otherwise 1."""
        sets = int(self._checked.ploidy[row])
        return sets // 2 if self._modes[row] is Mode.DISOMIC and sets % 2 == 0 else 1

    def _scale(self, a: int, b: int) -> int:
        """Kinship within a set over kinship of any two copies, where both have the same sets."""
        same = self._checked.ploidy[a] == self._checked.ploidy[b]
        return self._pairs(a) if same and self._pairs(a) == self._pairs(b) else 1

    @property
    def double_reduction(self) -> float:
        """λ of diploid gametes of tetraploids, 0–1."""
        return self._double_reduction
