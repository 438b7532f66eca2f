"""Forms of choosing: the filters of the table, what a plot shows, decisions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django import forms

from evaluation.choosing import ALL, NOT_DISCARDED, SORTS, UNDECIDED
from evaluation.models import Candidate
from evaluation.records.deciding import MOST_AT_ONCE
from garden.forms.base import RecordForm
from garden.models import Bed, IrisClass
from garden.names import is_key

TIMES = ((2, "twice"), (3, "3 times"), (4, "4 times"), (6, "6 times"))

FIRST = ("season", "text", "verdict")


def keys_of(words: Sequence[str], most: int) -> list[int]:
    """Keys that an address or a field names, each once; nonsense is passed over."""
    parts = [part.strip() for word in words for part in word[: 20 * most].split(",")]
    keys = [int(part) for part in parts if is_key(part)]
    return list(dict.fromkeys(keys))[:most]


class ChoosingForm(forms.Form):
    """What is asked of the table of candidates; nonsense is passed over."""

    season = forms.ChoiceField(label="Season", required=False)
    text = forms.CharField(label="Cross or parent", required=False)
    verdict = forms.ChoiceField(label="Decision", required=False)
    bed = forms.ModelChoiceField(Bed.live.all(), label="Bed", required=False, empty_label="all")
    iris_class = forms.ChoiceField(label="Class", required=False)
    mine = forms.ChoiceField(label="Scored", required=False)
    least = forms.TypedChoiceField(label="Judged at least", required=False, coerce=int)
    sort = forms.ChoiceField(
        required=False,
        choices=[(f"{sign}{name}", name) for name in SORTS for sign in ("", "-")],
        widget=forms.HiddenInput,
    )

    def __init__(self, data: Any, seasons: Sequence[int]) -> None:
        super().__init__(self._beginning(data, seasons), label_suffix="")
        classes = [(value, value.capitalize() if len(value) > 3 else value)
                   for value in IrisClass.values]  # fmt: skip
        offered = {
            "season": [(ALL, "all"), *((str(year), str(year)) for year in seasons)],
            "verdict": [("", "all"), (NOT_DISCARDED, "not discarded"), (UNDECIDED, "undecided"),
                        *((value, word.lower()) for value, word in Candidate.Verdict.choices)],
            "iris_class": [("", "all"), *classes],
            "mine": [("", "by anybody"), ("yes", "by me"), ("no", "not by me")],
            "least": [("", "once or not"), *TIMES],
        }  # fmt: skip
        for name, choices in offered.items():
            self.fields[name].choices = choices
        for each in self.visible_fields():
            each.field.widget.attrs["class"] = "inp"
        self.fields["text"].widget.attrs |= {
            "autocomplete": "off", "spellcheck": "false", "size": 14,
        }  # fmt: skip
        self.full_clean()

    @staticmethod
    def _beginning(data: Any, seasons: Sequence[int]) -> Any:
        """The newest season that was judged, where none is asked for."""
        if data.get("season") or not seasons:
            return data
        data = data.copy()
        data["season"] = str(seasons[0])
        return data

    def chosen(self) -> dict[str, Any]:
        """The filters that are set and mean something, as an address writes them."""
        there = {name: value for name, value in self.cleaned_data.items() if value}
        return {name: getattr(value, "pk", value) for name, value in there.items()}

    @property
    def first(self) -> list[forms.BoundField]:
        """The filters that everybody uses."""
        return [self[name] for name in FIRST]

    @property
    def further(self) -> list[forms.BoundField]:
        return [each for each in self.visible_fields() if each.name not in FIRST]

    @property
    def more_asked(self) -> bool:
        return any(self.cleaned_data.get(each.name) for each in self.further)

    @property
    def narrowed(self) -> bool:
        """Whether anything but the season is asked for."""
        return bool(set(self.chosen()) - {"season", "sort"})

    @property
    def order(self) -> tuple[str, bool]:
        """The column and whether it runs backwards."""
        sort = self.cleaned_data.get("sort") or SORTS[0]
        return sort.removeprefix("-"), sort.startswith("-")

    def query(self, **other: Any) -> str:
        """The address's question for the same filters with something else beside them."""
        return "?" + urlencode({**self.chosen(), **other})


class AxesForm(forms.Form):
    """Which two things are plotted against each other."""

    x = forms.ChoiceField(label="Across", required=False)
    y = forms.ChoiceField(label="Upward", required=False)

    def __init__(self, data: Any, axes: Sequence[tuple[str, str]], first: tuple[str, str]) -> None:
        super().__init__(data.copy(), label_suffix="")
        known = dict(axes)
        for name, value in zip(("x", "y"), first, strict=True):
            self.fields[name].choices = axes
            self.fields[name].widget.attrs["class"] = "inp"
            if self.data.get(name) not in known:
                self.data[name] = value
        self.full_clean()


class VerdictField(forms.ChoiceField):
    """What is to become of a candidate, as four chips."""

    def __init__(self) -> None:
        super().__init__(
            label="What is to become of it",
            choices=Candidate.Verdict.choices,
            widget=forms.RadioSelect,
            error_messages={"required": "Choose what is to become of it."},
        )


class DecideForm(RecordForm):
    """One decision: what, why and on which day."""

    verdict = VerdictField()
    reason = forms.CharField(
        label="Why",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2, "class": "inp"}),
    )


class CandidatesField(forms.CharField):
    """Candidates by their keys, as the page that chose them wrote them down."""

    widget = forms.HiddenInput

    def __init__(self, most: int) -> None:
        super().__init__(error_messages={"required": "Choose at least one seedling."})
        self.most = most

    def clean(self, value: Any) -> list[Candidate]:
        keys = keys_of([super().clean(value)], self.most)
        found = Candidate.live.in_bulk(keys)
        if not found or len(found) < len(keys):
            raise forms.ValidationError("Choose the seedlings once more.")
        return [found[key] for key in keys]


class DecideManyForm(DecideForm):
    """One decision about many at once."""

    candidates = CandidatesField(most=MOST_AT_ONCE + 1)
