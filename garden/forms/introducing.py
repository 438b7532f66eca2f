"""Forms of guests sent to other gardens and of introductions."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from garden.finding import the_plant
from garden.forms.base import Day, RecordForm, WholeNumber
from garden.forms.increase import ELSEWHERE, WHY, PlaceForm
from garden.forms.plants import unclear
from garden.forms.words import LongWords, Words
from garden.models import GuestSent, Introduction, Photo, Plant
from garden.names import is_key


class NamesPlant(forms.Form):
    """A plant that is chosen by its key, or named."""

    plant = forms.CharField(required=False, widget=forms.HiddenInput)
    plant_text = Words(label="Plant", max_length=200, help_text="Its name or number.")

    @property
    def chosen(self) -> Plant | None:
        """The plant of the key. A query."""
        key = str(self["plant"].value() or "")
        return Plant.live.filter(pk=int(key)).first() if is_key(key) else None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        typed = cleaned.get("plant_text", "")
        found = self.chosen or (the_plant(typed) if typed else None)
        if found is None and "plant_text" not in self.errors:
            self.add_error("plant_text", unclear(typed) if typed else "Say which plant.")
        cleaned["plant"] = found
        cleaned.pop("plant_text", None)
        return cleaned


class GuestForm(NamesPlant, PlaceForm):
    """Plants that go to another garden."""

    garden_name = Words(label="To which garden", max_length=80, required=True)
    terms = forms.ChoiceField(
        label="On what terms", choices=GuestSent.Terms.choices, widget=forms.RadioSelect
    )
    number = WholeNumber(label="How many plants")
    note = Words(label="Note", max_length=400)

    field_order = ["plant", "plant_text", "garden_name", "terms", "number"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["garden_name"].error_messages["required"] = "Write to which garden it goes."
        self.fields["terms"].error_messages["required"] = "Choose one of the terms."
        # From where is asked only of a plant whose places are known.
        if not self.spots:
            for name in ("place", "bed", "position", "elsewhere"):
                del self.fields[name]
        else:
            for name in ("bed", "position", "elsewhere"):
                del self.fields[name]
            self.fields["place"].label = "From where"
            places = self.fields["place"].choices[:-1]
            self.fields["place"].choices = [*places, (ELSEWHERE, "not known")]

    def values(self) -> dict[str, Any]:
        if not self.spots:
            return RecordForm.values(self)
        return super().values()


class GuestNewsForm(RecordForm):
    """What came back of a guest."""

    report = LongWords(label="Report", max_length=1000, rows=4)
    returned = WholeNumber(label="Plants that came back", required=False)
    ended = forms.BooleanField(label="Nothing is open any more", required=False)

    def values(self) -> dict[str, Any]:
        values = super().values()
        return values | {"returned": values["returned"] or 0}


class GuestCorrectForm(RecordForm):
    """A guest as it is written, to be corrected."""

    day = None
    garden_name = Words(label="To which garden", max_length=80, required=True)
    terms = forms.ChoiceField(label="On what terms", choices=GuestSent.Terms.choices)
    number = WholeNumber(label="How many plants")
    sent_on = Day(label="Sent on")
    note = Words(label="Note", max_length=400)
    reason = Words(label="Why it is corrected", max_length=200, required=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = WHY
        self.fields["sent_on"].error_messages["required"] = "Write the day."

    @staticmethod
    def standing(guest: GuestSent) -> dict[str, Any]:
        """What is written now."""
        names = ("garden_name", "terms", "number", "sent_on", "note")
        return {name: getattr(guest, name) for name in names}


# Digits with one point at most: '1e3' is a slip, not a price.
PLAIN = re.compile(r"-?\d*\.?\d*", re.ASCII)


class Price(forms.DecimalField):
    """A price typed with point or comma."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=8, decimal_places=2, min_value=0, **kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        self.error_messages |= {
            "invalid": "Write a number.",
            "max_digits": "Too large for a price.",
            "max_whole_digits": "Too large for a price.",
            "max_decimal_places": "At most two places after the point.",
            "min_value": "Not below 0.",
        }

    def to_python(self, value: Any) -> Any:
        typed = str(value if value is not None else "").strip().replace(",", ".")
        if typed and not PLAIN.fullmatch(typed):
            raise forms.ValidationError(self.error_messages["invalid"])
        return super().to_python(typed)


class _Offer(RecordForm):
    """What is offered of a plant in a year."""

    day = None
    year = WholeNumber(label="Year")
    price = Price(label="Price", required=False)
    currency = Words(label="Currency", max_length=12, help_text="As it is to be printed.")
    quantity = WholeNumber(label="How many are offered", required=False)
    description = LongWords(
        label="Description", max_length=1000, rows=4,
        help_text="Left empty, the plant’s own description stands there.",
    )  # fmt: skip
    place = WholeNumber(label="Place in the list")

    def __init__(self, *args: Any, plant: Plant | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        photos = Photo.live.filter(plant=plant) if plant else Photo.objects.none()
        if plant and photos:
            self.fields["photo"] = forms.ModelChoiceField(
                label="Picture", queryset=photos, required=False, empty_label="The drawn flower"
            )
            wrong = "Choose one of these."
            self.fields["photo"].error_messages["invalid_choice"] = wrong

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        priced = cleaned.get("price") is not None
        if priced and not cleaned.get("currency") and "currency" not in self.errors:
            self.add_error("currency", "Write the currency beside the price.")
        return cleaned


class IntroductionForm(NamesPlant, _Offer):
    """A plant to be offered."""

    field_order = ["plant", "plant_text", "year", "price", "currency", "quantity"]


class ChangeIntroductionForm(_Offer):
    """What is offered, to be changed."""

    reason = Words(label="Why it is changed", max_length=200)

    @staticmethod
    def standing(offered: Introduction) -> dict[str, Any]:
        """What is written now."""
        names = ("year", "price", "currency", "quantity", "description", "place", "photo")
        return {name: getattr(offered, name) for name in names}


class WithdrawForm(RecordForm):
    """Why a plant is taken out of a list."""

    day = None
    reason = Words(label="Why it is withdrawn", max_length=200, required=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = WHY
