"""The promise of the notebook: what was shown as kept is in the record the next morning, once.

Five hundred entries with forty photos are written on two phones with the garden dead: one knows it
by a name over plain http (no locks, no service worker), the other as localhost, which browsers
trust. While they send, the garden is killed fifty times; tabs crash, a phone's battery dies, bodies
are sent twice.
"""

from __future__ import annotations

import base64
import io
import random
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Error, expect

from garden.photos import clean
from tests.browser.fieldday import AFTER, BEFORE, BULK, LOOKS, Work, day_of, photo_of
from tests.browser.fieldphones import BY_HAND, OUTSIDE, FieldPhone
from tests.browser.garden_process import Kills, all_sent, kill_while_sending
from tests.browser.test_bed import cross_form_with, kept, open_hash, pick
from tests.browser.test_bed_dead_server import asked
from tests.browser.test_bed_judging import stands_at
from tests.secured import Secured, listening, secured

pytestmark = pytest.mark.browser
KILLS, SEED = 50, 20260603
PIECE = 50
TAP_PHOTO = 1000
OPEN = ("Quillon Teapot", "Marzipan Ledger")


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Secured]:
    argv = ("--here-only", "--empty", "--owner", "Wanda")
    with secured(tmp_path / "data", *argv, hosts=OUTSIDE) as opened:
        yield opened


@pytest.fixture
def phones(playwright: Any, garden: Secured, tmp_path: Path) -> Iterator[list[FieldPhone]]:
    """Wanda's phone out on plain http, Emil's on the name that browsers trust."""
    made = [
        FieldPhone(playwright, tmp_path / "wanda", f"http://{OUTSIDE}:{garden.port}", "Wanda"),
        FieldPhone(playwright, tmp_path / "emil", f"http://localhost:{garden.port}", "Emil"),
    ]
    for phone in made:
        phone.switch_on()
    yield made
    for phone in made:
        phone.switch_off()


@dataclass
class Day:
    """What was written on a phone that day, as its own store holds it."""

    entries: list[str]
    records: dict[str, dict[str, Any]]
    works: list[Work]


def tap_a_day(page: Any, before: dict[str, Any], tags: list[str], number: int) -> None:
    """One of each kind by hand, in the page in the bed."""
    open_hash(page, "cross")
    cross_form_with(page, tags[0])
    kept(page, tags[0])
    for tag in tags[1:]:
        # The pollen stays in the hand from flower to flower.
        pick(page, "Seed", "thist", "Thistle Postman")
        page.get_by_label("Tag").fill(tag)
        page.get_by_role("button", name="Keep this cross").last.tap()
        kept(page, tag)
    open_hash(page, f"look/{tags[0]}")
    page.get_by_role("button", name="Yes, a pod has set").tap()
    kept(page, tags[0])
    open_hash(page, f"walk/{before['row']}")
    stands_at(page, LOOKS + 1)
    page.get_by_role("button", name="Look again").tap()
    kept(page, f"position {LOOKS + 1}")
    open_hash(page, "bloom")
    page.get_by_role("button", name=f"Peak: {OPEN[number]}").tap()
    kept(page, OPEN[number])
    open_hash(page, f"photo/{before['parents'][0]}")
    file = {"name": "IMG_7.jpg", "mimeType": "image/jpeg", "buffer": photo_of(TAP_PHOTO + number)}
    page.locator("[data-photo]").set_input_files(file)
    expect(page.locator("[data-told]").last).to_contain_text("taken on")
    page.get_by_label("What it shows").fill(f"photo tapped of {number}")
    page.get_by_role("button", name="Keep the photo").tap()
    kept(page, "photo tapped")


def write_a_day(phone: FieldPhone, before: dict[str, Any], number: int) -> Day:
    """A day out of reach, most of it by the page's forms and script; tabs come and go."""
    works = day_of(before, number, random.Random(SEED + number))
    pieces = [works[at : at + PIECE] for at in range(0, len(works), PIECE)]
    for at, piece in enumerate(pieces):
        phone.keep(piece)
        assert phone.waiting() == min((at + 1) * PIECE, len(works))
        if at == 0 and number == 0:
            # Over plain http a reload out of reach fails, as the page Waiting says beforehand.
            with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
                phone.tabs[0].reload()
        if at == 0 and number == 1:
            phone.tabs[0].reload()
            expect(phone.tabs[0].get_by_role("heading", name="In the bed")).to_be_visible()
        if at < 2:
            phone.tab()
            phone.tabs.pop(0).close()
        if at == 2:
            phone.tab()
            phone.crash(0)
    tags = before["free"][1:2] if number == 0 else before["free"][2:4]
    tap_a_day(phone.tabs[0], before, tags, number)
    records = phone.records()
    return Day([one["entry"] for one in records], {one["entry"]: one for one in records}, works)


def mishaps(phones: list[FieldPhone]) -> dict[int, Callable[[], Any]]:
    """What happens besides, at which kill: tabs crash, pages are loaded anew, a battery dies."""
    wanda, emil = phones
    return {
        4: wanda.crash, 9: emil.crash, 13: lambda: wanda.crash(1), 17: lambda: emil.crash(1),
        21: lambda: wanda.tabs[0].reload(wait_until="commit"), 25: wanda.battery_dies,
        29: lambda: emil.tabs[0].reload(wait_until="commit"), 33: wanda.crash,
        37: emil.battery_dies,
    }  # fmt: skip


