"""In the bed with the laptop's process dead: kept, still there in a new tab, in the record once."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.secured import ROOT, Secured, listening, secured

pytestmark = pytest.mark.browser
PLANT = """
from garden.models import Person
from tests.cast import plant_the_stock
import json
stock = plant_the_stock(Person.objects.get(role="owner"))
print("TOLD", json.dumps(stock.tags))
"""
TELL = """
from breeding.models import Pollination
from garden.models import Garden, JournalLine
import json
flower = Pollination.live.select_related("tag", "cross__seed_parent").get()
print("TOLD", json.dumps([flower.tag.code, str(flower.cross.seed_parent), flower.state,
    flower.day == Garden.get().today(), list(JournalLine.objects.filter(verb__in=
    ("record_pollination", "note_pod")).order_by("pk").values_list("verb", flat=True))]))
"""


def asked(garden: Secured, script: str) -> Any:
    """What a script prints that runs in this garden's own folder."""
    known = {name: value for name, value in os.environ.items() if name[:9] != "HAFTBOOK_"}
    known.pop("DJANGO_SETTINGS_MODULE", None)
    done = subprocess.run(
        [sys.executable, "manage.py", "shell", "-c", script], cwd=ROOT, text=True, timeout=60,
        env=known | {"HAFTBOOK_DATA": str(garden.folder)}, capture_output=True, check=True,
    )  # fmt: skip
    return json.loads(done.stdout.partition("TOLD ")[2])


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Secured]:
    with secured(tmp_path / "data", "--here-only", "--empty", "--owner", "Wanda") as opened:
        yield opened


def test_dead_server__loses_nothing_and_counts_once(garden: Secured, page: Any) -> None:
    tag, *_ = asked(garden, PLANT)
    site = f"http://127.0.0.1:{garden.port}"
    page.goto(f"{site}/sign-in/")
    name, password = garden.sign_in
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").tap()
    page.wait_for_url(lambda url: "sign-in" not in url)
    page.goto(f"{site}/bed/")
    expect(page.get_by_text("Lists from")).to_be_visible(timeout=30_000)

    garden.kill()
    assert not listening(garden.port)
    page.locator(".bed-way[href='#cross']").tap()
    page.get_by_role("textbox", name="Seed parent").fill("quil")
    page.get_by_role("button", name="Quillon Teapot").tap()
    page.get_by_role("button", name="Not known").tap()
    page.get_by_label("Tag").fill(tag)
    page.get_by_role("button", name="Keep this cross").last.tap()
    expect(page.locator("#bed-kept")).to_contain_text("Kept on this phone")

    # Another tab on the same phone, opened by its address while nobody answers there.
    page.close(run_before_unload=False)
    other = page.context.new_page()
    other.goto(f"{site}/bed/#pods")
    line = other.locator(".bed-lines li", has_text=tag)
    expect(line).to_contain_text("on this phone")
    line.get_by_role("link").tap()
    other.get_by_role("button", name="Yes, a pod has set").tap()
    expect(other.locator("#bed-kept")).to_contain_text("Kept on this phone")
    assert other.evaluate("haftbook.outbox.state().then((state) => state.waiting)") == 2

    garden.open()
    other.evaluate("haftbook.outbox.send()")
    expect(other.locator("#bed-kept")).to_contain_text("In the garden", timeout=20_000)
    assert asked(garden, TELL) == [
        tag, "Quillon Teapot", "set", True, ["record_pollination", "note_pod"]
    ]  # fmt: skip
