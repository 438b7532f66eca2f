"""Scores as they were given, with the points that they earn under their own rubric."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from evaluation.models import Criterion, Mark, Scoring
from evaluation.ranking.points import Criterion as Scale
from evaluation.ranking.points import judged_on, points, shares
from evaluation.stalk import Stalk, parse_stalk


@dataclass(frozen=True, slots=True)
class Line:
    """One criterion of a score: the mark as given (None: not judged) and its share, 0 to 1."""

    criterion: Criterion
    value: float | None
    share: float | None

    @property
    def said(self) -> str:
        """The mark in words; '' when it was not judged."""
        if self.value is None:
            return ""
        if self.criterion.scale == Criterion.Scale.CHOICE:
            return str(self.criterion.choices[int(self.value)][0])
        if self.criterion.scale == Criterion.Scale.YES_NO:
            return "yes" if self.value else "no"
        return f"{self.value:g} {self.criterion.unit}".strip()


@dataclass(frozen=True, slots=True)
class Total:
    """Points of one score: of `full`, `possible` could be earned with the marks given.

    `percent` is of the possible ones (None: nothing judged), `given` the judged share of the
    weights, `lowest` and `highest` what the missing marks leave open; `groups` percent by group.
    """

    full: float
    earned: float
    possible: float
    percent: float | None
    given: float
    lowest: float
    highest: float
    groups: dict[str, float | None]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One score with its marks, its points, what they rest on in words, and its stalk."""

    scoring: Scoring
    points: Total
    lines: list[Line]
    rests_on: str
    stalk: Stalk | None


def scale_of(criterion: Criterion) -> Scale:
    """A criterion as the sums take it."""
    return Scale(
        key=criterion.key,
        group=criterion.group,
        title=criterion.title,
        weight=criterion.weight,
        scale=criterion.scale,
        least=criterion.least,
        full=criterion.full,
        choices=tuple((word, float(share)) for word, share in criterion.choices),
        unit=criterion.unit,
    )


def sheets_of(scorings: Iterable[Scoring]) -> list[Sheet]:
    """The sheets of scores, in their order. Two queries."""
    scorings = list(scorings)
    if not scorings:
        return []
    rubrics = {each.rubric_id for each in scorings}
    criteria: dict[int, list[Criterion]] = defaultdict(list)
    for each in Criterion.objects.filter(rubric__in=rubrics).order_by("rubric", "order"):
        criteria[each.rubric_id].append(each)
    marks: dict[int, dict[int, float]] = defaultdict(dict)
    given = Mark.live.filter(scoring__in=[each.pk for each in scorings])
    for scoring, criterion, value in given.values_list("scoring", "criterion", "value"):
        marks[scoring][criterion] = value
    return [_sheet(each, criteria[each.rubric_id], marks[each.pk]) for each in scorings]


def _sheet(scoring: Scoring, criteria: list[Criterion], marks: dict[int, float]) -> Sheet:
    scales = [scale_of(each) for each in criteria]
    row = [marks.get(each.pk, float("nan")) for each in criteria]
    earned = [None if share != share else float(share) for share in shares(scales, [row])[0]]
    lines = [
        Line(each, marks.get(each.pk), share) for each, share in zip(criteria, earned, strict=True)
    ]
    stalk = parse_stalk(scoring.stalk) if scoring.stalk else None
    return Sheet(scoring, _total(scales, row), lines, judged_on(scales, row), stalk)


def _total(scales: list[Scale], row: list[float]) -> Total:
    told = points(scales, [row])
    return Total(
        full=told.full,
        earned=float(told.earned[0]),
        possible=float(told.possible[0]),
        percent=_known(told.percent[0]),
        given=float(told.given[0]),
        lowest=float(told.lowest[0]),
        highest=float(told.highest[0]),
        groups={
            group: _known(percent)
            for group, percent in zip(told.groups, told.group_percent[0], strict=True)
        },
    )


def _known(value: float) -> float | None:
    return None if value != value else float(value)
