"""Forms of choosing among seedlings."""

from __future__ import annotations

from typing import Any

from django import forms

from breeding.forms import ReasonField
from evaluation.models import Seedling
from garden.forms.base import RecordForm, WholeNumber


class SeenField(forms.CharField):
    def __init__(self) -> None:
        super().__init__(
            label="What made you stop",
            required=False,
            max_length=400,
            widget=forms.Textarea(attrs={"rows": 2, "class": "inp"}),
        )


class SelectForm(RecordForm):
    """One seedling of a row gets its letter."""

    position = WholeNumber(label="Position", min_value=1)
    reason = SeenField()


class CorrectSeedlingForm(RecordForm):
    """Where a selected seedling stands and what was seen, filled with what stands there now."""

    position = WholeNumber(label="Position", min_value=1)
    seen = SeenField()
    reason = ReasonField("Why it is corrected", required=True)

    def __init__(self, *args: Any, seedling: Seedling, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["position"].initial = seedling.position
        self.fields["seen"].initial = seedling.reason
        self.fields["day"].label = "Selected on"
        self.fields["day"].initial = seedling.selected_on
        self.order_fields(["position", "seen", "day", "reason"])
