"""Forms of the house: people, passwords, the garden's settings, beds, a plant list."""

from __future__ import annotations

import zoneinfo
from typing import Any

from django import forms

from garden.forms.base import RecordForm, WholeNumber
from garden.forms.words import Chance, LongWords, Words, YearDay
from garden.models import Garden, Person
from garden.models.site import MOST_DOUBLE_REDUCTION, SPANS, YEARLY
from garden.records.people import check_password
from garden.verbs import Refused

MOST_BYTES = 2_000_000


def password_field(label: str, autocomplete: str, **kwargs: Any) -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, strip=False, max_length=400, widget=widget, **kwargs)


class PersonForm(RecordForm):
    """Somebody whom the owner lets in."""

    day = None
    name = Words(label="Name", max_length=60, required=True)
    role = forms.ChoiceField(
        label="What they do here",
        choices=Person.Role.choices,
        initial=Person.Role.HELPER,
        widget=forms.RadioSelect,
    )
    password = password_field(
        "Password", "new-password", help_text="Eight signs or more, and none of the common ones."
    )


class ChangePersonForm(PersonForm):
    """What somebody may do; a new password where one is wanted."""

    is_active = forms.BooleanField(label="May sign in", required=False)
    password = password_field(
        "New password", "new-password", required=False, help_text="Left empty, the old one holds."
    )


class PasswordForm(forms.Form):
    """One's own password."""

    old = password_field("Your password now", "current-password")
    password = password_field(
        "New password",
        "new-password",
        help_text="Eight signs or more, and none of the common ones.",
    )

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.person = person

    def clean_old(self) -> str:
        if not self.person.check_password(self.cleaned_data["old"]):
            raise forms.ValidationError("This is not your password.")
        return self.cleaned_data["old"]

    def clean_password(self) -> str:
        try:
            check_password(self.cleaned_data["password"], self.person)
        except Refused as refused:
            raise forms.ValidationError(str(refused)) from None
        return self.cleaned_data["password"]


class GardenForm(RecordForm):
    """The garden's name, place and calendar."""

    day = None
    name = Words(label="Name of the garden", max_length=60, required=True)
    hemisphere = forms.ChoiceField(
        label="Hemisphere",
        choices=[("N", "Northern"), ("S", "Southern")],
        widget=forms.RadioSelect,
        help_text="Changing it moves the yearly days by half a year, unless you change them too.",
    )
    time_zone = forms.ChoiceField(label="Time zone")
    inches = forms.BooleanField(label="Heights in inches instead of cm", required=False)
    pod_check_days = WholeNumber(label="Look at a pod after", min_value=1)
    pod_ripe_days = WholeNumber(label="Pods may crack open after", min_value=1)
    sow_on = YearDay(label="Sowing")
    count_from = YearDay(label="First count in spring")
    recount_days = WholeNumber(label="Count a pot again after", min_value=1)
    line_out_days = WholeNumber(label="Line out after coming up", min_value=1)
    bloom_from = YearDay(label="Bloom begins")
    bloom_days = WholeNumber(label="Bloom lasts", min_value=1)
    double_reduction = Chance(label="Double reduction", most=MOST_DOUBLE_REDUCTION)

    def __init__(self, *args: Any, garden: Garden, **kwargs: Any) -> None:
        names = ("name", "hemisphere", "time_zone", "inches", *SPANS, *YEARLY,
                 "double_reduction")  # fmt: skip
        standing = {name: getattr(garden, name) for name in names}
        super().__init__(*args, initial=standing, **kwargs)
        zones = sorted({*zoneinfo.available_timezones(), garden.time_zone})
        self.fields["time_zone"].choices = [(zone, zone.replace("_", " ")) for zone in zones]
        self.fields["time_zone"].error_messages["invalid_choice"] = "Choose a zone of the list."
        for name in SPANS:
            self.fields[name].widget.attrs["class"] = "inp inp--num"
            self.fields[name].error_messages["min_value"] = "Write a number of days from 1 to 400."


class BedForm(RecordForm):
    """A bed with its rows and positions."""

    day = None
    name = Words(label="Name", max_length=40, required=True)
    rows = WholeNumber(label="Rows", initial=1)
    positions = WholeNumber(label="Positions in a row", initial=40)
    note = Words(label="Note", max_length=200)


class ImportForm(RecordForm):
    """A plant list, pasted or as a file."""

    day = None
    text = LongWords(label="Paste the list", rows=8, strip=False)
    file = forms.FileField(
        label="or a CSV file",
        required=False,
        widget=forms.FileInput(
            attrs={"accept": ".csv,.tsv,.txt,text/csv,text/plain", "class": "inp"}
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].widget.attrs |= {"spellcheck": "false"}
        self.fields["file"].error_messages["empty"] = "This file is empty."

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        file = cleaned.pop("file", None)
        text = self._read(file) if file is not None else cleaned.get("text", "")
        text = text.lstrip("\r\n")
        cleaned["text"] = text
        if not self.errors and not text.strip():
            self.add_error("text", "Paste a list, or choose a file.")
        if len(text) > MOST_BYTES:
            self.add_error("text", "This list is longer than 2 MB. Take it in piece by piece.")
        return cleaned

    def _read(self, file: Any) -> str:
        if file.size > MOST_BYTES:
            self.add_error("file", "This file is larger than 2 MB. Take it in piece by piece.")
            return ""
        try:
            return decoded(file.read())
        except ValueError:
            self.add_error("file", "This is no text. Save the sheet as CSV and choose that file.")
            return ""


def decoded(content: bytes) -> str:
    """A spreadsheet's text: UTF-8 or UTF-16 with its mark, UTF-8, else Windows-1252.

    Raises
    ------
    ValueError
        When it is no text at all.
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = content.decode("utf-16")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = content.decode("cp1252")
    if "\x00" in text:
        raise ValueError("signs that no text holds")
    return text
