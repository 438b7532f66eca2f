"""A photo in a form: cleaned when it comes, laid by while the rest of the form is mended."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from garden.forms.base import Day, RecordForm
from garden.forms.words import Words
from garden.models import Photo
from garden.models.photos import the_shelf
from garden.photos import CleanPhoto, PhotoRefused, clean, plausible_day

TOLD_DAY = re.compile(r"(\d{4})-(\d\d)-(\d\d)", re.ASCII)


@dataclass(frozen=True)
class SentPhoto:
    """What a form sent for a photo: files, the mark of one laid by, the day the phone told."""

    files: list[Any]
    kept: str = ""
    told_day: str = ""
    dropped: bool = False


class PhotoInput(forms.FileInput):
    """Chooses a photo or takes one; `_photo_field.html` shows it."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> SentPhoto:
        sent = files.getlist(name) if hasattr(files, "getlist") else [files.get(name)]
        return SentPhoto(
            [file for file in sent if file],
            str(data.get(f"{name}_kept", "")),
            str(data.get(f"{name}_taken", "")),
            bool(data.get(f"{name}_drop")),
        )

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        return name not in files and f"{name}_kept" not in data


class PhotoBound(forms.BoundField):
    """The field in a form that was sent."""

    @property
    def held(self) -> CleanPhoto | None:
        """The photo that need not be chosen again: the one just sent, else one laid by before."""
        if not self.form.is_bound:
            return None
        cleaned = getattr(self.form, "cleaned_data", {})
        if self.name in cleaned:
            return cleaned[self.name]
        return the_shelf().waiting(self.data.kept) if isinstance(self.data, SentPhoto) else None


class PhotoField(forms.Field):
    """Gives a `CleanPhoto`, or None where none was sent and none is needed.

    A photo that is refused says why at the field; an accepted one survives a refusal elsewhere.
    """

    widget = PhotoInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Photo")
        super().__init__(**kwargs)
        # No `capture`: the gallery stays within reach as well as the camera.
        accepted = "image/*,.heic,.heif"
        self.widget.attrs |= {"accept": accepted, "class": "inp", "data-photo": ""}
        self.error_messages["required"] = "Take a photo, or choose one."

    def get_bound_field(self, form: Any, field_name: str) -> PhotoBound:
        return PhotoBound(form, self, field_name)

    def clean(self, value: SentPhoto | None) -> CleanPhoto | None:
        sent = value if isinstance(value, SentPhoto) else SentPhoto([])
        if sent.files:
            return self._taken_in(sent)
        if sent.kept and not sent.dropped:
            if photo := the_shelf().waiting(sent.kept):
                return photo
            raise forms.ValidationError("This photo waited too long; choose it once more.")
        if self.required:
            raise forms.ValidationError(self.error_messages["required"], "required")
        return None

    def _taken_in(self, sent: SentPhoto) -> CleanPhoto:
        if len(sent.files) > 1:
            raise forms.ValidationError("One photo at a time.")
        file = sent.files[0]
        file.seek(0)
        try:
            photo = clean(file)
        except PhotoRefused as refused:
            raise forms.ValidationError(str(refused)) from None
        photo = photo.taken(told_day(sent.told_day))
        the_shelf().wait(photo)
        return photo


def told_day(text: str) -> date | None:
    """The day that the phone's page read off the file; None for what no camera can have told."""
    found = TOLD_DAY.fullmatch(text)
    return plausible_day(*map(int, found.groups()), timezone.localdate()) if found else None


class AddPhotoForm(RecordForm):
    """A photo for a plant, with a few words."""

    day = Day(
        label="Taken on",
        required=False,
        help_text="Empty: the day that stands in the photo.",
    )
    photo = PhotoField()
    caption = Words(label="What it shows", max_length=200)

    field_order = ("entry", "at", "photo", "caption", "day")


class CorrectPhotoForm(RecordForm):
    """What is said of a photo, to be corrected."""

    day = None
    caption = Words(label="What it shows", max_length=200)
    taken_on = Day(label="Taken on", required=False)
    reason = Words(label="Why it is corrected", max_length=200)

    def __init__(self, *args: Any, photo: Photo, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("caption", "taken_on"):
            self.fields[name].initial = getattr(photo, name)
