"""What the scores say of scorers, seasons, rows and parents, in words and drawings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from evaluation.choosing import known_word
from evaluation.meritplot import HIGH, INK, RULE, WIDE, span_svg
from evaluation.models import Candidate, Criterion
from garden.models import Bed, Person, Plant
from garden.verbs import plural

if TYPE_CHECKING:
    from evaluation.merit import Effect, Merit, Worth
    from evaluation.ranking.agreement import Agreement

# Nearer to the others than that is the same to a gardener's eye, in points.
ALIKE = 1.0
FRACTIONS = (
    (0.01, "next to nothing"), (0.075, "about a twentieth"), (0.15, "about a tenth"),
    (0.225, "about a fifth"), (0.29, "about a quarter"), (0.365, "about a third"),
    (0.45, "about two fifths"), (0.55, "about half"), (0.635, "about three fifths"),
    (0.71, "about two thirds"), (0.775, "about three quarters"), (0.85, "about four fifths"),
    (0.95, "about nine tenths"), (9.0, "nearly all"),
)  # fmt: skip


def fraction(share: float) -> str:
    """A share of 0 to 1 in words: 0.33 is 'about a third'."""
    return next(word for most, word in FRACTIONS if share < most)


def effect_bar(value: float, low: float, high: float, widest: float) -> str:
    """A difference and its interval about the middle line, on a scale `widest` to each side.

    The numbers stand beside it, so it says nothing to somebody who does not see it.
    """
    widest = max(widest, 1e-9)

    def at(points: float) -> float:
        return round(WIDE / 2 * (1 + min(max(points / widest, -1), 1)), 1)

    under = f'<path d="M0 7H{WIDE}" stroke="{RULE}"/>'
    middle = f'<path d="M{WIDE / 2:g} 0V{HIGH}" stroke="{INK}" stroke-width="1.5"/>'
    mark = min(max(at(value) - 2.5, 0), WIDE - 5)
    return span_svg(at(low), at(high), mark, 5, under, middle)


@dataclass(frozen=True, slots=True)
class Told:
    """An effect by its name, drawn and in words; `href` where there is a page of it."""

    name: str
    effect: Effect
    words: str
    bar: str

    @property
    def value(self) -> str:
        return signed(self.effect.value)


def signed(value: float, digits: int = 1) -> str:
    """'+3.2', '−0.4', '0.0'."""
    text = f"{value:+.{digits}f}"
    return text.lstrip("+-") if not float(text) else text.replace("-", "−")


def points_words(value: float) -> str:
    many = f"{abs(value):.0f}"
    return f"{many} point{'' if many == '1' else 's'}"


def laid_out(named: Iterable[tuple[str, Effect]], more: str, less: str, same: str) -> list[Told]:
    """Effects on one scale; `more` and `less` hold `{}` for the points."""
    from evaluation.ranking.telling import reach

    named, wide = list(named), reach()
    widest = max((abs(e.value) + wide * e.error for _, e in named), default=1.0)
    found = []
    for name, effect in named:
        unlike = more if effect.value > 0 else less
        words = (
            same if abs(effect.value) < ALIKE else unlike.format(points_words(effect.value))
        ) + doubt(effect, wide)
        low, high = (effect.value + side * wide * effect.error for side in (-1, 1))
        found.append(Told(name, effect, words, effect_bar(effect.value, low, high, widest)))
    return found


def doubt(effect: Effect, wide: float) -> str:
    """That it may be chance, where no difference lies within `wide` standard errors."""
    if abs(effect.value) < ALIKE or abs(effect.value) > wide * effect.error:
        return ""
    return "; that may be chance"


def of_scorers(merit: Merit) -> list[Told]:
    """Strictness, by name: this is no league of people. One query."""
    people = Person.objects.filter(pk__in=list(merit.scorers)).order_by("name")
    return laid_out(
        [(str(each), merit.scorers[each.pk]) for each in people],
        "gives {} more than the others on the same seedlings",
        "gives {} less than the others on the same seedlings",
        "gives what the others give",
    )


def of_seasons(merit: Merit) -> list[Told]:
    """Seasons, the newest first."""
    effects = sorted(merit.seasons.items(), reverse=True)
    return laid_out(
        [(str(season), effect) for season, effect in effects],
        "a good year: the same seedling got {} more",
        "a hard year: the same seedling got {} less",
        "a year like the others",
    )


def of_places(merit: Merit) -> list[Told]:
    """Rows of beds, the kindest first. One query."""
    beds = {each.pk: str(each) for each in Bed.objects.all()}
    effects = sorted(merit.places.items(), key=lambda item: -item[1].value)
    return laid_out(
        [(place_name(place, beds), effect) for place, effect in effects],
        "{} more than elsewhere",
        "{} less than elsewhere",
        "as elsewhere",
    )


def place_name(place: tuple[int | None, int | None], beds: Mapping[int, str]) -> str:
    bed, row = place
    if bed is None:
        return "No bed noted"
    return f"{beds.get(bed, 'a bed')}, row {row}" if row else beds.get(bed, "a bed")


@dataclass(frozen=True, slots=True)
class Share:
    """One part of what differs between scores, as a share of 0 to 1."""

    title: str
    share: float

    @property
    def percent(self) -> int:
        return round(100 * self.share)

    @property
    def width(self) -> float:
        return round(WIDE * self.share, 1)


def shares_of(merit: Merit) -> list[Share]:
    """The components of variance as shares of one score; [] without any."""
    parts = merit.components
    if parts is None:
        return []
    scorers, places = (*parts.groups, 0.0, 0.0)[:2]
    named = (
        ("Inherited from the parents’ lines", parts.additive),
        ("The seedling’s own besides", parts.own),
        ("Who scored", scorers),
        ("Where it stood", places),
        ("The day, the stalk, chance", parts.residual),
    )
    whole = sum(value for _, value in named)
    return [Share(title, value / whole) for title, value in named] if whole else []


@dataclass(frozen=True, slots=True)
class Scope:
    """Agreement within some of the scores."""

    title: str
    told: Agreement

    @property
    def enough(self) -> bool:
        return self.told.agreement is not None or self.told.alpha == self.told.alpha

    @property
    def alpha(self) -> float | None:
        return None if self.told.alpha != self.told.alpha else self.told.alpha


def agreements() -> list[Scope]:
    """In all, by season, by group of criteria.

    A seedling seen in two seasons, or under two rubrics, counts as two: only like is compared.
    """
    import numpy as np

    from evaluation.ranking.agreement import agreement
    from evaluation.yardstick import yardstick

    told = yardstick()
    if not len(told):
        return []
    alike = np.stack([told.candidate, told.season, told.rubric])
    _, unit = np.unique(alike, axis=1, return_inverse=True)
    unit = unit.ravel()
    found = [Scope("All seasons", agreement(unit, told.person, told.percent))]
    for season in sorted(set(told.season.tolist()), reverse=True):
        there = told.season == season
        found.append(
            Scope(str(season), agreement(unit[there], told.person[there], told.percent[there]))
        )
    words = dict(Criterion.Group.choices)
    for column, group in enumerate(told.groups):
        marks = told.group_percent[:, column]
        found.append(Scope(str(words[group]), agreement(unit, told.person, marks)))
    return found


@dataclass(frozen=True, slots=True)
class Parent:
    """A plant with its breeding value, drawn and in words."""

    plant: Plant
    worth: Worth
    bar: str
    known: str
    # It was judged itself, as a seedling or in the stock.
    itself: bool

    @property
    def rests_on(self) -> str:
        """'5 judged seedlings', 'itself judged', 'told by its kin'."""
        seedlings = self.worth.judged - self.itself
        told = [plural(seedlings, "judged seedling")] if seedlings > 0 else []
        told += ["itself judged"] if self.itself else []
        return " and ".join(told) or "told by its kin"

    @property
    def value(self) -> str:
        return signed(self.worth.value)

    @property
    def low(self) -> str:
        return signed(self.worth.low, 0)

    @property
    def high(self) -> str:
        return signed(self.worth.high, 0)


def ordered(merit: Merit, keys: Iterable[int], sort: str) -> list[Worth]:
    """The worths of these plants, the highest value or the best known first."""
    there = [merit.worths[key] for key in keys if key in merit.worths]
    name = "reliability" if sort == "reliability" else "value"
    return sorted(there, key=lambda worth: (-getattr(worth, name), worth.plant))


def parents_of(worths: list[Worth], widest: float) -> list[Parent]:
    """Lines of these worths. Two queries."""
    keys = [each.plant for each in worths]
    plants: dict[int, Any] = Plant.objects.in_bulk(keys)
    judged = Candidate.live.filter(plant__in=keys, scores__gt=0)
    itself = set(judged.order_by().values_list("plant", flat=True))
    return [
        Parent(
            plants[each.plant],
            each,
            effect_bar(each.value, each.low, each.high, widest),
            known_word(each.reliability),
            each.plant in itself,
        )
        for each in worths
        if each.plant in plants
    ]
