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

from breeding.models import Cross, Goal, Pollination, Row
from evaluation.models import Candidate, ProposedName, Rubric
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
    row = Row.live.filter(closed_on=None, lined_out_on__lt="2026-01-01").order_by("-pk").first()
    page.goto(site + reverse("walk-row", args=[row.pk]))
    page.locator(".walk-nothing").tap()
    page.locator("#walk .kept").first.wait_for()
    take(page, "walk")
    full = Rubric.live.get(purpose="full", replaced_by=None)
    page.goto(site + reverse("score-seedling", args=[row.pk, row.last]) + f"?rubric={full.pk}")
    for chip in (3, 7):
        page.locator("[data-stalk] .stalk-chip").nth(chip).tap()
    page.locator("[data-stalk]").scroll_into_view_if_needed()
    take(page, "stalk")
    page.goto(site + reverse("in-bed"))
    page.get_by_text("Lists from").first.wait_for()
    take(page, "in-bed")
    page.goto(site + reverse("labels"))
    page.get_by_role("button", name="Print ticked").first.click()
    page.wait_for_url("**/labels/print/**")
    take(page, "labels")
    at_the_desk(page, site)


def at_the_desk(page: Any, site: str) -> None:
    page.set_viewport_size(DESK)
    named = ProposedName.live.order_by("pk").first()
    page.goto(site + reverse("dossier", args=[named.plant_id]))
    take(page, "dossier")
    page.goto(site + reverse("candidates"))
    take(page, "candidates")
    best = Candidate.live.filter(photos__isnull=False).order_by("-pk").values_list("pk", flat=True)
    page.goto(site + reverse("compare") + "?" + "&".join(f"c={pk}" for pk in best[:4]))
    take(page, "compare")
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
    pair = {
        name: Plant.live.get(name=name).pk for name in ("Flamingo Tax Return", "Ladle Diplomacy")
    }
    seed, pollen = pair.values()
    page.goto(f"{site}{reverse('expect')}?seed={seed}&pollen={pollen}")
    page.get_by_role("heading", name="seedlings as expected").wait_for(timeout=120_000)
    take(page, "expect")
    page.goto(site + reverse("goal", args=[Goal.live.order_by("pk").first().pk]))
    take(page, "goal")
