"""Verbs of inheritance: loci as hypotheses, the types of plants and of seedlings in bloom."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from breeding.inheritance.loci import locus_from_mapping
from breeding.invariants import tally_violation
from breeding.models import MOST_SEEDLINGS, Cross, Locus, Reading, Row, Tally, TypeCount
from breeding.records.common import fitting, in_order
from garden.models import Plant
from garden.records.people import owner_only
from garden.verbs import Act, Refused, verb, written

FIELDS = (
    "symbol", "name", "order", "alleles", "counted", "types", "source", "confidence", "note",
    "used",
)  # fmt: skip
# It stands in addresses.
SYMBOL = re.compile(r"\w[\w'+-]*\Z")
TOLD = ("symbol", "name", "alleles", "counted", "types", "source", "confidence", "note")


@verb
def add_locus(act: Act, **fields: Any) -> tuple[Locus, str]:
    """Add a locus of one's own: a hypothesis, with its source. Fields are those of `Locus`."""
    owner_only(act)
    locus = Locus(**_checked(fields))
    _agree(locus)
    act.make(locus)
    return locus, f"Added the locus {locus}: {locus.name}"


@verb
def change_locus(act: Act, *, locus: Locus, reason: str = "", **fields: Any) -> tuple[Locus, str]:
    """Change what is supposed of a locus; types that were seen stay."""
    owner_only(act)
    locus = Locus.objects.get(pk=locus.pk)
    if locus.struck:
        raise Refused("This locus was struck out.")
    act.reason = fitting(reason, 400, "reason")
    changed = _checked(fields)
    sketch = Locus(**{name: getattr(locus, name) for name in FIELDS} | changed, pk=locus.pk)
    _agree(sketch)
    if not act.change(locus, **changed):
        raise Refused("Nothing was changed.")
    return locus, f"Changed the locus {locus}: {', '.join(act.changed[-1]['after'])}"


def _checked(fields: dict[str, Any]) -> dict[str, Any]:
    if strange := set(fields) - set(FIELDS):
        raise Refused(f"{', '.join(sorted(strange))} is not recorded of a locus.")
    return {
        name: value.strip() if isinstance(value, str) else value for name, value in fields.items()
    }


def _agree(locus: Locus) -> None:
    """Refuse what is no locus, and a symbol that is taken."""
    if not locus.source:
        raise Refused("Say where this is from, or that it is your own guess.", "source")
    if not SYMBOL.match(locus.symbol):
        raise Refused("Write the symbol in letters and digits.", "symbol")
    if Locus.live.filter(symbol=locus.symbol).exclude(pk=locus.pk).exists():
        raise Refused(f"There is a locus {locus.symbol} already.", "symbol")
    try:
        locus_from_mapping({name: getattr(locus, name) for name in TOLD})
    except (ValueError, KeyError, TypeError) as error:
        raise Refused(str(error), "types") from error


@verb
def note_type(
    act: Act, *, plant: Plant, locus: Locus, type: str, day: date | None = None
) -> tuple[Reading, str]:
    """Say of which type a plant's own flower is at a locus; counts before its colour words."""
    plant, locus = Plant.objects.get(pk=plant.pk), Locus.objects.get(pk=locus.pk)
    _standing(plant, "plant")
    _standing(locus, "locus")
    _known(locus, [type])
    day = act.day(day)
    told = f"{plant} is ‘{locus.type_name(type)}’ at {locus}"
    reading = Reading.live.filter(plant=plant, locus=locus).first()
    if reading is None:
        reading = act.make(Reading(plant=plant, locus=locus, type=type, day=day))
    elif not act.change(reading, type=type, day=day):
        raise Refused(f"{told} already.", "type")
    act.mention(plant, locus)
    return reading, told


@verb
def count_types(
    act: Act,
    *,
    cross: Cross,
    locus: Locus,
    counts: Mapping[str, int],
    row: Row | None = None,
    note: str = "",
    day: date | None = None,
) -> tuple[Tally, str]:
    """Say how many seedlings of each type were seen so far, in a row or in the whole cross.

    It takes the place of what was counted there before.
    """
    cross, locus = Cross.objects.get(pk=cross.pk), Locus.objects.get(pk=locus.pk)
    _standing(cross, "cross")
    _standing(locus, "locus")
    if row is not None:
        row = Row.objects.select_related("bed").get(pk=row.pk)
        _standing(row, "row")
        if row.cross_id != cross.pk:
            raise Refused(f"{row} holds seedlings of another cross.", "row")
    day = act.day(day)
    in_order(row.lined_out_on if row else None, day, "the row was lined out")
    seen = _counted(locus, counts)
    tally = act.make(
        Tally(
            cross=cross,
            row=row,
            locus=locus,
            person=act.person,
            day=day,
            note=fitting(note, 1000, "note"),
        )
    )
    for key, count in seen.items():
        act.make(TypeCount(tally=tally, type=key, count=count))
    if broken := tally_violation(tally):
        raise Refused(*broken)
    act.mention(cross, locus, row)
    told = ", ".join(f"{count} {locus.type_name(key)}" for key, count in seen.items())
    return tally, f"Counted at {locus} in {row or cross}: {told} ({written(day)})"


def _counted(locus: Locus, counts: Mapping[str, int]) -> dict[str, int]:
    """Every type with its count, in the order of the locus."""
    _known(locus, counts)
    seen = {told["key"]: int(counts.get(told["key"]) or 0) for told in locus.types}
    if any(not 0 <= count <= MOST_SEEDLINGS for count in seen.values()):
        raise Refused(f"Counts are from 0 to {MOST_SEEDLINGS}.", "counts")
    if not sum(seen.values()):
        raise Refused("Count at least one seedling.", "counts")
    return seen


def _known(locus: Locus, types: Any) -> None:
    keys = [told["key"] for told in locus.types]
    if strange := [key for key in types if key not in keys]:
        raise Refused(f"{locus} has no such type: {', '.join(map(str, strange))}.", "type")


def _standing(thing: Any, name: str) -> None:
    if thing.struck:
        raise Refused(f"{thing} was struck out.", name)
