"""The outbox in a real browser: kept with the garden out of reach, sent once and in order, refused
ones shown and mended, two phones, two people, a file out and in."""

from __future__ import annotations

import json
import re
import uuid
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from breeding.models import Cross, Pollination
from evaluation.models import Glance
from garden.models import Garden, JournalLine, Person, Photo, Placing
from tests.browser.conftest import PHONE
from tests.browser.test_access import LEAST, SMALL_TARGETS, found_on
from tests.cast import PASSWORD, Cast, Stock
from tests.photos import drawn, encoded

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

KEPT = "performance.getEntriesByName('tap to kept').map(one => one.duration)"
# Keeps a number of entries by the script's own way: a plant's place, each with a position.
KEEP_MANY = """async ([action, bed, first, count]) => {
  for (let i = first; i < first + count; i += 1)
    await haftbook.outbox.keep({ action, kind: 'Place', title: `place ${i}`, told: [], fields: [
      ['bed', bed], ['position', String(i)], ['at', new Date().toISOString()]] })
}"""
# A form like those of the ordinary pages, kept again and again with a photo of some size.
TAP = """async ([action, bed, size]) => {
  const since = performance.now()
  await haftbook.outbox.keep({ action, kind: 'Photo', title: 'a photo', told: [],
    fields: [['at', new Date().toISOString()]],
    files: [{ name: 'photo', file: new File([new Uint8Array(size)], 'photo.jpg') }] })
  return performance.now() - since
}"""


def count_of(page: Any) -> list[int]:
    """[waiting, needing attention] on this phone."""
    return page.evaluate("haftbook.outbox.state().then(s => [s.waiting, s.attention])")


def sign_in(page: Any, address: str, name: str) -> None:
    page.goto(address + "/sign-in/")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(address + "/")


@pytest.fixture
def phones(browser: Any, browser_context_args: dict[str, Any]) -> Any:
    """A maker of phones: each with a store, a session and a page of its own."""
    made = []

    def phone() -> Any:
        # As over plain http: no service worker brings pages.
        made.append(browser.new_context(service_workers="block", **browser_context_args))
        return made[-1].new_page()

    yield phone
    for context in made:
        context.close()


@pytest.fixture
def phone(phones: Any, live_server: Any, owner: Person, stock: Stock) -> Any:
    """The owner's phone, signed in, with the garden in reach; its complaints do not matter here."""
    page = phones()
    sign_in(page, live_server.url, owner.name)
    return page


def cross_form(page: Any, live_server: Any, stock: Stock) -> None:
    chosen = f"?seed={stock.teapot.pk}&pollen={stock.ledger.pk}"
    page.goto(live_server.url + reverse("new-cross") + chosen)


def keep_cross(page: Any, tag: str) -> None:
    page.get_by_label("Tag").fill(tag)
    page.get_by_role("button", name="Keep this cross").last.tap()


def panel(page: Any) -> Any:
    expect(page.locator(".kept-panel-said").first).to_have_text("✓ Kept on this phone")
    return page.locator(".kept-panel")


def all_sent(page: Any) -> None:
    """Waits until nothing waits any more."""
    for _ in range(100):
        if count_of(page)[0] == 0:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"still waiting: {count_of(page)}")


