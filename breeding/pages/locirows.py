"""The plants of the garden at one locus: what each probably carries, ordered and sifted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django import forms

from breeding.heredity import GardenCopies
from breeding.pages.expectwords import HOLDS, LITTLE, copies_words, percent, rests_on
from garden.models import IrisClass, Plant, fold

if TYPE_CHECKING:
    from breeding.inheritance.copies import Copies, Support

ON_A_PAGE = 25
# One number of copies at least so likely counts as known.
SURE = 0.95
# What is likelier is told as certain under the hypothesis.
CERTAIN = 0.995
# Bits from which a plant's copies are told much of.
MUCH = 1.0
# The bar of a plant, in units of its drawing; narrower parts have no number in them.
WIDE, TALL, TOLD_FROM = 320, 40, 20
SORTS = (("gained", "most learnt"), ("unsure", "least known"), ("most", "most copies"),
         ("fewest", "fewest copies"), ("name", "name"))  # fmt: skip
KNOWN = (("", "all"), ("sure", "as good as known"), ("unsure", "not known yet"),
         ("seen", "own flower read"), ("unseen", "own flower not read"))  # fmt: skip


class PlantsForm(forms.Form):
    """Which plants are shown, and in which order; nonsense is passed over."""

    name = forms.CharField(label="Name", required=False, max_length=200)
    iris_class = forms.ChoiceField(label="Class", required=False)
    known = forms.ChoiceField(label="Copies", required=False, choices=KNOWN)
    sort = forms.ChoiceField(label="Order", required=False, choices=SORTS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        classes = [(value, value.capitalize() if len(value) > 3 else value)
                   for value in IrisClass.values]  # fmt: skip
        self.fields["iris_class"].choices = [("", "all"), *classes]
        for field in self.fields.values():
            field.widget.attrs["class"] = "inp"
        self.fields["name"].widget.attrs |= {"autocomplete": "off", "size": 12}
        self.full_clean()

    def query(self, **other: Any) -> str:
        """The same as an address's query, with something else in it."""
        told = {name: value for name, value in self.cleaned_data.items() if value}
        return "?" + urlencode(told | other)


@dataclass(frozen=True, slots=True)
class Standing:
    """One growing plant: chances of its copies, bits that are open and gained, the mean."""

    plant: int
    folded: str
    iris_class: str
    chances: tuple[float, ...]
    unsure: float
    bits: float
    mean: float
    seen: bool


def unsure(chances: Sequence[float]) -> float:
    """What is open of the copies, in bits."""
    return max(0.0, -sum(chance * log2(chance) for chance in chances if chance > 0))


def bar(chances: Sequence[float]) -> dict[str, Any]:
    """Chances of 0, 1, … copies as one bar, in units of its drawing."""
    parts, at = [], 0.0
    for copies, chance in enumerate(chances):
        wide = WIDE * chance
        if wide >= 0.5:
            parts.append(
                {
                    "copies": copies,
                    "x": f"{at:.1f}",
                    "width": f"{wide:.1f}",
                    "middle": f"{at + wide / 2:.1f}" if wide >= TOLD_FROM else "",
                }
            )
        at += wide
    return {"parts": parts, "wide": WIDE, "tall": TALL}


def span_words(chances: Sequence[float]) -> str:
    """The fewest numbers of copies that hold nine in ten chances: '2', '2–3'."""
    spans = [(high - low, -sum(chances[low : high + 1]), low, high)
             for low in range(len(chances)) for high in range(low, len(chances))]  # fmt: skip
    _, _, low, high = min(span for span in spans if -span[1] >= 0.9)
    return str(low) if low == high else f"{low}–{high}"


def error_words(copies: Copies, plant: int) -> str:
    """By how much a plant's chances may be off, where they are an approximation."""
    if copies.exact(plant):
        return ""
    error = copies.error(plant)
    if error != error:
        return "how far off they may be, nobody can say"
    return f"nine in ten chances are right to within {percent(max(error, 0.001))}"


def hedged(chances: Sequence[float], allele: str, most: int = 3) -> str:
    """Copies in words; what is as good as certain is so only under the hypothesis."""
    words = copies_words(chances, allele, most)
    return f"{words.partition(',')[0]}, {HOLDS}" if max(chances) > CERTAIN else words


