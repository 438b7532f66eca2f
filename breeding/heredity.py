"""Copies of the garden's plants at each locus, held in memory as long as nothing of it changes."""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from django.db.models import F

from breeding.inheritance.loci import Locus, locus_from_mapping
from breeding.inheritance.reading import hint, read
from breeding.kin import GardenPedigree, the_pedigree
from breeding.models import BreedingVersion, Reading, Tally, TypeCount
from breeding.models import Locus as LocusRecord
from breeding.records.heredity import TOLD
from breeding.tallies import standing
from garden.models import Garden, Plant
from garden.models.stock import COLOUR_PARTS

if TYPE_CHECKING:
    from breeding.inheritance.copies import Copies, Family

LOOKS = ("pattern", *COLOUR_PARTS)
Key = tuple[int, int, float]
# (cross, row or None)
Place = tuple[int, int | None]
Seen = dict[int, Collection[str] | dict[str, float]]


@dataclass(frozen=True, slots=True)
class Working:
    """A locus that the garden works with, with its record's key."""

    pk: int
    locus: Locus


@dataclass
class GardenCopies:
    """What is inferred at every locus, as of one version of stock and counts; worked out when
    first asked for."""

    key: Key
    kin: GardenPedigree
    working: tuple[Working, ...]
    looks: dict[int, dict[str, str]]
    noted: dict[int, dict[int, str]]
    tallies: tuple[Counted, ...]
    chosen: dict[Place, list[int]]
    _found: dict[str, Copies] = field(default_factory=dict)
    _seen: dict[int, Seen] = field(default_factory=dict)
    # A quick locus does not wait for a slow one.
    _locks: defaultdict[str, threading.Lock] = field(
        default_factory=lambda: defaultdict(threading.Lock)
    )

    @property
    def loci(self) -> list[Locus]:
        """In the order in which a flower is painted."""
        return [each.locus for each in self.working]

    def locus(self, symbol: str) -> Working:
        """Raises KeyError for a locus that the garden does not work with."""
        for each in self.working:
            if each.locus.symbol == symbol:
                return each
        raise KeyError(symbol)

    def type_seen(self, plant: int, working: Working) -> str | None:
        """The type of a plant's own flower: as somebody noted it, else as its colours tell."""
        if noted := self.noted.get(working.pk, {}).get(plant):
            return noted
        looks = self.looks.get(plant)
        return read(working.locus, looks) if looks else None

    def seen(self, working: Working) -> Seen:
        """Every plant whose type is known at a locus, or hinted at by a flower without signs."""
        if working.pk not in self._seen:
            found: Seen = {}
            for plant in {*self.looks, *self.noted.get(working.pk, ())} & self.kin.lines.keys():
                if key := self.type_seen(plant, working):
                    found[plant] = (key,)
                elif weights := hint(working.locus, self.looks[plant]):
                    found[plant] = weights
            self._seen[working.pk] = found
        return self._seen[working.pk]

    @cached_property
    def telling(self) -> tuple[Working, ...]:
        """The loci of which something is known in this garden: a plant's type was read or noted,
        or seedlings were counted. The others are a guess alone, and nothing is expected of them."""
        counted = {tally.locus for tally in self.tallies if any(tally.counts.values())}
        return tuple(
            each
            for each in self.working
            if each.pk in counted
            or any(isinstance(types, tuple) for types in self.seen(each).values())
        )

    @property
    def silent(self) -> list[Locus]:
        """The loci of which nothing is known here yet."""
        return [each.locus for each in self.working if each not in self.telling]

    def known(self, symbol: str) -> bool:
        """Whether the copies at a locus are in memory already."""
        return symbol in self._found

    def of(self, symbol: str) -> Copies:
        """Copies of every plant at a locus; seconds the first time in a large garden."""
        if symbol not in self._found:
            with self._locks[symbol]:
                if symbol not in self._found:
                    self._found[symbol] = self._inferred(self.locus(symbol))
        return self._found[symbol]

    def _inferred(self, working: Working) -> Copies:
        from breeding.inheritance.copies import infer

        return infer(
            self.kin.pedigree,
            working.locus,
            self.seen(working),
            self.families(working),
            double_reduction=self.key[2],
        )

    def families(self, working: Working) -> list[Family]:
        """The counted seedlings of each pair, without those that are plants of their own."""
        return [family for family, _ in self.families_of_crosses(working)]

    def families_of_crosses(self, working: Working) -> list[tuple[Family, tuple[int, ...]]]:
        """The same, each with the crosses whose seedlings are in it.

        Crosses with unknown pollen stay apart: each may have another pollen parent.
        """
        from breeding.inheritance.copies import Family

        crosses: defaultdict[tuple[int, int | None, int], dict[int, None]] = defaultdict(dict)
        sums: defaultdict[tuple[int, int | None, int], dict[str, int]] = defaultdict(
            lambda: defaultdict(int)
        )
        for tally in self.tallies:
            if tally.locus != working.pk:
                continue
            left = dict(tally.counts)
            for plant in self._plants_in(tally.place):
                key = self.type_seen(plant, working)
                if key and left.get(key):
                    left[key] -= 1
            seed, pollen = tally.parents
            if seed not in self.kin.lines:
                continue
            known = pollen in self.kin.lines
            family = (seed, pollen, 0) if known else (seed, None, tally.place[0])
            for key, count in left.items():
                if count:
                    sums[family][key] += count
                    crosses[family][tally.place[0]] = None
        return [
            (Family(family[0], family[1], dict(counts)), tuple(crosses[family]))
            for family, counts in sums.items()
        ]

    def keep_from(self, other: GardenCopies) -> None:
        """Take over what was inferred from the same evidence: noting a type moves one locus, and
        a plant's place or notes move none."""
        alike = self.key[2] == other.key[2] and self.chosen == other.chosen
        if alike and self._descent == other._descent:
            for working in self.working:
                symbol = working.locus.symbol
                if other.known(symbol) and self._told_of(working) == other._told_of(working):
                    self._found[symbol] = other._found[symbol]

    def _told_of(self, working: Working) -> object:
        """What the copies at a locus rest on, descent apart; False where it is not worked with."""
        tallies = [tally for tally in self.tallies if tally.locus == working.pk]
        return working in self.working and (self.seen(working), tallies)

    @cached_property
    def _descent(self) -> dict[int, tuple[object, ...]]:
        """Of every plant its parents, its sets and how they pair."""
        pedigree = self.kin.pedigree
        return {
            plant: (*pedigree.parents(plant), pedigree.ploidy(plant), pedigree.mode(plant))
            for plant in pedigree.keys()  # noqa: SIM118 – a pedigree is no mapping
        }

    def _plants_in(self, place: Place) -> Iterable[int]:
        """Selected seedlings that were counted there too."""
        cross, row = place
        if row is not None:
            return self.chosen.get(place, ())
        return [pk for (of, _), pks in self.chosen.items() if of == cross for pk in pks]


