"""What the database itself refuses of judging, below all verbs and forms."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from evaluation.models import (
    Candidate,
    Criterion,
    Glance,
    JudgingVersion,
    LookOver,
    Mark,
    Rubric,
    Scoring,
)
from evaluation.records import glance, score
from tests.cast import IN_BLOOM
from tests.refusals import breaks


def candidate(**values: object) -> Callable[[], object]:
    return lambda: Candidate.objects.create(noted_on=IN_BLOOM, **values)


@pytest.fixture
def full() -> Rubric:
    return Rubric.live.get(name="Full hundred")


def test_candidate__stands_in_a_row_or_is_a_plant(cast) -> None:
    rule = "candidate_stands_somewhere"
    breaks(rule, candidate())
    breaks(rule, candidate(row=cast.row))
    breaks(rule, candidate(row=cast.row, position=0))
    breaks(rule, candidate(position=3, plant=cast.oboe))
    assert candidate(row=cast.row, position=3)().pk
    assert candidate(plant=cast.oboe)().pk


def test_candidate__position_and_plant_once(cast) -> None:
    candidate(row=cast.row, position=3, plant=cast.oboe)()
    breaks("row.*position", candidate(row=cast.row, position=3))
    breaks("plant", candidate(plant=cast.oboe))
    Candidate.objects.update(struck=True)
    assert candidate(row=cast.row, position=3, plant=cast.oboe)().pk


def test_glance__position_once_in_a_walk(act, cast) -> None:
    glance(act(), row=cast.row, position=3, found="nothing")
    walk = LookOver.live.get()
    again = {"look_over": walk, "position": 3, "found": "gap", "day": IN_BLOOM}
    breaks("look_over.*position", lambda: Glance.objects.create(**again))


def test_mark__criterion_once_in_a_score(act, cast, full) -> None:
    score(act(), rubric=full, row=cast.row, position=3, marks={"form": 4})
    mark = Mark.live.get()
    twin = {"scoring": Scoring.live.get(), "criterion": mark.criterion, "value": 5}
    breaks("scoring.*criterion", lambda: Mark.objects.create(**twin))


def test_rubric__version_once_and_from_one(full) -> None:
    breaks("name.*version", lambda: Rubric.objects.create(name=full.name, purpose="full"))
    breaks("version_from_one", lambda: Rubric.objects.filter(pk=full.pk).update(version=0))


@pytest.mark.parametrize(
    ("rule", "values"),
    [
        ("criterion_weight_possible", {"weight": -1}),
        ("criterion_full_differs_from_least", {"least": 4, "full": 4}),
        ("criterion_counted_is_a_count", {"scale": "points", "counted": "buds"}),
    ],
)
def test_criterion__impossible_scale(full, rule: str, values: dict[str, object]) -> None:
    one = Criterion.objects.get(rubric=full, key="buds")
    breaks(rule, lambda: Criterion.objects.filter(pk=one.pk).update(**values))


def test_judging_version__is_one_row(db) -> None:
    breaks("judging_version_only_one", lambda: JudgingVersion.objects.create(pk=2))


pytestmark = pytest.mark.django_db
