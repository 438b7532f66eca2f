"""The fields of one criterion in the form of a rubric."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils.text import slugify

from evaluation.models import Criterion
from evaluation.records.rubrics import MOST_WEIGHT, fields_of
from garden.forms.base import DecimalNumber

Scale = Criterion.Scale
LONGEST_KEY = 30
LONGEST_CHOICE = 40
FURTHEST = 100_000
CHOICES_WORDS = (
    "Write each choice on a line of its own: the word, =, and its percent of full marks."
)


class Number(DecimalNumber):
    """A short number of a rubric, which says in our own words how far it goes."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget.attrs["class"] = "inp"
        for check in self.validators:
            if isinstance(check, MinValueValidator):
                check.message = f"Write a number from {check.limit_value:g} on."
            if isinstance(check, MaxValueValidator):
                check.message = f"Write a number up to {check.limit_value:g}."

    def to_python(self, value: Any) -> float | None:
        text = str(value if value is not None else "").strip()
        if "_" in text or len(text) > 12:
            raise forms.ValidationError(self.error_messages["invalid"])
        return super().to_python(text)


class ChoicesField(forms.CharField):
    """Words to choose from, one a line, each with its percent of full marks."""

    widget = forms.Textarea

    def to_python(self, value: Any) -> list[list[Any]]:
        lines = [line.strip() for line in super().to_python(value).splitlines() if line.strip()]
        return [self._choice(line) for line in lines]

    def _choice(self, line: str) -> list[Any]:
        word, sign, share = line.rpartition("=")
        word = word.strip()
        try:
            percent = float(share.strip().removesuffix("%").replace(",", "."))
        except ValueError:
            percent = -1.0
        if not (sign and word and len(word) <= LONGEST_CHOICE and 0 <= percent <= 100):
            raise forms.ValidationError(CHOICES_WORDS)
        return [word, round(percent / 100, 6)]


def number_words(value: float) -> str:
    """A number as it is typed: '12', '0.35'."""
    return f"{value:.0f}" if float(value).is_integer() else repr(float(value))


def choices_words(choices: Iterable[tuple[str, float]]) -> str:
    return "\n".join(f"{word} = {round(100 * share, 4):g}" for word, share in choices)


def text_field(label: str, most: int, **more: Any) -> forms.CharField:
    field = forms.CharField(label=label, max_length=most, **more)
    field.widget.attrs["class"] = "inp"
    return field


def select_field(label: str, choices: Any, **more: Any) -> forms.ChoiceField:
    select = forms.Select(attrs={"class": "inp"})
    return forms.ChoiceField(label=label, choices=choices, widget=select, **more)


def criterion_fields(title: str) -> dict[str, forms.Field]:
    """The fields of one criterion, by the names of the model's."""
    lines = forms.Textarea(attrs={"rows": 2})
    choices = ChoicesField(
        label="Choices", required=False, max_length=600, help_text="One a line: Never seen = 100",
        widget=forms.Textarea(attrs={"rows": 3, "class": "inp"}),
    )  # fmt: skip
    ends = {"required": False, "min_value": -FURTHEST, "max_value": FURTHEST}
    return {
        "title": text_field("Name", 60),
        "weight": Number(label=title or "Weight", min_value=0, max_value=MOST_WEIGHT),
        "group": select_field("Group", Criterion.Group.choices),
        "scale": select_field("Scale", Scale.choices),
        "full_words": text_field("Full marks in words", 300, widget=lines),
        "least": Number(label="Nothing at", **ends),
        "full": Number(label="Full at", **ends),
        "unit": text_field("Unit", 12, required=False),
        "choices": choices,
        "counted": select_field(
            "Counted on the stalk", [("", "no"), *Criterion.Counted.choices], required=False
        ),
        "gone": forms.BooleanField(label="Leave it out", required=False),
    }


def start_of(criterion: Criterion) -> dict[str, Any]:
    """What the fields of a criterion begin with."""
    told = fields_of(criterion)
    numbers = {name: number_words(told[name]) for name in ("weight", "least", "full")}
    return {**told, **numbers, "choices": choices_words(told["choices"])}


NEW_START = {"group": "flower", "scale": "points", "weight": "5", "least": "0", "full": "5"}


def key_for(title: str, taken: set[str]) -> str:
    """A key made of a title that none of `taken` is: 'haft_marks', 'haft_marks_2'."""
    stem = slugify(title).replace("-", "_")[:LONGEST_KEY] or "criterion"
    key, at = stem, 2
    while key in taken:
        key, at = f"{stem[: LONGEST_KEY - 3]}_{at}", at + 1
    return key