def test_out_of_reach__a_form_is_kept_and_shown_and_goes_in_order(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    phone.context.set_offline(True)
    for number, tag in enumerate(stock.tags[:3], start=1):
        keep_cross(phone, tag)
        panel(phone)
        assert count_of(phone) == [number, 0]
        expect(phone.locator("#state-line")).to_contain_text(f"{number} waiting")
        expect(phone.locator("#state-line")).to_contain_text("out of reach")
        phone.get_by_role("button", name="One more").tap()
        assert phone.get_by_label("Tag").input_value() == ""
    assert not Pollination.objects.exists()
    phone.context.set_offline(False)
    all_sent(phone)
    expect(phone.locator("#state-line")).to_be_hidden()
    lines = JournalLine.objects.filter(verb="record_pollination").order_by("pk")
    assert [line.text.find(tag) >= 0 for line, tag in zip(lines, stock.tags, strict=False)] == (
        [True] * 3
    )
    assert list(lines.order_by("happened_at")) == list(lines)
    assert Pollination.live.count() == 3


def test_kept__survives_a_reload_and_a_killed_tab(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    phone.context.set_offline(True)
    keep_cross(phone, stock.tags[0])
    panel(phone)
    context = phone.context
    phone.close(run_before_unload=False)
    again = context.new_page()
    context.set_offline(False)
    again.goto(live_server.url + reverse("waiting"))
    all_sent(again)
    again.reload()
    accepted = again.locator("[data-list=accepted] li").first
    expect(accepted).to_contain_text(stock.tags[0])
    expect(accepted.get_by_role("link", name="Where it stands")).to_have_attribute(
        "href", re.compile("kept=")
    )
    assert Pollination.live.count() == 1


def test_entry__whose_answer_was_lost_is_sent_again_and_counts_once(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    """The garden keeps it, the phone hears nothing: the second time it is known already."""
    cross_form(phone, live_server, stock)
    posts: list[str] = []

    def lose_the_first(route: Any) -> None:
        posts.append(route.request.headers["haftbook-entry"])
        if len(posts) == 1:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    phone.route("**/new-cross/", lose_the_first)
    keep_cross(phone, stock.tags[0])
    all_sent(phone)
    assert len(posts) >= 2
    assert len(set(posts)) == 1
    assert Pollination.live.count() == 1
    assert phone.evaluate("haftbook.outbox.list('accepted').then(l => l.length)") == 1


def test_doubled_tap__is_one_entry(phone: Any, live_server: Any, stock: Stock) -> None:
    cross_form(phone, live_server, stock)
    phone.context.set_offline(True)
    phone.get_by_label("Tag").fill(stock.tags[0])
    phone.evaluate("""() => { const b = document.querySelectorAll('form .btn--main')
        b[b.length - 1].click(); b[b.length - 1].click() }""")
    panel(phone)
    assert count_of(phone) == [1, 0]


def test_same_form__restored_and_sent_again_waits_once_with_other_words_twice(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    phone.context.set_offline(True)
    entry = str(uuid.uuid4())
    keep = """([entry, tag]) => haftbook.outbox.keep({ action: '/new-cross/', kind: 'Pollination',
        title: '', fields: [['entry', entry], ['tag', tag]] }).then(kept => kept.entry)"""
    assert phone.evaluate(keep, [entry, "11"]) == entry
    assert phone.evaluate(keep, [entry, "11"]) == entry
    assert count_of(phone) == [1, 0]
    assert phone.evaluate(keep, [entry, "12"]) != entry
    assert count_of(phone) == [2, 0]


def wrong(tag: str) -> str:
    return tag[:-1] + str((int(tag[-1]) + 1) % 10)


def test_refused__in_the_middle_blocks_nothing_and_is_mended(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    phone.get_by_label("Note").fill("between two showers")
    phone.context.set_offline(True)
    for tag in (stock.tags[0], wrong(stock.tags[1]), stock.tags[2]):
        keep_cross(phone, tag)
        panel(phone)
        phone.get_by_role("button", name="One more").tap()
        phone.get_by_label("Note").fill("between two showers")
    phone.context.set_offline(False)
    all_sent(phone)
    assert Pollination.live.count() == 2
    expect(phone.locator("#state-line")).to_contain_text("1 needs attention")
    phone.locator("#state-line a").tap()
    called = phone.locator(".wait--called")
    expect(called).to_contain_text("is mistyped")
    expect(called).to_contain_text("between two showers")
    expect(called).to_contain_text("Quillon Teapot × Marzipan Ledger")
    assert list(found_on(phone, "waiting", PHONE["width"])) == []
    assert phone.evaluate(SMALL_TARGETS, LEAST) == []
    called.get_by_role("button", name="Mend").tap()
    expect(phone.get_by_role("alert")).to_contain_text("is mistyped")
    expect(phone.get_by_label("Note")).to_have_value("between two showers")
    keep_cross(phone, stock.tags[1])
    phone.locator(".kept").wait_for()
    assert Pollination.live.count() == 3
    assert count_of(phone) == [0, 0]


def test_mended__days_later_keeps_the_day_that_was_meant(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    made_on = Garden.get().today() - timedelta(days=2)
    phone.evaluate(
        """([seed, pollen, tag, at]) => haftbook.outbox.keep({
          action: '/new-cross/', title: 'a cross', kind: 'Pollination', told: [],
          fields: [['seed', seed], ['pollen', pollen], ['tag', tag], ['stigmas', '3'],
            ['at', at], ['day', '']] })""",
        [str(stock.teapot.pk), str(stock.ledger.pk), wrong(stock.tags[0]), f"{made_on}T11:00:00Z"],
    )
    all_sent(phone)
    phone.goto(live_server.url + reverse("waiting"))
    phone.get_by_role("button", name="Mend").tap()
    expect(phone.get_by_role("alert")).to_contain_text("is mistyped")
    keep_cross(phone, stock.tags[0])
    phone.locator(".kept").wait_for()
    assert Pollination.live.get().day == made_on
    assert count_of(phone) == [0, 0]


def test_refused_photo__is_mended_with_its_file(phone: Any, live_server: Any, stock: Stock) -> None:
    phone.goto(live_server.url + reverse("photo-new", args=[stock.teapot.pk]))
    phone.context.set_offline(True)
    file = {"name": "iris.jpg", "mimeType": "image/jpeg", "buffer": encoded(drawn())}
    phone.set_input_files("[data-photo]", file)
    phone.get_by_text("as its file tells").wait_for()
    phone.get_by_label("What it shows").fill("x" * 300)
    phone.get_by_role("button", name="Keep the photo").tap()
    panel(phone)
    phone.context.set_offline(False)
    all_sent(phone)
    phone.goto(live_server.url + reverse("waiting"))
    phone.get_by_role("button", name="Mend").tap()
    phone.get_by_label("What it shows").fill("the third flower")
    phone.get_by_role("button", name="Keep the photo").tap()
    phone.locator(".kept").wait_for()
    assert Photo.live.get().caption == "the third flower"
    assert count_of(phone) == [0, 0]


def test_refused__out_of_reach_says_so_and_is_put_aside_only_after_a_question(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    phone.context.set_offline(True)
    keep_cross(phone, wrong(stock.tags[0]))
    panel(phone)
    phone.context.set_offline(False)
    all_sent(phone)
    phone.goto(live_server.url + reverse("waiting"))
    called = phone.locator(".wait--called")
    phone.context.set_offline(True)
    called.get_by_role("button", name="Mend").tap()
    expect(called.get_by_role("alert")).to_contain_text("out of reach")
    called.get_by_role("button", name="Put aside").tap()
    called.get_by_role("button", name="Leave it here").tap()
    called.get_by_role("button", name="Put aside").tap()
    called.get_by_role("button", name="Yes, put it aside").tap()
    expect(called).to_have_count(0)
    assert count_of(phone) == [0, 0]
    phone.get_by_role("button", name="Take it back").tap()
    expect(called).to_have_count(1)


def test_two_phones__with_one_tag_keep_both_and_a_person_is_asked(
    phone: Any, phones: Any, live_server: Any, stock: Stock, helper_person: Person
) -> None:
    other = phones()
    sign_in(other, live_server.url, helper_person.name)
    for page in (phone, other):
        cross_form(page, live_server, stock)
        page.context.set_offline(True)
        keep_cross(page, stock.tags[0])
        panel(page)
    for page in (phone, other):
        page.context.set_offline(False)
        all_sent(page)
    assert Pollination.live.count() == 1
    assert count_of(phone) == [0, 0]
    assert count_of(other) == [0, 1]
    other.goto(live_server.url + reverse("waiting"))
    called = other.locator(".wait--called")
    expect(called).to_contain_text(stock.tags[0])
    expect(called.locator(".wait-says li")).not_to_have_count(0)


def test_signed_out__entries_stay_and_go_for_their_own_person_only(
    phone: Any, live_server: Any, stock: Stock, owner: Person, helper_person: Person
) -> None:
    cross_form(phone, live_server, stock)
    phone.context.clear_cookies()
    keep_cross(phone, stock.tags[0])
    expect(panel(phone)).to_contain_text("Sign in, then it goes")
    assert count_of(phone) == [1, 0]
    phone.goto(live_server.url + "/sign-in/")
    expect(phone.locator("#state-line")).to_contain_text("1 entry waits on this phone; sign in")
    assert list(found_on(phone, "door with entries", PHONE["width"])) == []
    sign_in(phone, live_server.url, helper_person.name)
    expect(phone.locator("#state-line")).to_contain_text(f"1 waiting for {owner.name}")
    assert not Pollination.objects.exists()
    phone.goto(live_server.url + reverse("waiting"))
    expect(phone.locator("[data-list=waiting] li")).to_contain_text(f"For {owner.name}")
    phone.goto(live_server.url + reverse("book"))
    expect(phone.locator("[data-leaving]")).to_contain_text("1 entry waits on this phone")
    phone.get_by_role("button", name="Sign out").tap()
    phone.wait_for_url("**/sign-in/")
    sign_in(phone, live_server.url, owner.name)
    all_sent(phone)
    line = JournalLine.objects.get(verb="record_pollination")
    assert line.person == owner


def test_file__saved_on_the_phone_is_taken_in_elsewhere_and_counts_once(
    phone: Any, phones: Any, live_server: Any, stock: Stock, owner: Person, tmp_path: Path
) -> None:
    phone.goto(live_server.url + reverse("photo-new", args=[stock.teapot.pk]))
    phone.context.set_offline(True)
    file = {"name": "iris.jpg", "mimeType": "image/jpeg", "buffer": encoded(drawn())}
    phone.set_input_files("[data-photo]", file)
    phone.get_by_text("as its file tells").wait_for()
    phone.get_by_role("button", name="Keep the photo").tap()
    panel(phone)
    # The page Waiting opens without the garden where it was opened before; here it just comes.
    phone.route("**/hello/", lambda route: route.abort())
    phone.context.set_offline(False)
    phone.goto(live_server.url + reverse("waiting"))
    with phone.expect_download() as saving:
        phone.get_by_role("button", name="Save the waiting entries").tap()
    saved = tmp_path / "entries.json"
    saving.value.save_as(saved)
    laptop = phones()
    sign_in(laptop, live_server.url, owner.name)
    take_in(laptop, live_server, saved)
    assert list(found_on(laptop, "taking in", PHONE["width"])) == []
    laptop.get_by_role("button", name="Take them in").tap()
    laptop.wait_for_url("**/waiting/")
    all_sent(laptop)
    assert Photo.live.count() == 1
    phone.unroute("**/hello/")
    phone.evaluate("haftbook.outbox.send()")
    all_sent(phone)
    assert Photo.live.count() == 1
    assert count_of(phone) == [0, 0]


def take_in(page: Any, live_server: Any, file: Path) -> None:
    page.goto(live_server.url + reverse("waiting-take-in"))
    page.set_input_files("#id_file", file)


def test_file__damaged_or_foreign_is_refused_with_a_sentence(
    phone: Any, live_server: Any, tmp_path: Path
) -> None:
    entry = {"entry": str(uuid.uuid4()), "kind": "Person", "title": "a guest", "told": [],
             "action": "/people/new/", "fields": [["name", "Guest"]], "files": [], "person": 1,
             "personName": "Wanda", "at": "2026-06-03T10:00:00Z", "skew": None}  # fmt: skip
    for change, sentence in (
        ("{", "no whole file"),
        ({"what": "something"}, "no file of waiting entries"),
        ({"mark": "00000000"}, "damaged"),
        ({"garden": "Elsewhere"}, "Elsewhere"),
        ({}, "no form of the field"),
    ):
        told = {"what": "Haftbook: entries that wait", "format": 1, "entries": [entry],
                "garden": "Garden at the Mill Race", "mark": mark_of([entry])}  # fmt: skip
        file = tmp_path / "file.json"
        file.write_text(change if isinstance(change, str) else json.dumps(told | change))
        take_in(phone, live_server, file)
        expect(phone.get_by_role("alert")).to_contain_text(sentence)
    assert count_of(phone) == [0, 0]


def mark_of(entries: list[dict[str, Any]]) -> str:
    """FNV-1a, 32 bits, over the entries as the browser writes them."""
    mark = 0x811C9DC5
    for sign in json.dumps(entries, separators=(",", ":"), ensure_ascii=False):
        mark = ((mark ^ ord(sign)) * 0x01000193) & 0xFFFFFFFF
    return f"{mark:08x}"


def test_two_tabs__send_each_entry_once_and_both_say_what_waits(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    cross_form(phone, live_server, stock)
    other = phone.context.new_page()
    other.goto(live_server.url + reverse("today"))
    phone.context.set_offline(True)
    action, bed = reverse("plant-place", args=[stock.teapot.pk]), str(stock.bed.pk)
    phone.evaluate(KEEP_MANY, [action, bed, 1, 12])
    expect(other.locator("#state-line")).to_contain_text("12 waiting")
    posts: list[str] = []
    phone.context.on(
        "request",
        lambda sent: sent.method == "POST" and posts.append(sent.headers["haftbook-entry"]),
    )
    phone.context.set_offline(False)
    for page in (phone, other):
        page.evaluate("haftbook.outbox.send()")
    all_sent(phone)
    posts = [entry for entry in posts if entry]
    assert len(posts) == len(set(posts)) == 12
    assert Placing.live.filter(plant=stock.teapot, bed=stock.bed).count() >= 12
    expect(other.locator("#state-line")).to_be_hidden()


def test_walk__is_swapped_as_before_and_kept_out_of_reach(
    phone: Any, live_server: Any, cast: Cast
) -> None:
    phone.goto(live_server.url + reverse("walk-row", args=[cast.row.pk]))
    phone.get_by_role("button", name="Look again").tap()
    expect(phone.locator(".walk-at")).to_have_text("Position 2")
    phone.wait_for_timeout(450)
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Nothing", exact=True).tap()
    panel(phone)
    assert list(found_on(phone, "walk, kept", PHONE["width"])) == []
    phone.context.set_offline(False)
    phone.evaluate("haftbook.outbox.send()")
    all_sent(phone)
    expect(phone.get_by_role("link", name="Where it stands")).to_be_visible()
    seen = Glance.live.order_by("position").values_list("position", "found")
    assert list(seen) == [(1, "again"), (2, "nothing")]


def test_tap_to_kept__is_quick_with_500_waiting_and_a_photo(
    phone: Any, live_server: Any, stock: Stock
) -> None:
    phone.goto(live_server.url + reverse("photo-new", args=[stock.teapot.pk]))
    phone.context.set_offline(True)
    place, bed = reverse("plant-place", args=[stock.teapot.pk]), str(stock.bed.pk)
    phone.evaluate(KEEP_MANY, [place, bed, 1, 500])
    photo = reverse("photo-new", args=[stock.teapot.pk])
    took = sorted(phone.evaluate(TAP, [photo, bed, 300_000]) for _ in range(40))
    file = {"name": "iris.jpg", "mimeType": "image/jpeg", "buffer": encoded(drawn())}
    phone.set_input_files("[data-photo]", file)
    phone.get_by_text("as its file tells").wait_for()
    phone.get_by_role("button", name="Keep the photo").tap()
    panel(phone)
    shown = phone.evaluate(KEPT)
    told = f"median {took[20]:.1f}, p95 {took[37]:.1f}, max {took[-1]:.1f} ms"
    print(f"kept with 500 waiting: {told}; from a real tap {shown}")
    assert count_of(phone) == [541, 0]
    # A shared machine: the goal is 50 ms, what must never be is what somebody would wait for.
    assert took[37] < 100
    assert shown[0] < 250


def test_without_a_store__the_form_is_posted_as_before(
    phones: Any, live_server: Any, owner: Person, stock: Stock
) -> None:
    page = phones()
    page.add_init_script(
        "Object.defineProperty(window, 'indexedDB', { get() { throw new Error('refused') } })"
    )
    sign_in(page, live_server.url, owner.name)
    expect(page.locator("#state-line")).to_contain_text("Nothing can be kept on this phone")
    cross_form(page, live_server, stock)
    keep_cross(page, stock.tags[0])
    page.locator(".kept").wait_for()
    assert Cross.live.count() == 1
    cross_form(page, live_server, stock)
    page.context.set_offline(True)
    keep_cross(page, stock.tags[1])
    expect(page.locator("#kept-here")).to_contain_text("Not kept")
    expect(page.get_by_label("Tag")).to_have_value(stock.tags[1])
    page.context.set_offline(False)
    page.goto(live_server.url + reverse("waiting"))
    expect(page.locator("[data-told]")).to_contain_text("Nothing can be kept on this phone")
