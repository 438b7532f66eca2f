"""What the scores say of plants as parents, in the form in which plans of crosses take it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from breeding.kin import the_pedigree
from breeding.worths import Judge, Value, Values
from evaluation.merit import Merit, the_merit
from evaluation.models import Candidate, Criterion, Mark
from evaluation.ranking.points import shares
from evaluation.sheets import scale_of
from garden.models import Garden

if TYPE_CHECKING:
    from evaluation.ranking.ranking import Judgements, Unit

# Known by less than this is not known.
LEAST = 0.01
# Single criteria are not told from fewer marks.
ENOUGH = 4
# Sets of criteria whose values are kept.
MOST_KEPT = 8
UNITS = ("pk", "plant", "row__cross__seed_parent", "row__cross__pollen_parent")
MARKS = (
    "scoring__candidate", "scoring__person", "scoring__season", "scoring__bed",
    "scoring__bed_row", "criterion", "value",
)  # fmt: skip
# (candidate, person, season, bed, row of the bed, share of full marks)
Row = tuple[int, int, int, int | None, int | None, float]

_held: tuple[Merit | None, dict[tuple[str, ...], Values]] = (None, {})


def values(garden: Garden, traits: list[str]) -> Values:
    """Breeding values of all plants, of all scores together and of some criteria.

    A query when nothing moved since. Otherwise the model of merit is solved, and once more for each
    criterion.
    """
    global _held
    merit = the_merit(garden)
    if _held[0] is not merit:
        _held = (merit, {})
    kept, asked = _held[1], tuple(sorted(set(traits)))
    if asked not in kept:
        if len(kept) >= MOST_KEPT:
            kept.pop(next(iter(kept)), None)
        kept[asked] = _values(garden, merit, asked)
    return kept[asked]


def _values(garden: Garden, merit: Merit, traits: Sequence[str]) -> Values:
    whole = {
        key: Value(worth.value, worth.error, worth.reliability)
        for key, worth in merit.worths.items()
        if worth.reliability >= LEAST
    }
    if not traits:
        return Values(whole)
    marks = _marks(traits)
    told = {key: _trait(garden, rows) for key, rows in marks.items() if len(rows) >= ENOUGH}
    return Values(
        whole,
        {key: found for key, (found, _) in told.items()},
        {key: spread for key, (_, spread) in told.items()},
    )


def _marks(traits: Sequence[str]) -> dict[str, list[Row]]:
    """All marks of some criteria, by key, as shares of full marks. Two queries."""
    criteria = {each.pk: each for each in Criterion.objects.filter(key__in=traits)}
    given: dict[int, list[tuple[Any, ...]]] = {pk: [] for pk in criteria}
    marks = Mark.live.filter(
        criterion__in=list(criteria), scoring__struck=False, scoring__candidate__struck=False
    )
    for *row, criterion, value in marks.order_by("pk").values_list(*MARKS):
        given[criterion].append((*row, value))
    found: dict[str, list[Row]] = {}
    for pk, rows in given.items():
        scale = scale_of(criteria[pk])
        worth = shares([scale], [[row[-1]] for row in rows])[:, 0].tolist() if rows else []
        found.setdefault(criteria[pk].key, []).extend(
            (*row[:-1], share) for row, share in zip(rows, worth, strict=True) if share == share
        )
    return found


def _trait(garden: Garden, rows: Sequence[Row]) -> tuple[dict[int, Value], float]:
    """Breeding values of one criterion in points of 100, and their spread among founders.

    The model of merit, with the usual shares of the variance: those of single criteria are not
    estimated. A query.
    """
    from evaluation.ranking.components import usual
    from evaluation.ranking.ranking import rank

    units, judgements = _laid_out(rows)
    components = usual(judgements.value, judgements.season)
    try:
        found = rank(judgements, units, the_pedigree(garden).pedigree, components=components)
    except ValueError:
        return {}, 0.0
    worths = found.worths
    columns = (worths.values.tolist(), worths.errors.tolist(), worths.reliability.tolist())
    told = {
        int(plant): Value(value, error, sure)
        for plant, value, error, sure in zip(worths.plants, *columns, strict=True)
        if sure >= LEAST
    }
    return told, components.additive**0.5


def _laid_out(rows: Sequence[Row]) -> tuple[list[Unit], Judgements]:
    import numpy as np

    from evaluation.ranking.ranking import Judgements, Unit

    units = [Unit(*row) for row in Candidate.live.order_by("pk").values_list(*UNITS)]
    seat = {unit.key: at for at, unit in enumerate(units)}
    there = [row for row in rows if row[0] in seat]
    places = {row[3:5]: at for at, row in enumerate(there)}
    columns = np.array([(seat[row[0]], row[1], row[2], places[row[3:5]]) for row in there])
    unit, person, season, place = columns.astype(np.int64).T
    points = np.array([100 * row[5] for row in there])
    return units, Judgements(points, unit, person, season, place, np.ones(len(there)))


def traits() -> list[tuple[str, str]]:
    """The criteria of the rubrics in use, each once, those of the full score first. A query."""
    criteria = Criterion.live.filter(rubric__struck=False, rubric__replaced_by=None)
    found = criteria.order_by("rubric__purpose", "order").values_list("key", "title")
    titles: dict[str, str] = {}
    for key, title in found:
        titles.setdefault(key, title)
    return list(titles.items())


JUDGE = Judge(values, traits)
