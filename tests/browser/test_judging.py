"""The look-over and the score on a phone: how many taps each answer takes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from breeding.models import Row
from breeding.records import line_out
from evaluation.models import Candidate, Criterion, Glance, Mark, Rubric, Scoring
from garden.models import Garden
from tests.browser.taps import Hand
from tests.cast import Cast, act_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MOST_BYTES = 15_000
THUMB = 844 * 0.5
# The buttons of a position take no tap so soon after it came: that is the second one of a doubled.
SETTLED = 450
CHIPS = {
    "Vigour and health": "4", "Foliage": "5", "Increases": "3", "Strength and balance": "4",
    "Form": "5", "Colour": "3", "Substance": "4", "Seen before?": "Something new",
}  # fmt: skip


@pytest.fixture
def walking(cast: Cast, signed_in: Any, live_server: Any) -> Hand:
    """A hand on the walk along the row."""
    signed_in.goto(live_server.url + reverse("walk-row", args=[cast.row.pk]))
    return Hand(signed_in)


def stands_at(page: Any, position: int) -> None:
    """Waits until the walk stands there, and for a hand that has seen it."""
    expect(page.locator(".walk-at")).to_have_text(f"Position {position}")
    page.wait_for_timeout(SETTLED)


def found() -> list[tuple[int, str]]:
    return list(Glance.live.order_by("position").values_list("position", "found"))


def swipe(page: Any, right: int) -> None:
    box = page.locator("[data-swipe]").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)
    said = "Input.dispatchTouchEvent"
    touch.send(said, {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in range(1, 6):
        at = {"x": x + right * step / 5, "y": y}
        touch.send(said, {"type": "touchMove", "touchPoints": [at]})
    touch.send(said, {"type": "touchEnd", "touchPoints": []})


@pytest.fixture
def in_bloom(cast: Cast, owner: Any) -> Row:
    """A row that should bloom for the first time today, whatever day it is."""
    today = Garden.get().today()
    Garden.objects.update(bloom_from=f"{today:%m-%d}".replace("02-29", "02-28"))
    place = {"bed": cast.bed, "row": 2, "first": 1, "seedlings": 3}
    return line_out(act_of(owner, today - timedelta(days=350)), pot=cast.pot, **place).thing


@pytest.mark.parametrize("by", ["Judge", "today"])
def test_walk__is_at_most_two_taps_from_today(in_bloom: Row, signed_in: Any, by: str) -> None:
    hand = Hand(signed_in)
    if by == "Judge":
        hand.tap("link", by)
    else:
        signed_in.reload()
    signed_in.locator(f"main a[href='{reverse('walk-row', args=[in_bloom.pk])}']").first.tap()
    stands_at(signed_in, 1)
    assert hand.taps + 1 <= 2


def test_nothing__is_one_tap_a_position(walking: Hand) -> None:
    for position in range(1, 13):
        stands_at(walking.page, position)
        walking.tap("button", "Nothing", exact=True)
    expect(walking.page.get_by_role("heading", name="Walked to the end")).to_be_visible()
    assert walking.taps == 12
    assert found() == [(position, "nothing") for position in range(1, 13)]


def test_look_again__is_at_most_two_taps(walking: Hand) -> None:
    walking.tap("button", "Look again")
    stands_at(walking.page, 2)
    assert walking.taps <= 2
    assert found() == [(1, "again")]
    expect(walking.page.get_by_role("link", name="Score it now")).to_be_visible()


def test_answers__are_parts_of_the_page_and_small(walking: Hand) -> None:
    sizes = []
    for position, name in enumerate(("Nothing", "Look again", "Gap", "Dead"), start=1):
        stands_at(walking.page, position)
        with walking.page.expect_response(lambda said: said.request.method == "POST") as told:
            walking.tap("button", name, exact=True)
        sizes.append(len(told.value.body()))
    stands_at(walking.page, 5)
    assert max(sizes) < MOST_BYTES


def test_answers__stay_under_the_thumb_wherever_the_walk_is(walking: Hand) -> None:
    """A tap at the same place goes on: what is told above never pushes the buttons away."""
    page, places = walking.page, []
    for position, name in enumerate(("Nothing", "Look again", "Nothing", "Gap", "Nothing"), 1):
        stands_at(page, position)
        box = page.get_by_role("button", name="Nothing", exact=True).bounding_box()
        places.append(box["y"])
        assert box["height"] >= 48
        assert THUMB < box["y"] < 844 - box["height"]
        walking.tap("button", name, exact=True)
    # The last answer has come too: nothing is still written when the garden is cleared away.
    stands_at(page, 6)
    assert max(places) - min(places) < 40


@pytest.mark.parametrize(("right", "answer"), [(-180, "nothing"), (180, "again")])
def test_swipe__answers_as_the_buttons_do(walking: Hand, right: int, answer: str) -> None:
    swipe(walking.page, right)
    stands_at(walking.page, 2)
    assert found() == [(1, answer)]


def test_double_tap__notes_one_position(walking: Hand) -> None:
    walking.page.get_by_role("button", name="Nothing", exact=True).dblclick()
    stands_at(walking.page, 2)
    assert found() == [(1, "nothing")]


def test_double_tap__whose_second_meets_the_next_position_notes_one(walking: Hand) -> None:
    page = walking.page
    walking.tap("button", "Nothing", exact=True)
    expect(page.locator(".walk-at")).to_have_text("Position 2")
    page.evaluate("document.querySelector('#walk .walk-nothing').click()")
    stands_at(page, 2)
    assert found() == [(1, "nothing")]


def test_back_one__says_it_once_more(walking: Hand) -> None:
    page = walking.page
    walking.tap("button", "Gap")
    stands_at(page, 2)
    walking.tap("link", "Back")
    stands_at(page, 1)
    expect(page.locator(".walk-known")).to_contain_text("gap")
    walking.tap("button", "Dead")
    stands_at(page, 2)
    assert found() == [(1, "dead")]
    walking.tap("button", "Undo")
    expect(page.get_by_role("status")).to_contain_text("Undone")
    assert found() == [(1, "gap")]


def test_undo__takes_the_last_look_back(walking: Hand) -> None:
    walking.tap("button", "Look again")
    stands_at(walking.page, 2)
    walking.tap("button", "Undo")
    expect(walking.page.get_by_role("status").first).to_contain_text("Undone")
    assert found() == []


def test_walk__goes_on_where_it_was_left_when_the_phone_slept(walking: Hand) -> None:
    walking.tap("button", "Nothing", exact=True)
    stands_at(walking.page, 2)
    walking.tap("button", "Look again")
    stands_at(walking.page, 3)
    walking.page.reload()
    stands_at(walking.page, 3)


def test_without_script__the_walk_and_the_score_work(
    cast: Cast, signed_in: Any, browser: Any, live_server: Any
) -> None:
    plain = browser.new_context(
        java_script_enabled=False, storage_state=signed_in.context.storage_state()
    )
    page = plain.new_page()
    page.goto(live_server.url + reverse("walk-row", args=[cast.row.pk]))
    page.get_by_role("button", name="Look again").click()
    expect(page.locator(".walk-at")).to_have_text("Position 2")
    page.get_by_role("button", name="Nothing", exact=True).click()
    expect(page.locator(".walk-at")).to_have_text("Position 3")
    assert found() == [(1, "again"), (2, "nothing")]
    page.get_by_role("link", name="Score position 3").click()
    page.get_by_role("button", name="Full hundred").click()
    page.get_by_text("In writing").click()
    page.get_by_label("Buds on the stalk").fill("t3 b2 s1")
    page.get_by_role("button", name="Keep this score").click()
    expect(page.locator(".walk-at")).to_have_text("Position 4")
    assert Scoring.live.get().stalk == "T3 B2 S1"
    plain.close()


def test_full_score__of_ten_criteria_takes_at_most_fourteen_taps(
    cast: Cast, signed_in: Any, live_server: Any
) -> None:
    """Eight chips, the stalk in two taps, kept: from opened form to kept score."""
    full = Rubric.live.get(purpose="full", replaced_by=None)
    address = reverse("score-seedling", args=[cast.row.pk, 4])
    signed_in.goto(live_server.url + f"{address}?rubric={full.pk}")
    hand = Hand(signed_in)
    for title, word in CHIPS.items():
        group = signed_in.get_by_role("group", name=title, exact=True)
        group.locator("label.mark-chip", has_text=word).first.tap()
        hand.taps += 1
    hand.tap("button", "3 branches")
    hand.tap("button", "1 spur")
    hand.tap("button", "Keep this score")
    expect(signed_in.get_by_role("status").first).to_contain_text("10 marks")
    assert hand.taps <= 14
    scoring = Scoring.live.get()
    given = dict(Mark.live.filter(scoring=scoring).values_list("criterion__key", "value"))
    assert len(given) == Criterion.live.filter(rubric=full).count() == 10
    assert (scoring.stalk, given["buds"], given["branching"]) == ("T3 B2 B2 B2 S1", 10, 4)
    assert (given["form"], given["novelty"]) == (5, 1)


def test_called__is_scored_at_once_and_the_walk_goes_on(walking: Hand) -> None:
    walking.tap("button", "Look again")
    walking.tap("link", "Score it now")
    page = walking.page
    page.locator("label.mark-chip:not(.mark-chip--none)").first.tap()
    walking.tap("button", "Keep this score")
    stands_at(page, 2)
    assert Candidate.live.get().scores == 1


def test_stalk__buds_are_tapped_and_a_chip_is_cleared(
    cast: Cast, signed_in: Any, live_server: Any
) -> None:
    full = Rubric.live.get(purpose="full", replaced_by=None)
    address = reverse("score-seedling", args=[cast.row.pk, 1])
    signed_in.goto(live_server.url + f"{address}?rubric={full.pk}")
    hand = Hand(signed_in)
    hand.tap("button", "2 branches", exact=True)
    hand.tap("button", "Branch 2: 2 buds")
    expect(signed_in.locator("[data-stalk]")).to_contain_text("8 buds in 3 positions")
    form = signed_in.get_by_role("group", name="Form", exact=True)
    for word in ("4", "not judged"):
        form.get_by_role("radio", name=word, exact=True).tap()
    hand.tap("button", "Keep this score")
    expect(signed_in.get_by_role("status").first).to_contain_text("2 marks")
    assert Scoring.live.get().stalk == "T3 B2 B3"
