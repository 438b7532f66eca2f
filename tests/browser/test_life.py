"""The full life of one cross on a phone, from the pollination to the row and a first selection."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from playwright.sync_api import expect

from breeding.models import Cross, Row
from tests.cast import Stock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def _long_session(settings: Any) -> None:
    """Two years pass in this test, and the person stays signed in."""
    settings.SESSION_COOKIE_AGE = 3 * 365 * 24 * 3600


@pytest.fixture
def on() -> Any:
    """Move the computer's clock to the morning of a day; the phone's follows."""
    machines: list[Any] = []

    def go(page: Any, day: date) -> None:
        if machines:
            machines.pop().stop()
        moment = datetime(day.year, day.month, day.day, 8, tzinfo=UTC)
        machine = time_machine.travel(moment, tick=True)
        machine.start()
        machines.append(machine)
        page.clock.set_fixed_time(moment)

    yield go
    for machine in machines:
        machine.stop()


def keep(page: Any, button: str, said: str) -> None:
    page.get_by_role("button", name=button).last.tap()
    expect(page.get_by_role("status")).to_contain_text(said)


def test_cross__lives_from_pollination_to_row(
    stock: Stock, signed_in: Any, live_server: Any, on: Any
) -> None:
    page, site = signed_in, live_server.url
    on(page, date(2026, 6, 1))
    page.goto(f"{site}/new-cross/?seed={stock.teapot.pk}&pollen={stock.ledger.pk}")
    page.get_by_label("Tag").fill(stock.tags[0])
    page.get_by_label("Falls taken off").check()
    keep(page, "Keep this cross", "26-001")

    on(page, date(2026, 6, 20))
    page.goto(site)
    page.get_by_role("link", name=stock.tags[0]).tap()
    keep(page, "Yes, a pod has set", "a pod has set")

    on(page, date(2026, 7, 27))
    page.goto(site)
    expect(page.get_by_role("heading", name="Pods near cracking")).to_be_visible()
    page.get_by_role("link", name=stock.tags[0]).tap()
    page.get_by_label("Seeds").fill("36")
    keep(page, "Keep this harvest", "36 seeds")

    on(page, date(2026, 11, 25))
    page.goto(site)
    page.get_by_role("link", name="26-001-1").tap()
    page.get_by_label("Seeds sown").fill("30")
    keep(page, "Keep this sowing", "30 seeds")

    on(page, date(2027, 4, 5))
    page.goto(site)
    page.get_by_role("link", name="26-001-1-1").tap()
    page.get_by_label("Seedlings standing now").fill("17")
    keep(page, "Keep this count", "17 seedlings standing")

    on(page, date(2027, 5, 25))
    page.goto(site)
    heading = page.get_by_role("region", name="Seedlings to line out")
    heading.get_by_role("link", name="26-001-1-1").tap()
    page.get_by_label("Seedlings").fill("16")
    keep(page, "Keep this row", "16 seedlings")
    for parent in ("Quillon Teapot", "Marzipan Ledger"):
        expect(page.get_by_role("link", name=parent)).to_be_visible()

    on(page, date(2028, 5, 20))
    page.goto(site)
    expect(page.get_by_role("heading", name="Rows that should bloom")).to_be_visible()
    page.get_by_role("link", name="Long Bed").first.tap()
    expect(page.get_by_role("button", name="Look again")).to_be_visible()
    page.goto(f"{site}/rows/{Row.live.get().pk}/")
    page.get_by_role("link", name="Select", exact=True).tap()
    page.get_by_label("Position").fill("4")
    keep(page, "Select it", "26-001A")

    cross = Cross.live.get()
    counts = (cross.flowers, cross.pods, cross.seeds, cross.sown, cross.up, cross.lined_out)
    assert counts == (1, 1, 36, 30, 17, 16)
    row = Row.live.get()
    assert (row.cross.seed_parent, row.cross.pollen_parent) == (stock.teapot, stock.ledger)


def test_pods__are_noted_one_after_the_other_without_leaving_the_list(
    stock: Stock, signed_in: Any, live_server: Any, on: Any
) -> None:
    page, site = signed_in, live_server.url
    on(page, date(2026, 6, 1))
    for tag in stock.tags[:3]:
        page.goto(f"{site}/new-cross/?seed={stock.teapot.pk}&pollen={stock.ledger.pk}")
        page.get_by_label("Tag").fill(tag)
        keep(page, "Keep this cross", tag)
    on(page, date(2026, 6, 20))
    page.goto(f"{site}/due/look/")
    for tag in stock.tags[:3]:
        page.get_by_role("button", name=f"Set for tag {tag}").tap()
        expect(page.get_by_role("status").filter(has_text=tag)).to_contain_text("a pod has set")
    assert Cross.live.get().pods == 3
