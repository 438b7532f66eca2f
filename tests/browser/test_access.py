"""Every page at phone and desk size: no violation, nothing too small, nothing wider than it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from breeding.models import Pollination
from breeding.records import record_pollination
from garden.models import Garden, JournalLine
from tests.browser.addresses import (
    FIELD,
    FORMS,
    NO_PAGES,
    NOWHERE,
    PART_FORMS,
    addresses,
    route_names,
    route_of,
)
from tests.browser.conftest import DESK, PHONE
from tests.cast import Cast, act_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TAGS = [
    "wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "wcag2aaa", "best-practice",
]  # fmt: skip
AXE = Axe().axe_script
OWN_SCRIPTS = sorted((Path(__file__).resolve().parents[2] / "static" / "js").glob("*.js"))
OPTIONS = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
LEAST = {"height": 48, "width": 44}
# Links inside a sentence are exempt, as in WCAG 2.5.8; everything else that can be tapped counts.
SMALL_TARGETS = """least => [...document.querySelectorAll(
    'button, input:not([type=hidden]), select, textarea, summary, a')]
  .filter(e => e.checkVisibility() && !e.closest('.unseen') && !e.matches('.unseen, .skip'))
  .filter(e => !(e.tagName === 'A' && ['inline'].includes(getComputedStyle(e).display)))
  .map(e => [e, (e.closest('label') || e).getBoundingClientRect()])
  .filter(([e, box]) => box.height > 0
    && (box.height < least.height - 0.5 || box.width < least.width - 0.5))
  .map(([e, box]) => `${e.tagName} ${e.className} ${e.textContent.trim().slice(0, 30)}: `
    + `${Math.round(box.width)} x ${Math.round(box.height)} px`)"""
# Fill every field of the page's form with what no field takes, and send it as a browser without
# the outbox would.
SEND_NONSENSE = """words => {
  const form = document.querySelector('main form.form[method=post]')
  for (const field of form.querySelectorAll('input, textarea'))
    if (!['hidden', 'radio', 'checkbox', 'file'].includes(field.type)) field.value = words
  form.noValidate = true
  HTMLFormElement.prototype.submit.call(form)
}"""
NONSENSE = "nonsense ½ " * 600
A_LIST = "name,class,seed_parent\nLantern Keeper,TB,Quillon Teapot\nSpoon Bishop,SDB,Old Harrow"
WRONG_LIST = "name,class,year\nLantern Keeper,XL,soon\n,TB,1999"


def found_on(page: Any, name: str, width: int) -> Iterator[str]:
    """What axe finds on the page as it is now, and whether it is wider than the screen."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    # Only what is wrong comes over: all that was looked at takes as long as the looking.
    for broken in page.evaluate(
        "options => axe.run(options).then(told => told.violations)", OPTIONS
    ):
        node = broken["nodes"][0]
        yield f"{name}: {broken['id']} at {node['target']} {node['failureSummary']}"
    wide = page.evaluate("document.documentElement.scrollWidth")
    if wide > width:
        yield f"{name}: {wide} px wide"


def found_at_both_sizes(page: Any, name: str) -> Iterator[str]:
    """The same at the size of a phone and of a desk, which only the style sheets look at."""
    for size in (PHONE, DESK):
        page.set_viewport_size(size)
        yield from found_on(page, f"{name}, {size['width']} px", size["width"])


@pytest.fixture
def flower_due(cast: Cast, owner: Any) -> Pollination:
    """A flower worked so long ago that somebody should look at it now."""
    day = Garden.get().today() - timedelta(days=40)
    return record_pollination(
        act_of(owner, day), seed_parent=cast.oboe, pollen_parent=cast.guest, tag=cast.tags[3]
    ).thing


def test_scripts__do_not_look_at_the_size_of_the_screen() -> None:
    """So that a page made wider shows what it would show if it had been opened so."""
    asking = re.compile(r"matchMedia|inner(Width|Height)|screen\.|clientWidth|['\"]resize['\"]")
    assert len(OWN_SCRIPTS) > 3
    assert [script.name for script in OWN_SCRIPTS if asking.search(script.read_text("utf-8"))] == []


def test_addresses__hold_every_route(cast: Cast) -> None:
    held = {route_of(address) for address in addresses(cast).values()}
    assert held.isdisjoint(NO_PAGES)
    assert held | set(NO_PAGES) == route_names()


def test_pages__pass_axe_and_fit_their_width(
    cast: Cast, flower_due: Any, signed_in: Any, live_server: Any
) -> None:
    found = []
    for name, address in {**addresses(cast), "nowhere": NOWHERE}.items():
        answer = signed_in.goto(live_server.url + address)
        assert answer.status == (404 if address == NOWHERE else 200), name
        found += found_at_both_sizes(signed_in, name)
    assert found == []


