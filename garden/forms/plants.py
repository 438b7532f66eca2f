"""Forms of the stock: a plant with its parents, its place, and striking it out."""

from __future__ import annotations

from typing import Any

from django import forms

from garden.finding import find_plants, the_plant
from garden.forms.base import Day, RecordForm, WholeNumber
from garden.forms.flower import FlowerForm, sentence
from garden.forms.words import Inches, LongWords, Words, in_centimetres, in_inches
from garden.models import Bed, Garden, IrisClass, Placing, Plant, fold
from garden.models.stock import UNKNOWN

SIDES = ("seed_parent", "pollen_parent")
MOST_OFFERED = 6
# What the form fills in from the plant just as it is recorded.
PLAIN = (
    "kind", "name", "number", "status", "iris_class", "ploidy", "chromosomes", "transmission",
    "breeder", "year", "height_cm", "season", "rebloom", "notes",
)  # fmt: skip


def choices(names: Any, empty: str = "not recorded") -> list[tuple[str, str]]:
    return [("", empty), *names.choices]


def parent_field(title: str) -> Words:
    return Words(
        label=title,
        max_length=200,
        help_text="A few letters of its name or number, or the word unknown.",
    )


def keep_as_text() -> forms.BooleanField:
    return forms.BooleanField(label="Keep it as text, still to be resolved", required=False)


class PlantForm(FlowerForm):
    """All that is recorded of a plant."""

    kind = forms.ChoiceField(label="Kind", choices=Plant.Kind.choices, initial="cultivar")
    name = Words(label="Name", max_length=80)
    number = Words(
        label="Number", max_length=40, help_text="A seedling’s number, while it has no name."
    )
    status = forms.ChoiceField(label="Status", choices=Plant.Status.choices, initial="growing")
    seed_parent = parent_field("Seed parent ♀")
    seed_parent_as_text = keep_as_text()
    pollen_parent = parent_field("Pollen parent ♂")
    pollen_parent_as_text = keep_as_text()
    iris_class = forms.ChoiceField(label="Class", choices=choices(IrisClass), required=False)
    season = forms.ChoiceField(
        label="Season of bloom", choices=choices(Plant.BloomSeason), required=False
    )
    rebloom = forms.BooleanField(label="Blooms again in the same year", required=False)
    height_cm = WholeNumber(label="Height in cm", required=False)
    ploidy = WholeNumber(
        label="Ploidy", required=False, help_text="Sets of chromosomes: 2 diploid, 4 tetraploid."
    )
    chromosomes = WholeNumber(label="Chromosomes, 2n", required=False)
    transmission = forms.ChoiceField(
        label="How it passes on its copies",
        choices=choices(Plant.Transmission, "by class"),
        required=False,
    )
    breeder = Words(label="Bred by", max_length=80)
    year = WholeNumber(label="Year of introduction", required=False)
    notes = LongWords(label="Notes", max_length=4000, rows=4)

    def __init__(
        self, *args: Any, garden: Garden, plant: Plant | None = None, **kwargs: Any
    ) -> None:
        self.plant = plant
        self.inches = garden.inches
        self.found: dict[str, Plant | str] = {}
        given = kwargs.pop("initial", {})
        standing = as_typed(plant, self.inches) if plant else {}
        super().__init__(*args, initial={**standing, **given}, **kwargs)
        if self.inches:
            self.fields["height_cm"] = Inches(label="Height in inches", required=False)

    @property
    def parents(self) -> list[dict[str, Any]]:
        """Each parent's field, its tick for text, and plants that may be meant."""
        return [self.parent(side) for side in SIDES]

    def parent(self, side: str) -> dict[str, Any]:
        tick = self[f"{side}_as_text"]
        wrong = bool(self.is_bound and self.errors.get(side))
        linked = getattr(self.plant, side, None)
        offered = find_plants(str(self[side].value() or ""), MOST_OFFERED) if wrong else []
        shown = wrong or linked is not None or bool(tick.value())
        return {"side": side, "field": self[side], "tick": tick if shown else None,
                "offered": offered}  # fmt: skip

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for side in SIDES:
            typed = " ".join(cleaned.get(side, "").split())
            self.found[side] = self._parent(side, typed) if typed else ""
        return cleaned

    def _parent(self, side: str, typed: str) -> Plant | str:
        """The plant meant, else the text where the person wants it kept."""
        if fold(typed) == UNKNOWN:
            return UNKNOWN
        plant = the_plant(typed)
        as_text = self.cleaned_data.get(f"{side}_as_text")
        if plant and as_text and fold(typed) not in (plant.folded, fold(plant.number)):
            plant = None
        if plant is None:
            if not as_text and typed != getattr(self.plant, f"{side}_text", ""):
                self.add_error(side, unclear(typed))
            return typed
        if plant == self.plant:
            self.add_error(side, "A plant is not its own parent.")
        return plant

    def values(self) -> dict[str, Any]:
        values = super().values()
        for side, found in self.found.items():
            linked = isinstance(found, Plant)
            del values[f"{side}_as_text"]
            values |= {side: found if linked else None, f"{side}_text": "" if linked else found}
        if self.inches:
            values["height_cm"] = self._centimetres(values["height_cm"])
        return values

    def _centimetres(self, inches: Any) -> int | None:
        """The height; the recorded one where its inches were left as they stood."""
        standing = self.plant.height_cm if self.plant else None
        if inches is not None and f"{float(inches):g}" == in_inches(standing):
            return standing
        return in_centimetres(inches)


