"""The page of a cross from its seedlings' side."""

from __future__ import annotations

import pytest
from django.urls import reverse

from evaluation.crossview import LEAST, Outcome, scale_of, strip
from evaluation.models import Rubric
from evaluation.records import decide_at, glance, score
from tests.pages import texts

pytestmark = pytest.mark.django_db


@pytest.fixture
def judged(act, cast) -> None:
    full = Rubric.live.get(name="Full hundred")
    for position, form in enumerate((5, 4, 3, 2, 1, 0), start=1):
        score(act(), rubric=full, row=cast.row, position=position, marks={"form": form})
    decide_at(act(), row=cast.row, position=1, verdict="keep")
    glance(act(), row=cast.row, position=9, found="nothing")


def address(cast) -> str:
    return reverse("cross-seedlings", args=[cast.cross.code])


def test_it_shows_the_seedlings_the_best_first(owner_client, cast, judged) -> None:
    page = owner_client.get(address(cast))
    told = texts(page, ".brood li")
    assert len(told) == 6
    assert "24-001A" in told[0]
    assert "Keep" in told[0]


def test_it_counts_what_came_of_it(owner_client, cast, judged) -> None:
    facts = texts(owner_client.get(address(cast)), "dl.facts > div")
    assert any(told.startswith("Lined out") and told.endswith("12") for told in facts)
    kept = next(told for told in facts if told.startswith("Kept"))
    # Wilson 1927 for 1 of 12: 1.5 to 35.4 %.
    assert "1 of 12: 8 %" in kept
    assert "(1 to 35 %)" in kept


def test_it_compares_only_where_there_is_enough(owner_client, cast, judged, act) -> None:
    page = owner_client.get(address(cast))
    assert "6 scored seedlings: mean" in texts(page, "figcaption")[0]
    assert LEAST == 5


def test_it_says_when_nothing_was_noted(owner_client, cast) -> None:
    assert "No seedling of this cross" in texts(owner_client.get(address(cast)), ".brood li")[0]


def test_it_asks_as_often_however_many_seedlings(
    owner_client, cast, judged, django_assert_max_num_queries
) -> None:
    owner_client.get(address(cast))
    with django_assert_max_num_queries(16):
        owner_client.get(address(cast))


def test_strip__one_dot_for_each_seedling(cast) -> None:
    one = Outcome(cast.cross, merits=[51.0, 52.0, 52.1, 70.0])
    drawn = strip(one, scale_of([one]))
    assert drawn.count("<circle") == 4
    assert "Merit of 4 seedlings: 51, 52, 52, 70" in drawn
    assert "style" not in drawn


def test_scale__whole_tens_and_never_empty(cast) -> None:
    assert scale_of([]) == (0.0, 100.0)
    assert scale_of([Outcome(cast.cross, merits=[50.0])]) == (50.0, 60.0)
