"""Forms of labels: printing, sizes of sheets, their shift, the address in the codes, scanning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from garden.forms.base import DecimalNumber, RecordForm, WholeNumber
from garden.forms.words import Words
from garden.labelling import Named, named
from garden.labelsheets import Paper
from garden.models import LabelSheet
from garden.models.labels import MEASURES, MOST_COPIES, MOST_SHIFT

# Narrower places than a thumb, or more than anybody looks through: a number is typed instead.
MOST_ACROSS, MOST_TAPPED = 7, 120
LONGEST_LIST = 60_000
NO_PLACE = "Choose a place of the sheet."
# Another sheet or number is shown at once; without script a button does it.
SHOWN_ANEW = {
    "hx-post": "/labels/print/",
    "hx-trigger": "change",
    "hx-target": "#label-print",
    "hx-swap": "outerHTML",
    "hx-vals": '{"_show": "1"}',
}


def as_text(things: Sequence[Named]) -> str:
    """'cup.12 cup.13 pot.4', as a hidden field carries them."""
    return " ".join(f"{kind}.{pk}" for kind, pk in things)


class ThingsField(forms.CharField):
    """What is labelled, as a list in a hidden field; gives [(kind, key), …]."""

    widget = forms.HiddenInput

    def __init__(self) -> None:
        super().__init__(max_length=LONGEST_LIST)

    def clean(self, value: Any) -> list[Named]:
        found = [named(each) for each in super().clean(value).split()]
        if not found or None in found:
            raise forms.ValidationError("Tick at least one.")
        return [each for each in found if each]


class PlacePicker(forms.RadioSelect):
    """The places of a sheet, drawn as they lie; `label_places.html` draws them."""


class PrintForm(RecordForm):
    """What is printed, on which sheet, from which place on."""

    day = None
    things = ThingsField()
    sheet = forms.ChoiceField(label="Sheet", widget=forms.Select(attrs={"class": "inp"}))
    start = WholeNumber(label="First free place", min_value=1)
    copies = WholeNumber(label="Of each", min_value=1, max_value=MOST_COPIES, initial=1)
    flowers = forms.BooleanField(label="With the drawn flower", required=False, initial=True)
    codes = forms.BooleanField(label="With a code to scan", required=False, initial=True)

    def __init__(
        self, *args: Any, papers: Mapping[str, Paper], paper: Paper, address: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.address = address
        self.fields["sheet"].choices = list(_grouped(papers).items())
        self.fields["copies"].widget.attrs["class"] = "inp inp--num"
        for name in ("sheet", "copies"):
            self.fields[name].widget.attrs |= SHOWN_ANEW
        for bound in ("min_value", "max_value"):
            sentence = f"From 1 to {MOST_COPIES} of each."
            self.fields["copies"].error_messages[bound] = sentence
        places = paper.sheet.places
        if self.tapped(paper):
            choices = [(number, str(number)) for number in range(1, places + 1)]
            self.fields["start"].widget = PlacePicker(choices=choices)
        else:
            self.fields["start"].widget.attrs["class"] = "inp inp--num"
        start = self.fields["start"]
        start.error_messages |= dict.fromkeys(("required", "invalid", "min_value"), NO_PLACE)

    @staticmethod
    def tapped(paper: Paper) -> bool:
        return paper.sheet.columns <= MOST_ACROSS and paper.sheet.places <= MOST_TAPPED

    def values(self) -> dict[str, Any]:
        values = super().values()
        return values | {"address": self.address if values.pop("codes") else ""}


def _grouped(papers: Mapping[str, Paper]) -> dict[str, list[tuple[str, str]]]:
    """The sizes by heading, as a list box shows them."""
    found: dict[str, list[tuple[str, str]]] = {}
    for paper in papers.values():
        sheet = paper.sheet
        of_paper = "Letter" if sheet.title.startswith("Letter") else "A4"
        head = "Own sizes" if paper.own else "Rolls" if sheet.roll else of_paper
        found.setdefault(head, []).append((paper.key, sheet.title))
    return found


class NoLabelForm(RecordForm):
    """That things need no label."""

    day = None
    things = ThingsField()


class Millimetres(DecimalNumber):
    """A length in mm."""

    def __init__(self, label: str, **kwargs: Any) -> None:
        super().__init__(label=label, **kwargs)
        self.widget.attrs["class"] = "inp inp--num"


class LabelSheetForm(RecordForm):
    """A size of the garden's own, as it stands on its packet or as a ruler tells."""

    day = None
    title = Words(label="Name", max_length=60, required=True)
    roll = forms.BooleanField(label="A roll: one label after the other", required=False)
    label_width = Millimetres("Label, wide")
    label_height = Millimetres("Label, high")
    columns = WholeNumber(label="Columns", initial=3, min_value=1)
    rows = WholeNumber(label="Rows", initial=8, min_value=1)
    page_width = Millimetres("Page, wide", initial=210.0)
    page_height = Millimetres("Page, high", initial=297.0)
    left = Millimetres("Left of the first label", initial=0.0)
    top = Millimetres("Above the first label", initial=0.0)
    gap_x = Millimetres("Between columns", initial=0.0)
    gap_y = Millimetres("Between rows", initial=0.0)

    def __init__(self, *args: Any, own: LabelSheet | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("columns", "rows"):
            self.fields[name].widget.attrs["class"] = "inp inp--num"
            self.fields[name].error_messages["min_value"] = "At least 1."
        if own is not None:
            for name in ("title", "roll", "columns", "rows", *MEASURES):
                self.fields[name].initial = getattr(own, name)


class ShiftForm(RecordForm):
    """How far everything is moved on one sheet."""

    day = None
    right = Millimetres("To the right, mm", min_value=-MOST_SHIFT, max_value=MOST_SHIFT)
    down = Millimetres("Down, mm", min_value=-MOST_SHIFT, max_value=MOST_SHIFT)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in (self.fields["right"], self.fields["down"]):
            sentence = f"From −{MOST_SHIFT:g} to {MOST_SHIFT:g} mm."
            field.error_messages |= dict.fromkeys(("min_value", "max_value"), sentence)
            # The number pad of some phones has no minus sign.
            field.widget.attrs["inputmode"] = "text"


class AddressForm(RecordForm):
    """The address in the codes; empty follows how the garden is opened."""

    day = None
    address = Words(label="Address in the codes", max_length=80)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        more = {"inputmode": "url", "autocapitalize": "none", "spellcheck": "false"}
        self.fields["address"].widget.attrs |= {"class": "inp", **more}
