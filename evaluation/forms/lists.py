"""Forms of the lists for the spade."""

from __future__ import annotations

from typing import Any

from django import forms

from evaluation.spans import read_spans
from garden.forms.base import RecordForm
from garden.verbs import Refused


class PositionsField(forms.CharField):
    """Positions as the spade reads them: '1–14, 16'."""

    widget = forms.Textarea

    def __init__(self) -> None:
        super().__init__(
            label="Positions dug",
            max_length=4000,
            widget=forms.Textarea(attrs={"rows": 2, "class": "inp"}),
            error_messages={"required": "Write the positions that were dug."},
        )

    def clean(self, value: Any) -> list[int]:
        text = super().clean(value)
        try:
            return read_spans(text)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class ClearOutForm(RecordForm):
    """What was dug out of one row."""

    positions = PositionsField()
    reason = forms.CharField(
        label="Why", required=False, max_length=200, widget=forms.TextInput(attrs={"class": "inp"})
    )

    def refuse(self, refused: Refused) -> None:
        """What the verb says of a position or of the row is said at the positions."""
        for name, sentence in refused.messages.items():
            self.add_error(name if name in self.fields else "positions", sentence)
