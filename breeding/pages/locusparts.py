"""One type of a locus in its form: its copies, its colours, the looks that show it for certain."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from django import forms

from breeding.pages.expected import Look
from breeding.pages.locusfields import Least, SignsField, WordField, signs_words
from breeding.pages.locuswords import flower_of

if TYPE_CHECKING:
    from breeding.pages.lociforms import LocusForm

# What a new type is called in the form until it has a key.
NEW = re.compile(r"name_(new\d{1,2})\Z")
ROWS = (1, 2, 3, 4)
SHOWN_ROWS = 2
PAINTS = {
    "ground": "Ground", "pigment": "Pigment", "pattern": "Pattern",
    "standards": "Standards", "falls": "Falls", "rim": "Rim", "haft": "Haft",
    "styles": "Style arms", "beard": "Beard",
}  # fmt: skip
NAMES = (
    "name", "place", *(f"{what}{row}" for row in ROWS for what in ("allele", "least")),
    *(f"paint_{field}" for field in PAINTS), "signs", "hides", "gone",
)  # fmt: skip
SIGNS_HINT = (
    "One look a line: a part of the flower, a colon, and the words of which one must stand in the "
    "record; with “not” those that must not; a semicolon before the next part. As in: falls: "
    "violet, blue; beard: not white. If none is written, only what somebody notes counts."
)
HIDES_HINT = "As a white flower hides whether it would be a plicata. Symbols, as in V, I."
# What stands behind the two folds of a type.
MORE = ("place", *(f"{what}{row}" for row in (2, 3, 4) for what in ("allele", "least")),
        "signs", "hides", "gone")  # fmt: skip
# Which words of a sentence belong to which field of a type.
FAULTS = (
    ("read from", "signs"), ("sign of", "signs"), ("cannot hide", "hides"), ("key of its", "name"),
    ("name of its", "name"), ("keep that type", "gone"), ("types of flowers", "gone"),
    ("copies", "allele1"), ("asks for", "allele1"), ("never show", "allele1"),
)  # fmt: skip
LOCUS_FAULTS = (("different alleles", "alleles"), ("cannot be counted", "counted"),
                ("needs a symbol", "symbol"), ("of at most", "name"))  # fmt: skip


def start_of(told: Mapping[str, Any], place: int) -> dict[str, Any]:
    """What the fields of a type begin with."""
    start = {
        "name": told["name"],
        "place": str(place),
        "signs": signs_words(told.get("signs", ())),
        "hides": ", ".join(told.get("hides", ())),
    }
    for row, (allele, least) in zip(ROWS, told.get("needs", {}).items(), strict=False):
        start |= {f"allele{row}": allele, f"least{row}": str(least)}
    return start | {f"paint_{field}": word for field, word in told.get("paint", {}).items()}


def part_fields(start: Mapping[str, Any]) -> dict[str, forms.Field]:
    """The fields of one type, with what they begin with."""
    signs = SignsField(label="Recorded looks that show it for certain", required=False,
                       max_length=1000, widget=forms.Textarea(attrs={"rows": 3}),
                       help_text=SIGNS_HINT)  # fmt: skip
    fields: dict[str, forms.Field] = {
        "name": forms.CharField(label="What its flowers are called", max_length=60),
        "place": Least("Which type it is, in order", most=12),
    }
    for row in ROWS:
        if row <= SHOWN_ROWS or f"allele{row}" in start:
            label = "And the allele" if row > 1 else "Has the allele"
            fields[f"allele{row}"] = forms.CharField(label=label, required=False, max_length=12)
            fields[f"least{row}"] = Least("Least copies")
    for field, label in PAINTS.items():
        fields[f"paint_{field}"] = WordField(field, label)
    fields["signs"] = signs
    fields["hides"] = forms.CharField(
        label="Loci of which such a flower shows nothing",
        required=False,
        max_length=60,
        help_text=HIDES_HINT,
    )
    fields["gone"] = forms.BooleanField(label="Leave it out", required=False)
    for name, field in fields.items():
        field.initial = start.get(name, "")
        if name != "gone":
            field.widget.attrs |= {"class": "inp", "autocomplete": "off"}
    return fields


class Part:
    """The fields of one type in the form."""

    def __init__(self, form: LocusForm, slot: str, new: bool) -> None:
        self.form, self.slot, self.new = form, slot, new

    def __getitem__(self, name: str) -> forms.BoundField:
        return self.form[f"{name}_{self.slot}"]

    @property
    def title(self) -> str:
        return str(self["name"].value() or "") or "a new type"

    @property
    def open(self) -> bool:
        """Whether everything is shown at once: it is new, or something is wrong with it."""
        names = {f"{name}_{self.slot}" for name in NAMES}
        return self.new or bool(names & set(self.form.errors))

    def wrong(self, names: Sequence[str]) -> bool:
        """Whether something is wrong with one of these fields."""
        return any(f"{name}_{self.slot}" in self.form.errors for name in names)

    @property
    def flower_open(self) -> bool:
        return self.wrong([f"paint_{field}" for field in PAINTS])

    @property
    def more_open(self) -> bool:
        return self.wrong(MORE)

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"allele{row}"], self[f"least{row}"]) for row in ROWS
                if f"allele{row}_{self.slot}" in self.form.fields]  # fmt: skip

    @property
    def paints(self) -> list[forms.BoundField]:
        return [self[f"paint_{field}"] for field in PAINTS]

    def _told(self, name: str) -> Any:
        return self.form.cleaned_data.get(f"{name}_{self.slot}")

    @property
    def place(self) -> int:
        return self._told("place") or len(self.form.parts) + 1

    def needs(self) -> dict[str, int]:
        """The least copies by allele."""
        rows = [(self._told(f"allele{row}"), self._told(f"least{row}")) for row in ROWS]
        return {allele: least or 1 for allele, least in rows if allele}

    def hides(self) -> list[str]:
        return (self._told("hides") or "").replace(",", " ").split()

    def paint(self) -> dict[str, str]:
        told = {field: self._told(f"paint_{field}") for field in PAINTS}
        return {field: word for field, word in told.items() if word}

    @property
    def sketch(self) -> dict[str, str]:
        """What stands in the form of its colours, to draw."""
        if self.form.is_bound:
            self.form.is_valid()
            return self.paint()
        start = self.form.start.get(self.slot, {})
        return {field: start[f"paint_{field}"] for field in PAINTS if start.get(f"paint_{field}")}

    @property
    def look(self) -> Look:
        return flower_of(self.sketch, self.form.on_ground)

    def told(self) -> dict[str, Any]:
        """The type in plain words, without its key."""
        return {
            "name": " ".join((self._told("name") or "").split()),
            "needs": self.needs(),
            "paint": self.paint(),
            "signs": self._told("signs") or [],
            "hides": self.hides(),
        }

    def check(self, known: Sequence[str]) -> None:
        """What is wrong with this type alone, said at its fields."""
        seen: set[str] = set()
        for row in ROWS:
            allele, least = self._told(f"allele{row}"), self._told(f"least{row}")
            alleles = self.form.cleaned_data.get("alleles")
            if least and not allele and f"allele{row}_{self.slot}" not in self.form.errors:
                self._wrong(f"allele{row}", "Write of which allele.")
            elif allele and allele in seen:
                self._wrong(f"allele{row}", f"{allele} stands twice.")
            elif allele and alleles and allele not in alleles:
                self._wrong(f"allele{row}", f"The alleles are {', '.join(alleles)}.")
            seen.add(allele or "")
        if strange := [symbol for symbol in self.hides() if symbol not in known]:
            self._wrong("hides", f"There is no locus {strange[0]}.")

    def _wrong(self, name: str, sentence: str) -> None:
        self.form.add_error(f"{name}_{self.slot}", sentence)


def fault_at(sentence: str, parts: Sequence[Part]) -> tuple[str | None, str]:
    """The field that a sentence about a locus speaks of, and the sentence."""
    for words, field in LOCUS_FAULTS:
        if words in sentence:
            return field, sentence
    quoted = [part for part in parts if f"‘{part.slot}’" in sentence
              or f"'{part.told()['name']}'" in sentence]  # fmt: skip
    part = (quoted or list(parts) or [None])[0]
    if part is None:
        return None, sentence
    if painted := re.search(r"paints (?:the )?'?(\w+)", sentence):
        field = f"paint_{painted[1]}"
        return f"{field if painted[1] in PAINTS else 'name'}_{part.slot}", sentence
    name = next((field for words, field in FAULTS if words in sentence), "name")
    return f"{name}_{part.slot}", sentence
