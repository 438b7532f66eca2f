"""Phones on the page in the bed, in a garden in bloom: out of reach and back, and what a hand does
there when it judges."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import expect

from breeding.models import Row
from breeding.records import line_out, note_bloom
from evaluation.models import Glance
from garden.models import Garden
from tests.cast import PASSWORD, Cast, act_of
from tests.photos import drawn, encoded

# The buttons of a position take no tap so soon after it came: that is the second one of a doubled.
SETTLED = 450
PHOTO = {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": encoded(drawn((900, 700)))}
# Everything that would go to the garden ends nowhere; the page itself is the browser's own.
GARDEN = ("**/hello/", "**/bed/lists/**", "**/walk/", "**/score/*", "**/note/", "**/photo/")


@pytest.fixture
def rows_in_bloom(cast: Cast, owner: Any) -> Row:
    """Two rows that should bloom today, whatever day it is, and two plants that are open."""
    today = Garden.get().today()
    Garden.objects.update(bloom_from=f"{today:%m-%d}".replace("02-29", "02-28"))
    for plant in (cast.teapot, cast.ledger):
        note_bloom(act_of(owner, today - timedelta(days=3)), plant=plant, stage="first")
    Row.objects.update(lined_out_on=today - timedelta(days=400))
    place = {"bed": cast.bed, "row": 1, "first": 15, "seedlings": 3}
    return line_out(act_of(owner, today - timedelta(days=350)), pot=cast.pot, **place).thing


@pytest.fixture
def take(
    live_server: Any, rows_in_bloom: Row, browser: Any, browser_context_args: Any
) -> Iterator[Any]:
    """take(person): somebody's phone on the page in the bed, with its lists."""
    phones, errors = [], []

    def phone(person: Any) -> Any:
        # As over plain http; what a service worker asks for is not stopped on its way either.
        phones.append(browser.new_context(service_workers="block", **browser_context_args))
        page = phones[-1].new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(live_server.url + "/sign-in/")
        page.get_by_label("Your name").fill(person.name)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(live_server.url + "/")
        page.goto(live_server.url + "/bed/")
        expect(page.get_by_text("Lists from")).to_be_visible(timeout=20_000)
        return page

    yield phone
    for context in phones:
        context.close()
    assert errors == []


@pytest.fixture
def judging(take: Callable[[Any], Any], owner: Any) -> Any:
    return take(owner)


def away(page: Any) -> None:
    for part in GARDEN:
        page.route(part, lambda route: route.abort())


def back(page: Any) -> None:
    """The garden is in reach again, and everything goes to it."""
    for part in GARDEN:
        page.unroute(part)
    page.evaluate("haftbook.outbox.send()")
    for _ in range(150):
        waiting, attention = page.evaluate(
            "haftbook.outbox.state().then((state) => [state.waiting, state.attention])"
        )
        assert attention == 0
        if waiting == 0:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{waiting} still wait")


def waits(page: Any) -> list[str]:
    return page.evaluate(
        "haftbook.outbox.list('waiting').then((all) => all.map((one) => one.kind))"
    )


def go(page: Any, address: str) -> None:
    page.evaluate("(address) => haftbook.bed.go(address)", address)


def walk(page: Any, row: Row, at: int) -> None:
    go(page, f"walk/{row.pk}")
    stands_at(page, at)


def stands_at(page: Any, position: int) -> None:
    expect(page.locator(".walk-at")).to_have_text(f"Position {position}")
    page.wait_for_timeout(SETTLED)


def answer(page: Any, name: str, note: str = "") -> None:
    if note:
        page.get_by_text("A note on").tap()
        page.get_by_label("Note on this seedling").fill(note)
    page.get_by_role("button", name=name, exact=True).tap()


def looks(person: Any) -> list[tuple[Any, ...]]:
    told = Glance.live.filter(look_over__person=person).order_by("position")
    return list(told.values_list("position", "found", "note", "day", "look_over__backward"))


def chip(page: Any, group: str, word: str) -> None:
    marks = page.get_by_role("group", name=group, exact=True)
    marks.locator("label.mark-chip", has_text=word).first.tap()


def score(page: Any, row: Row, position: int) -> None:
    go(page, f"score/row/{row.pk}/{position}")
    page.get_by_role("button", name="Full hundred").tap()
    page.get_by_role("button", name="3 branches").tap()
    chip(page, "Form", "4")
    page.locator("[data-photo]").set_input_files(PHOTO)
    expect(page.locator("[data-told]").last).to_contain_text("Chosen: this photo")
    page.get_by_label("Note").fill("ruffled")
    chip(page, "Decision", "Watch")
    page.get_by_role("button", name="Keep this score").tap()
    expect(page.locator("#bed-kept")).to_contain_text("ruffled")