def test_refused_forms__pass_axe_and_fit_their_width(
    cast: Cast, signed_in: Any, live_server: Any
) -> None:
    pages, lines, found = addresses(cast), JournalLine.objects.count(), []
    for name in [each for each in FORMS if each not in PART_FORMS]:
        signed_in.goto(live_server.url + pages[name])
        with signed_in.expect_navigation() as sent:
            signed_in.evaluate(SEND_NONSENSE, NONSENSE)
        assert sent.value.status == 422, name
        found += found_at_both_sizes(signed_in, name)
    assert found == []
    assert JournalLine.objects.count() == lines


def test_dry_run_of_a_list__passes_axe_and_fits_its_width(
    cast: Cast, signed_in: Any, live_server: Any
) -> None:
    found = []
    for name, text, heading in (
        ("lines", A_LIST, "What would come of it"),
        ("problems", WRONG_LIST, "things to mend"),
    ):
        signed_in.goto(live_server.url + addresses(cast)["plant-import"])
        signed_in.get_by_label("Paste the list").fill(text)
        signed_in.get_by_role("button", name="See what would come").click()
        signed_in.get_by_role("heading", name=heading).wait_for()
        found += found_at_both_sizes(signed_in, name)
    assert found == []


def test_swapped_parts__pass_axe_and_fit_their_width(
    cast: Cast, signed_in: Any, live_server: Any
) -> None:
    page, pages, found = signed_in, addresses(cast), []
    page.goto(live_server.url + pages["new-cross"])
    page.get_by_role("textbox", name="Seed parent").press_sequentially("obo", delay=20)
    page.locator("#seed-answers button.answer").first.wait_for()
    found += found_on(page, "answers", PHONE["width"])
    found += [f"answers: {each}" for each in page.evaluate(SMALL_TARGETS, LEAST)]
    page.locator("#seed-answers button.answer").first.click()
    page.locator("#seed-field .chosen").wait_for()
    found += found_on(page, "parent chosen", PHONE["width"])
    found += [f"parent chosen: {each}" for each in page.evaluate(SMALL_TARGETS, LEAST)]

    page.goto(live_server.url + pages["plant-new"])
    page.get_by_role("textbox", name="Seed parent").press_sequentially("tea", delay=20)
    page.locator("#offered_seed_parent button").first.wait_for()
    found += found_on(page, "plants offered", PHONE["width"])

    page.goto(live_server.url + pages["look-up"])
    page.get_by_role("searchbox").press_sequentially("quil", delay=20)
    page.locator("#found a").first.wait_for()
    found += found_on(page, "looked up", PHONE["width"])
    assert found == []


def test_due_list__passes_axe_after_a_pod_is_noted(
    cast: Cast, flower_due: Pollination, signed_in: Any, live_server: Any
) -> None:
    page = signed_in
    page.goto(live_server.url + addresses(cast)["due-look"])
    page.get_by_role("button", name=f"Set for tag {flower_due.tag}").click()
    page.get_by_role("status").filter(has_text="a pod has set").wait_for()
    found = list(found_on(page, "due list", PHONE["width"]))
    found += [f"due list: {each}" for each in page.evaluate(SMALL_TARGETS, LEAST)]
    assert found == []
    assert Pollination.live.get(pk=flower_due.pk).state == "set"


def test_axe__finds_what_is_wrong(page: Any, live_server: Any, cast: Cast) -> None:
    page.goto(live_server.url)
    page.evaluate("""() => {
      document.documentElement.removeAttribute('lang')
      for (const each of document.querySelectorAll('main *')) each.style.color = '#686868'
      document.querySelector('main').style.width = '2000px'
    }""")
    found = [each.partition(" at ")[0] for each in found_at_both_sizes(page, "door")]
    for width in (PHONE["width"], DESK["width"]):
        assert f"door, {width} px: html-has-lang" in found
        assert f"door, {width} px: color-contrast-enhanced" in found
    assert sum("px wide" in each for each in found) == 2


def test_sign_in__passes_axe(page: Any, live_server: Any, cast: Cast) -> None:
    page.goto(live_server.url)
    assert list(found_on(page, "door", PHONE["width"])) == []
    page.get_by_label("Your name").fill("Nobody")
    page.get_by_label("Password").fill("nothing at all")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("alert").wait_for()
    assert list(found_on(page, "door, refused", PHONE["width"])) == []


def test_field_pages__have_targets_of_48_by_44_px(
    cast: Cast, flower_due: Any, signed_in: Any, live_server: Any
) -> None:
    pages = addresses(cast)
    small = []
    for name in FIELD:
        signed_in.goto(live_server.url + pages[name])
        found = signed_in.evaluate(SMALL_TARGETS, LEAST)
        small += [f"{name}: {each}" for each in found]
    assert small == []
