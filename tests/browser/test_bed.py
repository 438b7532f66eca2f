"""In the bed with the garden out of reach: what is kept there is in the record once, on its day."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from breeding.models import Pollination, Pot, PotCount, Row, SeedCup
from breeding.tagnumbers import read_tag, tag_codes
from garden.models import Garden, JournalLine
from garden.names import fold
from tests.cast import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PARENTS = ("Quillon Teapot", "Marzipan Ledger")
TAGS = [code for _, code in tag_codes(1000, 200)]


@pytest.fixture
def in_bed(cast: Cast, signed_in: Any, live_server: Any, complaints: list[str]) -> Iterator[Any]:
    """The page in the bed on the owner's phone, with its lists."""
    signed_in.goto(live_server.url + "/bed/")
    expect(signed_in.get_by_text("Lists from")).to_be_visible(timeout=20_000)
    yield signed_in
    # Out of reach is what these tests are about.
    complaints[:] = [said for said in complaints if "net::ERR" not in said]


def away(page: Any) -> None:
    page.context.set_offline(True)


def back(page: Any) -> None:
    page.context.set_offline(False)
    page.evaluate("haftbook.outbox.send()")


def waiting(page: Any) -> int:
    return page.evaluate("haftbook.outbox.state().then((state) => state.waiting)")


def kept(page: Any, words: str) -> None:
    told = page.locator("#bed-kept")
    expect(told).to_contain_text("Kept on this phone")
    expect(told).to_contain_text(words)


def pick(page: Any, side: str, letters: str, name: str) -> None:
    page.get_by_role("textbox", name=f"{side} parent").fill(letters)
    page.get_by_role("button", name=name).first.tap()


def cross_form_with(page: Any, tag: str) -> None:
    pick(page, "Seed", "quil", PARENTS[0])
    pick(page, "Pollen", "ledg", PARENTS[1])
    page.get_by_label("Tag").fill(tag)
    page.get_by_role("button", name="Keep this cross").last.tap()


def cross(page: Any, tag: str) -> None:
    """A flower worked, both parents by a few letters."""
    page.locator(".bed-way[href='#cross']").tap()
    cross_form_with(page, tag)
    kept(page, tag)


def open_hash(page: Any, hash_: str) -> None:
    page.evaluate("(hash) => haftbook.bed.go(hash)", hash_)


def test_whole_day_offline__is_in_the_record_once(in_bed: Any, cast: Cast) -> None:
    page, tag = in_bed, cast.free_tag
    before = JournalLine.objects.count()
    away(page)
    cross(page, tag)

    # The flower just worked is among the pods, and its pod can be noted.
    open_hash(page, "pods")
    line = page.locator(".bed-lines li", has_text=tag)
    expect(line).to_contain_text("Quillon Teapot × Marzipan Ledger")
    expect(line).to_contain_text("on this phone")
    line.get_by_role("link").tap()
    page.get_by_role("button", name="Yes, a pod has set").tap()
    kept(page, tag)
    expect(page.locator(".bed-lines li", has_text=tag)).to_have_count(0)

    open_hash(page, "harvest")
    page.locator(".bed-lines li", has_text=tag).get_by_role("link").tap()
    page.get_by_label("Seeds").fill("23")
    page.get_by_role("button", name="Keep this harvest").tap()
    kept(page, "23")

    open_hash(page, "cups")
    page.locator(".bed-lines li", has_text=cast.cup.code).get_by_role("link").tap()
    expect(page.get_by_label("Seeds sown")).to_have_value("10")
    page.get_by_label("Seeds sown").fill("4")
    page.get_by_role("button", name="Keep this sowing").tap()
    kept(page, "4")
    expect(page.locator(".bed-lines li", has_text=cast.cup.code)).to_contain_text("6 seeds left")

    open_hash(page, "pots")
    page.locator(".bed-lines li", has_text=cast.pot.code).get_by_role("link").tap()
    page.get_by_label("Seedlings standing now").fill("9")
    page.get_by_role("button", name="Keep this count").tap()
    kept(page, "9")

    open_hash(page, "line-out")
    page.locator(".bed-lines li", has_text=cast.pot.code).get_by_role("link").tap()
    expect(page.get_by_label("First position")).to_have_value("13")
    page.get_by_label("Seedlings").fill("5")
    page.get_by_role("button", name="Keep this row").tap()
    kept(page, "Long Bed")

    assert waiting(page) == 6
    assert JournalLine.objects.count() == before
    back(page)
    expect(page.locator("#bed-kept")).to_contain_text("In the garden")
    assert [waiting(page), page.evaluate("haftbook.outbox.list('attention')")] == [0, []]
    today = Garden.get().today()
    flower = Pollination.live.get(tag__code=tag)
    assert (flower.state, flower.day, flower.harvested_on, flower.seeds) == (
        "harvested", today, today, 23
    )  # fmt: skip
    assert str(flower.cross.seed_parent) == PARENTS[0]
    assert str(flower.cross.pollen_parent) == PARENTS[1]
    assert SeedCup.live.get(pk=cast.cup.pk).left == 6
    assert PotCount.live.filter(pot=cast.pot).latest("pk").standing == 9
    assert Row.live.filter(pot=cast.pot).latest("pk").first == 13
    assert JournalLine.objects.count() == before + 6
    assert Pot.live.count() == 2


