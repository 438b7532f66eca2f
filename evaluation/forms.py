"""Forms of choosing among seedlings."""

from __future__ import annotations

from django import forms

from garden.forms.base import RecordForm, WholeNumber


class SelectForm(RecordForm):
    """One seedling of a row gets its letter."""

    position = WholeNumber(label="Position", min_value=1)
    reason = forms.CharField(
        label="What made you stop",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2, "class": "inp"}),
    )
