"""Takes the README's pictures from the demo garden: `python -m pytest tests/browser/tour.py`.

Not part of the tests (its name is not collected); run it when the look has changed.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.management import call_command
from django.urls import reverse

from breeding.models import Cross, Pollination
from garden.models import Plant
from tests.browser.conftest import DESK, PHONE

pytestmark = [pytest.mark.django_db(transaction=True)]

PICTURES = Path(__file__).parent / "pictures"
MORNING = datetime(2026, 6, 20, 5, 30, tzinfo=UTC)
PASSWORD = "a password for pictures"


@pytest.fixture
def demo(transactional_db: None) -> Any:
    with time_machine.travel(MORNING, tick=True):
        call_command("load_demo", password=PASSWORD)
        yield


def take(page: Any, name: str) -> None:
    page.evaluate("document.fonts.ready")
    page.screenshot(path=PICTURES / f"{name}.png")


def test_tour(demo: None, page: Any, live_server: Any, complaints: list[str]) -> None:
    PICTURES.mkdir(exist_ok=True)
    site = live_server.url
    page.set_viewport_size(PHONE)
    page.goto(site)
    page.get_by_label("Your name").fill("Wiebke")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    take(page, "today")
    flower = Pollination.live.order_by("-id").first()
    page.goto(f"{site}{reverse('new-cross')}?pollen={flower.cross.pollen_parent_id}")
    page.keyboard.type("wat", delay=30)
    page.locator("#seed-answers .answer").first.wait_for()
    take(page, "new-cross")
    cross = Cross.live.filter(lined_out__gt=0, seedlings__isnull=False).order_by("-season").first()
    page.goto(site + reverse("cross", args=[cross.code]))
    take(page, "cross")
    page.set_viewport_size(DESK)
    plant = Plant.live.filter(pattern="plicata", crosses_as_seed__isnull=False).first()
    page.goto(site + reverse("plant", args=[plant.pk]))
    take(page, "plant")
    young = Plant.live.filter(kind="cultivar").order_by("-year", "folded").first()
    page.goto(site + reverse("pedigree", args=[young.pk]) + "?depth=4")
    take(page, "pedigree")
    page.goto(site + reverse("season", args=[2025]))
    page.locator("figure img").wait_for()
    take(page, "season")
    page.goto(site + reverse("plants"))
    take(page, "plants")
