"""Over plain http: pages that open out of reach, and a phone signed out from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from garden.models import Device, Person
from garden.records.doors import send_out
from tests.browser.fieldday import flower
from tests.browser.fieldphones import KEEP, OUTSIDE, FieldPhone
from tests.browser.test_outbox import sign_in
from tests.cast import Stock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SHELVED = "haftbook.outbox.get('facts', 'shell').then((shell) => Boolean(shell))"
LISTS = "haftbook.outbox.list('lists').then((all) => all.length)"
HEARD = """(hours) => haftbook.outbox.get("facts", "hello").then((hello) =>
  haftbook.outbox.put("facts", "hello", { ...hello, heard: Date.now() - hours * 3600000 }))"""


@pytest.fixture
def phone(
    playwright: Any, live_server: Any, owner: Person, stock: Stock, tmp_path: Path, settings: Any
) -> Iterator[FieldPhone]:
    settings.ALLOWED_HOSTS = ["*"]
    site = f"http://{OUTSIDE}:{live_server.url.rpartition(':')[2]}"
    made = FieldPhone(playwright, tmp_path / "profile", site, owner.name)
    made.switch_on()
    yield made
    made.switch_off()


def until(page: Any, true: str) -> None:
    for _ in range(600):
        if page.evaluate(true):
            return
        page.wait_for_timeout(50)
    pytest.fail(true)


def test_http__waiting_and_bed_open_out_of_reach_after_today_alone(
    phone: FieldPhone, stock: Stock
) -> None:
    page = phone.context.new_page()
    sign_in(page, phone.site, phone.person)
    assert not page.evaluate("isSecureContext")
    until(page, SHELVED)
    page.evaluate(HEARD, 4)
    phone.context.set_offline(True)
    other = phone.tab("/bed/")
    other.evaluate(KEEP, [flower([stock.teapot.pk, stock.ledger.pk], stock.tags[0]).told()])
    line = other.locator("#state-line")
    expect(line).to_contain_text("1 waiting, out of reach, or the garden has another address now")
    line.get_by_role("link").click()
    other.wait_for_url("**/waiting/")
    expect(other.locator("[data-list=waiting] li")).to_contain_text("worked ")
    expect(other.locator("[data-told]")).to_contain_text("another address now")


def test_signed_out_elsewhere__nothing_is_left_to_read_but_what_waits(
    phone: FieldPhone, stock: Stock
) -> None:
    page = phone.sign_in()
    until(page, f"{LISTS}.then((many) => many > 0)")
    phone.context.set_offline(True)
    page.evaluate(KEEP, [flower([stock.teapot.pk, stock.ledger.pk], stock.tags[0]).told()])
    send_out(Person.objects.get(name=phone.person), Device.objects.get())
    # Out of reach it knows nothing of that.
    assert page.evaluate(LISTS) > 0
    phone.context.set_offline(False)
    page.evaluate("haftbook.outbox.send()")
    until(page, f"{LISTS}.then((many) => many === 0)")
    phone.context.set_offline(True)
    later = phone.tab("/bed/")
    expect(later.locator("#state-line")).to_contain_text("1 waiting")
    assert later.evaluate(LISTS) == 0
    assert stock.teapot.name not in later.locator("main").inner_text()
    phone.context.set_offline(False)
    later.close()
    page.close()
    back = phone.context.new_page()
    sign_in(back, phone.site, phone.person)
    back.goto(phone.site + "/bed/")
    until(back, f"{LISTS}.then((many) => many > 0)")


def test_http__a_link_that_would_not_open_leaves_the_form_as_it_is(
    phone: FieldPhone, stock: Stock
) -> None:
    page = phone.sign_in()
    until(page, SHELVED)
    page.goto(phone.site + "/new-cross/")
    page.locator("#id_tag").fill("123")
    phone.context.set_offline(True)
    page.evaluate("haftbook.outbox.greet()")
    page.get_by_role("link", name="Book").first.click()
    expect(page.locator("#said-offline")).to_contain_text("that page does not open")
    expect(page.locator("#id_tag")).to_have_value("123")
    phone.context.set_offline(False)
    page.get_by_role("link", name="Book").first.click()
    page.wait_for_url("**/book/")
