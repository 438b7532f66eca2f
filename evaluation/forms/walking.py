"""The form of a look-over: what is found at one position."""

from __future__ import annotations

from django import forms

from evaluation.models import Glance
from garden.forms.base import RecordForm, WholeNumber
from garden.forms.words import Words


class GlanceForm(RecordForm):
    """One tap: nothing, look again, gap or dead."""

    position = WholeNumber(min_value=1, widget=forms.HiddenInput)
    found = forms.ChoiceField(
        label="What you found",
        choices=Glance.Found.choices,
        error_messages={"required": "Say what you found."},
    )
    note = Words(label="Note on this seedling", max_length=200)
    backward = forms.BooleanField(required=False, widget=forms.HiddenInput)
    anew = forms.BooleanField(required=False, widget=forms.HiddenInput)
