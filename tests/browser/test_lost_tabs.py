"""Two tabs of one phone over plain http, where the browser has no locks: one of them sends."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from breeding.models import Pollination
from garden.models import JournalLine, Person
from tests.browser.fieldday import flower
from tests.browser.fieldphones import KEEP, crash
from tests.browser.test_bed import waiting
from tests.browser.test_outbox import sign_in
from tests.cast import Stock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WITHOUT_LOCKS = "Object.defineProperty(Navigator.prototype, 'locks', { value: undefined })"
LEASE = "haftbook.outbox.get('facts', 'lease')"


@pytest.fixture
def tabs(
    browser: Any, browser_context_args: Any, live_server: Any, owner: Person, stock: Stock
) -> Iterator[list[Any]]:
    """Two tabs on the page in the bed, out of reach; ten flowers wait."""
    context = browser.new_context(service_workers="block", **browser_context_args)
    context.add_init_script(WITHOUT_LOCKS)
    made = [context.new_page(), context.new_page()]
    sign_in(made[0], live_server.url, owner.name)
    for page in made:
        page.goto(live_server.url + "/bed/")
        expect(page.get_by_text("Lists from")).to_be_visible(timeout=20_000)
    assert made[0].evaluate("navigator.locks === undefined")
    context.set_offline(True)
    pair = [stock.teapot.pk, stock.ledger.pk]
    made[0].evaluate(KEEP, [flower(pair, tag).told() for tag in stock.tags[:10]])
    yield made
    context.close()


def posted(page: Any) -> list[str]:
    """The entries that a tab sends, as it goes on."""
    heard: list[str] = []

    def hear(request: Any) -> None:
        if entry := request.headers.get("haftbook-entry"):
            heard.append(entry)

    page.on("request", hear)
    return heard


def hurry(tabs: list[Any]) -> None:
    for page in tabs:
        page.evaluate("window.dispatchEvent(new Event('focus'))")


def wait_until_sent(tabs: list[Any], seconds: float) -> None:
    end = time.monotonic() + seconds
    while waiting(tabs[-1]):
        assert time.monotonic() < end, waiting(tabs[-1])
        hurry(tabs)
        tabs[-1].wait_for_timeout(50)


def test_two_tabs__without_locks_send_each_entry_once_and_tell_each_other(tabs: list[Any]) -> None:
    # The tab that kept nothing tells of what waits in the other one.
    expect(tabs[1].locator("#state-line")).to_contain_text("10 waiting")
    heard = [posted(page) for page in tabs]
    order = tabs[0].evaluate("haftbook.outbox.list('waiting').then(l => l.map(o => o.entry))")
    tabs[0].context.set_offline(False)
    wait_until_sent(tabs, 30)
    for page in tabs:
        expect(page.locator("#state-line")).to_be_hidden()
    assert sorted(heard[0] + heard[1]) == sorted(order)
    lines = JournalLine.objects.filter(verb="record_pollination").order_by("pk")
    assert [str(line.entry) for line in lines] == order


def test_tab__that_dies_while_it_sends_is_followed_by_the_other(tabs: list[Any]) -> None:
    heard, held = [posted(page) for page in tabs], []
    tabs[0].route("**/new-cross/", lambda route: held.append(route))
    tabs[0].context.set_offline(False)
    tabs[0].evaluate("window.dispatchEvent(new Event('focus'))")
    while not held:
        tabs[0].wait_for_timeout(20)
    # As long as the first one sends, the other leaves it alone.
    end = time.monotonic() + 6
    while time.monotonic() < end:
        hurry(tabs[1:])
        tabs[1].wait_for_timeout(100)
    assert (waiting(tabs[1]), heard[1]) == (10, [])
    assert tabs[1].evaluate(LEASE)["until"] > 0
    crash(tabs[0])
    began = time.monotonic()
    wait_until_sent(tabs[1:], 30)
    took = time.monotonic() - began
    print(f"the other tab had sent all after {took:.1f} s")
    assert took < 15
    assert len(heard[1]) == len(set(heard[1])) == Pollination.live.count() == 10
