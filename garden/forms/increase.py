"""Forms of increase: counting, taking out, what a forecast is asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from garden.forms.base import Day, RecordForm, WholeNumber
from garden.forms.words import Words
from garden.increasing import Spot
from garden.models import Bed, StockCount, StockTaken

ELSEWHERE = "other"
WHY = "Write why, in a few words."


class PlaceForm(RecordForm):
    """Something at one of a plant's known places, or at another one."""

    place = forms.ChoiceField(label="Place", required=False, widget=forms.RadioSelect)
    bed = forms.ModelChoiceField(
        label="Bed", queryset=Bed.objects.none(), required=False, empty_label="none"
    )
    position = Words(label="Position", max_length=20)
    elsewhere = Words(label="Not in a bed", max_length=40, help_text="Potted, cold frame, trial.")

    def __init__(self, *args: Any, spots: Sequence[Spot] = (), at: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.spots = {spot.key: spot for spot in spots}
        place = self.fields["place"]
        place.choices = [*((spot.key, spot.name) for spot in spots), (ELSEWHERE, "Another place")]
        only = next(iter(self.spots), ELSEWHERE)
        place.initial = at if at in self.spots else only
        self.fields["bed"].queryset = Bed.live.all()
        self.fields["bed"].error_messages["invalid_choice"] = "Choose one of the beds."

    @property
    def at_another(self) -> bool:
        """Whether the fields of another place are to be open."""
        return self["place"].value() == ELSEWHERE or any(
            self[name].errors for name in ("bed", "position", "elsewhere")
        )

    @property
    def spot(self) -> Spot | None:
        """The known place that is chosen."""
        return self.spots.get(str(self["place"].value() or ""))

    def values(self) -> dict[str, Any]:
        values = super().values()
        spot = self.spots.get(values.pop("place"))
        if spot:
            values |= {"bed": spot.bed, "position": spot.position, "elsewhere": spot.elsewhere}
        return values


class CountStockForm(PlaceForm):
    """Fans counted in one place."""

    number = WholeNumber(label="Fans here now")
    taken = WholeNumber(label="Taken out since the last count", required=False)
    fate = forms.ChoiceField(
        label="What became of them", choices=[("", "—"), *StockTaken.Fate.choices], required=False
    )
    note = Words(label="Note", max_length=200)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("taken") and not cleaned.get("fate") and "fate" not in self.errors:
            self.add_error("fate", "Say what became of those taken out.")
        return cleaned

    def values(self) -> dict[str, Any]:
        values = super().values()
        return values | {"taken": values["taken"] or 0}


class TakeOutForm(PlaceForm):
    """Fans that left a place."""

    number = WholeNumber(label="How many fans")
    fate = forms.ChoiceField(
        label="What became of them", choices=StockTaken.Fate.choices, widget=forms.RadioSelect
    )
    note = Words(label="Note", max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["fate"].error_messages["required"] = "Say what became of them."


class _Correcting(RecordForm):
    """A day that stands already, and why it is corrected."""

    day = Day(label="Day")
    reason = Words(label="Why it is corrected", max_length=200, required=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = WHY
        self.fields["day"].error_messages["required"] = "Write the day."


class CorrectCountForm(_Correcting):
    """A count as it is written, to be corrected."""

    number = WholeNumber(label="Fans")
    note = Words(label="Note", max_length=200)

    @staticmethod
    def standing(count: StockCount) -> dict[str, Any]:
        """What is written now."""
        return {name: getattr(count, name) for name in ("number", "day", "note")}


class CorrectTakenForm(_Correcting):
    """What left a place as it is written, to be corrected."""

    number = WholeNumber(label="Fans")
    fate = forms.ChoiceField(label="What became of them", choices=StockTaken.Fate.choices)
    note = Words(label="Note", max_length=200)

    @staticmethod
    def standing(gone: StockTaken) -> dict[str, Any]:
        """What is written now."""
        return {name: getattr(gone, name) for name in ("number", "fate", "day", "note")}


class AskForm(forms.Form):
    """What is asked of a forecast; nonsense is passed over."""

    year = WholeNumber(label="Introduction in", required=False)
    need = WholeNumber(label="Fans wanted then", required=False)
    take = WholeNumber(label="Taken each year until then", required=False)
    keep = WholeNumber(label="Kept after each sale", required=False)
    sales = WholeNumber(label="Years with a sale", required=False)

    LIMITS = {"need": 100_000, "take": 10_000, "keep": 100_000}

    def __init__(self, *args: Any, first: int, last: int, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.limits = {"year": (first, last), "sales": (1, 5)}
        for field in self.fields.values():
            field.widget.attrs["class"] = "inp"
        self.full_clean()

    def asked(self, standing: dict[str, int]) -> dict[str, int]:
        """What is asked, within its limits; what stands where nothing, or nonsense, is."""
        found = {}
        for name, usual in standing.items():
            low, high = self.limits.get(name, (0, self.LIMITS.get(name, 0)))
            value = self.cleaned_data.get(name)
            found[name] = min(max(usual if value is None else value, low), high)
        return found
