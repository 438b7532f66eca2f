"""Phones whose battery dies in the middle of a word, and phones whose clock is a day wrong."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from breeding.models import Pollination, Tag
from breeding.records import print_tags
from garden.models import Garden, JournalLine, Person, Photo
from tests.browser.fieldday import Work, flower, photo_of
from tests.browser.fieldphones import KEEP, FieldPhone
from tests.browser.test_bed import away, back, cross_form_with, kept, open_hash
from tests.browser.test_outbox import all_sent, sign_in
from tests.cast import Stock, act_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
DEATHS, KEPT, MORE, PHOTO_EVERY = 3, 40, 140, 5
SIZES = """(entries) => Promise.all(entries.map((entry) => haftbook.outbox.get("files", entry)
  .then((files) => files.map(({ body }) => body.byteLength))))"""


@pytest.fixture
def phone(
    playwright: Any, live_server: Any, owner: Person, stock: Stock, tmp_path: Path
) -> Iterator[FieldPhone]:
    made = FieldPhone(playwright, tmp_path / "phone", live_server.url, owner.name)
    made.switch_on()
    yield made
    made.switch_off()
    assert made.errors == []


def works_of(stock: Stock, tags: list[str], turn: int) -> list[Work]:
    """More than forty entries, every fifth with a photo."""

    def photo(at: int) -> Work:
        content = base64.b64encode(photo_of(turn * 100 + at)).decode()
        address = f"/plants/{stock.teapot.pk}/photo/"
        return Work("Photo", "bed-photo", address, "", {"caption": f"{turn} {at}"}, photo=content)

    pair = [stock.teapot.pk, stock.ledger.pk]
    return [
        photo(at) if at % PHOTO_EVERY == 0 else flower(pair, tags.pop())
        for at in range(KEPT + MORE)
    ]


def test_battery__dead_as_soon_as_kept_was_said_takes_nothing_along(
    phone: FieldPhone, stock: Stock, owner: Person
) -> None:
    print_tags(act_of(owner), count=DEATHS * (KEPT + MORE))
    tags, before = list(Tag.objects.values_list("code", flat=True)), JournalLine.objects.count()
    phone.sign_in()
    everything: list[str] = []
    for turn in range(DEATHS):
        phone.context.set_offline(True)
        said = phone.keep_until_it_dies(works_of(stock, tags, turn), KEPT)
        phone.switch_on()
        # What its store holds, before anything of it can go.
        phone.context.route("**/hello/", lambda route: route.abort())
        page, records = phone.tab("/waiting/"), phone.records()
        entries = [record["entry"] for record in records]
        assert len(said) >= KEPT
        assert entries[: len(said)] == said
        # It was killed in the middle of it.
        assert len(entries) < KEPT + MORE
        files = page.evaluate(SIZES, [one["entry"] for one in records if one["hasFiles"]])
        assert len(files) == -(-len(entries) // PHOTO_EVERY)
        assert all(100_000 < size < 300_000 for (size,) in files)
        phone.context.unroute("**/hello/")
        all_sent(phone.sign_in())
        everything += entries
    assert len(everything) >= DEATHS * KEPT
    lines = JournalLine.objects.order_by("pk")[before:]
    assert [str(line.entry) for line in lines] == everything
    kept = JournalLine.objects.filter(verb="add_photo").count()
    assert Photo.live.count() == kept > DEATHS * KEPT / PHOTO_EVERY - 1


@pytest.fixture(params=[-1, 1], ids=["a day behind", "a day ahead"])
def wrong(request: Any, browser: Any, browser_context_args: dict[str, Any]) -> Iterator[Any]:
    """A phone whose clock is a day wrong."""
    context = browser.new_context(service_workers="block", **browser_context_args)
    context.clock.install(time=timezone.now() + timedelta(days=request.param))
    page = context.new_page()
    page.days = request.param
    yield page
    context.close()


def expect_today(page: Any, began: datetime, days: set[Any]) -> None:
    """The one flower is of today and of the moment of its tap, whatever the phone's clock says."""
    wrongly = page.evaluate("haftbook.outbox.list('waiting').then((all) => all[0].at)")
    off = datetime.fromisoformat(wrongly) - timezone.now()
    assert abs(off - timedelta(days=page.days)) < timedelta(minutes=1)
    back(page)
    all_sent(page)
    line = JournalLine.objects.get(verb="record_pollination")
    assert began - timedelta(seconds=2) <= line.happened_at <= timezone.now()
    assert Pollination.live.get().day in days | {Garden.get().today()}
    # It had waited: what counts is the tap.
    assert line.received_at - line.happened_at > timedelta(seconds=2)


def test_clock__a_day_wrong_and_known_to_be_keeps_the_day_that_was_meant(
    wrong: Any, live_server: Any, stock: Stock, owner: Person
) -> None:
    sign_in(wrong, live_server.url, owner.name)
    wrong.goto(live_server.url + "/bed/")
    expect(wrong.get_by_text("Lists from")).to_be_visible(timeout=20_000)
    away(wrong)
    began, days = timezone.now(), {Garden.get().today()}
    open_hash(wrong, "cross")
    cross_form_with(wrong, stock.tags[0])
    kept(wrong, stock.tags[0])
    wrong.wait_for_timeout(2500)
    expect_today(wrong, began, days)


def test_clock__a_day_wrong_and_never_compared_keeps_the_day_that_was_meant(
    wrong: Any, live_server: Any, stock: Stock, owner: Person
) -> None:
    wrong.route("**/hello/", lambda route: route.abort())
    sign_in(wrong, live_server.url, owner.name)
    wrong.goto(live_server.url + "/bed/")
    work = flower([stock.teapot.pk, stock.ledger.pk], stock.tags[0])
    began, days = timezone.now(), {Garden.get().today()}
    wrong.evaluate(KEEP, [work.told()])
    assert wrong.evaluate("haftbook.outbox.list('waiting').then((all) => all[0].skew)") is None
    wrong.wait_for_timeout(2500)
    wrong.unroute("**/hello/")
    expect_today(wrong, began, days)
