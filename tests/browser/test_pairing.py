"""A phone is let in: the laptop shows the picture, the phone's camera reads it, a tap signs in."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from garden.models import Device, JournalLine, Pairing, Person
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_access import LEAST, SMALL_TARGETS, found_on
from tests.cast import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def phone(browser: Any) -> Iterator[Any]:
    """Another device: its own cookies, its own store."""
    context = browser.new_context(viewport=PHONE, has_touch=True)
    yield context.new_page()
    context.close()


@pytest.fixture
def laptop(signed_in: Any) -> Any:
    signed_in.set_viewport_size(DESK)
    return signed_in


def scanned(laptop: Any, folder: Path) -> str:
    """What a camera reads from the laptop's screen; its words where nothing here can read it."""
    told = laptop.locator("[data-scan]").get_attribute("data-scan")
    if reader := shutil.which("zbarimg"):
        shot = folder / "screen.png"
        laptop.screenshot(path=shot)
        read = subprocess.run([reader, "-q", "--raw", str(shot)], capture_output=True, check=True)
        assert read.stdout.decode().strip() == told
    return str(told)


def reached(address: str, live_server: Any) -> str:
    """The address as this machine reaches the server, which listens here alone."""
    asked = urlsplit(address)
    assert asked.port == urlsplit(live_server.url).port
    return f"{live_server.url}{asked.path}#{asked.fragment}"


def offer(laptop: Any, live_server: Any, person: str, name: str) -> None:
    laptop.goto(live_server.url + "/phones/")
    laptop.get_by_role("link", name="Let a phone in").click()
    laptop.get_by_label("Whose phone").select_option(person)
    laptop.get_by_label("Name of the phone").fill(name)
    laptop.get_by_role("button", name="Show the code").click()
    laptop.locator("#code").wait_for()


def test_phone__scans_taps_and_is_in_until_it_is_signed_out(
    laptop: Any, phone: Any, live_server: Any, cast: Cast, helper_person: Person, tmp_path: Path
) -> None:
    offer(laptop, live_server, "Emil", "Emil's phone")
    faults = list(found_on(laptop, "the code", DESK["width"]))
    address = reached(scanned(laptop, tmp_path), live_server)

    phone.goto(address)
    button = phone.get_by_role("button", name="Sign this phone in")
    button.wait_for()
    # Neither the address bar nor the way back still holds it.
    assert phone.url == f"{live_server.url}/sign-in/"
    assert phone.evaluate("location.hash") == ""
    assert not phone.get_by_label("Password").is_visible()
    faults += list(found_on(phone, "scanned", PHONE["width"]))
    faults += phone.evaluate(SMALL_TARGETS, LEAST)
    assert Pairing.objects.get().used_at is None
    button.click()
    phone.wait_for_url(live_server.url + "/")
    laptop.get_by_text("Emil's phone is in, as Emil.").wait_for()
    assert laptop.locator("#code").count() == 0
    faults += list(found_on(laptop, "it came", DESK["width"]))

    phone.goto(live_server.url + "/beds/new/")
    phone.get_by_label("Name").fill("Far Bed")
    phone.get_by_role("button", name="Lay it out").click()
    phone.get_by_text("Laid out Far Bed").first.wait_for()
    assert JournalLine.objects.latest("pk").device == "Emil's phone"

    laptop.goto(live_server.url + "/phones/")
    row = laptop.get_by_role("row", name="Emil's phone")
    row.locator("summary").click()
    row.get_by_role("button").click()
    laptop.get_by_text("Signed out Emil's phone").first.wait_for()
    phone.goto(live_server.url + "/beds/")
    assert urlsplit(phone.url).path == "/sign-in/"
    assert phone.get_by_label("Password").is_visible()
    assert faults == []


def test_phone__is_refused_in_words_where_the_code_was_used(
    laptop: Any, phone: Any, browser: Any, live_server: Any, cast: Cast, tmp_path: Path
) -> None:
    offer(laptop, live_server, "Wanda", "Wanda's phone")
    address = reached(scanned(laptop, tmp_path), live_server)
    phone.goto(address)
    phone.get_by_role("button", name="Sign this phone in").click()
    phone.wait_for_url(live_server.url + "/")

    other = browser.new_context(viewport=PHONE).new_page()
    other.goto(address)
    other.get_by_role("button", name="Sign this phone in").click()
    told = other.get_by_role("alert")
    told.wait_for()
    assert "This code was used already. Let the laptop make a new one." in told.inner_text()
    assert list(found_on(other, "used already", PHONE["width"])) == []
    other.goto(live_server.url + "/beds/")
    assert urlsplit(other.url).path == "/sign-in/"
    other.context.close()
    assert Device.objects.filter(way="paired").count() == 1


def test_phone__comes_in_by_the_typed_code(
    laptop: Any, phone: Any, live_server: Any, cast: Cast
) -> None:
    offer(laptop, live_server, "Wanda", "Wanda's phone")
    code = laptop.locator("#code").inner_text()
    phone.goto(live_server.url)
    field = phone.get_by_label("the code that the laptop shows")
    assert field.get_attribute("autocomplete") == "one-time-code"
    field.fill(code.lower())
    phone.get_by_role("button", name="Open").click()
    phone.wait_for_url(live_server.url + "/")
    assert Device.objects.get(way="paired").name == "Wanda's phone"