class ChangePlantForm(PlantForm):
    reason = Words(label="Why it is changed", max_length=200)


def as_typed(plant: Plant, inches: bool) -> dict[str, Any]:
    """What stands in the form of a recorded plant."""
    colours = plant.recipe_fields()
    drawn = sentence(colours)
    return {
        **{name: getattr(plant, name) for name in PLAIN},
        **({"height_cm": in_inches(plant.height_cm)} if inches else {}),
        **colours,
        "seed_parent": str(plant.parent("seed")),
        "pollen_parent": str(plant.parent("pollen")),
        "drawn": drawn,
        "description": plant.description if plant.description_own else drawn,
    }


def unclear(typed: str) -> str:
    """Why a parent's name names no plant, with the plants that it may be."""
    near = [f"“{plant}”" for plant in find_plants(typed, 3)]
    called = f"“{typed[:60]}”"
    if not near:
        return f"No plant of the stock is called {called}. Correct it, or keep it as text."
    return (
        f"{called} may be {' or '.join(near)}. Choose one, write the whole name, "
        "or keep it as text."
    )


class PlaceForm(RecordForm):
    """Where a plant stands, from a day on."""

    bed = forms.ModelChoiceField(label="Bed", queryset=Bed.objects.none(), empty_label=None)
    position = Words(label="Position", max_length=20, help_text="As it is marked there: 4, or 2-7.")
    increases = WholeNumber(
        label="Increases", required=False, help_text="Fans of leaves standing there."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bed"].queryset = Bed.live.all()
        wrong = "Choose one of the beds."
        self.fields["bed"].error_messages |= {"required": wrong, "invalid_choice": wrong}


class CorrectPlaceForm(PlaceForm):
    """A place as it is written now, to be corrected."""

    day = None
    since = Day(label="Since")
    reason = Words(label="Why it is corrected", max_length=200, required=True)

    def __init__(self, *args: Any, placing: Placing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("bed", "position", "increases", "since"):
            self.fields[name].initial = getattr(placing, name)
        self.fields["reason"].error_messages["required"] = "Write why, in a few words."


class StrikeForm(RecordForm):
    """Why a plant was written by mistake."""

    day = None
    reason = Words(label="Why it is struck out", max_length=200, required=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = "Write why, in a few words."
