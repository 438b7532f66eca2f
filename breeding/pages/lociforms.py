"""The forms of loci: a hypothesis of one's own, and the type of a plant's own flower."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from django import forms
from django.utils.text import slugify

from breeding.heredity import as_locus
from breeding.inheritance.loci import locus_from_mapping, locus_to_mapping
from breeding.inheritance.locuscheck import LONGEST_NAME, LONGEST_SYMBOL, MOST_TYPES
from breeding.models import Locus
from breeding.pages.locusparts import NAMES, NEW, Part, fault_at, part_fields, start_of
from breeding.pages.locuswords import speaks_of_ground
from breeding.records.heredity import SYMBOL
from garden.forms.base import RecordForm
from garden.verbs import Refused

LONGEST_ALLELE, LONGEST_KEY = 12, 30


def typed(label: str, most: int, rows: int = 0, **more: Any) -> forms.CharField:
    """A field that words are typed into."""
    widget = forms.Textarea(attrs={"rows": rows}) if rows else forms.TextInput()
    field = forms.CharField(label=label, max_length=most, widget=widget, **more)
    field.widget.attrs |= {"class": "inp", "autocomplete": "off"}
    return field


class LocusForm(RecordForm):
    """A locus: alleles, and its types in order with their rules, colours and signs."""

    day = None
    symbol = typed("Symbol", LONGEST_SYMBOL, help_text="A few letters, as in V or Pl.")
    name = typed("Name", LONGEST_NAME)
    alleles = typed("Alleles", 60, help_text="Two to four, as in V, v.")
    counted = typed(
        "Allele whose copies are counted",
        LONGEST_ALLELE,
        required=False,
        help_text="The first one, if nothing is written.",
    )
    source = typed("Source", 600, rows=3, help_text="Where it was read, or that it is your guess.")
    confidence = forms.ChoiceField(label="How sure", choices=Locus.Confidence.choices)
    note = typed("Note", 1000, rows=3, required=False)

    def __init__(self, *args: Any, known: list[str], new: str = "", **kwargs: Any) -> None:
        self.locus: Locus | None = kwargs.pop("locus", None)
        super().__init__(*args, **kwargs)
        self.known = known
        self.fields["confidence"].widget.attrs["class"] = "inp"
        self.fields["source"].error_messages["required"] = (
            "Say where this is from, or that it is your own guess."
        )
        self.start = {told["key"]: start_of(told, at) for at, told in
                      enumerate(self.locus.types if self.locus else (), 1)}  # fmt: skip
        slots = [*self.start, *self._new_slots(new)]
        for slot in slots:
            for name, field in part_fields(self.start.get(slot, {})).items():
                if field.help_text:
                    field.widget.attrs["aria-describedby"] = f"hint_{name}_{slot}"
                self.fields[f"{name}_{slot}"] = field
        self.parts = [Part(self, slot, slot not in self.start) for slot in slots]

    def _new_slots(self, new: str) -> list[str]:
        sent = [found[1] for name in self.data if (found := NEW.match(name))]
        asked = []
        if new.isascii() and new.isdigit() and len(new) < 3:
            # A type may be called new1 itself.
            asked = [f"new{at}" for at in range(int(new), 100) if f"new{at}" not in self.start][:1]
        first = [] if self.locus or sent else ["new1", "new2"]
        slots = dict.fromkeys([*first, *sent, *asked])
        return [slot for slot in slots if slot not in self.start][:MOST_TYPES]

    @property
    def more_open(self) -> bool:
        """Whether something is wrong behind the fold."""
        return bool({"counted", "note"} & set(self.errors))

    @property
    def next_new(self) -> int:
        """The number of the next new type."""
        taken = [int(part.slot.removeprefix("new")) for part in self.parts if part.new]
        return max(taken, default=0) + 1

    @cached_property
    def on_ground(self) -> bool:
        """Whether the types speak of grounds, so that they are drawn over one."""
        return speaks_of_ground([part.sketch for part in self.parts])

    def clean_symbol(self) -> str:
        symbol = self.cleaned_data["symbol"]
        if not SYMBOL.match(symbol):
            raise forms.ValidationError("Write the symbol in letters and digits.")
        return symbol

    def clean_alleles(self) -> list[str]:
        alleles = self.cleaned_data["alleles"].replace(",", " ").split()
        if any(len(allele) > LONGEST_ALLELE for allele in alleles):
            raise forms.ValidationError(f"An allele has at most {LONGEST_ALLELE} letters.")
        if not 2 <= len(alleles) <= 4 or len(set(alleles)) < len(alleles):
            raise forms.ValidationError("Write two to four different alleles, as in V, v.")
        return alleles

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        for part in self.parts:
            if told.get(f"gone_{part.slot}"):
                # What is left out need not be right.
                for name in NAMES:
                    self.errors.pop(f"{name}_{part.slot}", None)
            else:
                part.check(self.known)
        if not self.errors:
            self._check_whole()
        return told

    def _check_whole(self) -> None:
        """What is wrong with the locus as a whole, said at the field."""
        if not self.kept_parts:
            self._say(f"gone_{self.parts[0].slot}" if self.parts else None,
                      "A locus needs two to six types.")  # fmt: skip
            return
        try:
            locus_from_mapping(self.mapping())
        except ValueError as error:
            self._say(*fault_at(str(error), self.kept_parts))

    def _say(self, field: str | None, sentence: str) -> None:
        self.add_error(field if field in self.fields else None, sentence)

    @property
    def kept_parts(self) -> list[Part]:
        """The types that are not left out, in their order; whatever is left stands last."""
        told = self.cleaned_data
        kept = [part for part in self.parts if not told.get(f"gone_{part.slot}")]
        return sorted(kept, key=lambda part: (not part.needs(), part.place))

    def mapping(self) -> dict[str, Any]:
        """The locus in plain words."""
        told = self.cleaned_data
        taken = {part.slot for part in self.parts if not part.new}
        types = []
        for part in self.kept_parts:
            key = part.slot if not part.new else key_for(told[f"name_{part.slot}"], taken)
            taken.add(key)
            types.append({"key": key, **part.told()})
        words = {name: told[name] for name in ("name", "alleles", "source", "confidence", "note")}
        symbol = self.locus.symbol if self.locus else told["symbol"]
        counted = told.get("counted") or told["alleles"][0]
        return {"symbol": symbol, **words, "counted": counted, "types": types}

    def refuse(self, refused: Refused) -> None:
        """What a verb says of the types is said at one of them."""
        for name, sentence in refused.messages.items():
            self._say(*(fault_at(sentence, self.parts) if name == "types" else (name, sentence)))

    def values(self) -> dict[str, Any]:
        return self.mapping()


class ChangeLocusForm(LocusForm):
    """What is supposed of a locus, changed; its symbol stays."""

    symbol = None
    reason = typed("Why it is changed", 400, rows=2)

    def __init__(self, *args: Any, locus: Locus, **kwargs: Any) -> None:
        start = {name: getattr(locus, name) for name in
                 ("name", "counted", "source", "confidence", "note")}  # fmt: skip
        start["alleles"] = ", ".join(locus.alleles)
        super().__init__(*args, locus=locus, initial=start, **kwargs)
        self.fields["reason"].error_messages["required"] = "Write why it is changed."

    def values(self) -> dict[str, Any]:
        told = self.mapping()
        del told["symbol"]
        # Written in other words, but the same: it stays as it stands.
        as_stands = locus_to_mapping(as_locus(self.locus))["types"]
        if locus_to_mapping(locus_from_mapping(self.mapping()))["types"] == as_stands:
            told["types"] = self.locus.types
        return told | {"reason": self.cleaned_data["reason"]}


class UseLocusForm(RecordForm):
    """One tap: the garden works with a locus, or no more."""

    day = None
    used = forms.ChoiceField(choices=(("yes", "yes"), ("no", "no")))

    def values(self) -> dict[str, Any]:
        return {"used": self.cleaned_data["used"] == "yes"}


class NoteTypeForm(RecordForm):
    """Of which type a plant's own flower is; one of a few."""

    type = forms.ChoiceField(
        label="Its flower is",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what its flower shows."},
    )

    def __init__(self, *args: Any, types: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["type"].choices = list(types.items())
        self.fields["type"].error_messages["invalid_choice"] = "Choose one of these."


def key_for(name: str, taken: set[str]) -> str:
    """A key made of a type's name that none of `taken` is: 'deep-pink', 'deep-pink-2'."""
    stem = slugify(name)[:LONGEST_KEY].strip("-_") or "type"
    key, at = stem, 2
    while key in taken:
        key, at = f"{stem[: LONGEST_KEY - 3]}-{at}", at + 1
    return key
