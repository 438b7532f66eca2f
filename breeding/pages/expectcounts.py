"""Where seedlings are counted by type, what was counted there before, and how the types look."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, QueryDict

from breeding.heredity import GardenCopies, Working
from breeding.inheritance.loci import Locus
from breeding.inheritance.painting import LADDERS, paint, shades_of
from breeding.models import MOST_SEEDLINGS, Cross, Row, Tally
from breeding.models import Locus as LocusRecord
from breeding.pages.expected import Look
from breeding.pages.expectforms import field_of
from garden.names import is_key

ALL = "all"


@dataclass(frozen=True)
class Place:
    """A locus, and a row of a cross or the whole cross, with the numbers that stand in the form."""

    cross: Cross
    held: GardenCopies
    working: Working
    rows: list[Row]
    row: Row | None
    before: Tally | None
    counted: Mapping[str, int]
    typed: Mapping[int, int]
    # The place of the type that one more or one less was tapped of.
    tapped: int = 0

    @classmethod
    def asked(cls, cross: Cross, held: GardenCopies, query: QueryDict) -> Place | None:
        """The place that an address names; None where the garden works with no locus.

        Raises
        ------
        Http404
            For a locus or a row that there is not.
        """
        if not held.working:
            return None
        rows = list(cross.rows.filter(struck=False).select_related("bed"))
        symbol = query.get("locus", "")
        working = _named(held, symbol) if symbol else _usual(held, cross)
        row = _row(rows, query.get("row", ""))
        tallies = Tally.live.filter(cross=cross, row=row, locus=working.pk)
        before = tallies.select_related("person").order_by("-day", "-pk").first()
        place = (cross.pk, row.pk if row else None)
        counted = next((each.counts for each in held.tallies
                        if each.locus == working.pk and each.place == place), {})  # fmt: skip
        found = cls(cross, held, working, rows, row, before if counted else None, counted, {})
        keys = [type_.key for type_ in working.locus.types]
        tap = query.get("add") or query.get("less") or ""
        tapped = int(tap) if tap in map(str, range(len(keys))) else 0
        return replace(found, typed=_typed(query, keys), tapped=tapped)

    @property
    def locus(self) -> Locus:
        return self.working.locus

    @property
    def seen(self) -> dict[str, int]:
        """What the form begins with: what was counted before, and what is typed already."""
        keys = [type_.key for type_ in self.locus.types]
        typed = {keys[at]: count for at, count in self.typed.items()}
        return {**self.counted, **typed}

    @property
    def kept(self) -> dict[str, Any]:
        """What the verb takes besides the form."""
        locus = LocusRecord.objects.get(pk=self.working.pk)
        return {"cross": self.cross, "row": self.row, "locus": locus}

    @property
    def row_key(self) -> str:
        return str(self.row.pk) if self.row else ALL

    @property
    def query(self) -> dict[str, str]:
        return {"locus": self.locus.symbol, "row": self.row_key}

    @property
    def lined_out(self) -> int:
        """How many there are to be seen."""
        if self.row:
            return self.row.seedlings
        return sum(row.seedlings for row in self.rows) or self.cross.lined_out

    @property
    def total(self) -> int:
        return sum(self.seen.values())

    @property
    def ways(self) -> list[tuple[str, str, str, bool]]:
        """(symbol, name, address, here) of each locus that may be counted, this one first."""
        told = [
            (each.symbol, each.name, urlencode({**self.query, "locus": each.symbol}),
             each.symbol == self.locus.symbol)
            for each in self.held.loci
        ]  # fmt: skip
        return sorted(told, key=lambda each: not each[3])

    @property
    def places(self) -> list[tuple[str, str, bool]]:
        """(words, address, here) of each row, and of the whole cross where there are several."""
        if len(self.rows) < 2:
            return []
        told = [(f"{row.bed} {row.row}, {row.first}–{row.last}", str(row.pk)) for row in self.rows]
        told.append(("All rows", ALL))
        return [(words, urlencode({**self.query, "row": key}), key == self.row_key)
                for words, key in told]  # fmt: skip

    def types(self, fields: Sequence[Any]) -> list[dict[str, Any]]:
        """Each type with its field and flower, what was counted of it, and how to add one more."""
        looks = type_looks(self.held, self.cross, self.locus)
        seen = [self.seen.get(type_.key, 0) for type_ in self.locus.types]
        found = []
        for at, (type_, field) in enumerate(zip(self.locus.types, fields, strict=True)):
            more, fewer = (
                {
                    field_of(other.key): max(0, count + step * (other is type_))
                    for other, count in zip(self.locus.types, seen, strict=True)
                    if count or other is type_
                }
                for step in (1, -1)
            )
            found.append(
                {
                    "name": type_.name,
                    "field": field,
                    "look": looks[type_.key],
                    "counted": self.counted.get(type_.key, 0),
                    "more": urlencode({**self.query, **more}),
                    "add": urlencode({**self.query, "add": at}),
                    "fewer": urlencode({**self.query, **fewer}),
                    "less": urlencode({**self.query, "less": at}),
                }
            )
        return found


def _named(held: GardenCopies, symbol: str) -> Working:
    try:
        return held.locus(symbol)
    except KeyError:
        raise Http404 from None


def _usual(held: GardenCopies, cross: Cross) -> Working:
    """The locus that was counted last in this cross, else the first."""
    last = Tally.live.filter(cross=cross, locus__in=[each.pk for each in held.working])
    counted = last.order_by("-day", "-pk").values_list("locus", flat=True).first()
    return next((each for each in held.working if each.pk == counted), held.working[0])


def _row(rows: list[Row], key: str) -> Row | None:
    """The row that is named; without a name the first, and none where there is none."""
    if key == ALL or (not key and not rows):
        return None
    if not key:
        return rows[0]
    for row in rows:
        if is_key(key) and row.pk == int(key):
            return row
    raise Http404


def _typed(query: QueryDict, keys: Sequence[str]) -> dict[int, int]:
    """Numbers in the address by the place of their type, one more or less of one that was
    tapped."""
    typed = {}
    for at, key in enumerate(keys):
        told = query.get(field_of(key))
        step = (query.get("add") == str(at)) - (query.get("less") == str(at))
        number = int(told) if told and told.isascii() and told.isdigit() and len(told) < 6 else 0
        if told is not None or step:
            typed[at] = min(max(0, number + step), MOST_SEEDLINGS)
    return typed


def type_looks(held: GardenCopies, cross: Cross, locus: Locus) -> dict[str, Look]:
    """A flower of each type of a locus as it may look in this cross.

    At other loci it is as the parents are seen to be, so far as that leaves the types to be seen.
    """
    parents = [key for key in (cross.seed_parent_id, cross.pollen_parent_id) if key]
    shades = shades_of([held.looks.get(key, {}) for key in parents])
    # Stitched in the palest shade a plicata looks as if it had none.
    if shades.get("pigment") in [ladder[0] for ladder in LADDERS]:
        del shades["pigment"]
    types: dict[str, str] = {}
    for other in held.working:
        seen = (held.type_seen(plant, other) for plant in parents)
        key = next((key for key in seen if key), None)
        hides = locus.symbol in other.locus.type_named(key).hides if key else True
        if other.locus.symbol != locus.symbol and not hides:
            types[other.locus.symbol] = key or ""
    found = {}
    for type_ in locus.types:
        look = Look(paint(held.loci, {**types, locus.symbol: type_.key}, shades))
        if not look.has_colours:
            dyed = {**_pigmented(held, locus), **types, locus.symbol: type_.key}
            look = Look(paint(held.loci, dyed, shades))
        found[type_.key] = look
    return found


def _pigmented(held: GardenCopies, locus: Locus) -> dict[str, str]:
    """A type of some other locus that gives the petals their pigment."""
    for other in held.loci:
        for type_ in other.types:
            fits = other.symbol != locus.symbol and locus.symbol not in type_.hides
            if fits and type_.paint.get("falls") == "pigment":
                return {other.symbol: type_.key}
    return {}
