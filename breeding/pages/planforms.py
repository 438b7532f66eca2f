"""Forms of goals and of planned crosses; each becomes one verb."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import forms

from breeding import worths
from breeding.forms import ReasonField
from breeding.heredity import as_locus
from breeding.inheritance.loci import Locus
from breeding.models import Goal, PlannedCross
from breeding.models import Locus as LocusRecord
from breeding.pages.planasked import TITLES, own_weights
from breeding.pages.planwords import weight
from breeding.records.planning import MOST_PAIRS, MOST_WEIGHT
from garden.forms.base import DecimalNumber, RecordForm, WholeNumber
from garden.forms.words import Chance, LongWords, Words
from garden.models import IrisClass, Plant

TRAIT_WEIGHTS = (0.0, 0.25, 0.5, 1.0, 2.0)
MOST_FLOWERS, USUAL_FLOWERS = 500, 4
CLOSE = 1e-6
PLAIN = ("name", "words", "iris_class", "crosses", "least_chance", "pair_limit", "set_limit")
FROM_TO = {"min_value": 0, "max_value": MOST_WEIGHT}


class KinshipField(Chance):
    """A kinship, typed as 0.125, 1/8 or 12.5 %; may be left out where `required` is False."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(most=1.0, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """In decimals, as kinships are spoken of."""
        return f"{value:g}" if isinstance(value, float | int) else value

    def clean(self, value: Any) -> Any:
        if not self.required and not str(value or "").strip():
            return None
        return super().clean(value)


class LeastField(Chance):
    """A chance, typed as 1/200 or 0.5 %; left empty it is 0, so that none is too low."""

    def __init__(self) -> None:
        super().__init__(most=1.0, label="Wanted types in at least", required=False)

    def prepare_value(self, value: Any) -> Any:
        """One in so many, as chances are spoken of."""
        if isinstance(value, float) and value and abs(1 / value - round(1 / value)) < CLOSE:
            return f"1/{round(1 / value)}"
        return super().prepare_value(value)

    def clean(self, value: Any) -> float:
        return super().clean(value) if str(value or "").strip() else 0.0


class WeightField(DecimalNumber):
    """What a column counts."""

    def __init__(self, label: str) -> None:
        super().__init__(label=label, **FROM_TO)
        self.widget.attrs["class"] = "inp inp--num"
        told = f"A weight lies between 0 and {MOST_WEIGHT:g}."
        self.error_messages |= {"min_value": told, "max_value": told}


class CrossesField(WholeNumber):
    def __init__(self) -> None:
        super().__init__(label="Crosses to choose together", min_value=1, max_value=MOST_PAIRS)
        self.widget.attrs["class"] = "inp inp--num"
        told = f"Plan from 1 to {MOST_PAIRS} crosses."
        self.error_messages |= {"min_value": told, "max_value": told}


class FlowersField(WholeNumber):
    def __init__(self, label: str = "Flowers to work", **kwargs: Any) -> None:
        super().__init__(label=label, min_value=1, max_value=MOST_FLOWERS, **kwargs)
        self.widget.attrs["class"] = "inp inp--num"
        told = f"Work from 1 to {MOST_FLOWERS} flowers."
        self.error_messages |= {"min_value": told, "max_value": told}


def select(label: str, choices: Iterable[tuple[str, str]]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=list(choices), required=False,
        widget=forms.Select(attrs={"class": "inp"}),
    )  # fmt: skip


class GoalForm(RecordForm):
    """What is bred for: words, wanted types, traits, limits, weights of the columns."""

    day = None
    name = Words(label="Name", max_length=60, required=True)
    words = LongWords(label="In words", max_length=1000)
    iris_class = select("Class", [("", "every class"), *IrisClass.choices])
    crosses = CrossesField()
    least_chance = LeastField()
    pair_limit = KinshipField(label="Kinship of one pair, at most")
    set_limit = KinshipField(label="Kinship of all crosses together, at most", required=False)

    def __init__(self, *args: Any, goal: Goal | None = None, **kwargs: Any) -> None:
        self.goal = goal or Goal()
        self.loci = [as_locus(each) for each in LocusRecord.live.filter(used=True)]
        self.traits = worths.traits()
        initial = {name: getattr(self.goal, name) for name in PLAIN}
        super().__init__(*args, initial=initial | (kwargs.pop("initial", None) or {}), **kwargs)
        self.fields["name"].error_messages["required"] = "Give the goal a name."
        self._add_wanted(dict(self.goal.wanted))
        self._add_traits(dict(self.goal.traits))
        for name, number in own_weights(self.goal).items():
            self._put(f"weight_{name}", WeightField(TITLES[name]), f"{number:g}")

    def _add_wanted(self, wanted: dict[str, str]) -> None:
        for locus in self.loci:
            types = [(each.key, each.name) for each in locus.types]
            field = select(f"{locus.symbol}: {locus.name}", [("", "any"), *types])
            self._put(f"wanted_{locus.symbol}", field, wanted.get(locus.symbol, ""))

    def _add_traits(self, weights: dict[str, float]) -> None:
        for key, title in self.traits:
            now = float(weights.get(key, 0))
            choices = [(f"{each:g}", "not counted" if not each else weight(each))
                       for each in sorted({*TRAIT_WEIGHTS, now})]  # fmt: skip
            self._put(f"trait_{key}", select(title, choices), f"{now:g}")

    def _put(self, name: str, field: forms.Field, initial: str) -> None:
        field.initial = initial
        if "invalid_choice" in field.error_messages:
            field.error_messages["invalid_choice"] = "Choose one of these."
        self.fields[name] = field

    @property
    def wanted_fields(self) -> list[tuple[Locus, forms.BoundField]]:
        return [(locus, self[f"wanted_{locus.symbol}"]) for locus in self.loci]

    @property
    def trait_fields(self) -> list[forms.BoundField]:
        return [self[f"trait_{key}"] for key, _ in self.traits]

    @property
    def traits_open(self) -> bool:
        """Whether any trait counts or is wrong, so that they are shown at once."""
        names = [f"trait_{key}" for key, _ in self.traits]
        return bool(self.goal.traits) or any(name in self.errors for name in names)

    @property
    def weight_fields(self) -> list[forms.BoundField]:
        return [self[f"weight_{name}"] for name in TITLES]

    def values(self) -> dict[str, Any]:
        told = self.cleaned_data
        known = {locus.symbol for locus in self.loci}
        wanted = [[locus.symbol, key] for locus in self.loci
                  if (key := told[f"wanted_{locus.symbol}"])]  # fmt: skip
        # What the garden does not work with at present stays as it was.
        wanted += [list(pair) for pair in self.goal.wanted if pair[0] not in known]
        traits = [[key, float(told[f"trait_{key}"])] for key, _ in self.traits
                  if float(told[f"trait_{key}"] or 0)]  # fmt: skip
        return {
            **{name: told[name] for name in PLAIN},
            "wanted": wanted,
            "traits": traits,
            "weights": weights_of(told),
        }


class ChangeGoalForm(GoalForm):
    reason = ReasonField("Why it is changed")

    def values(self) -> dict[str, Any]:
        return super().values() | {"reason": self.cleaned_data["reason"]}


def weights_of(told: dict[str, Any]) -> dict[str, float]:
    return {name: float(told[f"weight_{name}"]) for name in TITLES}


class WeighForm(RecordForm):
    """The weights and the limit that somebody tried out, to be kept with the goal."""

    day = None
    set_limit = KinshipField(label="Kinship of all crosses together, at most", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, title in TITLES.items():
            self.fields[f"weight_{name}"] = WeightField(title)

    @property
    def weight_fields(self) -> list[forms.BoundField]:
        return [self[f"weight_{name}"] for name in TITLES]

    def values(self) -> dict[str, Any]:
        limit = self.cleaned_data["set_limit"]
        return {"weights": weights_of(self.cleaned_data), "set_limit": limit}


class CloseGoalForm(RecordForm):
    reason = ReasonField("What became of it", required=True)


class PlanPairsForm(RecordForm):
    """Pairs that were ticked, each with the flowers to work; what is unticked is left out."""

    day = None
    note = Words(label="Note for all of them", max_length=400)

    def __init__(
        self,
        *args: Any,
        pairs: Sequence[tuple[Plant, Plant]],
        flowers: Mapping[tuple[int, int], int],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.pairs = {f"{seed.pk}_{pollen.pk}": (seed, pollen) for seed, pollen in pairs}
        for slot, (seed, pollen) in self.pairs.items():
            take = forms.BooleanField(label=f"{seed} × {pollen}", required=False, initial=True)
            many = flowers.get((seed.pk, pollen.pk), USUAL_FLOWERS)
            self.fields[f"take_{slot}"] = take
            self.fields[f"flowers_{slot}"] = FlowersField(initial=many)

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        taken = [slot for slot in self.pairs if told.get(f"take_{slot}")]
        for slot in set(self.pairs) - set(taken):
            # What is left out need not be right.
            self.errors.pop(f"flowers_{slot}", None)
        if not taken:
            self.add_error(None, "Tick at least one pair.")
        return told

    def values(self) -> dict[str, Any]:
        told = self.cleaned_data
        pairs = [(*pair, told[f"flowers_{slot}"]) for slot, pair in self.pairs.items()
                 if told[f"take_{slot}"]]  # fmt: skip
        return {"note": told["note"], "pairs": pairs}

    def of(self, seed: Plant, pollen: Plant) -> tuple[forms.BoundField, forms.BoundField]:
        """The tick and the flowers of a pair."""
        slot = f"{seed.pk}_{pollen.pk}"
        return self[f"take_{slot}"], self[f"flowers_{slot}"]


class PlannedForm(RecordForm):
    day = None
    flowers = FlowersField()
    note = Words(label="Note", max_length=400)

    @classmethod
    def values_of(cls, planned: PlannedCross) -> dict[str, Any]:
        return {"flowers": planned.flowers, "note": planned.note}


class DropForm(RecordForm):
    reason = ReasonField("Why it is dropped", required=True)