def test_next_flower__has_the_same_pollen_and_only_wants_a_seed_parent(
    in_bed: Any, cast: Cast
) -> None:
    away(in_bed)
    cross(in_bed, cast.free_tag)
    expect(in_bed.locator("[data-side=pollen] [data-chosen] .name")).to_have_text(PARENTS[1])
    expect(in_bed.get_by_role("textbox", name="Seed parent")).to_be_focused()
    in_bed.keyboard.type("thist")
    in_bed.get_by_role("button", name="Thistle Postman").tap()
    expect(in_bed.get_by_label("Tag")).to_be_focused()


def test_take_back__asks_nothing_and_can_be_put_back(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    cross(in_bed, cast.free_tag)
    in_bed.get_by_role("button", name="Take back").tap()
    expect(in_bed.locator("#bed-kept")).to_contain_text("Taken back")
    assert waiting(in_bed) == 0
    in_bed.get_by_role("button", name="Put back").tap()
    kept(in_bed, cast.free_tag)
    assert waiting(in_bed) == 1
    back(in_bed)
    expect(in_bed.locator("#bed-kept")).to_contain_text("In the garden")
    assert Pollination.live.filter(tag__code=cast.free_tag).count() == 1


def test_take_back__of_what_the_garden_may_have_already_takes_nothing_away(
    in_bed: Any, cast: Cast
) -> None:
    asked: list[str] = []

    def lose_the_answer(route: Any) -> None:
        asked.append(route.request.url)
        route.fetch()
        route.abort()

    in_bed.route("**/new-cross/", lose_the_answer)
    in_bed.locator(".bed-way[href='#cross']").tap()
    cross_form_with(in_bed, cast.free_tag)
    kept(in_bed, cast.free_tag)
    expect(in_bed.locator("#state-line")).to_contain_text("out of reach")
    assert Pollination.live.filter(tag__code=cast.free_tag).count() == 1
    in_bed.get_by_role("button", name="Take back").tap()
    expect(in_bed.locator("#bed-kept")).to_contain_text("On its way to the garden")
    assert waiting(in_bed) == 1
    assert asked
    in_bed.unroute("**/new-cross/")
    in_bed.evaluate("haftbook.outbox.send()")
    in_bed.get_by_role("button", name="Undo").tap()
    expect(in_bed.locator("#bed-kept")).to_contain_text("Undone")
    assert not Pollination.live.filter(tag__code=cast.free_tag).exists()


def test_signing_out__leaves_what_waits_and_nothing_to_read(in_bed: Any, cast: Cast) -> None:
    in_bed.route("**/new-cross/", lambda route: route.abort())
    cross(in_bed, cast.free_tag)
    in_bed.goto(in_bed.url.partition("/bed/")[0] + "/book/")
    assert in_bed.evaluate("haftbook.outbox.list('lists').then((all) => all.length)") > 5
    in_bed.get_by_role("button", name="Sign out").tap()
    in_bed.wait_for_url("**/sign-in/")
    assert in_bed.evaluate("haftbook.outbox.list('lists').then((all) => all.length)") == 0
    assert waiting(in_bed) == 1


def test_undo__of_what_the_garden_has_goes_the_same_way(in_bed: Any, cast: Cast) -> None:
    in_bed.locator(".bed-way[href='#cross']").tap()
    cross_form_with(in_bed, cast.free_tag)
    expect(in_bed.locator("#bed-kept")).to_contain_text("In the garden")
    in_bed.get_by_role("button", name="Undo").tap()
    expect(in_bed.locator("#bed-kept")).to_contain_text("Undone")
    assert not Pollination.live.filter(tag__code=cast.free_tag).exists()


def test_tag__mistyped_is_refused_and_hanging_is_told_before(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    in_bed.locator(".bed-way[href='#cross']").tap()
    tag, form = in_bed.get_by_label("Tag"), in_bed.locator("#bed-sheet form")
    tag.fill(cast.free_tag[:-1] + str((int(cast.free_tag[-1]) + 1) % 10))
    tag.blur()
    expect(form.locator("[data-tag-said]")).to_contain_text("is mistyped")
    tag.fill(cast.free_tag)
    tag.blur()
    expect(form.locator("[data-tag-said]")).to_have_text(f"Tag {cast.free_tag} is free.")
    cross_form_with(in_bed, cast.free_tag)
    kept(in_bed, cast.free_tag)
    # The form of the next flower.
    expect(in_bed.get_by_role("textbox", name="Seed parent")).to_be_focused()
    tag.fill(cast.free_tag)
    tag.blur()
    expect(form.locator("[data-tag-said]")).to_contain_text("is on Quillon Teapot")
    expect(form.locator("[data-tag-said]")).to_contain_text("on this phone")
    assert waiting(in_bed) == 1


def test_tag__that_this_phone_does_not_know_is_kept_all_the_same(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    open_hash(in_bed, "pods")
    in_bed.get_by_label("Tag").fill(cast.tags[0])  # harvested two years ago
    in_bed.get_by_role("button", name="Open").tap()
    expect(in_bed.locator(".bed-of")).to_contain_text("Not on this phone’s lists")
    in_bed.get_by_role("button", name="dried up").tap()
    kept(in_bed, cast.tags[0])
    assert waiting(in_bed) == 1


def test_bee_pod__is_a_choice(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    in_bed.locator(".bed-way[href='#cross']").tap()
    pick(in_bed, "Seed", "oboe", "Oboe for Hannes")
    in_bed.get_by_role("button", name="Not known").tap()
    in_bed.get_by_label("Tag").fill(cast.free_tag)
    in_bed.get_by_role("button", name="Keep this cross").last.tap()
    kept(in_bed, "unknown")
    back(in_bed)
    expect(in_bed.locator("#bed-kept")).to_contain_text("In the garden")
    assert Pollination.live.get(tag__code=cast.free_tag).cross.pollen_unknown


def test_nothing_typed__is_told_at_the_fields(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    in_bed.locator(".bed-way[href='#cross']").tap()
    in_bed.get_by_role("button", name="Keep this cross").last.tap()
    wrong = in_bed.locator("#bed-sheet .field--bad .err")
    expect(wrong).to_have_count(3)
    expect(wrong.last).to_have_text("Type the number of the tag that you tied on.")
    assert waiting(in_bed) == 0


def test_more_than_the_cup_holds__is_asked_about_once(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    open_hash(in_bed, f"sow/{cast.cup.code}")
    in_bed.get_by_label("Seeds sown").fill("11")
    keep = in_bed.get_by_role("button", name="Keep this sowing")
    keep.tap()
    expect(in_bed.locator("#bed-sheet .err").first).to_contain_text(
        "holds 10 seeds as this phone knows"
    )
    assert waiting(in_bed) == 0
    keep.tap()
    kept(in_bed, "11")


def test_back_button__goes_back_through_the_pages(in_bed: Any, cast: Cast) -> None:
    in_bed.get_by_role("link", name="Sowing").tap()
    in_bed.locator(".bed-lines li", has_text=cast.cup.code).get_by_role("link").tap()
    expect(in_bed.get_by_role("heading", name="Sow into a pot")).to_be_visible()
    in_bed.go_back()
    expect(in_bed.get_by_role("heading", name="Sowing")).to_be_visible()
    in_bed.go_back()
    expect(in_bed.get_by_role("heading", name="In the bed")).to_be_visible()


def test_tap_to_kept__takes_at_most_a_tenth_of_a_second(in_bed: Any, cast: Cast) -> None:
    away(in_bed)
    open_hash(in_bed, f"count/{cast.pot.code}")
    in_bed.get_by_label("Seedlings standing now").fill("7")
    took = in_bed.evaluate(
        """() => new Promise((done) => {
          const since = performance.now();
          document.addEventListener("bed:kept", () => done(performance.now() - since));
          document.querySelector("#bed-sheet .btn--main").click();
        })"""
    )
    assert took < 100


FOLDED = (
    "Déjeuner “Łąka”", "ΆΣΤΡΟΝ ὀδός", "Straße am ẞee", "İstanbul ı", "ﬁeld ½ Ⅻ", "हिन्दी नाम",
    "שָׁלוֹם", "  many   spaces ", "O\u2019Hara\u200b", "Ælfþryth Œuvre Đorđe", "한국 \u3164 꽃",
    "Ｑ－１７", "a\u0323\u0307b", "ǅungla", "24-001C", "\u0345ᾳ ſt", "न\u200dक्ष",
)  # fmt: skip


def test_fold__is_the_same_on_the_phone(in_bed: Any) -> None:
    names = [*FOLDED, *PARENTS]
    folded = in_bed.evaluate("(names) => names.map(haftbook.bed.fold)", names)
    assert dict(zip(names, folded, strict=True)) == {name: fold(name) for name in names}


def test_fold__is_the_same_for_every_letter(in_bed: Any) -> None:
    """Everything but Cherokee, whose case folds the other way, and what this browser's newer table
    of signs knows and Python's does not."""
    signs = [chr(code) for code in range(0x20, 0x3000) if not 0x13A0 <= code < 0x1400]
    known = [sign for sign in signs if unicodedata.category(sign) not in ("Cn", "Cs", "Co")]
    folded = in_bed.evaluate("(names) => names.map(haftbook.bed.fold)", [f"a{s}b" for s in known])
    other = {s: f for s, f in zip(known, folded, strict=True) if f != fold(f"a{s}b")}
    assert other == {}


def as_the_garden_reads(text: str) -> dict[str, str]:
    try:
        return {"code": read_tag(text)}
    except ValueError as error:
        return {"says": str(error)}


def test_check_digits__are_worked_out_alike_on_both_sides(in_bed: Any) -> None:
    """07940 is the worked example that tests/reference/test_iso7064.py holds the garden to."""
    typed = ["07940", "07941", "07490", "1000 7", "10-007", "", "1", "7", "10007X", *TAGS]
    said = in_bed.evaluate("(told) => told.map((one) => haftbook.bed.readTag(one))", typed)
    assert said == [as_the_garden_reads(text) for text in typed]
    assert said[0] == {"code": "07940"}
