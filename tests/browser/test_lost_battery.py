"""Phones that die, phones whose clock is wrong, and two tabs without the browser's locks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from breeding.models import Pollination
from breeding.records import print_tags
from garden.models import Garden, JournalLine, Person, Photo
from tests.browser.fieldday import Work, flower, photo_of
from tests.browser.fieldphones import FieldPhone
from tests.browser.test_bed import away, back, cross, waiting
from tests.browser.test_outbox import all_sent, sign_in
from tests.cast import Cast, Stock, act_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
DEATHS, EACH, PHOTO_EVERY = 3, 40, 5


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
    """Forty entries, eight of them photos."""
    import base64

    def photo(at: int) -> Work:
        content = base64.b64encode(photo_of(turn * EACH + at)).decode()
        address = f"/plants/{stock.teapot.pk}/photo/"
        return Work("Photo", "bed-photo", address, "a photo", {"caption": f"{turn} {at}"},
                    photo=content)  # fmt: skip

    pair = [stock.teapot.pk, stock.ledger.pk]
    return [photo(at) if at % PHOTO_EVERY == 0 else flower(pair, tags.pop()) for at in range(EACH)]


def test_battery__dead_right_after_kept_takes_nothing_along(
    phone: FieldPhone, stock: Stock, owner: Person
) -> None:
    before = JournalLine.objects.count()
    print_tags(act_of(owner), count=DEATHS * EACH)
    tags = [line.code for line in stock.sheet.__class__.objects.last().tags.all()]
    phone.sign_in()
    everything: list[str] = []
    for turn in range(DEATHS):
        phone.context.set_offline(True)
        entries = phone.keep(works_of(stock, tags, turn))
        phone.battery_dies()
        phone.switch_on()
        phone.context.route("**/hello/", lambda route: route.abort())
        page = phone.tab("/waiting/")
        records = phone.records()
        assert [record["entry"] for record in records] == entries
        with_files = [record["entry"] for record in records if record["hasFiles"]]
        assert len(with_files) == EACH / PHOTO_EVERY
        sizes = page.evaluate(SIZES, with_files)
        assert all(size > 100_000 for size in sizes)
        phone.context.unroute("**/hello/")
        phone.tabs.remove(page)
        page.close()
        phone.sign_in()
        all_sent(phone.tabs[0])
        everything += entries
    lines = JournalLine.objects.order_by("pk")[before + 1 :]
    assert [str(line.entry) for line in lines] == everything
    assert len(everything) == DEATHS * EACH
    assert Photo.live.count() == DEATHS * EACH / PHOTO_EVERY
