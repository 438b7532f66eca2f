"""Sheets of labels: sums that come out, names by measures, places in order."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import pytest

from garden.labels import READY, Sheet

PLAIN = READY["a4-24-70x36"]


@pytest.mark.parametrize("key", READY)
def test_ready_sheets__fit_on_their_page(key: str) -> None:
    sheet = READY[key]
    assert sheet.check() == []
    across = sheet.columns * sheet.label_width + (sheet.columns - 1) * sheet.gap_x
    down = sheet.rows * sheet.label_height + (sheet.rows - 1) * sheet.gap_y
    assert 2 * sheet.left + across == pytest.approx(sheet.page_width, abs=1e-9)
    assert 2 * sheet.top + down == pytest.approx(sheet.page_height, abs=1e-9)
    assert min(sheet.left, sheet.top) >= 0


@pytest.mark.parametrize("key", READY)
def test_ready_sheets__are_named_by_their_measures_only(key: str) -> None:
    sheet = READY[key]
    words = re.findall(r"[^\W\d_]+", sheet.title)
    assert set(words) <= {"A", "Letter", "Roll", "of", "mm", "wide", "labels"}
    numbers = [float(one) for one in re.findall(r"\d+(?:\.\d+)?", sheet.title.removeprefix("A4"))]
    measures = [sheet.label_width, sheet.label_height]
    if sheet.roll:
        assert numbers[0] in [pytest.approx(one) for one in measures]
    else:
        assert numbers[0] == sheet.places
    assert numbers[1:] == pytest.approx(measures, abs=0.006)
    assert re.fullmatch(r"(a4-\d+|letter-\d+|roll)-[\dx-]+", key)


def test_ready_sheets__are_all_kinds() -> None:
    pages = {(sheet.page_width, sheet.page_height) for sheet in READY.values() if not sheet.roll}
    assert pages == {(210, 297), (215.9, 279.4)}
    rolls = [sheet for sheet in READY.values() if sheet.roll]
    widths = {int(key.split("-")[1].split("x")[0]) for key in READY if key.startswith("roll")}
    assert (min(widths), max(widths)) == (12, 102)
    assert all(sheet.places == 1 and sheet.left == sheet.top == 0 for sheet in rolls)
    strips = [sheet for sheet in READY.values() if sheet.label_width > 6 * sheet.label_height]
    assert len(strips) >= 5
    assert len({sheet.title for sheet in READY.values()}) == len(READY)


@pytest.mark.parametrize("key", READY)
def test_places__are_apart_and_run_along_the_rows(key: str) -> None:
    sheet = READY[key]
    corners = [sheet.place(index) for index in range(sheet.places)]
    assert corners == sorted(corners, key=lambda corner: (round(corner[1], 6), corner[0]))
    for one, other in itertools.combinations(corners, 2):
        apart = [abs(a - b) for a, b in zip(one, other, strict=True)]
        assert apart[0] >= sheet.label_width - 1e-9 or apart[1] >= sheet.label_height - 1e-9


def test_place__is_counted_from_the_upper_left() -> None:
    sheet = Sheet("", 210, 297, 2, 3, 80, 40, 10, 20, 5, 6)
    assert sheet.place(0) == (10, 20)
    assert sheet.place(1) == (95, 20)
    assert sheet.place(5) == (95, 112)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rows": 9}, "do not fit on the page: edge and labels are 328.50 mm high"),
        ({"left": 1}, "211.00 mm wide, the page 210 mm"),
        ({"gap_x": -1}, "not less than nothing"),
        ({"columns": 0}, "at least one label"),
        ({"label_height": 7}, "at least 8 by 20 mm"),
        ({"label_width": math.nan}, "is a number"),
        ({"label_width": math.inf}, "is a number"),
        ({"page_height": 5_000}, "at most 1200 mm"),
    ],
)
def test_check__says_what_cannot_be(change: dict, said: str) -> None:
    assert any(said in sentence for sentence in replace(PLAIN, **change).check())


def test_check__lets_rounded_measures_pass() -> None:
    assert replace(PLAIN, label_width=70.01).check() == []
