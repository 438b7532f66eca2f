"""The look-over in the bed with the garden out of reach: order, ways on, two phones, the thumb."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect

from breeding.models import Row
from evaluation.models import Glance, LookOver
from tests.browser.bedside import answer, away, back, go, looks, stands_at, waits, walk
from tests.browser.test_judging import swipe
from tests.cast import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_walk__goes_on_after_a_reload_with_what_waits(judging: Any, cast: Cast) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    answer(judging, "Look again", "lace")
    stands_at(judging, 2)
    answer(judging, "Gap")
    stands_at(judging, 3)
    judging.reload()
    stands_at(judging, 3)
    go(judging, "walk")
    expect(judging.locator(".bed-lines li").first).to_contain_text("2 of 12 looked at, 1 called")
    go(judging, f"walk/{cast.row.pk}/1")
    expect(judging.locator(".walk-known")).to_contain_text("Noted on this walk: look again, lace")
    assert len(waits(judging)) == 2


def test_walks__of_two_people_on_two_phones_stay_apart(
    take: Callable[[Any], Any], judging: Any, cast: Cast, owner: Any, helper_person: Any
) -> None:
    other = take(helper_person)
    for page, name in ((judging, "Gap"), (other, "Look again")):
        away(page)
        walk(page, cast.row, 1)
        answer(page, name)
        stands_at(page, 2)
        answer(page, "Nothing")
        stands_at(page, 3)
    back(judging)
    back(other)
    assert [one[1] for one in looks(owner)] == ["gap", "nothing"]
    assert [one[1] for one in looks(helper_person)] == ["again", "nothing"]
    assert LookOver.live.count() == 2


def test_walk__to_its_end_counts_and_goes_on_with_the_next_stretch(
    judging: Any, cast: Cast, rows_in_bloom: Row
) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    for position in range(1, 13):
        stands_at(judging, position)
        answer(judging, "Look again" if position == 5 else "Nothing")
    stands_at(judging, 15)
    for position in (15, 16):
        answer(judging, "Nothing")
        stands_at(judging, position + 1)
    answer(judging, "Dead")
    expect(judging.get_by_role("heading", name="Walked to the end")).to_be_visible()
    counts = [" ".join(one.split()) for one in judging.locator(".facts div").all_inner_texts()]
    assert counts == ["Nothing 13", "Look again 1", "Dead 1"]
    expect(judging.get_by_role("link", name="Score 5")).to_be_visible()
    expect(judging.get_by_role("link", name="Other rows")).to_be_visible()
    back(judging)
    assert LookOver.live.count() == 2
    assert Glance.live.filter(look_over__row=rows_in_bloom).count() == 3


def test_walk__begun_anew_at_the_other_end_is_another_one(judging: Any, cast: Cast) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    answer(judging, "Gap")
    stands_at(judging, 2)
    judging.get_by_text("Elsewhere in the row").tap()
    judging.get_by_role("button", name="Begin anew at the other end").tap()
    stands_at(judging, 12)
    for position in range(12, 2, -1):
        answer(judging, "Nothing")
        stands_at(judging, position - 1)
    answer(judging, "Nothing")
    # Nothing stands at the first position: it is passed.
    expect(judging.get_by_role("heading", name="Walked to the end")).to_be_visible()
    back(judging)
    first, second = LookOver.live.order_by("pk")
    assert (first.backward, first.glances.count()) == (False, 1)
    assert (second.backward, second.glances.count()) == (True, 11)


def test_back_and_elsewhere__say_a_position_once_more(judging: Any, cast: Cast, owner: Any) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    answer(judging, "Gap")
    stands_at(judging, 2)
    judging.get_by_role("button", name="Back", exact=True).tap()
    stands_at(judging, 1)
    answer(judging, "Nothing")
    stands_at(judging, 2)
    judging.get_by_text("Elsewhere in the row").tap()
    judging.get_by_label("Position", exact=True).fill("7")
    judging.keyboard.press("Enter")
    stands_at(judging, 7)
    judging.get_by_text("A note on").tap()
    judging.get_by_label("Note on this seedling").fill("lace")
    judging.keyboard.press("Enter")
    assert len(waits(judging)) == 2
    answer(judging, "Look again")
    stands_at(judging, 8)
    back(judging)
    assert [one[:3] for one in looks(owner)] == [(1, "nothing", ""), (7, "again", "lace")]


@pytest.mark.parametrize(("right", "found"), [(-180, "nothing"), (180, "again")])
def test_swipe__answers_and_a_doubled_tap_notes_one(
    judging: Any, cast: Cast, owner: Any, right: int, found: str
) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    swipe(judging, right)
    stands_at(judging, 2)
    judging.get_by_role("button", name="Nothing", exact=True).dblclick()
    stands_at(judging, 3)
    back(judging)
    assert [one[:2] for one in looks(owner)] == [(1, found), (2, "nothing")]


def test_answers__stay_under_the_thumb(judging: Any, cast: Cast) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    places = []
    for position, name in enumerate(("Nothing", "Look again", "Gap", "Dead", "Nothing"), start=1):
        stands_at(judging, position)
        places.append(judging.locator(".walk-nothing").bounding_box())
        answer(judging, name)
    assert max(box["y"] for box in places) - min(box["y"] for box in places) < 4
    assert all(box["y"] > 844 / 2 and box["height"] >= 48 for box in places)
