"""A real browser before a real server: Chromium on Django's live server, or a reason to skip."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.addresses import NOWHERE
from tests.browser.bedside import judging, rows_in_bloom, take  # noqa: F401
from tests.cast import PASSWORD

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}

# The browser's own loop runs in the thread in which the tests use the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


def browser_path() -> str | None:
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    path = browser_path()
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("CI needs a browser, and none was found")
        pytest.skip("no Chromium on this machine: install one to run the browser tests")
    quiet = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]
    return {"executable_path": path, "args": quiet}


@pytest.fixture(scope="session")
def browser_context_args() -> dict[str, Any]:
    return {"viewport": PHONE, "has_touch": True, "device_scale_factor": 2}


@pytest.fixture
def desk(page: Any) -> Any:
    """The page at the size of a desk."""
    page.set_viewport_size(DESK)
    return page


@pytest.fixture
def complaints(page: Any) -> Iterator[list[str]]:
    """What the browser complains of: refused scripts and styles, missing files, errors."""
    heard: list[str] = []

    def hear(said: Any) -> None:
        # A refused form comes back with 422, which the browser notes as an error of its own; and
        # one address is asked for because nothing is there.
        nowhere = "status of 404" in said.text and said.location["url"].endswith(NOWHERE)
        # An answer nobody waits for any more, because more was typed or the page went on.
        given_up = said.text.startswith(("htmx:afterRequest,", "htmx:sendAbort,"))
        if said.type == "error" and "status of 422" not in said.text and not (nowhere or given_up):
            heard.append(said.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: heard.append(str(error)))
    yield heard
    assert heard == []


@pytest.fixture
def signed_in(page: Any, live_server: Any, owner: Any, complaints: list[str]) -> Any:
    """The owner's phone, signed in, on Today."""
    page.goto(live_server.url + "/")
    page.get_by_label("Your name").fill(owner.name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(live_server.url + "/")
    return page
