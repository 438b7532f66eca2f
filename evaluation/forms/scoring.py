"""The form of one score: chips, counts and measures as the rubric asks for them."""

from __future__ import annotations

from typing import Any

from django import forms

from breeding.forms import ReasonField
from evaluation.models import Candidate, Criterion, Mark, Rubric, Scoring
from evaluation.records.scoring import newest_line
from evaluation.stalk import StalkError, parse_stalk
from garden.forms.base import DecimalNumber, RecordForm, WholeNumber
from garden.forms.photos import PhotoField
from garden.forms.words import LongWords, Words

Scale = Criterion.Scale
# A count up to here is tapped, a larger one typed.
MOST_CHIPS = 12
NOT_JUDGED = ("", "–")


def key_of(name: str) -> str:
    """The criterion that a field of marks is of."""
    return name.removeprefix("mark_")


class StalkField(Words):
    """The counted stalk as it is written, 'T3 B2 B2 S1'; what cannot be read is said at once."""

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        try:
            return str(parse_stalk(text)) if text else ""
        except StalkError as error:
            raise forms.ValidationError(str(error)) from None


def mark_field(criterion: Criterion) -> forms.Field:
    """The field that its scale asks for. Chips carry plain numbers."""
    more = {"label": criterion.title, "required": False}
    if chips := chips_of(criterion):
        return forms.TypedChoiceField(
            choices=[*chips, NOT_JUDGED],
            coerce=float,
            empty_value=None,
            widget=forms.RadioSelect,
            error_messages={"invalid_choice": "Choose one of these."},
            **more,
        )
    if criterion.scale == Scale.MEASURE:
        unit = f" in {criterion.unit}" if criterion.unit else ""
        return DecimalNumber(
            min_value=0, max_value=1000, **more | {"label": criterion.title + unit}
        )
    return WholeNumber(min_value=0, max_value=1000, **more)


def chips_of(criterion: Criterion) -> list[tuple[str, str]]:
    """The marks that may be tapped, as (value, word); none where a number is typed."""
    if criterion.scale == Scale.CHOICE:
        return [(str(at), word) for at, (word, _) in enumerate(criterion.choices)]
    if criterion.scale == Scale.YES_NO:
        return [("1", "yes"), ("0", "no")]
    low, high = sorted((int(criterion.least), int(criterion.full)))
    if criterion.scale == Scale.POINTS and high - low < MOST_CHIPS:
        return [(str(value), str(value)) for value in range(low, high + 1)]
    if criterion.scale == Scale.COUNT and not criterion.counted and high + 2 <= MOST_CHIPS:
        more = high + 2
        return [*((str(value), str(value)) for value in range(more)), (str(more), f"{more}+")]
    return []


class ScoreForm(RecordForm):
    """What one person gives one seedling under one rubric; whatever is left out is not judged."""

    stalk = StalkField(label="Stalk", max_length=100)
    note = LongWords(rows=2, label="Note", max_length=1000)
    photo = PhotoField(required=False)
    verdict = forms.ChoiceField(
        label="Decision",
        required=False,
        choices=[("", "none yet"), *Candidate.Verdict.choices],
        widget=forms.RadioSelect,
    )
    reason = ReasonField("Why", required=False)

    def __init__(self, *args: Any, rubric: Rubric, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rubric = rubric
        self.criteria = list(Criterion.objects.filter(rubric=rubric).order_by("order"))
        for each in self.criteria:
            self.fields[f"mark_{each.key}"] = mark_field(each)
        if not self.counts_the_stalk:
            # Kept as it stands: a score may have had its buds counted all the same.
            self.fields["stalk"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if "verdict" in self.fields and told.get("reason") and not told.get("verdict"):
            self.add_error("verdict", "Choose the decision that this is the reason for.")
        return told

    @property
    def groups(self) -> list[tuple[str, list[tuple[Criterion, Any]]]]:
        """[(group, [(criterion, its field), …]), …] in the rubric's order."""
        found: dict[str, list[tuple[Criterion, Any]]] = {}
        for each in self.criteria:
            bound = self[f"mark_{each.key}"]
            found.setdefault(each.get_group_display(), []).append((each, bound))
        return list(found.items())

    @property
    def counts_the_stalk(self) -> bool:
        """Whether a criterion takes its mark from the counted stalk."""
        return any(each.counted for each in self.criteria)

    def values(self) -> dict[str, Any]:
        told = super().values()
        marks = {key_of(name): told.pop(name) for name in list(told) if name.startswith("mark_")}
        return {**told, "marks": marks}


class CorrectScoreForm(ScoreForm):
    """One's own score, filled with what stands there now."""

    reason = ReasonField("Why it is corrected", required=True)
    stands = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, scoring: Scoring, **kwargs: Any) -> None:
        given = Mark.live.filter(scoring=scoring).select_related("criterion")
        # What was counted from the stalk follows from the stalk again.
        marks = {
            f"mark_{mark.criterion.key}": f"{mark.value:.12g}"
            for mark in given
            if not (mark.criterion.counted and scoring.stalk)
        }
        initial = {"stalk": scoring.stalk, "note": scoring.note, **marks}
        initial["stands"] = newest_line(scoring)
        super().__init__(*args, rubric=scoring.rubric, initial=initial, **kwargs)
        for name in ("photo", "verdict", "day"):
            del self.fields[name]
        for name, value in marks.items():
            # A mark that no chip offers is not lost by correcting another one.
            offered = getattr(self.fields[name], "choices", None)
            if offered and value not in dict(offered):
                self.fields[name].choices = [*offered[:-1], (value, value), NOT_JUDGED]
