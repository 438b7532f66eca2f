"""A label scanned: with a photo on the page Scan, and with the garden out of reach in the bed."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import segno
from django.urls import reverse
from playwright.sync_api import expect

from garden.labels.codes import payload
from tests.browser.test_bed_dead_server import asked
from tests.cast import Cast
from tests.secured import Secured, listening, secured

pytestmark = pytest.mark.browser
TELL_STORY = """
from garden.models import Person
from tests.cast import plant_the_stock, tell_the_story
import json
owner = Person.objects.get(role="owner")
cast = tell_the_story(owner, plant_the_stock(owner))
print("TOLD", json.dumps([cast.cup.code, cast.free_tag]))
"""
CONTROLLED = "() => navigator.serviceWorker.controller !== null"


def code_as_photo(text: str) -> dict[str, Any]:
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(out, kind="png", scale=8, border=4)
    return {"name": "photo.png", "mimeType": "image/png", "buffer": out.getvalue()}


def test_photo__is_sent_at_once_and_opens_the_form_that_is_due(
    signed_in: Any, live_server: Any, cast: Cast
) -> None:
    page, site = signed_in, live_server.url
    page.goto(site + reverse("scan"))
    page.get_by_label("Photograph a code").set_input_files(
        code_as_photo(payload("http://an.older.address", "99-999"))
    )
    expect(page.get_by_role("alert")).to_contain_text("99-999")
    page.get_by_label("Photograph a code").set_input_files(
        code_as_photo(payload("http://an.older.address", cast.cup.code))
    )
    page.wait_for_url(site + reverse("sow", args=[cast.cup.code]))


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Secured]:
    with secured(tmp_path / "data", "--here-only", "--empty", "--owner", "Wanda") as opened:
        yield opened


def test_label__scanned_out_of_reach_opens_what_is_due_in_the_bed(
    garden: Secured, page: Any
) -> None:
    cup, tag = asked(garden, TELL_STORY)
    # A loopback address counts as secure: the service worker is there without a certificate.
    here = f"http://127.0.0.1:{garden.port}"
    page.goto(f"{here}/sign-in/")
    name, password = garden.sign_in
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").tap()
    page.wait_for_url(lambda url: "sign-in" not in url)
    page.wait_for_function(CONTROLLED)
    page.goto(f"{here}/bed/")
    expect(page.get_by_text("Lists from")).to_be_visible(timeout=30_000)

    garden.kill()
    assert not listening(garden.port)
    page.goto(f"{here}/T/{cup}")
    expect(page).to_have_url(re.compile(f"/bed/#sow/{cup}$"))
    expect(page.locator("#bed-sheet")).to_contain_text(f"Cup {cup}")
    page.goto(f"{here}/T/{tag}")
    expect(page).to_have_url(re.compile("/bed/#cross$"))
    page.goto(f"{here}/t/99-999/")
    expect(page.locator("#bed-said")).to_contain_text("99-999")
