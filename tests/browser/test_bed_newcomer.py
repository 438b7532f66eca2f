"""In the bed with wet hands: what was kept is seen to be kept; no tag is used twice unseen."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from breeding.models import Bloom, Pollination
from breeding.records import record_pollination
from garden.models import Garden, Plant
from tests.browser.bedside import PHOTO
from tests.browser.test_bed import (
    away,
    back,
    cross_form_with,
    in_bed,
    kept,
    open_hash,
    pick,
    waiting,
)
from tests.cast import Cast, act_of

__all__ = ["in_bed"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def in_view(page: Any, where: str) -> bool:
    return page.locator(where).evaluate(
        "(one) => { const box = one.getBoundingClientRect();"
        " return box.top >= 0 && box.bottom <= innerHeight; }"
    )


def complaints_of(page: Any) -> Any:
    return page.locator("#bed-sheet form .err")


def test_receipt__is_in_view_after_each_cross(in_bed: Any, cast: Cast) -> None:
    page = in_bed
    away(page)
    open_hash(page, "cross/-/-")
    cross_form_with(page, cast.tags[3])
    kept(page, cast.tags[3])
    for tag in cast.tags[4:6]:  # the next one at the same address
        pick(page, "Seed", "quil", "Quillon Teapot")
        page.get_by_label("Tag").fill(tag)
        page.evaluate("scrollTo(0, 9999)")
        assert page.evaluate("scrollY") > 0
        page.get_by_role("button", name="Keep this cross").last.tap()
        kept(page, tag)
        page.wait_for_timeout(200)
        assert page.evaluate("scrollY") == 0
        assert in_view(page, "#bed-kept button")
    page.set_viewport_size({"width": 390, "height": 500})
    open_hash(page, f"count/{cast.pot.code}")
    page.get_by_label("Seedlings standing now").fill("9")
    page.get_by_role("button", name="Keep this count").scroll_into_view_if_needed()
    page.get_by_role("button", name="Keep this count").tap()
    kept(page, "9")
    page.wait_for_timeout(200)
    assert page.evaluate("scrollY") == 0


def test_receipt__is_short(in_bed: Any, cast: Cast) -> None:
    page, tag = in_bed, cast.free_tag
    away(page)
    open_hash(page, "cross/-/-")
    cross_form_with(page, tag)
    told = page.locator("#bed-kept [data-t=text]")
    expect(told).to_have_text(f"Quillon Teapot × Marzipan Ledger, tag {tag}")
    open_hash(page, f"look/{tag}")
    page.get_by_role("button", name="Yes, a pod has set").tap()
    expect(told).to_have_text(f"Tag {tag}, Pod set")
    open_hash(page, f"photo/{cast.teapot.pk}")
    page.locator("[data-photo]").set_input_files(PHOTO)
    page.get_by_role("button", name="Keep the photo").tap()
    expect(told).to_have_text("Quillon Teapot, with a photo")


def test_tag_in_use__is_doubted_once_at_the_first_tap(in_bed: Any, cast: Cast) -> None:
    """One of an earlier season, then one that was kept here a moment ago; the tag's field is not
    left before the button is tapped."""
    page = in_bed
    away(page)
    open_hash(page, "cross/-/-")
    keep = page.get_by_role("button", name="Keep this cross").last
    cross_form_with(page, cast.tags[0])
    told = f"Tag {cast.tags[0]} is on a flower of an earlier season. Keep it again"
    expect(complaints_of(page)).to_have_count(1)
    expect(complaints_of(page)).to_contain_text(told)
    assert waiting(page) == 0
    keep.tap()
    kept(page, cast.tags[0])
    for tag in (cast.free_tag, cast.free_tag):
        open_hash(page, "cross/-/-")
        cross_form_with(page, tag)
        page.wait_for_timeout(300)
    expect(complaints_of(page)).to_contain_text("is on Quillon Teapot × Marzipan Ledger")
    expect(complaints_of(page)).to_contain_text("on this phone")
    assert waiting(page) == 2
    keep.tap()
    kept(page, cast.free_tag)
    assert waiting(page) == 3


def test_cross_that_waits__hides_no_flower_of_the_garden(
    in_bed: Any, cast: Cast, owner: Any
) -> None:
    page, tag = in_bed, cast.free_tag
    other = Plant.objects.get(name="Thistle Postman")
    act = act_of(owner, Garden.get().today())
    record_pollination(act, seed_parent=other, pollen_parent=cast.teapot, tag=tag)
    Pollination.live.filter(tag__code=tag).update(state="set")
    page.evaluate("haftbook.bed.refresh()")
    away(page)
    open_hash(page, "cross/-/-")
    cross_form_with(page, tag)
    expect(complaints_of(page)).to_contain_text("is on Thistle Postman × Quillon Teapot")
    page.get_by_role("button", name="Keep this cross").last.tap()
    kept(page, tag)
    open_hash(page, "harvest")
    lines = page.locator(".bed-lines li", has_text=tag)
    expect(lines).to_have_count(2)
    expect(lines.first).to_contain_text("Thistle Postman × Quillon Teapot")
    expect(lines.last).to_contain_text("a second flower under this tag")
    open_hash(page, f"harvest/{tag}")
    expect(page.locator(".bed-of .parents")).to_have_text("Thistle Postman × Quillon Teapot")
    expect(page.locator(".bed-of")).to_contain_text("waits on this phone under the same tag")


def test_card_of_a_lost_page__is_whole_on_a_phone(in_bed: Any) -> None:
    in_bed.evaluate(
        "document.getElementById('sheet').prepend(Object.assign(document.createElement('p'),"
        " {className: 'card card--next', textContent: 'That page is not on this phone'}))"
    )
    assert in_bed.locator(".card--next").bounding_box()["x"] >= 0


def test_complaint__goes_once_a_photo_is_chosen(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    open_hash(in_bed, f"photo/{cast.teapot.pk}")
    in_bed.get_by_role("button", name="Keep the photo").tap()
    expect(complaints_of(in_bed)).to_have_text("Take a photo, or choose one.")
    in_bed.locator("[data-photo]").set_input_files(PHOTO)
    expect(complaints_of(in_bed)).to_have_count(0)
    expect(in_bed.locator(".field--bad")).to_have_count(0)


def test_bloom__of_any_plant_can_be_noted(in_bed: Any, cast: Cast) -> None:
    page = in_bed
    away(page)
    open_hash(page, "bloom")
    page.get_by_role("textbox", name="Plant").fill("thist")
    page.get_by_role("button", name="Thistle Postman").tap()
    expect(page.get_by_role("heading", name="Thistle Postman")).to_be_visible()
    page.get_by_role("button", name="Peak").tap()
    kept(page, "Thistle Postman, Peak")
    back(page)
    expect(page.locator("#bed-kept")).to_contain_text("In the garden")
    plant = Plant.objects.get(name="Thistle Postman")
    assert Bloom.live.get(plant=plant).peak_on == Garden.get().today()


def test_look_over__leads_on_where_no_row_should_bloom(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    open_hash(in_bed, "walk")
    in_bed.get_by_role("link", name="Score a seedling or plant").tap()
    expect(in_bed.get_by_role("textbox", name="Plant")).to_be_visible()
