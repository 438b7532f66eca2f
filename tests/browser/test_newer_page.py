"""After an upgrade, over plain http: the newer page is on the phone whole, or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.fieldday import BEFORE
from tests.browser.fieldphones import OUTSIDE, FieldPhone
from tests.browser.test_bed_dead_server import asked
from tests.secured import Secured, secured

pytestmark = pytest.mark.browser
# As before anything is sent.
GREET = "haftbook.outbox.greet().then(Boolean)"
WAITING = "haftbook.outbox.state().then((state) => state.waiting)"


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Secured]:
    argv = ("--here-only", "--empty", "--owner", "Wanda")
    with secured(tmp_path / "data", *argv, hosts=OUTSIDE) as opened:
        yield opened


@pytest.fixture
def phone(playwright: Any, garden: Secured, tmp_path: Path) -> Iterator[FieldPhone]:
    made = FieldPhone(playwright, tmp_path / "phone", f"http://{OUTSIDE}:{garden.port}", "Wanda")
    made.switch_on()
    yield made
    made.switch_off()


def upgrade(garden: Secured, lost: str = "") -> None:
    """Every bundle of scripts and styles has another address; those with `lost` do not come."""
    manifest = garden.folder / "static" / "staticfiles.json"
    told = json.loads(manifest.read_text())
    for name, served in told["paths"].items():
        if "/together-" not in name:
            continue
        path = garden.folder / "static" / served
        told["paths"][name] = newer = served.replace("/together-", "/together-newer-")
        for ending in ("", ".gz", ".br"):
            if (old := path.with_name(path.name + ending)).exists():
                if lost and lost in name:
                    old.unlink()
                else:
                    old.rename(garden.folder / "static" / (newer + ending))
    manifest.write_text(json.dumps(told))


def opened_out_of_reach(phone: FieldPhone, edition: str) -> None:
    """In a new tab the page works with the garden dead; its scripts are of that edition."""
    page = phone.tab()
    assert page.evaluate(WAITING) == 0
    expect(page.get_by_role("heading", name="In the bed")).to_be_visible()
    assert page.locator(f"script[src*='{edition}']").count() == 2
    newer = page.locator("script[src*='together-newer-']").count()
    assert newer == (2 if "newer" in edition else 0)


def test_newer_page__is_taken_along_with_its_scripts_before_it_is_opened(
    garden: Secured, phone: FieldPhone
) -> None:
    asked(garden, BEFORE)
    page = phone.sign_in()
    garden.kill()
    upgrade(garden)
    garden.open()
    page.evaluate(GREET)
    expect(page.locator("#bed-newer")).to_be_visible(timeout=20_000)
    garden.kill()
    opened_out_of_reach(phone, "together-newer-")


def test_newer_page__whose_scripts_did_not_come_leaves_the_old_one(
    garden: Secured, phone: FieldPhone
) -> None:
    asked(garden, BEFORE)
    page = phone.sign_in()
    garden.kill()
    upgrade(garden, lost="js/together-bed")
    garden.open()
    with page.expect_response(lambda answer: answer.status == 404) as missing:
        page.evaluate(GREET)
    assert "js/together-newer-bed" in missing.value.url
    garden.kill()
    page.close()
    opened_out_of_reach(phone, "together-")
