"""Every page at phone and desk size: no violation, nothing too small, nothing wider than it."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.addresses import FIELD, addresses
from tests.browser.conftest import DESK, PHONE
from tests.cast import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TAGS = [
    "wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "wcag2aaa", "best-practice",
]  # fmt: skip
OPTIONS = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
LEAST_TARGET = 48
# Links inside a sentence are exempt, as in WCAG 2.5.8; everything else that can be tapped counts.
SMALL_TARGETS = """least => [...document.querySelectorAll(
    'button, input:not([type=hidden]), select, textarea, summary, a')]
  .filter(e => e.checkVisibility() && !e.closest('.unseen') && !e.matches('.unseen, .skip'))
  .filter(e => !(e.tagName === 'A' && ['inline'].includes(getComputedStyle(e).display)))
  .map(e => [e, (e.closest('label') || e).getBoundingClientRect()])
  .filter(([e, box]) => box.height > 0 && box.height < least - 0.5)
  .map(([e, box]) => `${e.tagName} ${e.className} ${e.textContent.trim().slice(0, 30)}: `
    + `${Math.round(box.height)} px`)"""


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_pages__pass_axe_and_fit_their_width(
    cast: Cast, signed_in: Any, live_server: Any, size: dict[str, int]
) -> None:
    signed_in.set_viewport_size(size)
    found = []
    for name, address in addresses(cast).items():
        signed_in.goto(live_server.url + address)
        results = Axe().run(signed_in, options=OPTIONS)
        found += [
            f"{name}: {broken['id']} at {broken['nodes'][0]['target']} "
            f"{broken['nodes'][0]['failureSummary']}"
            for broken in results.response["violations"]
        ]
        width = signed_in.evaluate("document.documentElement.scrollWidth")
        if width > size["width"]:
            found.append(f"{name}: {width} px wide")
    assert found == []


def test_sign_in__passes_axe(page: Any, live_server: Any, cast: Cast) -> None:
    page.goto(live_server.url)
    assert Axe().run(page, options=OPTIONS).response["violations"] == []


def test_field_pages__have_targets_of_48_px(cast: Cast, signed_in: Any, live_server: Any) -> None:
    pages = addresses(cast)
    small = []
    for name in FIELD:
        signed_in.goto(live_server.url + pages[name])
        found = signed_in.evaluate(SMALL_TARGETS, LEAST_TARGET)
        small += [f"{name}: {each}" for each in found]
    assert small == []