@dataclass(frozen=True, slots=True)
class Counted:
    """A tally that stands: its place, the parents of its cross, the counts by type."""

    locus: int
    place: Place
    parents: tuple[int, int | None]
    counts: Mapping[str, int]


_held: GardenCopies | None = None
_lock = threading.Lock()


def forget() -> None:
    """Let everything go that is held; the next question reads the garden again."""
    global _held
    _held = None


def the_copies(garden: Garden | None = None) -> GardenCopies:
    """What the garden's record says of copies; read again only when stock or counts have moved.

    Notes
    -----
    One query when nothing moved, five otherwise; the inference at a locus comes when it is asked.
    """
    global _held
    garden = garden or Garden.get()
    key = _key(garden)
    held = _held
    if held is None or held.key != key:
        with _lock:
            held = _held
            if held is None or held.key != key:
                fresh = _read(key, garden)
                if held is not None:
                    fresh.keep_from(held)
                _held = held = fresh
    return held


def in_memory(garden: Garden) -> GardenCopies | None:
    """The copies as they stand, if they were read since anything moved. One query."""
    held = _held
    return held if held is not None and held.key == _key(garden) else None


def _key(garden: Garden) -> Key:
    return BreedingVersion.now()[0], garden.stock_version, garden.double_reduction


def as_locus(record: LocusRecord) -> Locus:
    """The plain locus of a record."""
    return locus_from_mapping({name: getattr(record, name) for name in TOLD})


def _read(key: Key, garden: Garden) -> GardenCopies:
    records = LocusRecord.live.filter(used=True)
    working = tuple(Working(record.pk, as_locus(record)) for record in records)
    looks = {}
    for pk, *words in Plant.live.exclude(standards="", falls="").values_list("pk", *LOOKS):
        looks[pk] = {name: word for name, word in zip(LOOKS, words, strict=True) if word}
    noted: dict[int, dict[int, str]] = defaultdict(dict)
    for locus, plant, seen in Reading.live.values_list("locus", "plant", "type"):
        noted[locus][plant] = seen
    chosen: dict[Place, list[int]] = defaultdict(list)
    selected = Plant.live.filter(seedlings__struck=False)
    columns = ("seedlings__cross", "seedlings__row", "pk")
    for cross, row, plant in selected.values_list(*columns):
        chosen[cross, row].append(plant)
    return GardenCopies(
        key, the_pedigree(garden), working, looks, dict(noted), standing_tallies(), dict(chosen)
    )


def standing_tallies(**only: int) -> tuple[Counted, ...]:
    """The tallies that count: the newest of each row, or of a whole cross where none of its rows
    was counted later. Two queries; `only` narrows them down (cross=…)."""
    tallies = Tally.live.filter(cross__struck=False, **only).order_by("day", "pk")
    tallies = tallies.annotate(seed=F("cross__seed_parent"), pollen=F("cross__pollen_parent"))
    stand = standing(tallies)
    counts: dict[int, dict[str, int]] = defaultdict(dict)
    pks = {tally.pk for tally in stand}
    rows = TypeCount.live.filter(tally__struck=False, **{f"tally__{k}": v for k, v in only.items()})
    for tally, key, count in rows.values_list("tally", "type", "count"):
        if tally in pks:
            counts[tally][key] = count
    return tuple(
        Counted(
            tally.locus_id,
            (tally.cross_id, tally.row_id),
            (tally.seed, tally.pollen),
            counts[tally.pk],
        )
        for tally in stand
    )
