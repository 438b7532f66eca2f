"""The verbs of rubrics, and the rubrics that every garden begins with."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from evaluation.models import Criterion, Rubric, Scoring
from evaluation.ready import lay_out_rubrics
from evaluation.records import revise_rubric, score, write_rubric
from evaluation.records.rubrics import fields_of
from garden.models import JournalLine
from garden.records import undo
from garden.verbs import Refused
from tests.cast import Cast

pytestmark = pytest.mark.django_db

Acts = Callable[..., Any]
FORM = {"key": "form", "title": "Form", "group": "flower", "scale": "points", "weight": 60.0,
        "least": 0.0, "full": 5.0, "full_words": "Broad falls"}  # fmt: skip
BUDS = {"key": "buds", "title": "Buds", "group": "stalk", "scale": "count", "weight": 40.0,
        "least": 3.0, "full": 10.0, "counted": "buds", "full_words": "Ten or more"}  # fmt: skip


@pytest.fixture
def full(bare: object) -> Rubric:
    return Rubric.live.get(name="Full hundred")


def weights_of(rubric: Rubric) -> dict[str, float]:
    return {each.key: each.weight for each in Criterion.live.filter(rubric=rubric)}


def test_ready__two_rubrics_of_a_hundred_points_with_one_set_of_group_weights(full) -> None:
    for rubric in Rubric.live.all():
        sums: dict[str, float] = {}
        for each in Criterion.live.filter(rubric=rubric):
            sums[each.group] = sums.get(each.group, 0) + each.weight
            assert each.full_words
        assert sums == {"plant": 30, "stalk": 35, "flower": 25, "distinct": 10}
        assert rubric.source
    assert set(Rubric.live.values_list("purpose", flat=True)) == {"walk", "full"}


def test_ready__laid_out_once_and_never_over_a_garden_s_own(full, act: Acts) -> None:
    revise_rubric(act(), rubric=full, weights={"buds": 20}, reason="buds are weeks")
    before = list(Rubric.objects.order_by("pk").values_list())
    lay_out_rubrics()
    assert list(Rubric.objects.order_by("pk").values_list()) == before


def test_write_rubric__with_its_criteria_in_order(bare, act: Acts) -> None:
    kept = write_rubric(act(), name="Quick look", purpose="walk", criteria=[BUDS, FORM])
    assert kept.line.text == "Wrote the rubric Quick look with 2 criteria"
    assert [each.key for each in kept.thing.criteria.order_by("order")] == ["buds", "form"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"name": " "}, "Give the rubric a name"),
        ({"name": "full HUNDRED"}, "already"),
        ({"criteria": []}, "from 1 to 40"),
        ({"criteria": [FORM, FORM]}, "same name"),
        ({"criteria": [{**FORM, "weight": 0}]}, "to 1 at least"),
        ({"criteria": [FORM, {**BUDS, "weight": -1}]}, "not below 0"),
        ({"criteria": [{**FORM, "least": 5.0}]}, "another value"),
        ({"criteria": [{**FORM, "scale": "choice", "choices": [["one", 1]]}]}, "two words or more"),
        ({"criteria": [{**FORM, "counted": "buds"}]}, "is a count"),
    ],
)
def test_write_rubric__refused(bare, act: Acts, change: dict[str, Any], said: str) -> None:
    many = Rubric.objects.count(), Criterion.objects.count()
    told = {"name": "Quick look", "purpose": "walk", "criteria": [FORM], **change}
    with pytest.raises(Refused, match=said):
        write_rubric(act(), **told)
    assert (Rubric.objects.count(), Criterion.objects.count()) == many


def test_revise_rubric__the_next_version_and_the_old_one_keeps_its_scores(
    cast: Cast, act: Acts
) -> None:
    full = Rubric.live.get(name="Full hundred")
    score(act(), rubric=full, row=cast.row, position=2, marks={"form": 4})
    new = revise_rubric(act(), rubric=full, weights={"buds": 20}, reason="buds are weeks").thing
    full.refresh_from_db()
    assert (new.version, new.name, full.replaced_by) == (2, full.name, new)
    assert weights_of(new) == {**weights_of(full), "buds": 20}
    assert weights_of(full)["buds"] == 13
    assert Scoring.live.get().rubric == full


def test_revise_rubric__other_criteria_keep_the_keys(full, act: Acts) -> None:
    told = [fields_of(each) for each in Criterion.live.filter(rubric=full)]
    told = [each for each in told if each["key"] != "foliage"]
    told.append({**FORM, "key": "scent", "title": "Scent", "weight": 3.0})
    new = revise_rubric(act(), rubric=full, criteria=told, reason="a garden for noses").thing
    assert set(weights_of(new)) == set(weights_of(full)) - {"foliage"} | {"scent"}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"reason": " "}, "why it is changed"),
        ({"weights": {}}, "Nothing was changed"),
        ({"weights": {"scent": 3}}, "no criterion scent"),
        ({"weights": {"buds": -3}}, "not below 0"),
    ],
)
def test_revise_rubric__refused(full, act: Acts, change: dict[str, Any], said: str) -> None:
    told = {"rubric": full, "weights": {"buds": 20}, "reason": "buds are weeks", **change}
    with pytest.raises(Refused, match=said):
        revise_rubric(act(), **told)
    assert Rubric.objects.filter(name=full.name).count() == 1


def test_revise_rubric__an_old_version_is_refused_and_its_successor_named(full, act: Acts) -> None:
    revise_rubric(act(), rubric=full, weights={"buds": 20}, reason="buds are weeks")
    with pytest.raises(Refused, match="replaced by Full hundred, version 2"):
        revise_rubric(act(), rubric=full, weights={"buds": 9}, reason="no they are not")


def test_rubrics__only_the_owner_writes_them(full, act: Acts, helper_person: object) -> None:
    with pytest.raises(Refused, match="owner"):
        write_rubric(act(helper_person), name="Mine", purpose="walk", criteria=[FORM])
    with pytest.raises(Refused, match="owner"):
        revise_rubric(act(helper_person), rubric=full, weights={"buds": 1}, reason="so")
    assert Rubric.objects.count() == 2


def test_revise_rubric__undone_the_old_version_stands_again(full, act: Acts) -> None:
    kept = revise_rubric(act(), rubric=full, weights={"buds": 20}, reason="buds are weeks")
    undo(act(), line=JournalLine.objects.get(pk=kept.line.pk))
    full.refresh_from_db()
    assert full.replaced_by is None
    assert list(Rubric.live.filter(name=full.name)) == [full]
    again = revise_rubric(act(), rubric=full, weights={"buds": 21}, reason="once more").thing
    assert again.version == 3
