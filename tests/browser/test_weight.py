"""How heavy the field pages are on a weak network: as the real server sends them, compressed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.fieldday import BEFORE, flower
from tests.browser.fieldphones import KEEP
from tests.browser.test_bed_dead_server import asked
from tests.browser.test_outbox import sign_in
from tests.browser.wire import Wire, drawn_on, heavier, taken_along, whole
from tests.secured import Secured, secured

pytestmark = pytest.mark.browser
FIRST, ALONG, LATER, LEAST = 100_000, 80_000, 15_000, 5_000
PAGES = ("/bed/", "/new-cross/", "/waiting/", "/rows/{row}/walk/", "/rows/{row}/7/score/",
         "/plants/{plant}/score/")  # fmt: skip


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Secured]:
    folder = tmp_path_factory.mktemp("weight") / "data"
    with secured(folder, "--here-only", "--empty", "--owner", "Wanda") as opened:
        yield opened


@pytest.fixture(scope="module")
def before(garden: Secured) -> dict[str, Any]:
    return asked(garden, BEFORE)


@pytest.fixture(scope="module")
def signed(garden: Secured, before: dict[str, Any], browser: Any) -> Any:
    """The cookies of somebody who is in."""
    context = browser.new_context(service_workers="block", has_touch=True)
    sign_in(context.new_page(), f"http://127.0.0.1:{garden.port}", "Wanda")
    yield context.storage_state()
    context.close()


@pytest.fixture
def wire(browser: Any, browser_context_args: dict[str, Any], signed: Any) -> Iterator[Wire]:
    """A phone that has none of the garden's files yet."""
    options = {"service_workers": "block", "storage_state": signed, **browser_context_args}
    context = browser.new_context(**options)
    yield Wire(context.new_page())
    context.close()


def addressed(path: str, garden: Secured, before: dict[str, Any]) -> str:
    told = path.format(row=before["row"], plant=before["plants"][0])
    return f"http://127.0.0.1:{garden.port}{told}"


@pytest.mark.parametrize("path", PAGES)
def test_field_page__is_light_at_first_and_lighter_afterwards(
    wire: Wire, garden: Secured, before: dict[str, Any], path: str
) -> None:
    address = addressed(path, garden, before)
    first = wire.load(address)
    page, along = drawn_on(first), taken_along(first)
    assert address.partition(str(garden.port))[2] in [one.path for one in page]
    # With its styles, scripts and faces: nothing was there before.
    assert len(page) > 5
    again = wire.load(address)
    print(f"{path} {whole(page)} at first, {whole(along)} taken along once, then at most "
          f"{max([0, *(one.size for one in again)])}")  # fmt: skip
    assert LEAST < whole(page) <= FIRST
    # The field pages for when the garden is out of reach: after the page stands, once a version.
    assert {"/bed/", "/waiting/"} <= {one.path for one in along}
    assert whole(along) <= ALONG
    lists = [one for one in first if one.path.startswith("/bed/lists/")]
    assert bool(lists) == (path == "/bed/")
    assert heavier(lists + again, LATER) == []


def expect_light(wire: Wire, path: str) -> None:
    """Something was posted to that address, and what came was light."""
    answers = wire.quiet()
    assert path in [answer.path for answer in answers]
    assert heavier(answers, LATER) == []


def test_answers__to_what_is_recorded_are_light(
    wire: Wire, garden: Secured, before: dict[str, Any]
) -> None:
    page, walk = wire.page, addressed("/rows/{row}/walk/", garden, before)
    wire.load(walk)
    page.get_by_role("button", name="Nothing", exact=True).tap()
    expect(page.locator(".walk-at")).to_contain_text("2")
    expect_light(wire, f"/rows/{before['row']}/walk/")
    seed, pollen = before["parents"][:2]
    wire.load(f"http://127.0.0.1:{garden.port}/new-cross/?seed={seed}&pollen={pollen}")
    page.get_by_label("Tag").fill(before["free"][0])
    page.get_by_role("button", name="Keep this cross").last.tap()
    page.wait_for_url("**/?*kept=*")
    expect_light(wire, "/new-cross/")
    wire.load(f"http://127.0.0.1:{garden.port}/bed/")
    page.evaluate(KEEP, [flower([seed, pollen], before["free"][1]).told()])
    expect_light(wire, "/new-cross/")
