"""The form of a rubric: every weight, and the words and scale of each criterion."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django import forms

from evaluation.forms.criteria import (
    NEW_START,
    criterion_fields,
    key_for,
    select_field,
    start_of,
    text_field,
)
from evaluation.models import Criterion, Rubric
from evaluation.records.rubrics import FIELDS, MOST_CRITERIA, MOST_WEIGHT
from garden.forms.base import RecordForm

Scale = Criterion.Scale
# What a new criterion is called in the form until it has a key.
NEW = re.compile(r"title_(new\d{1,2})\Z")
MOST_CHOICES = 12


class Part:
    """The fields of one criterion in the form."""

    def __init__(self, form: RubricForm, slot: str, new: bool) -> None:
        self.form, self.slot, self.new = form, slot, new

    def __getitem__(self, name: str) -> forms.BoundField:
        return self.form[f"{name}_{self.slot}"]

    @property
    def open(self) -> bool:
        """Whether its words are shown at once: it is new, or something is wrong with them."""
        names = set(criterion_fields("")) - {"weight"}
        return self.new or bool({f"{name}_{self.slot}" for name in names} & set(self.form.errors))

    @property
    def under(self) -> str:
        """The group it was under when the page was made."""
        start = self.form.start.get(self.slot, NEW_START)["group"]
        return str(start)


class RubricForm(RecordForm):
    """The next version of a rubric: weights, words, scales, and what is new."""

    reason = text_field("Why", 400, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(
        self, *args: Any, criteria: Iterable[Criterion], new: str = "", **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["day"]
        self.fields["reason"].error_messages["required"] = "Write why it is changed."
        self.criteria = list(criteria)
        self.start = {each.key: start_of(each) for each in self.criteria}
        titles = {each.key: each.title for each in self.criteria}
        slots = [*titles, *self._new_slots(new)]
        for slot in slots:
            self._add(slot, titles.get(slot, ""))
        self.parts = [Part(self, slot, slot not in titles) for slot in slots]

    def _new_slots(self, new: str) -> list[str]:
        sent = [found[1] for name in self.data if (found := NEW.match(name))]
        asked = [f"new{new}"] if new.isascii() and new.isdigit() and len(new) < 3 else []
        slots = dict.fromkeys([*sent, *asked])
        return [slot for slot in slots if slot not in self.start][:MOST_CRITERIA]

    def _add(self, slot: str, title: str) -> None:
        start = self.start.get(slot, NEW_START)
        for name, field in criterion_fields(title).items():
            field.initial = start.get(name, "")
            if "invalid_choice" in field.error_messages:
                field.error_messages["invalid_choice"] = "Choose one of these."
            if field.help_text:
                field.widget.attrs["aria-describedby"] = f"hint_{name}_{slot}"
            self.fields[f"{name}_{slot}"] = field

    @property
    def next_new(self) -> int:
        """The number of the next new criterion."""
        taken = [int(part.slot.removeprefix("new")) for part in self.parts if part.new]
        return max(taken, default=0) + 1

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        for part in self.parts:
            if told.get(f"gone_{part.slot}"):
                # What is left out need not be right.
                for name in criterion_fields(""):
                    self.errors.pop(f"{name}_{part.slot}", None)
            else:
                self._check(part, told)
        self._check_sum([part.slot for part in self.parts if not told.get(f"gone_{part.slot}")])
        return told

    def _check_sum(self, slots: list[str]) -> None:
        """Something is left, and it weighs something."""
        weights = [self.cleaned_data.get(f"weight_{slot}") for slot in slots]
        if not slots and self.parts:
            first = f"gone_{self.parts[0].slot}"
            self.add_error(first, "Leave at least one criterion.")
            # An error takes the tick out of what was read; the sums go by it.
            self.cleaned_data[first] = True
        elif slots and None not in weights and not 0 < sum(weights) <= MOST_WEIGHT:
            self.add_error(
                f"weight_{slots[0]}",
                f"All weights together are more than 0 and at most {MOST_WEIGHT}.",
            )

    def _check(self, part: Part, told: dict[str, Any]) -> None:
        """What one scale needs, said at the field."""
        value = {name: told.get(f"{name}_{part.slot}") for name in criterion_fields("")}
        if value["scale"] == Scale.CHOICE:
            words = [word.casefold() for word, _ in value["choices"] or ()]
            if f"choices_{part.slot}" in self.errors:
                return
            if not 2 <= len(words) <= MOST_CHOICES:
                self.add_error(
                    f"choices_{part.slot}", f"Write from 2 to {MOST_CHOICES} choices, one a line."
                )
            elif len(set(words)) < len(words):
                self.add_error(f"choices_{part.slot}", "One word stands twice among the choices.")
        elif value["scale"] and value["scale"] != Scale.YES_NO:
            for name in ("least", "full"):
                if value[name] is None and f"{name}_{part.slot}" not in self.errors:
                    self.add_error(f"{name}_{part.slot}", "Write a number.")
            if value["least"] is not None and value["least"] == value["full"]:
                self.add_error(f"full_{part.slot}", "Full marks need another value than none.")
        if value["counted"] and value["scale"] and value["scale"] != Scale.COUNT:
            self.add_error(
                f"counted_{part.slot}", "Only a count is taken from the stalk: choose that scale."
            )

    def told_criteria(self) -> list[dict[str, Any]]:
        """The criteria as the verbs take them."""
        taken, found = set(self.start), []
        for part in self.parts:
            value = {name: self.cleaned_data.get(f"{name}_{part.slot}") for name in FIELDS}
            if self.cleaned_data.get(f"gone_{part.slot}"):
                continue
            value["key"] = part.slot if not part.new else key_for(value["title"], taken)
            taken.add(value["key"])
            before = self.start.get(part.slot, {})
            # What its scale does not use stays as it was.
            if value["scale"] != Scale.CHOICE:
                value["choices"] = value["choices"] or []
            for name, else_ in (("least", 0.0), ("full", 1.0)):
                if value[name] is None:
                    value[name] = float(before.get(name) or else_)
            if value["least"] == value["full"]:
                value["least"], value["full"] = 0.0, 1.0
            found.append(value)
        return found

    def weights(self) -> dict[str, float]:
        """By key what the criteria that stood before would weigh; 0 when left out."""
        told = self.cleaned_data
        return {
            part.slot: 0.0
            if told.get(f"gone_{part.slot}")
            else float(told.get(f"weight_{part.slot}") or 0)
            for part in self.parts
            if not part.new
        }

    def by_group(self) -> list[tuple[str, float]]:
        """(group, weight) of all criteria that are not left out; what cannot be read is 0."""
        told = self.cleaned_data
        return [
            (told.get(f"group_{part.slot}") or part.under,
             float(told.get(f"weight_{part.slot}") or 0))
            for part in self.parts
            if not told.get(f"gone_{part.slot}")
        ]  # fmt: skip

    def values(self) -> dict[str, Any]:
        return {"reason": self.cleaned_data["reason"], "criteria": self.told_criteria()}


class NewRubricForm(RubricForm):
    """A rubric of its own name, begun as a copy of another."""

    name = text_field("Name", 60)
    purpose = select_field("For", Rubric.Purpose.choices)
    source = text_field(
        "Source", 300, required=False, help_text="Where the weights come from, if not the garden.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["reason"]

    def values(self) -> dict[str, Any]:
        told = {name: self.cleaned_data[name] for name in ("name", "purpose", "source")}
        return {**told, "criteria": self.told_criteria()}
