"""Breeding values as plans of crosses take them: of all scores, and of single criteria."""

from __future__ import annotations

from typing import Any

import pytest

from breeding import worths
from breeding.models import Cross
from breeding.records import count_up, harvest, line_out, note_pod, record_pollination, sow
from evaluation.models import Rubric
from evaluation.records import score
from garden.models import Garden
from tests.cast import COUNTED, HARVESTED, LINED_OUT, LOOKED, SOWN, WORKED, Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def two_families(act: Any, cast: Cast) -> Cast:
    """A second row beside the first, of postman × semaphore; its seedlings have poor form."""
    pair = {"seed_parent": cast.postman, "pollen_parent": cast.semaphore}
    pod = record_pollination(act(day=WORKED), **pair, tag=cast.tags[5]).thing
    note_pod(act(day=LOOKED), pollination=pod, pod_set=True)
    cup = harvest(act(day=HARVESTED), pollination=pod, seeds=30).thing
    pot = sow(act(day=SOWN), cup=cup, seeds=30).thing
    count_up(act(day=COUNTED), pot=pot, standing_now=20)
    row = line_out(act(day=LINED_OUT), pot=pot, bed=cast.bed, row=2, first=1, seedlings=12).thing
    full = Rubric.live.get(name="Full hundred")
    for position in range(1, 7):
        for place, form, vigour in ((cast.row, 5, 2), (row, 1, 4)):
            marks = {"form": form, "vigour": vigour}
            score(act(), rubric=full, row=place, position=position, marks=marks)
    assert Cross.live.count() == 3
    return cast


def test_values__nothing_is_judged(bare: Garden) -> None:
    assert worths.values(bare) == worths.Values()


def test_values__of_a_trait_go_to_the_parents_by_their_seedlings(
    two_families: Cast, garden_row: Garden
) -> None:
    cast = two_families
    found = worths.values(Garden.get(), ["form", "vigour"])
    form, vigour = found.traits["form"], found.traits["vigour"]
    assert form[cast.teapot.pk].value > 0 > form[cast.postman.pk].value
    assert vigour[cast.teapot.pk].value < 0 < vigour[cast.postman.pk].value
    told = form[cast.teapot.pk]
    assert 0 < told.reliability < 1
    assert told.error < found.trait_spread["form"]
    # The guest has no judged kin.
    assert cast.guest.pk not in form


def test_values__are_the_same_object_until_a_score_moves(
    act: Any, two_families: Cast, django_assert_num_queries: Any
) -> None:
    garden = Garden.get()
    first = worths.values(garden, ["form"])
    with django_assert_num_queries(1):
        assert worths.values(garden, ["form"]) is first
    full = Rubric.live.get(name="Full hundred")
    score(act(), rubric=full, row=two_families.row, position=9, marks={"form": 3})
    assert worths.values(Garden.get(), ["form"]) is not first


def test_traits__of_the_rubrics_in_use_each_once(bare: Garden) -> None:
    keys = [key for key, _ in worths.traits()]
    assert "form" in keys
    assert len(set(keys)) == len(keys)


def test_values__without_anybody_who_judges(bare: Garden) -> None:
    from evaluation.worthiness import JUDGE

    worths.judged_by(None)
    try:
        assert worths.values(bare, ["form"]) == worths.Values()
        assert worths.traits() == []
    finally:
        worths.judged_by(JUDGE)