def at_most(chance: float) -> str:
    """A chance of copies: a hypothesis may be wrong, so none is 100 %."""
    return percent(min(chance, 1 - 1e-9))


def told_words(bits: float) -> str:
    """How much is told by so many bits; one bit halves what is open."""
    if bits < LITTLE:
        return "next to nothing"
    return "little" if bits < MUCH else "much"


def evidence(support: Support) -> str:
    """What copies rest on, without saying how much it tells."""
    return rests_on(support).removesuffix(", which tells next to nothing")


# Standings of the last few loci asked for, as long as the copies that they rest on.
_kept: tuple[GardenCopies | None, dict[str, list[Standing]]] = (None, {})


def standings(held: GardenCopies, symbol: str) -> list[Standing]:
    """Every growing plant; worked out once as long as nothing moves."""
    global _kept
    if _kept[0] is not held:
        _kept = (held, {})
    known = _kept[1]
    if symbol not in known:
        known[symbol] = list(_standings(held, symbol))
    return known[symbol]


def _standings(held: GardenCopies, symbol: str) -> list[Standing]:
    copies, seen = held.of(symbol), held.seen(held.locus(symbol))
    names = {key.pk: fold(key.label) for key in held.kin.pedigree.keys()}  # noqa: SIM118
    found = []
    for key, line in held.kin.lines.items():
        if line.growing:
            chances = copies.copies(key)
            mean = sum(at * chance for at, chance in enumerate(chances))
            found.append(
                Standing(
                    key, names[key], line.iris_class, chances, unsure(chances),
                    copies.support(key).bits, mean, isinstance(seen.get(key), tuple),
                )
            )  # fmt: skip
    return found


def asked_for(found: Sequence[Standing], form: PlantsForm) -> list[Standing]:
    """Those that the form asks for, in its order."""
    told = form.cleaned_data
    part, iris_class = fold(told.get("name") or ""), told.get("iris_class")
    tests = {
        "sure": lambda each: max(each.chances) >= SURE,
        "unsure": lambda each: max(each.chances) < SURE,
        "seen": lambda each: each.seen,
        "unseen": lambda each: not each.seen,
    }
    test = tests.get(told.get("known") or "", lambda each: True)
    kept = [
        each
        for each in found
        if test(each)
        and (not iris_class or each.iris_class == iris_class)
        and (not part or part in each.folded)
    ]
    keys = {
        "unsure": lambda each: -round(each.unsure, 6),
        "most": lambda each: -round(each.mean, 6),
        "fewest": lambda each: round(each.mean, 6),
        "name": lambda each: 0,
    }
    order = keys.get(told.get("sort") or "", lambda each: -round(each.bits, 6))
    return sorted(kept, key=lambda each: (order(each), each.folded))


def rows(held: GardenCopies, symbol: str, form: PlantsForm, first: int) -> dict[str, Any]:
    """A page of the table. One query."""
    found = asked_for(standings(held, symbol), form)
    first = first if first < len(found) else 0
    shown = found[first : first + ON_A_PAGE]
    plants = Plant.live.in_bulk([each.plant for each in shown])
    last = first + len(shown)
    return {
        "plants_form": form,
        "rows": [row(held, symbol, each, plants[each.plant])
                 for each in shown if each.plant in plants],
        "total": len(found),
        "growing": len(standings(held, symbol)),
        "first": first,
        "last": last,
        "more": form.query(first=last) if last < len(found) else "",
        "start": form.query(),
    }  # fmt: skip


def row(held: GardenCopies, symbol: str, told: Standing, plant: Plant) -> dict[str, Any]:
    """One plant at a locus, in words and as a bar."""
    working, copies = held.locus(symbol), held.of(symbol)
    support = copies.support(told.plant)
    seen = held.type_seen(told.plant, working)
    return {
        "plant": plant,
        "bar": bar(told.chances),
        "span": span_words(told.chances),
        "sets": len(told.chances) - 1,
        "words": hedged(told.chances, working.locus.counted),
        "seen": working.locus.type_named(seen).name if seen else "",
        "noted": told.plant in held.noted.get(working.pk, {}),
        "rests": evidence(support),
        "tells": told_words(support.bits),
    }
