"""The pedigree of the whole stock, held in memory as long as nothing of it changes."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from breeding.pedigree import Inheritance, Mode, Pedigree, PedigreeError, inheritance
from garden.models import Garden, Plant

COLUMNS = (
    "pk", "name", "number", "seed_parent_id", "pollen_parent_id", "iris_class", "chromosomes",
    "ploidy", "transmission", "status", "season",
)  # fmt: skip
WAYS = {
    Plant.Transmission.TETRASOMIC: Mode.POLYSOMIC,
    Plant.Transmission.DISOMIC: Mode.DISOMIC,
    Plant.Transmission.UNEVEN: Mode.UNEVEN,
}
Key = tuple[int, float]


class Named(int):
    """A plant's key, which is printed as the plant's name; equal to the plain number."""

    label: str
    is_named: bool

    def __new__(cls, key: int, label: str, is_named: bool) -> Named:
        made = super().__new__(cls, key)
        made.label, made.is_named = label, is_named
        return made

    def __str__(self) -> str:
        return self.label

    @property
    def pk(self) -> int:
        """The plain key, for addresses."""
        return int(self)


@dataclass(frozen=True, slots=True)
class Note:
    """Why the recorded parents of a plant are left out of the sums."""

    plant: Named
    sentence: str


@dataclass(frozen=True, slots=True)
class Line:
    """What the pages choose relatives by."""

    growing: bool
    iris_class: str
    season: str


@dataclass(frozen=True, slots=True)
class GardenPedigree:
    """The pedigree of the live plants as of one version of the stock; keys as `Named`."""

    key: Key
    pedigree: Pedigree
    notes: tuple[Note, ...]
    lines: dict[int, Line]

    def notes_of(self, plants: Iterable[int]) -> Iterator[Note]:
        """The notes of plants of which one is among, or is an ancestor of, `plants`."""
        if not self.notes:
            return
        family, waiting = set(), list(plants)
        while waiting:
            plant = waiting.pop()
            if plant not in family:
                family.add(plant)
                waiting += [up for up in self.pedigree.parents(plant) if up is not None]
        yield from (note for note in self.notes if note.plant in family)


_held: GardenPedigree | None = None
_lock = threading.Lock()


def forget() -> None:
    """Let the held pedigree go; the next question reads the stock again."""
    global _held
    _held = None


def the_pedigree(garden: Garden | None = None) -> GardenPedigree:
    """The pedigree of the stock as it stands; read again only when something moved.

    Parameters
    ----------
    garden : Garden, optional
        The garden's row as just read, for its version of the stock; by default it is read.

    Notes
    -----
    One query when the stock has moved on. The version is known before the plants are read, so
    what is held is never older than its key says. Reading grows with the number of plants.
    """
    global _held
    garden = garden or Garden.get()
    key = (garden.stock_version, garden.double_reduction)
    held = _held
    if held is None or held.key != key:
        with _lock:
            held = _held
            if held is None or held.key != key:
                held = _read(key)
                # A slow request for an older version does not push out a newer one.
                if _held is None or _held.key[0] <= key[0]:
                    _held = held
    return held


def assumed(plant: Plant) -> Inheritance:
    """What the sums assume of a plant, and why."""
    return _assumed(plant.iris_class, plant.chromosomes, plant.ploidy, plant.transmission)


def _assumed(
    iris_class: str, chromosomes: int | None, ploidy: int | None, transmission: str
) -> Inheritance:
    found = inheritance(iris_class, chromosomes, ploidy)
    if transmission not in WAYS:
        return found
    # Whoever writes 'tetrasomic' speaks of four sets.
    tetrasomic = transmission == Plant.Transmission.TETRASOMIC and ploidy is None
    sets = 4 if tetrasomic else found.ploidy
    return Inheritance(sets, WAYS[transmission], f"recorded as {transmission}")


def _read(key: Key) -> GardenPedigree:
    rows = list(Plant.live.order_by("pk").values_list(*COLUMNS))
    keys = {pk: Named(pk, name or number, bool(name)) for pk, name, number, *_ in rows}
    parents, ploidy, modes, lines = {}, {}, {}, {}
    for pk, _, _, seed, pollen, iris_class, chromosomes, sets, way, status, season in rows:
        plant = keys[pk]
        found = _assumed(iris_class, chromosomes, sets, way)
        # A parent that was struck out counts as unknown.
        parents[plant] = (keys.get(seed), keys.get(pollen))
        ploidy[plant], modes[plant] = found.ploidy, found.mode
        lines[pk] = Line(status == Plant.Status.GROWING, iris_class, season)
    pedigree, notes = _possible(parents, ploidy, key[1], modes)
    return GardenPedigree(key, pedigree, notes, lines)


def _possible(
    parents: dict[Named, tuple[Named | None, Named | None]],
    ploidy: dict[Named, int],
    double_reduction: float,
    modes: dict[Named, Mode],
) -> tuple[Pedigree, tuple[Note, ...]]:
    """The pedigree without the parents of plants that cannot come from them, and those told."""
    notes: list[Note] = []
    while True:
        try:
            pedigree = Pedigree(parents, ploidy, double_reduction, modes=modes)
            return pedigree, tuple(notes)
        except PedigreeError as wrong:
            for fault in wrong.faults:
                if parents[fault.plant] == (None, None):
                    raise
                parents[fault.plant] = (None, None)
                notes.append(Note(fault.plant, str(fault)))
