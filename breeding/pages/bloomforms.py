"""Forms of bloom and of pollen kept; each becomes one verb."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from breeding.forms import ReasonField, chosen_plant, unclear
from breeding.models import Bloom, Pollen
from garden.finding import find_plants, the_plant
from garden.forms.base import Day, RecordForm
from garden.forms.words import Words
from garden.models import Plant

# Places offered to be tapped, the one used last first.
MOST_PLACES = 4
# What mostly becomes of pollen; one tap each.
ENDS = ("used up", "too old", "thrown away")


class BloomForm(RecordForm):
    """One tap says how far the bloom is."""

    stage = forms.ChoiceField(
        label="How far it is",
        choices=Bloom.Stage.choices,
        error_messages={"required": "Choose first flower, peak or over."},
    )


class BloomCorrectForm(RecordForm):
    """The three days of one season's bloom, put right."""

    day = None
    first_on = Day(label="First flower", required=False)
    peak_on = Day(label="Peak", required=False)
    last_on = Day(label="Over", required=False)
    reason = ReasonField("Why it is corrected", required=True)

    @classmethod
    def days_of(cls, bloom: Bloom) -> dict[str, Any]:
        return {name: getattr(bloom, name) for name in ("first_on", "peak_on", "last_on")}


class PollenForm(RecordForm):
    """Pollen put by: of which plant, where, until when.

    A name a letter away is offered and never taken, as with the parents of a cross.
    """

    plant = forms.CharField(required=False, widget=forms.HiddenInput, max_length=20)
    plant_text = forms.CharField(label="Pollen of", required=False, max_length=10_000)
    place = Words(label="Where it is kept", max_length=80)
    use_by = Day(label="Good until", required=False)
    note = Words(label="Note", max_length=400)

    def __init__(self, *args: Any, places: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].widget.attrs["list"] = "pollen-places"
        if places:
            offered = [(place, place) for place in places[:MOST_PLACES]]
            self.fields["kept_in"] = forms.ChoiceField(
                choices=offered,
                required=False,
                widget=forms.RadioSelect,
                error_messages={"invalid_choice": "Choose one of these."},
            )
            self.fields["place"].label = "Somewhere else"

    @property
    def chosen(self) -> Plant | None:
        """The plant that stands in the form; None while it is typed. May query."""
        return chosen_plant(str(self["plant"].value() or ""))

    @property
    def answers(self) -> list[Plant]:
        """Plants that the typed letters may mean. May query."""
        typed = str(self["plant_text"].value() or "").strip()[:200]
        return find_plants(typed, 6) if typed else []

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        typed = cleaned.pop("plant_text", "")
        plant = chosen_plant(cleaned.get("plant", "")) or (the_plant(typed) if typed else None)
        if plant is None:
            self.add_error("plant_text", unclear(typed))
        # What is written is the later thought.
        kept_in = cleaned.pop("kept_in", "")
        place = cleaned.get("place") or kept_in
        if not place and "place" not in self.errors:
            self.add_error("place", "Write where it is kept.")
        return cleaned | {"plant": plant, "place": place}


class PollenEndForm(RecordForm):
    """One tap says what became of it."""

    outcome = forms.CharField(max_length=200, required=False)
    reason = ReasonField("Something else")

    def values(self) -> dict[str, Any]:
        values = super().values()
        outcome = values.pop("outcome")
        return values | {"reason": outcome if outcome in ENDS else values["reason"]}


def places_used(most: int = 20) -> list[str]:
    """Where pollen was kept before, the latest first. One query."""
    places = Pollen.live.order_by("-taken_on", "-id").values_list("place", flat=True)[: 4 * most]
    return list(dict.fromkeys(places))[:most]
