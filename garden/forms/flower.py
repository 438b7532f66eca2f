"""The flower's part of the plant form: pattern and colours are touched, the words follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS, Colour, Recipe, describe
from garden.forms.base import RecordForm
from garden.forms.words import LongWords, Words
from garden.models import Plant
from garden.models.stock import COLOUR_PARTS

NOT_RECORDED = "not recorded"
PART_TITLES = {
    "standards": "Standards",
    "falls": "Falls",
    "styles": "Style arms",
    "beard": "Beard",
    "haft": "Haft marks",
    "rim": "Rim or stitching",
}


class TouchField(forms.ChoiceField):
    """One word of a list, chosen by touching it."""

    def __init__(self, label: str, words: Mapping[str, Any]) -> None:
        choices = [("", NOT_RECORDED), *((word, word) for word in words)]
        super().__init__(label=label, choices=choices, required=False, widget=forms.RadioSelect)
        self.error_messages["invalid_choice"] = "Choose one of these words."


@dataclass(frozen=True)
class Part:
    """A part of the flower as the form shows it: its swatches and the word chosen now."""

    name: str
    title: str
    chosen: Colour | None
    swatches: list[tuple[Any, Colour | None]]
    errors: list[str]


class FlowerForm(RecordForm):
    """Pattern, colours and description. `drawn` is the sentence last written from the colours."""

    day = None
    pattern = TouchField("Pattern", PATTERNS)
    standards = TouchField(PART_TITLES["standards"], COLOURS)
    falls = TouchField(PART_TITLES["falls"], COLOURS)
    styles = TouchField(PART_TITLES["styles"], COLOURS)
    beard = TouchField(PART_TITLES["beard"], BEARD_COLOURS)
    haft = TouchField(PART_TITLES["haft"], COLOURS)
    rim = TouchField(PART_TITLES["rim"], COLOURS)
    description = LongWords(
        label="Description",
        max_length=600,
        help_text="Written from the colours as long as you write nothing else here.",
    )
    drawn = Words(widget=forms.HiddenInput)

    def words(self) -> dict[str, str]:
        """Pattern and colours as they stand in the form, unknown words left out."""
        standing = {name: str(self[name].value() or "") for name in ("pattern", *COLOUR_PARTS)}
        return {
            name: word if word in dict(self.fields[name].choices) else ""
            for name, word in standing.items()
        }

    @property
    def sketch(self) -> Plant:
        """An unsaved plant with the colours of the form, to draw."""
        return Plant(**self.words())

    @property
    def patterns(self) -> list[tuple[Any, str]]:
        """Each pattern's radio with the meaning of the term."""
        meanings = {term: pattern.meaning for term, pattern in PATTERNS.items()}
        return [(radio, meanings.get(radio.data["value"], "")) for radio in self["pattern"]]

    @property
    def parts(self) -> list[Part]:
        """The coloured parts of the flower with their swatches."""
        words = self.words()
        return [self._part(name, words[name]) for name in COLOUR_PARTS]

    def _part(self, name: str, word: str) -> Part:
        box = BEARD_COLOURS if name == "beard" else COLOURS
        swatches = [(radio, box.get(radio.data["value"])) for radio in self[name]]
        errors = self.errors.get(name, []) if self.is_bound else []
        return Part(name, PART_TITLES[name], box.get(word), swatches, errors)

    def rewritten(self) -> FlowerForm:
        """A form as it stands after a touch: somebody's own words stay, others are renewed."""
        words, drawn = self.words(), sentence(self.words())
        typed = str(self["description"].value() or "").strip()
        own = typed not in ("", str(self["drawn"].value() or "").strip())
        return FlowerForm(initial={**words, "drawn": drawn, "description": typed if own else drawn})

    def values(self) -> dict[str, Any]:
        values = super().values()
        drawn = values.pop("drawn", "")
        if values.get("description") == drawn:
            values["description"] = ""
        return values


def sentence(words: Mapping[str, str]) -> str:
    """The description that these colours give; '' when neither standards nor falls are known."""
    if not (words["standards"] or words["falls"]):
        return ""
    return describe(Recipe.from_mapping(words))