def taken_up(garden: Secured, phones: list[FieldPhone]) -> None:
    """The garden open again, and two tabs on each phone, whatever happened to it before."""
    for phone in phones:
        phone.take_up()
    garden.open()
    for phone in phones:
        phone.settle_in()
        phone.take_up()


def sent_by_hand(phone: FieldPhone, records: list[dict[str, Any]]) -> list[str]:
    """Bodies sent past the sender, which sends the same at the same time."""
    phone.hurry()
    return phone.tabs[1].evaluate(BY_HAND, records)


def expect_needs_attention(phone: FieldPhone, tag: str) -> str:
    """The tag on two flowers is shown, with the garden's words and what was typed; its entry."""
    (record,) = phone.records("attention")
    page = phone.tab("/waiting/")
    called = page.locator(".wait--called")
    expect(called).to_have_count(1)
    expect(called.locator(".wait-says li").first).to_contain_text(tag)
    expect(called.locator(".wait-says li").first).to_contain_text("already hangs on a flower")
    expect(called).to_contain_text(f"tag {tag} in the rain")
    return record["entry"]


def photos_sent(days: list[Day]) -> dict[str, list[str]]:
    """Every photo by its words: the mark of what is left of its bytes after cleaning."""
    works = [work for day in days for work in day.works if work.photo]
    sent = {work.values["caption"]: base64.b64decode(work.photo) for work in works}
    sent |= {f"photo tapped of {at}": photo_of(TAP_PHOTO + at) for at in range(len(days))}
    return {words: [clean(io.BytesIO(content)).digest] for words, content in sent.items()}


def expect_each_once(lines: list[list[str]], day: Day, person: str, called: set[str]) -> None:
    """One person's lines are what was kept, in its order, at the moment of each tap."""
    mine = [line for line in lines if line[1] == person]
    wanted = [entry for entry in day.entries if entry not in called]
    assert [line[0] for line in mine] == wanted
    happened = [datetime.fromisoformat(line[3]) for line in mine]
    assert happened == sorted(happened)
    assert happened == [datetime.fromisoformat(day.records[entry]["at"]) for entry in wanted]
    assert [line[2] for line in mine].count("glance") == LOOKS + 1


def test_five_hundred_entries__are_each_in_the_record_once_whatever_happens(
    garden: Secured, phones: list[FieldPhone]
) -> None:
    clock = time.monotonic()
    before = asked(garden, BEFORE)
    for phone in phones:
        phone.sign_in()
    wanda, emil = phones
    assert wanda.tabs[0].evaluate("[isSecureContext, 'locks' in navigator]") == [False, False]
    assert emil.tabs[0].evaluate("[isSecureContext, 'locks' in navigator]") == [True, True]
    earlier = asked(garden, AFTER)["lines"]

    garden.kill()
    assert not listening(garden.port)
    days = [write_a_day(phone, before, number) for number, phone in enumerate(phones)]
    assert [len(day.entries) for day in days] == [BULK + 5, BULK + 6] == [250, 251]
    written = time.monotonic()

    taken_up(garden, phones)
    by_hand = sent_by_hand(emil, emil.records()[:4]) + sent_by_hand(wanda, wanda.records()[:4])
    garden.kill()
    chance, kills, happens = random.Random(SEED), Kills(), mishaps(phones)
    for turn in range(KILLS):
        taken_up(garden, phones)
        kill_while_sending(garden, phones, chance, kills, happens.get(turn))
    left = [phone.waiting() for phone in phones]
    taken_up(garden, phones)
    all_sent(phones)
    replayed = time.monotonic()

    outcomes = [phone.outcomes() for phone in phones]
    print(f"written in {written - clock:.0f} s, replayed in {replayed - written:.0f} s")
    print(f"kills that met the replay: {kills.hit}, entries taken in before each {kills.taken_in}, "
          f"left after them {left}")  # fmt: skip
    print(f"outcomes {outcomes}, by hand {by_hand}, crashes {[one.crashes for one in phones]}")
    assert (kills.hit, kills.missed) == (KILLS, [])
    assert all(told["already"] > 0 for told in outcomes)
    assert set(by_hand) <= {"kept", "already"}
    assert [one.crashes for one in phones] == [4, 3]

    # Sent once more, now that all is over: known, each of them.
    assert wanda.records("attention") == []
    called = {expect_needs_attention(emil, before["free"][0])}
    plain = [one for one in days[0].records.values() if not one["hasFiles"]]
    assert sent_by_hand(wanda, plain[::40]) == ["already"] * len(plain[::40])

    after = asked(garden, AFTER)
    assert after["lines"][: len(earlier)] == earlier
    lines = after["lines"][len(earlier) :]
    assert len(lines) == len({line[0] for line in lines}) == 500
    for day, phone in zip(days, phones, strict=True):
        expect_each_once(lines, day, phone.person, called)
    assert after["photos"] == photos_sent(days)
    assert len(after["photos"]) == 40
    assert (after["wrong"], after["sound"]) == ([], [["ok"]])
    assert [phone.errors for phone in phones] == [[], []]
