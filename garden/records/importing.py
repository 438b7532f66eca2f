"""The verb that takes in a whole plant list, or none of it."""

from __future__ import annotations

from typing import Any

from garden.models import Bed, Placing, Plant, fold
from garden.plantlist import PARENT_COLUMNS, UNKNOWN, Line, PlantList, read
from garden.records.stock import new_plant
from garden.verbs import Act, Refused, plural, verb


def read_list(text: str) -> PlantList:
    """The list as it would be taken in now. One query."""
    known = dict(Plant.live.values_list("folded", "pk"))
    return read(text, known)


@verb
def import_plants(act: Act, *, text: str) -> tuple[Plant, str]:
    """Take in a plant list; refused as a whole when one line cannot be taken."""
    listed = read_list(text)
    if listed.problems:
        first = listed.problems[0]
        raise Refused(
            f"Line {first.line}, {first.column}: {first.reason} Nothing was taken in.", "text"
        )
    plants = {plant.folded: plant for plant in Plant.live.all()}
    for line in listed.lines:
        plants[line.key] = _take(act, line, plants)
    first = plants[listed.lines[0].key]
    count = len(listed.lines)
    return first, f"Took in {plural(count, 'plant')} from a list" + (
        f" ({', '.join(plants[line.key].label for line in listed.lines[:3])} …)"
    )


def _take(act: Act, line: Line, plants: dict[str, Plant]) -> Plant:
    values: dict[str, Any] = dict(line.values)
    bed, position = values.pop("bed", ""), values.pop("position", "")
    increases = values.pop("increases", None)
    for side in PARENT_COLUMNS:
        written = values.pop(side, "")
        folded = line.parents.get(side, "")
        parent = None if folded == UNKNOWN else plants.get(folded)
        if parent:
            values[side] = parent
        elif written:
            values[f"{side}_text"] = UNKNOWN if fold(written) == UNKNOWN else written
    plant = act.make(new_plant(values, label_free=True))
    if bed:
        act.make(
            Placing(
                plant=plant,
                bed=_bed(act, bed),
                position=position,
                increases=increases,
                since=act.today,
            )
        )
    return plant


def _bed(act: Act, name: str) -> Bed:
    return Bed.live.filter(folded=fold(name)).first() or act.make(Bed(name=name))
