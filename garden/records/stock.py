"""Verbs of the stock: plants, their parents and their places."""

from __future__ import annotations

from datetime import date
from typing import Any

from garden.flower import Recipe, describe
from garden.models import Bed, Placing, Plant, StockCount, StockTaken, fold, tidy
from garden.models.increase import spot_of
from garden.models.stock import COLOUR_PARTS, UNKNOWN, ancestors
from garden.verbs import Act, Refused, plural, verb, written

FIELDS = (
    "kind", "name", "number", "iris_class", "ploidy", "chromosomes", "transmission",
    "breeder", "year", "height_cm", "season", "rebloom", "seed_parent", "pollen_parent",
    "seed_parent_text", "pollen_parent_text", "pattern", *COLOUR_PARTS, "description", "status",
    "notes",
)  # fmt: skip
YEARS = (1500, 2100)


@verb
def add_plant(act: Act, **fields: Any) -> tuple[Plant, str]:
    """Add a plant to the stock. Fields are those of `Plant`, by name."""
    plant = act.make(new_plant(fields))
    return plant, f"Added {plant} to the stock"


def new_plant(fields: dict[str, Any], label_free: bool = False) -> Plant:
    """A plant from checked fields, not yet written; `label_free` when its name was compared."""
    fields = checked(fields, label_free=label_free)
    plant = Plant(**fields)
    plant.description, plant.description_own = _description(plant, fields)
    return plant


@verb
def change_plant(act: Act, *, plant: Plant, reason: str = "", **fields: Any) -> tuple[Plant, str]:
    """Change what is recorded of a plant; a parent may be corrected as long as no loop arises."""
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out of the stock.")
    act.reason = reason.strip()
    fields = checked(fields, plant)
    own_words = fields.get("description", plant.description) != plant.description
    if not own_words and not plant.description_own:
        fields.pop("description", None)
    _keep_parents(plant, fields)
    sketch = Plant(**{name: getattr(plant, name) for name in FIELDS} | fields)
    fields["description"], fields["description_own"] = _description(
        sketch, fields, plant.description_own
    )
    for side in ("seed_parent", "pollen_parent"):
        refuse_loop(plant, fields.get(side), side)
    if not act.change(plant, **fields):
        raise Refused("Nothing was changed.")
    act.mention(fields.get("seed_parent"), fields.get("pollen_parent"))
    return plant, f"Changed {plant}: {', '.join(act.changed[-1]['after'])}".replace("_", " ")


@verb
def strike_plant(act: Act, *, plant: Plant, reason: str) -> tuple[Plant, str]:
    """Strike a plant that was written by mistake out of the stock."""
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} is already struck out.")
    if hanging := plant.dependants():
        raise Refused(f"{plant} cannot be struck out: {hanging}.")
    act.reason = reason.strip()
    act.change(plant, struck=True)
    return plant, f"Struck out {plant}"


@verb
def place_plant(
    act: Act,
    *,
    plant: Plant,
    bed: Bed,
    position: str = "",
    increases: int | None = None,
    day: date | None = None,
) -> tuple[Placing, str]:
    """Say where a plant stands from a day on, with its number of increases."""
    day = act.day(day)
    plant, bed = Plant.objects.get(pk=plant.pk), Bed.objects.get(pk=bed.pk)
    for name, thing in (("plant", plant), ("bed", bed)):
        if thing.struck:
            raise Refused(f"{thing} was struck out.", name)
    _check_increases(increases)
    place = {"bed": bed, "position": position.strip(), "until": None}
    here = Placing.live.filter(plant=plant, **place).first()
    if here and day >= here.since:
        act.change(here, until=day)
    placing = act.make(
        Placing(plant=plant, bed=bed, position=position.strip(), increases=increases, since=day)
    )
    act.mention(plant, bed)
    told = f" with {plural(increases, 'increase')}" if increases is not None else ""
    return placing, f"{plant} stands in {placing}{told} ({written(day)})"


def _at(placing: Placing) -> list[StockCount | StockTaken]:
    """Counts and takings at a plant's place, while no other placing of it stands there."""
    spot = spot_of(placing.bed_id, placing.position)
    others = Placing.live.filter(plant=placing.plant_id, bed=placing.bed_id).exclude(pk=placing.pk)
    if any(spot_of(one.bed_id, one.position) == spot for one in others):
        return []
    kinds = (StockCount, StockTaken)
    return [one for kind in kinds for one in kind.live.filter(plant=placing.plant_id, spot=spot)]


@verb
def correct_placing(
    act: Act,
    *,
    placing: Placing,
    bed: Bed,
    since: date,
    reason: str,
    position: str = "",
    increases: int | None = None,
) -> tuple[Placing, str]:
    """Correct where a plant stood, with how many increases, and from which day on."""
    placing = Placing.objects.select_related("plant", "bed").get(pk=placing.pk)
    bed = Bed.objects.get(pk=bed.pk)
    if placing.struck:
        raise Refused("This place was struck out.")
    if bed.struck:
        raise Refused(f"{bed} was struck out.", "bed")
    act.reason = reason.strip()
    if not act.reason:
        raise Refused("Write why it is corrected.", "reason")
    _check_increases(increases)
    since = act.day(since, "since")
    if placing.until and since > placing.until:
        raise Refused(f"It stood there only until {written(placing.until)}.", "since")
    before, place = _told(placing), {"bed": bed, "position": position.strip()}
    counted = _at(placing)
    if not act.change(placing, **place, increases=increases, since=since):
        raise Refused("Nothing was changed.")
    # What was counted and taken there was so at the right place.
    for one in counted:
        act.change(one, **place)
    act.mention(placing.plant, bed)
    return placing, f"Corrected where {placing.plant} stands: {before} → {_told(placing)}"


