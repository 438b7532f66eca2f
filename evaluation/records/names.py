"""The verbs on the way to a name: measure, propose, drop, give."""

from __future__ import annotations

from datetime import date

from breeding.records.common import fitting
from evaluation.models import Measuring, ProposedName
from garden.epithets import Name
from garden.models import Plant, fold
from garden.verbs import Act, Refused, verb

STATE = ProposedName.State
# (field, in words, least, most, unit)
MEASURES = (
    ("height_cm", "height", 1, 250, "cm"),
    ("flower_height_mm", "flower height", 5, 300, "mm"),
    ("flower_width_mm", "flower width", 5, 300, "mm"),
    ("branches", "branches", 0, 12, ""),
    ("buds", "buds", 0, 60, ""),
)
LONGEST_NAME = 80


@verb
def measure(
    act: Act,
    *,
    plant: Plant,
    height_cm: int | None = None,
    flower_height_mm: int | None = None,
    flower_width_mm: int | None = None,
    branches: int | None = None,
    buds: int | None = None,
    day: date | None = None,
) -> tuple[Measuring, str]:
    """Note what was measured of a plant on a day, at least one thing.

    The plant's recorded height stays; where none is recorded, this one is.
    """
    plant, day = _standing(plant), act.day(day)
    values = (height_cm, flower_height_mm, flower_width_mm, branches, buds)
    given = dict(zip((field for field, *_ in MEASURES), values, strict=True))
    for field, words, least, most, unit in MEASURES:
        value = given[field]
        if value is not None and not least <= value <= most:
            span = f"{least} to {most} {unit}".strip()
            raise Refused(f"{words.capitalize()}: from {span}.", field)
    if all(value is None for value in given.values()):
        raise Refused("Write down at least one measure.")
    measuring = act.make(Measuring(plant=plant, person=act.person, day=day, **given))
    if given["height_cm"] and plant.height_cm is None:
        act.change(plant, height_cm=given["height_cm"])
    act.mention(plant)
    told = ", ".join(
        f"{words} {given[field]} {unit}".strip()
        for field, words, _, _, unit in MEASURES
        if given[field] is not None
    )
    return measuring, f"Measured {plant}: {told}"


@verb
def propose_name(
    act: Act, *, plant: Plant, text: str, note: str = "", day: date | None = None
) -> tuple[ProposedName, str]:
    """Propose a name for a plant without one; one that was dropped is taken up again."""
    plant, day = _nameless(plant), act.day(day)
    text = _name(text, plant)
    note = fitting(note, 400, "note")
    known = ProposedName.live.filter(plant=plant, folded=fold(text)).first()
    if known is None:
        proposed = act.make(
            ProposedName(plant=plant, text=text, note=note, person=act.person, day=day)
        )
        act.mention(plant)
        return proposed, f"Proposed ‘{text}’ for {plant}"
    if known.state != STATE.DROPPED:
        raise Refused(f"‘{known}’ is proposed for {plant} already.", "text")
    act.change(
        known, text=text, note=note or known.note, state=STATE.OPEN, settled_on=None,
        settled_why="",
    )  # fmt: skip
    act.mention(plant)
    return known, f"Took up ‘{text}’ for {plant} again"


@verb
def drop_name(
    act: Act, *, proposed: ProposedName, reason: str = "", day: date | None = None
) -> tuple[ProposedName, str]:
    """Drop a proposed name; it stays in the list with the reason."""
    proposed, day = _open(proposed), act.day(day)
    why = fitting(reason, 400, "reason")
    act.change(proposed, state=STATE.DROPPED, settled_on=day, settled_why=why)
    act.mention(proposed.plant)
    told = f": {why}" if why else ""
    return proposed, f"Dropped ‘{proposed}’ for {proposed.plant}{told}"[:400]


@verb
def give_name(
    act: Act,
    *,
    proposed: ProposedName,
    reason: str = "",
    day: date | None = None,
) -> tuple[Plant, str]:
    """Give a plant a proposed name: it becomes a named cultivar and keeps its number.

    Whatever refers to it does so still. Refused while the stock has the name; what the rules of
    naming say is a matter for whoever gives it, and for the authority that registers it.
    """
    proposed, day = _open(proposed), act.day(day)
    plant = _nameless(proposed.plant)
    _refuse_taken(proposed.text, plant)
    number = plant.number
    act.change(plant, name=proposed.text, kind=Plant.Kind.CULTIVAR)
    act.change(
        proposed, state=STATE.CHOSEN, settled_on=day, settled_why=fitting(reason, 400, "reason")
    )
    return plant, f"{number} is named ‘{plant.name}’"


def _standing(plant: Plant) -> Plant:
    """The plant read again; Refused when it was struck out."""
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out of the stock.")
    return plant


def _nameless(plant: Plant) -> Plant:
    """A plant that may be given a name."""
    plant = _standing(plant)
    if plant.kind == Plant.Kind.SPECIES:
        raise Refused(f"{plant} is a species and has its name.")
    if plant.kind == Plant.Kind.GUEST:
        raise Refused(f"{plant} is a guest: whoever bred it gives it its name.")
    if plant.name:
        raise Refused(f"{plant} has its name; change the record if it is written wrongly.")
    return plant


def _open(proposed: ProposedName) -> ProposedName:
    proposed = ProposedName.objects.select_related("plant").get(pk=proposed.pk)
    if proposed.struck:
        raise Refused(f"‘{proposed}’ was struck out.")
    if proposed.state != STATE.OPEN:
        raise Refused(f"‘{proposed}’ is {proposed.get_state_display().lower()} already.")
    return proposed


def _name(text: str, plant: Plant) -> str:
    """The name as it is written down; Refused where no name is left, or the stock has it."""
    name = Name.read(text).text
    if not fold(name):
        raise Refused("Write the name.", "text")
    if len(name) > LONGEST_NAME:
        raise Refused(f"At most {LONGEST_NAME} letters; these are {len(name)}.", "text")
    if fold(name) == fold(plant.number):
        raise Refused("That is its number.", "text")
    if fold(name) == "unknown":
        raise Refused("‘Unknown’ stands for a parent that nobody knows.", "text")
    _refuse_taken(name, plant)
    return name


def _refuse_taken(name: str, plant: Plant) -> None:
    """Refuse a name, or a number, that another plant of the stock has."""
    others = Plant.live.exclude(pk=plant.pk)
    twin = others.filter(folded=fold(name)).first()
    if twin:
        raise Refused(f"{twin} is already in the stock.", "text")
