"""Forms of the thread; each becomes one verb."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from breeding.models import Pollination, SeedCup
from garden.finding import find_plants, the_plant
from garden.forms.base import RecordForm, WholeNumber
from garden.models import Bed, Plant, fold
from garden.models.stock import UNKNOWN
from garden.names import is_key
from garden.verbs import plural

SIDES = ("seed", "pollen")
FAILURES = ("dried up", "dropped", "broken off", "eaten", "rotted", "empty pod")


class TagField(forms.CharField):
    """A tag number, typed on a number pad."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(label="Tag", max_length=40, **kwargs)
        self.widget.attrs |= {"inputmode": "numeric", "class": "inp inp--code"}
        self.error_messages["required"] = "Type the number of the tag that you tied on."


class NoteField(forms.CharField):
    def __init__(self) -> None:
        super().__init__(
            label="Note",
            required=False,
            max_length=1000,
            widget=forms.Textarea(attrs={"rows": 2, "class": "inp"}),
        )


class ReasonField(forms.CharField):
    """Why a count grew or a record is corrected, in somebody's words."""

    def __init__(self, label: str, required: bool = False) -> None:
        super().__init__(label=label, required=required, max_length=200)
        self.widget.attrs["class"] = "inp"
        self.error_messages["required"] = "Write why, in a few words."


class ParentsForm(RecordForm):
    """Two parents: each chosen by key, or typed so that only one plant can be meant.

    A name a letter away is offered and never taken: a cross with the wrong parent is worse than
    one more tap.
    """

    seed = forms.CharField(required=False, widget=forms.HiddenInput, max_length=20)
    seed_text = forms.CharField(label="Seed parent", required=False, max_length=10_000)
    pollen = forms.CharField(required=False, widget=forms.HiddenInput, max_length=20)
    pollen_text = forms.CharField(label="Pollen parent", required=False, max_length=10_000)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for side in SIDES:
            cleaned[f"{side}_parent"] = self._parent(side)
        cleaned["pollen_unknown"] = cleaned.get("pollen") == UNKNOWN
        return cleaned

    def _parent(self, side: str) -> Plant | None:
        chosen, typed = self.cleaned_data.get(side, ""), self.cleaned_data.get(f"{side}_text", "")
        if side == "pollen" and chosen == UNKNOWN:
            return None
        plant = chosen_plant(chosen) or (the_plant(typed) if typed else None)
        if plant is None:
            self.add_error(f"{side}_text", unclear(typed))
        return plant

    def values(self) -> dict[str, Any]:
        left_out = ("seed", "pollen", "seed_text", "pollen_text")
        return {name: value for name, value in super().values().items() if name not in left_out}


def unclear(typed: str) -> str:
    """Why no plant could be told from what was typed."""
    if not typed:
        return "Choose the plant: type a few letters of its name or number."
    if near := find_plants(typed, 1):
        # The likeliest comes first: when it does not hold the letters, none does.
        if fold(typed) in near[0].folded:
            return "More than one plant could be meant. Choose one of these."
        return "Did you mean one of these?"
    return f"No plant of the stock is called “{typed[:60]}”."


def chosen_plant(key: str) -> Plant | None:
    """The plant of a key as it came in a form; None for nonsense."""
    if is_key(key):
        return Plant.live.filter(pk=int(key)).first()
    return None


class StigmasField(forms.TypedChoiceField):
    """One, two or three, tapped."""

    def __init__(self) -> None:
        super().__init__(
            label="Stigmas worked",
            choices=[(1, "1"), (2, "2"), (3, "3")],
            coerce=int,
            initial=3,
            widget=forms.RadioSelect,
        )


class FallsField(forms.BooleanField):
    def __init__(self) -> None:
        super().__init__(label="Falls taken off", required=False)


class PollinationForm(ParentsForm):
    tag = TagField()
    stigmas = StigmasField()
    falls_removed = FallsField()
    note = NoteField()


class PodForm(RecordForm):
    """One tap says how the flower did."""

    outcome = forms.CharField(max_length=200, required=False)
    reason = ReasonField("Another reason")

    def values(self) -> dict[str, Any]:
        values = super().values()
        outcome, typed = values.pop("outcome"), values["reason"]
        reason = typed if outcome in ("", "other") else outcome
        return values | {"pod_set": outcome == "set", "reason": "" if outcome == "set" else reason}


class CupField(forms.ModelChoiceField):
    """One of the cups that are tapped, or none of them where `empty_label` says what that is."""

    def __init__(self, cups: QuerySet, empty_label: str | None = None) -> None:
        super().__init__(
            label="Into",
            queryset=cups,
            required=empty_label is None,
            empty_label=empty_label,
            # Without it, radio buttons offer no way to choose none.
            blank=empty_label is not None,
            widget=forms.RadioSelect,
        )

    def label_from_instance(self, cup: SeedCup) -> str:
        return f"cup {cup}, {plural(cup.seeds, 'seed')}"


class HarvestForm(RecordForm):
    seeds = WholeNumber(label="Seeds", min_value=0)
    cup = CupField(SeedCup.objects.none(), "a new cup")

    def __init__(self, *args: Any, pod: Pollination, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cups = SeedCup.live.filter(cross=pod.cross, closed_on=None, sown=0)
        self.fields["cup"].queryset = cups
        self.fields["cup"].initial = cups.last()


class SowForm(RecordForm):
    seeds = WholeNumber(label="Seeds sown", min_value=1)
    note = NoteField()
    more_reason = ReasonField("More than the cup holds? Why")


class CountForm(RecordForm):
    standing_now = WholeNumber(label="Seedlings standing now", min_value=0)
    more_reason = ReasonField("More than were sown? Why")


class BedField(forms.ModelChoiceField):
    def __init__(self) -> None:
        super().__init__(
            label="Bed",
            queryset=Bed.live.all(),
            empty_label=None,
            widget=forms.Select(attrs={"class": "inp"}),
        )


class LineOutForm(RecordForm):
    bed = BedField()
    row = WholeNumber(label="Row", min_value=1)
    first = WholeNumber(label="First position", min_value=1)
    seedlings = WholeNumber(label="Seedlings", min_value=1)
    note = NoteField()
    more_reason = ReasonField("More than came up? Why")


class PutAwayForm(RecordForm):
    reason = ReasonField("Why", required=True)


class PrintTagsForm(RecordForm):
    day = None
    count = WholeNumber(label="How many tags", min_value=1, initial=120)


class SpoilTagForm(RecordForm):
    day = None
    reason = ReasonField("What happened to it", required=True)


class CorrectParentsForm(ParentsForm):
    day = None
    reason = ReasonField("Why it is corrected", required=True)