def _told(placing: Placing) -> str:
    """'Long Bed 4 with 3 increases since 3 June 2026'."""
    fans = f" with {placing.increases} increases" if placing.increases is not None else ""
    return f"{placing}{fans} since {written(placing.since)}"


def _check_increases(increases: int | None) -> None:
    if increases is not None and not 0 <= increases <= 5000:
        raise Refused("Increases are counted from 0 to 5000.", "increases")


def _keep_parents(plant: Plant, fields: dict[str, Any]) -> None:
    """An own seedling never loses a parent, named or not; 'unknown' is what somebody writes."""
    own = fields.get("kind", plant.kind) == Plant.Kind.SEEDLING
    if not own and not plant.seedlings.filter(struck=False).exists():
        return
    for side in ("seed_parent", "pollen_parent"):
        names = (side, f"{side}_text")
        had = any(getattr(plant, name) for name in names)
        if had and not any(fields.get(name, getattr(plant, name)) for name in names):
            raise Refused("An own seedling keeps its parents: write ‘unknown’ instead.", side)


def checked(
    fields: dict[str, Any], plant: Plant | None = None, label_free: bool = False
) -> dict[str, Any]:
    """Refuse what cannot be; give back the fields with spaces tidied and parents told apart."""
    strange = set(fields) - set(FIELDS)
    if strange:
        raise Refused(f"{', '.join(sorted(strange))} is not recorded of a plant.")
    fields = {
        name: value.strip() if isinstance(value, str) else value for name, value in fields.items()
    }
    for name in ("name", "number", "breeder"):
        if name in fields:
            fields[name] = tidy(fields[name])
    if not label_free:
        _check_label(fields, plant)
    _check_numbers(fields)
    _check_transmission(fields, plant)
    _check_colours(fields)
    for side in ("seed_parent", "pollen_parent"):
        if fields.get(side) is not None:
            if fields[side].struck:
                raise Refused(f"{fields[side]} was struck out of the stock.", side)
            fields[f"{side}_text"] = ""
        elif fields.get(f"{side}_text"):
            fields[side] = None
    return fields


def _check_label(fields: dict[str, Any], plant: Plant | None) -> None:
    name = fields.get("name", plant.name if plant else "")
    number = fields.get("number", plant.number if plant else "")
    label = name or number
    if not fold(label):
        raise Refused("Give the plant a name or a number.", "name")
    if fold(label) == UNKNOWN:
        raise Refused("‘Unknown’ stands for a parent that nobody knows; name it otherwise.", "name")
    twin = Plant.live.filter(folded=fold(label)).exclude(pk=plant.pk if plant else None).first()
    if twin:
        raise Refused(f"{twin} is already in the stock.", "name" if name else "number")


def _check_numbers(fields: dict[str, Any]) -> None:
    for name, least, most, what in [
        ("year", *YEARS, "The year"),
        ("height_cm", 1, 250, "The height in cm"),
        ("ploidy", 1, 8, "The ploidy"),
        ("chromosomes", 8, 200, "The number of chromosomes"),
    ]:
        value = fields.get(name)
        if value is not None and not least <= value <= most:
            raise Refused(f"{what} must be from {least} to {most}.", name)


def _check_transmission(fields: dict[str, Any], plant: Plant | None) -> None:
    """Sets that pair by fours are four, and sets that pair in twos an even number."""
    name = "transmission"
    way = fields.get(name, plant.transmission if plant else "")
    sets = fields.get("ploidy", plant.ploidy if plant else None)
    if way not in ("", *Plant.Transmission.values):
        raise Refused("Choose one of the ways of the list.", name)
    if way == Plant.Transmission.TETRASOMIC and sets not in (None, 4):
        raise Refused(f"A plant with {sets} sets cannot be tetrasomic: that takes four.", name)
    if way == Plant.Transmission.DISOMIC and (sets or 2) % 2:
        raise Refused(f"{sets} sets cannot pair in twos.", name)


def _check_colours(fields: dict[str, Any]) -> None:
    for name in ("pattern", *COLOUR_PARTS):
        if fields.get(name):
            try:
                Recipe.from_mapping({name: fields[name]})
            except ValueError as error:
                sentence = f"‘{fields[name]}’ is no word of the colour list."
                raise Refused(sentence, name) from error


def _description(plant: Plant, fields: dict[str, Any], was_own: bool = False) -> tuple[str, bool]:
    """The description and whether it is somebody's own words; else written from the colours."""
    given = fields.get("description")
    drawn = ""
    if plant.has_colours:
        drawn = describe(Recipe.from_mapping(plant.recipe_fields()))
    if given and given != drawn:
        return given, True
    if given is None and was_own:
        return plant.description, True
    return drawn, False


def refuse_loop(plant: Plant, parent: Plant | None, side: str) -> None:
    """Refuse a parent that descends from the plant. One query a generation."""
    if parent is None or plant.pk is None:
        return
    if plant.pk == parent.pk:
        raise Refused(f"{plant} cannot be its own parent.", side)
    if plant.pk in ancestors(parent.pk):
        raise Refused(f"{parent} descends from {plant}, so it cannot be its parent.", side)
