"""What is asked of the table of breeding values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django import forms

from garden.models import IrisClass, Plant

if TYPE_CHECKING:
    from evaluation.merit import Merit

SORTS = (("value", "best first"), ("reliability", "best known first"))
WHO = (("growing", "growing"), ("", "all"))
# Known by less than this is not known: its value is that of its parents or nought.
LEAST = 0.01


class WorthsForm(forms.Form):
    """Order and filters; nonsense is passed over."""

    sort = forms.ChoiceField(label="Order", required=False, choices=SORTS)
    who = forms.ChoiceField(label="Plants", required=False, choices=WHO)
    iris_class = forms.ChoiceField(label="Class", required=False)
    start = forms.IntegerField(required=False, min_value=0, max_value=10**6)

    def __init__(self, data: Any) -> None:
        if "who" not in data:
            data = data.copy()
            data["who"] = WHO[0][0]
        super().__init__(data, label_suffix="")
        classes = [(value, value.capitalize() if len(value) > 3 else value)
                   for value in IrisClass.values]  # fmt: skip
        self.fields["iris_class"].choices = [("", "all"), *classes]
        self.start = 0
        for name in ("sort", "who", "iris_class"):
            self.fields[name].widget.attrs["class"] = "inp"
        self.full_clean()
        self.start = self.cleaned_data.get("start") or 0

    @property
    def filters(self) -> list[forms.BoundField]:
        return [self[name] for name in ("sort", "who", "iris_class")]

    @property
    def sort_by(self) -> str:
        return self.cleaned_data.get("sort") or "value"

    def keys(self, merit: Merit) -> list[int]:
        """The plants asked for of which something is known. One query."""
        known = {key for key, worth in merit.worths.items() if worth.reliability >= LEAST}
        rows = Plant.live.all()
        if self.cleaned_data.get("who") == "growing":
            rows = rows.filter(status=Plant.Status.GROWING)
        if kind := self.cleaned_data.get("iris_class"):
            rows = rows.filter(iris_class=kind)
        return [key for key in rows.order_by().values_list("pk", flat=True) if key in known]

    def query(self, **other: Any) -> str:
        there = {name: self.cleaned_data.get(name, "") for name in ("sort", "who", "iris_class")}
        return "?" + urlencode({**there, **other})
