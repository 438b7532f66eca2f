"""The filters and the order of the table of plants."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.db.models import Case, F, IntegerField, Q, QuerySet, Value, When
from django.db.models.functions import Coalesce

from garden.finding import MOST_LETTERS, find_keys, names
from garden.flower import PATTERNS
from garden.models import IrisClass, Plant, fold
from garden.names import is_key

MOST_NEAR = 50
# Columns that the table can be ordered by; numbers without a value stand last both ways.
SORTS = ("name", "class", "bloom", "height", "year")
LAST = 100_000
# Words that fit a narrow list; the table writes them out.
SHORT_STATUS = {
    Plant.Status.GROWING: "growing",
    Plant.Status.WANTED: "wanted",
    Plant.Status.GIVEN: "given away",
    Plant.Status.LOST: "lost",
    Plant.Status.ABSENT: "pedigree only",
}


def _rank(field: str, values: list[str]) -> Case:
    """The place of a coded value in its own order: dwarfs before talls, early before late."""
    whens = [When(**{field: value}, then=Value(at)) for at, value in enumerate(values, 1)]
    return Case(*whens, output_field=IntegerField())


KEYS = {
    "name": Value(0),
    "class": _rank("iris_class", IrisClass.values),
    "bloom": _rank("season", Plant.BloomSeason.values),
    "height": F("height_cm"),
    "year": F("year"),
}


class StockForm(forms.Form):
    """What is asked of the table; nonsense is passed over."""

    name = forms.CharField(label="Name", required=False)
    iris_class = forms.ChoiceField(label="Class", required=False)
    pattern = forms.ChoiceField(label="Pattern", required=False)
    kind = forms.ChoiceField(label="Kind", required=False)
    status = forms.ChoiceField(label="Status", required=False)
    sort = forms.ChoiceField(
        required=False,
        choices=[(f"{sign}{name}", name) for name in SORTS for sign in ("", "-")],
        widget=forms.HiddenInput,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        offered = {
            "iris_class": [(value, value.capitalize() if len(value) > 3 else value)
                           for value in IrisClass.values],
            "pattern": [(term, term) for term in PATTERNS],
            "kind": [(kind, kind) for kind in Plant.Kind.values],
            "status": list(SHORT_STATUS.items()),
        }  # fmt: skip
        for field, choices in offered.items():
            self.fields[field].choices = [("", "all"), *choices]
        for field in self.visible_fields():
            field.field.widget.attrs["class"] = "inp"
        self.fields["name"].widget.attrs |= {
            "autocomplete": "off",
            "spellcheck": "false",
            "size": 12,
        }
        self.full_clean()

    def chosen(self) -> dict[str, str]:
        """The filters that are set and mean something."""
        return {name: value for name, value in self.cleaned_data.items() if value}

    @property
    def order(self) -> tuple[str, bool]:
        """The column and whether it runs backwards."""
        sort = self.cleaned_data.get("sort") or "name"
        return sort.removeprefix("-"), sort.startswith("-")

    def query(self, **other: Any) -> str:
        """The address's question for the same filters with something else beside them."""
        return "?" + urlencode({**self.chosen(), **other})

    def rows(self, version: int) -> QuerySet:
        """The plants asked for, in order; each with its `place` in that order."""
        asked = self.chosen()
        name, _ = asked.pop("name", ""), asked.pop("sort", "")
        rows = Plant.live.filter(**asked)
        if name:
            rows = rows.filter(_called(name, version))
        column, backwards = self.order
        rows = rows.annotate(place=Coalesce(KEYS[column], Value(-1 if backwards else LAST)))
        sign = "-" if backwards else ""
        return rows.order_by(f"{sign}place", f"{sign}folded")

    def behind(self, rows: QuerySet, key: str) -> QuerySet:
        """The rows that follow the plant of that key; all of them when there is none."""
        if not is_key(key):
            return rows
        last = rows.model.live.filter(pk=int(key))
        last = last.annotate(place=rows.query.annotations["place"]).first()
        if last is None:
            return rows
        way = "lt" if self.order[1] else "gt"
        same = Q(place=last.place, **{f"folded__{way}": last.folded})
        return rows.filter(Q(**{f"place__{way}": last.place}) | same)


def _called(name: str, version: int) -> Q:
    """Plants with these letters in their name or number; else those with a name near to it."""
    asked = fold(name)[:MOST_LETTERS]
    held = names(version)
    numbered = Q(number__icontains=name[:MOST_LETTERS])
    if asked and any(asked in known for known in held.folded):
        return Q(folded__contains=asked) | numbered
    return Q(pk__in=find_keys(name, held, MOST_NEAR)) | numbered
