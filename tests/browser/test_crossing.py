"""Crosses recorded on a phone: how many taps they take, and what happens when a tag is mistyped."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from breeding.models import Cross, Pollination
from tests.browser.taps import Hand
from tests.cast import Stock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def first_cross(page: Any, tag: str) -> Hand:
    """From Today: two parents by a few letters, a tag, kept."""
    hand = Hand(page)
    hand.tap("link", "New cross")
    hand.type_where_the_cursor_is("Seed parent", "quil")
    hand.tap("button", "Quillon Teapot")
    hand.type_where_the_cursor_is("Pollen parent", "mazi")
    hand.tap("button", "Marzipan Ledger")
    hand.type_where_the_cursor_is("Tag", tag)
    hand.tap("button", "Keep this cross")
    expect(page.get_by_role("status")).to_contain_text(tag)
    return hand


def test_first_cross__takes_at_most_four_taps(stock: Stock, signed_in: Any) -> None:
    hand = first_cross(signed_in, stock.tags[0])
    assert hand.taps <= 4
    cross = Cross.live.get()
    assert (cross.seed_parent, cross.pollen_parent) == (stock.teapot, stock.ledger)
    assert cross.flowers == 1


def test_next_cross__with_same_pollen_takes_at_most_two_taps(stock: Stock, signed_in: Any) -> None:
    first_cross(signed_in, stock.tags[0])
    hand = Hand(signed_in)
    hand.type_where_the_cursor_is("Seed parent", "thist")
    hand.tap("button", "Thistle Postman")
    hand.type_where_the_cursor_is("Tag", stock.tags[1])
    hand.tap("button", "Keep this cross")
    expect(signed_in.get_by_role("status")).to_contain_text(stock.tags[1])
    assert hand.taps <= 2
    assert Cross.live.get(seed_parent=stock.postman).pollen_parent == stock.ledger


def test_next_cross__letters_alone_name_the_only_plant(stock: Stock, signed_in: Any) -> None:
    first_cross(signed_in, stock.tags[0])
    hand = Hand(signed_in)
    hand.tap("link", "Same pollen again")
    hand.type_where_the_cursor_is("Seed parent", "thist")
    signed_in.get_by_label("Tag").fill(stock.tags[1])
    hand.tap("button", "Keep this cross")
    expect(signed_in.get_by_role("status")).to_contain_text(stock.tags[1])
    assert hand.taps == 2


def test_next_cross__with_same_seed_parent(stock: Stock, signed_in: Any) -> None:
    first_cross(signed_in, stock.tags[0])
    hand = Hand(signed_in)
    hand.tap("link", "Same seed parent again")
    hand.type_where_the_cursor_is("Pollen parent", "oboe")
    hand.tap("button", "Oboe for Hannes")
    hand.type_where_the_cursor_is("Tag", stock.tags[1])
    hand.tap("button", "Keep this cross")
    expect(signed_in.get_by_role("status")).to_contain_text(stock.tags[1])
    assert Cross.live.get(pollen_parent=stock.oboe).seed_parent == stock.teapot


def test_mistyped_tag__is_told_at_once_and_what_was_typed_stays(
    stock: Stock, signed_in: Any
) -> None:
    signed_in.goto(signed_in.url + f"new-cross/?seed={stock.teapot.pk}&pollen={stock.ledger.pk}")
    wrong = stock.tags[0][:-1] + str((int(stock.tags[0][-1]) + 1) % 10)
    tag = signed_in.get_by_label("Tag")
    tag.fill(wrong)
    tag.blur()
    expect(signed_in.locator("#tag-said")).to_contain_text("is mistyped")
    signed_in.get_by_label("Note").fill("between two showers")
    signed_in.get_by_role("button", name="Keep this cross").tap()
    expect(signed_in.get_by_role("alert")).to_contain_text("is mistyped")
    expect(signed_in.get_by_label("Note")).to_have_value("between two showers")
    expect(tag).to_have_value(wrong)
    assert not Pollination.objects.exists()


def test_double_tap__counts_once(stock: Stock, signed_in: Any) -> None:
    signed_in.goto(signed_in.url + f"new-cross/?seed={stock.teapot.pk}&pollen={stock.ledger.pk}")
    signed_in.get_by_label("Tag").fill(stock.tags[0])
    signed_in.get_by_role("button", name="Keep this cross").dblclick()
    expect(signed_in.get_by_role("status")).to_contain_text(stock.tags[0])
    assert Pollination.objects.count() == 1


def test_undo__takes_the_last_flower_back(stock: Stock, signed_in: Any) -> None:
    first_cross(signed_in, stock.tags[0])
    signed_in.get_by_role("button", name="Undo").tap()
    expect(signed_in.get_by_role("status")).to_contain_text("Undone")
    assert not Pollination.live.exists()
    assert not Cross.live.exists()


def test_without_script__the_same_form_records_a_cross(
    stock: Stock, signed_in: Any, browser: Any, live_server: Any
) -> None:
    plain = browser.new_context(
        java_script_enabled=False, storage_state=signed_in.context.storage_state()
    )
    page = plain.new_page()
    page.goto(live_server.url + "/new-cross/")
    page.get_by_role("textbox", name="Seed parent").fill("quillon")
    page.get_by_role("textbox", name="Pollen parent").fill("ledger")
    page.get_by_label("Tag").fill(stock.tags[0])
    page.get_by_role("button", name="Keep this cross").last.click()
    assert Pollination.live.get().cross.pollen_parent == stock.ledger
    page.goto(live_server.url + "/new-cross/")
    page.get_by_role("button", name="Quillon Teapot").click()
    assert "seed=" in page.url
    plain.close()
