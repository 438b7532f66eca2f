"""What a rubric weighs: its criteria by group, each group's sum, and its bar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Count, QuerySet

from evaluation.models import Criterion, Rubric, Scoring

Scale = Criterion.Scale
# Each beside the next, told apart by lightness as well.
FILLS = {"plant": "#1d4c2b", "stalk": "#a9c79a", "flower": "#47207c", "distinct": "#f0ae2e"}
WIDE = 200
MOST_VERSIONS = 100


@dataclass(slots=True)
class Weighed:
    """One group with its criteria; `x` and `width` are its piece of a bar `WIDE` long."""

    key: str
    title: str
    fill: str
    weight: float = 0.0
    criteria: list[Criterion] = field(default_factory=list)
    x: float = 0.0
    width: float = 0.0


def groups_of(weights: Iterable[tuple[str, float]]) -> list[Weighed]:
    """All groups in their order, with the sums of these (group, weight)."""
    found = {key: Weighed(key, str(word), FILLS[key]) for key, word in Criterion.Group.choices}
    for key, weight in weights:
        found[key].weight += weight
    whole, x = sum(each.weight for each in found.values()), 0.0
    for each in found.values():
        each.weight = round(each.weight, 4)
        each.x, each.width = round(x, 2), round(WIDE * each.weight / whole, 2) if whole else 0.0
        x += each.width
    return list(found.values())


def weighed(criteria: Iterable[Criterion]) -> list[Weighed]:
    """Criteria laid under their groups; groups that have none are left out."""
    criteria = list(criteria)
    found = groups_of((each.group, each.weight) for each in criteria)
    for group in found:
        group.criteria = [each for each in criteria if each.group == group.key]
    return [group for group in found if group.criteria]


def whole(groups: Iterable[Weighed]) -> float:
    """All weights together."""
    return round(sum(each.weight for each in groups), 4)


def scale_words(criterion: Criterion) -> str:
    """How it is marked: 'count: 3 earns nothing, 10 earns all'."""
    if criterion.scale == Scale.CHOICE:
        return ", ".join(f"{word} {100 * share:g} %" for word, share in criterion.choices)
    if criterion.scale == Scale.YES_NO:
        return "yes earns all, no earns nothing"
    unit = f" {criterion.unit}" if criterion.unit else ""
    ends = f"{criterion.least:g}{unit} earns nothing, {criterion.full:g}{unit} earns all"
    counted = f" ({criterion.get_counted_display().lower()} of the stalk)" * bool(criterion.counted)
    return f"{criterion.get_scale_display().lower()}{counted}: {ends}"


def newest() -> QuerySet[Rubric]:
    """The versions that scores are given under now, those of the first walk first."""
    return Rubric.live.filter(replaced_by=None).order_by("-purpose", "name")


def criteria_of(rubrics: Iterable[Rubric]) -> dict[int, list[Criterion]]:
    """By rubric its criteria in order. One query."""
    found: dict[int, list[Criterion]] = {rubric.pk: [] for rubric in rubrics}
    for each in Criterion.live.filter(rubric__in=list(found)).order_by("rubric", "order"):
        found[each.rubric_id].append(each)
    return found


def scores_under(names: Iterable[str]) -> dict[int, int]:
    """By version how many scores stand under it, of the rubrics of these names. One query."""
    given = Scoring.live.filter(rubric__name__in=list(names))
    return dict(given.order_by().values_list("rubric").annotate(Count("pk")))


def versions_of(rubric: Rubric) -> list[tuple[Rubric, int]]:
    """Every version of the same rubric, the newest first, with its scores. Two queries."""
    counts: Mapping[int, int] = scores_under([rubric.name])
    versions = Rubric.live.filter(name=rubric.name).order_by("-version")[:MOST_VERSIONS]
    return [(each, counts.get(each.pk, 0)) for each in versions]
