"""Forms on the way to a name: measures, a proposed name, dropping and giving one."""

from __future__ import annotations

from typing import Any

from django import forms

from evaluation.records.names import LONGEST_NAME
from garden.forms.base import RecordForm, WholeNumber
from garden.forms.words import LongWords, Words


class MeasureForm(RecordForm):
    """What was measured of a plant on a day."""

    height_cm = WholeNumber(
        label="Height of the stalk in cm", required=False, min_value=1, max_value=250
    )
    flower_height_mm = WholeNumber(
        label="Height of the flower in mm", required=False, min_value=5, max_value=300,
        help_text="From the tip of the falls to the top of the standards, as it stands.",
    )  # fmt: skip
    flower_width_mm = WholeNumber(
        label="Width of the flower in mm", required=False, min_value=5, max_value=300
    )
    branches = WholeNumber(
        label="Branches and spurs", required=False, min_value=0, max_value=12,
        help_text="Without the terminal.",
    )  # fmt: skip
    buds = WholeNumber(label="Buds", required=False, min_value=0, max_value=60)


class ProposeForm(RecordForm):
    """A name for a plant."""

    text = Words(label="Name", required=True, max_length=LONGEST_NAME)
    note = Words(label="Where it comes from", max_length=400)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].widget.attrs |= {"autocapitalize": "words", "spellcheck": "false"}


class SettleForm(RecordForm):
    """A proposed name dropped or given, and why."""

    reason = LongWords(label="Why", rows=2, max_length=400)

    field_order = ("reason", "day")


class TryForm(forms.Form):
    """A name to be looked at; nothing is recorded."""

    text = forms.CharField(label="Name", required=False, max_length=400)
