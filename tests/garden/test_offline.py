"""The service worker's script and what a home screen is told, as the garden serves them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from PIL import Image

from garden.views import offline
from tests.pages import links, tree

STATIC = Path(settings.STATICFILES_DIRS[0])


@pytest.fixture(autouse=True)
def _script_read_anew() -> Any:
    offline.script.cache_clear()
    yield
    offline.script.cache_clear()


def told(script: str, name: str) -> Any:
    """The value of one of the constants that head the script."""
    found = re.search(rf"^const {name} = (.+);$", script, re.MULTILINE)
    assert found
    return json.loads(found[1])


def test_worker__is_headed_by_its_edition_and_files(owner_client: Any) -> None:
    answer = owner_client.get("/sw.js")
    assert answer.headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert answer.headers["Cache-Control"] == "no-cache"
    script = answer.content.decode()
    files = told(script, "FILES")
    assert len(set(files)) == len(files) > 30
    assert all(finders.find(each.removeprefix("/static/")) for each in files)
    assert re.fullmatch("[0-9a-f]{16}", told(script, "EDITION"))
    assert script.endswith((STATIC / "js/sw.js").read_text(encoding="utf-8"))


def test_worker__knows_every_file_that_a_page_draws_on(owner_client: Any, stock: Any) -> None:
    files = set(told(owner_client.get("/sw.js").content.decode(), "FILES"))
    for path in ("/", "/bed/", "/waiting/", "/plants/", "/new-cross/"):
        page = tree(owner_client.get(path))
        drawn = [each.get("src") for each in page.cssselect("script[src]")]
        drawn += [each.get("href") for each in page.cssselect("link[rel=stylesheet]")]
        assert drawn
        assert set(drawn) <= files, path


def test_worker__is_another_edition_when_a_page_is_another(monkeypatch: Any, db: None) -> None:
    first = offline.script()
    assert offline.script() == first
    offline.script.cache_clear()
    monkeypatch.setattr(offline, "version", lambda: "after an upgrade")
    assert told(offline.script(), "EDITION") != told(first, "EDITION")


def test_worker__answers_no_stranger(client: Any, garden_row: Any) -> None:
    answer = client.get("/sw.js")
    assert answer.status_code == 302
    assert answer.url.startswith("/sign-in/")


def test_worker__its_shell_opens_and_names_nobody(owner_client: Any, stock: Any) -> None:
    script = (STATIC / "js/sw.js").read_text(encoding="utf-8")
    shell = told(script, "SHELL_PAGES")
    assert shell == ["/bed/", "/waiting/"]
    for path in shell:
        answer = owner_client.get(path)
        assert answer.status_code == 200
        page = tree(answer)
        assert page.cssselect("#sheet")
        assert not page.cssselect("[data-person], [name=csrfmiddlewaretoken], [hx-headers]")


def test_page__registers_it_for_whoever_is_in(owner_client: Any, client: Any) -> None:
    assert tree(owner_client.get("/")).cssselect("script[data-worker='/sw.js']")
    door = tree(client.get("/sign-in/"))
    assert door.cssselect("script[src*='offline']")
    assert not door.cssselect("script[data-worker]")


def test_manifest__opens_the_bed_from_the_home_screen(owner_client: Any) -> None:
    page = owner_client.get("/")
    assert links(page, "link[rel=manifest]") == ["/static/manifest.webmanifest"]
    assert links(page, "link[rel=apple-touch-icon]") == ["/static/img/icon-180.png"]
    manifest = json.loads((STATIC / "manifest.webmanifest").read_text(encoding="utf-8"))
    assert (manifest["start_url"], manifest["scope"]) == ("/bed/", "/")
    assert manifest["display"] == "standalone"
    purposes = {(icon.get("purpose"), icon["sizes"]) for icon in manifest["icons"]}
    assert {("any", "192x192"), ("any", "512x512"), ("maskable", "512x512")} <= purposes


@pytest.mark.parametrize(
    ("name", "size"),
    [("icon-180", 180), ("icon-192", 192), ("icon-512", 512), ("icon-maskable-512", 512)],
)
def test_icon__is_as_large_as_it_says(name: str, size: int) -> None:
    with Image.open(STATIC / "img" / f"{name}.png") as icon:
        assert icon.size == (size, size)
        # A flower on a ground, not an empty sheet.
        assert len(icon.convert("RGB").getcolors(100_000) or []) > 50
