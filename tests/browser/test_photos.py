"""Photos from the phone's own page: made smaller there, shown at once, never held up."""

from __future__ import annotations

import io
from datetime import date
from typing import Any

import pytest
from django.urls import reverse
from PIL import Image

from garden.models import Photo
from garden.models.photos import the_shelf
from tests.browser.test_access import found_on
from tests.cast import Stock
from tests.photos import camera, drawn, encoded, heic

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CHOSEN = """() => [...document.querySelector('[data-photo]').files].map(f => [f.size, f.type])"""


@pytest.fixture
def form(signed_in: Any, live_server: Any, stock: Stock) -> Any:
    signed_in.goto(live_server.url + reverse("photo-new", args=[stock.teapot.pk]))
    return signed_in


def choose(page: Any, content: bytes, name: str = "image.jpg") -> list[Any]:
    """Choose a file, and tell what the page has made of it."""
    file = {"name": name, "mimeType": "image/jpeg", "buffer": content}
    page.set_input_files("[data-photo]", file)
    page.get_by_text("as its file tells").wait_for()
    return page.evaluate(CHOSEN)[0]


def keep(page: Any) -> Photo:
    page.get_by_role("button", name="Keep the photo").click()
    page.get_by_role("status").filter(has_text="Photo of Quillon Teapot").wait_for()
    return Photo.live.get()


def test_large_photo__is_made_smaller_and_keeps_its_day(form: Any) -> None:
    noisy = Image.effect_noise((3000, 1500), 60).convert("RGB")
    noisy.paste(drawn((3000, 1500)).crop((0, 0, 1500, 750)), (0, 0))
    whole = encoded(noisy, exif=camera(6))
    size, kind = choose(form, whole)
    assert (kind, size < len(whole) / 2) == ("image/jpeg", True)
    form.locator("[data-preview]").wait_for(state="visible")
    assert list(found_on(form, "photo chosen", 390)) == []
    kept = keep(form)
    assert (kept.width, kept.height, kept.taken_on) == (800, 1600, date(2024, 6, 3))
    large = Image.open(io.BytesIO(the_shelf().find(kept.digest, "large").read_bytes()))
    red, green, blue = large.getpixel((600, 300))
    assert blue > red > green


def test_photo__that_the_browser_cannot_read_goes_as_it_is(form: Any) -> None:
    whole = heic(drawn((2000, 1000)), exif=camera().tobytes())
    assert choose(form, whole, "image.heic")[0] == len(whole)
    assert keep(form).taken_on == date(2024, 6, 3)


def test_photo__stays_while_the_rest_is_mended(form: Any) -> None:
    choose(form, encoded(drawn(), exif=camera()))
    form.get_by_label("What it shows").fill("x" * 300)
    form.get_by_role("button", name="Keep the photo").click()
    form.get_by_role("alert").wait_for()
    held = form.locator(".photo-held img")
    assert held.evaluate("async img => { await img.decode(); return img.naturalWidth }") == 300
    assert list(found_on(form, "photo held", 390)) == []
    form.get_by_label("What it shows").fill("short")
    assert keep(form).caption == "short"


def test_file__that_is_too_large_is_told_at_once_and_not_sent(form: Any) -> None:
    form.get_by_label("What it shows").fill("typed before")
    huge = {"name": "film.mov", "mimeType": "video/quicktime", "buffer": bytes(16_000_000)}
    form.set_input_files("[data-photo]", huge)
    form.get_by_role("status").filter(has_text="larger than 15 MB").wait_for()
    assert form.evaluate(CHOSEN) == []
    assert form.get_by_label("What it shows").input_value() == "typed before"
