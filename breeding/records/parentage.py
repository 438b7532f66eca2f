"""The verb that takes a written parentage into the stock, or none of it."""

from __future__ import annotations

from breeding.notation import ParentageError, PlannedPlant
from breeding.parentage import SIDES, Look, look_at, looks_like_number
from garden.models import Plant
from garden.models.stock import UNKNOWN
from garden.records.stock import new_plant
from garden.verbs import Act, Refused, plural, verb


@verb
def take_parentage(act: Act, *, plant: Plant, text: str) -> tuple[Plant, str]:
    """Read a parentage of `plant`: link what the stock holds, add what it does not.

    What is recorded already is never overwritten: a text that contradicts it is refused, and so
    is one that would make a plant its own ancestor. New plants are known from pedigrees only.
    """
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out of the stock.")
    try:
        look = look_at(plant, text)
    except ParentageError as error:
        raise Refused(str(error), "text") from error
    if look.problems:
        raise Refused(look.problems[0], "text")
    plants: dict[int, Plant] = {}
    for at, one in enumerate(look.plan.plants):
        plants[at] = look.plants[one.key] if one.key is not None else _add(act, look, at, plants)
        # Parents stand before their children, so that all that is to be linked is there.
        if at in look.fills:
            _fill(act, plants[at], look.fills[at], plants)
    act.mention(plant)
    told = [
        plural(len(look.linked), "plant linked", "plants linked"),
        plural(len(look.created), "added", "added"),
    ]
    return plant, f"Read the parentage of {plant}: {', '.join(told)}"


def _add(act: Act, look: Look, at: int, plants: dict[int, Plant]) -> Plant:
    """A plant that only the text knows."""
    one = look.plan.plants[at]
    label = look.labels[at]
    numbered = one.name is None or looks_like_number(label)
    fields = {
        "kind": Plant.Kind.GUEST if numbered else Plant.Kind.CULTIVAR,
        "number" if numbered else "name": label,
        "status": Plant.Status.ABSENT,
        **_parents(one, plants),
    }
    try:
        return act.make(new_plant(fields))
    except Refused as refused:
        raise Refused(f"{label[:60]}, character {one.position + 1}: {refused}", "text") from refused


def _parents(one: PlannedPlant[int], plants: dict[int, Plant]) -> dict[str, Plant | str]:
    """Its two parents as the text tells them; none where it does not say."""
    if one.parents is None:
        return {}
    found: dict[str, Plant | str] = {}
    for side, parent in zip(SIDES, one.parents, strict=True):
        if parent is None:
            found[f"{side}_parent_text"] = UNKNOWN
        else:
            found[f"{side}_parent"] = plants[parent]
    return found


def _fill(act: Act, plant: Plant, fields: dict[str, int | str], plants: dict[int, Plant]) -> None:
    """Write the parents that were not recorded yet; words give way to the plant they name."""
    values: dict[str, Plant | str] = {}
    for name, value in fields.items():
        if isinstance(value, int):
            values |= {name: plants[value], f"{name}_text": ""}
        else:
            values[name] = value
    act.change(plant, **values)
