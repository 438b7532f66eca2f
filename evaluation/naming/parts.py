"""A dossier in words, part by part in the trade's order: the same for the page and the paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from evaluation.naming.dossier import Dossier, Year
from evaluation.naming.measures import COUNTS, Measure
from garden.irisclass import classes, inches, said
from garden.models.stock import COLOUR_PARTS
from garden.verbs import plural, written

NOT_RECORDED = "not recorded"
MEASURED = (
    ("height", "Height"), ("branches", "Branches and spurs"), ("buds", "Buds"),
    ("flower_height", "Flower, height"), ("flower_width", "Flower, width"),
)  # fmt: skip
# Earlier measures that are told beside the newest.
MOST_EARLIER = 3


@dataclass(frozen=True, slots=True)
class Fact:
    """A line of the dossier: what, and how it is; `known` False where nothing is recorded."""

    label: str
    text: str
    beside: str = ""
    known: bool = True


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the dossier: its title, its lines, and what is to be said of them."""

    title: str
    facts: list[Fact]
    notes: tuple[str, ...] = ()


def parts_of(told: Dossier) -> list[Part]:
    """All parts but the photos, in the trade's order."""
    return [
        Part("Name and number", list(_names(told))),
        _class(told),
        Part("Measures", [_measure(label, told.measures.get(key, []), key) for key, label in
                          MEASURED]),
        _bloom(told),
        Part("Flower", list(_flower(told))),
        Part("Parentage", [_fact("Parentage", told.parentage)],
             ("The seed parent stands first. A named parent ends its branch.",)),
        Part("History", [Fact(each.step, each.when, each.text) for each in told.history]
             or [_fact("History", "")]),
        _scores(told),
        Part("Increase", [Fact(str(year), each) for year, each in told.increases]
             or [_fact("Increase", "")]),
    ]  # fmt: skip


def _fact(label: str, text: str, beside: str = "") -> Fact:
    return Fact(label, text or NOT_RECORDED, beside, bool(text))


def _names(told: Dossier) -> Iterator[Fact]:
    plant = told.plant
    if plant.name:
        yield Fact("Name", plant.name)
    else:
        for each in told.names:
            beside = f"proposed by {each.person} on {written(each.day)}"
            yield Fact("Proposed name", each.text, beside)
        if not told.names:
            yield _fact("Proposed name", "")
    yield _fact("Seedling number", plant.number)
    yield _fact("Bred by", plant.breeder)


def _class(told: Dossier) -> Part:
    plant, verdict = told.plant, told.verdict
    by = " or ".join(verdict.codes)
    facts = [
        _fact("Recorded", plant.get_iris_class_display()),
        Fact("By measure", by or "not told", "; ".join(verdict.reasons), bool(by)),
    ]
    return Part(
        "Class", facts, (*verdict.against, *verdict.warnings, f"Limits: {classes().source}")
    )


def _measure(label: str, measures: list[Measure], key: str) -> Fact:
    if not measures:
        return _fact(label, "")
    newest, *earlier = measures
    when = f" on {written(newest.day)}" if newest.day else ""
    beside = f"{newest.of}{when}" + (f" by {newest.by}" if newest.by else "")
    if earlier:
        told = ", ".join(f"{each.value:g}" for each in earlier[:MOST_EARLIER])
        beside += f"; before that {told}"
    return Fact(label, _amount(newest.value, key), beside)


def _amount(value: float, key: str) -> str:
    if key in COUNTS:
        return f"{value:g}"
    return f"{value:g} cm ({said(inches(value))} in)"


def _bloom(told: Dossier) -> Part:
    plant = told.plant
    letters = f"{plant.season}, {plant.get_season_display().lower()}" if plant.season else ""
    facts = [
        _fact("Season", letters, "of its class" if letters else ""),
        Fact("Rebloom", "yes, RE" if plant.rebloom else "none recorded"),
        *(Fact(str(each.season), each.words) for each in told.blooms),
    ]
    return Part("Bloom", facts, (classes().bloom_source,))


def _flower(told: Dossier) -> Iterator[Fact]:
    plant = told.plant
    yield _fact("Pattern", plant.pattern)
    yield _fact("Description", plant.description)
    for name in COLOUR_PARTS:
        if value := getattr(plant, name):
            yield Fact(name.capitalize(), value)


def _scores(told: Dossier) -> Part:
    facts = [Fact(str(each.season), _year(each)) for each in told.years]
    words = (told.merit_words,) if told.merit_words else ()
    return Part("Scores", facts or [_fact("Scores", "")], words)


def _year(year: Year) -> str:
    mean = f", mean {year.mean:.0f} of 100" if year.mean is not None else ""
    return f"{plural(year.scores, 'score')} by {plural(year.people, 'person', 'people')}{mean}"
