"""What every recording form carries, and how a form becomes one act of a verb."""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils import timezone

from garden.clock import true_moment
from garden.models import JournalLine
from garden.phone import aware, phone_clock
from garden.verbs import OTHER_WORDS, Act, Kept, Refused, kept_before


class WholeNumber(forms.IntegerField):
    """A whole number typed on a number pad; spaces and a thousands' apostrophe do not matter."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": "numeric", "autocomplete": "off"}
        self.error_messages["invalid"] = "Write a whole number in digits."
        self.error_messages["required"] = "Write a number."

    def to_python(self, value: Any) -> int | None:
        text = str(value if value is not None else "").strip().replace("'", "")
        if "_" in text or len(text) > 12:
            raise forms.ValidationError(self.error_messages["invalid"])
        return super().to_python(text)


class DecimalNumber(forms.FloatField):
    """A number typed on a number pad; a comma is a point."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        self.error_messages["invalid"] = "Write a number."
        self.error_messages["required"] = "Write a number."

    def to_python(self, value: Any) -> float | None:
        return super().to_python(str(value if value is not None else "").strip().replace(",", "."))


class Day(forms.DateField):
    """A day, typed or taken from the phone's own calendar."""

    widget = forms.DateInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        self.error_messages["invalid"] = "Write the day as year-month-day, for example 2026-06-03."


class RecordForm(forms.Form):
    """A form that records something: its entry, the phone's clock, and the day meant."""

    entry = forms.UUIDField(widget=forms.HiddenInput, required=False)
    at = forms.CharField(widget=forms.HiddenInput, required=False)
    day = Day(label="Another day", required=False)

    # The browser's own bubbles speak its language and hide ours.
    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["entry"].initial = uuid.uuid4
        for name, field in self.fields.items():
            if "invalid_choice" in field.error_messages:
                field.error_messages["invalid_choice"] = "Choose one of these."
            if isinstance(field.widget, forms.TextInput | forms.Textarea):
                field.widget.attrs.setdefault("autocomplete", "off")
            if field.help_text:
                field.widget.attrs["aria-describedby"] = f"hint_{name}"

    def happened_at(
        self, now: datetime, phone_now: datetime | None = None, skew: timedelta | None = None
    ) -> datetime:
        """The moment when the person tapped, by the phone's clock put right; else now."""
        return true_moment(aware(self.cleaned_data.get("at") or ""), now, phone_now, skew)

    def values(self) -> dict[str, Any]:
        """What the verb takes from this form."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name not in ("entry", "at") and not name.startswith("_")
        }

    def start_anew(self) -> None:
        """Give the form another entry, so that what stands in it can be sent as something new."""
        self.data = self.data.copy()
        self.data["entry"] = str(uuid.uuid4())

    def refuse(self, refused: Refused) -> None:
        """Show a verb's sentences at the fields they belong to."""
        for name, sentence in refused.messages.items():
            self.add_error(name if name in self.fields else None, sentence)


def words_sent(request: HttpRequest) -> str:
    """SHA-256 of a form word for word, without its token and the time of the tap."""
    fields = {
        name: request.POST.getlist(name)
        for name in request.POST
        if name not in ("csrfmiddlewaretoken", "at")
    }
    files = {name: [_marked(file) for file in sent] for name, sent in request.FILES.lists()}
    text = json.dumps([request.path, fields, files], sort_keys=True)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _marked(file: Any) -> list[str]:
    """A file's name and SHA-256: phones call every photo the same."""
    file.seek(0)
    mark = hashlib.file_digest(file, "sha256").hexdigest()
    file.seek(0)
    return [file.name, mark]


def line_of_entry(text: str) -> JournalLine | None:
    """The line that an entry was kept as; None for a new one and for nonsense."""
    try:
        entry = uuid.UUID(text)
    except ValueError:
        return None
    return JournalLine.objects.filter(entry=entry).first()


def keep(
    request: HttpRequest, form: RecordForm, verb: Callable[..., Kept], **values: Any
) -> Kept | None:
    """Do what a posted form says; None when it cannot be, with the reasons in the form."""
    # What became of it stands on the request too, for a phone that asks for no page.
    request.kept = _kept(request, form, verb, **values)
    request.refused = None if request.kept else form
    return request.kept


def _kept(
    request: HttpRequest, form: RecordForm, verb: Callable[..., Kept], **values: Any
) -> Kept | None:
    sent = words_sent(request)
    if line := line_of_entry(request.POST.get("entry", "")):
        # Known before it is read again: what it chose may be no choice any more.
        if (line.person_id, line.sent) == (request.user.pk, sent):
            return kept_before(line)
        request.kept_otherwise = True
        form.is_valid()
        form.start_anew()
        form.add_error(None, OTHER_WORDS)
        return None
    if not form.is_valid():
        return None
    now = timezone.now()
    try:
        act = Act(
            person=request.user,
            happened_at=form.happened_at(now, *phone_clock(request)),
            received_at=now,
            device=request.device,
            entry=form.cleaned_data.get("entry") or uuid.uuid4(),
            garden=request.garden,
            sent=sent,
        )
        return verb(act, **values, **form.values())
    except Refused as refused:
        form.refuse(refused)
        return None
