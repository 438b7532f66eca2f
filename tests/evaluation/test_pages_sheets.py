"""The page of sheets, and the sheet that somebody takes along a row."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.records import line_out
from evaluation.models import Rubric
from evaluation.records import decide, glance, score, select_seedling
from garden.models import Garden
from tests.cast import IN_BLOOM, LINED_OUT, Acts, Cast, noon
from tests.pages import links, texts
from tests.printed import A4, check_sheet, pages_of, tight, written, written_on

pytestmark = pytest.mark.django_db
LAST_YEAR = IN_BLOOM


@pytest.fixture(autouse=True)
def _a_year_on() -> Iterator[None]:
    with time_machine.travel(noon(date(2027, 5, 18)), tick=False):
        yield


@pytest.fixture
def walk(cast: Cast) -> str:
    return reverse("row-walk-pdf", args=[cast.row.pk])


def told_by(client: Client, address: str) -> str:
    pdf = client.get(address).content
    check_sheet(pdf, A4)
    return written(pdf)


def test_walk__says_what_was_said_before(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    glance(act(day=LAST_YEAR), row=cast.row, position=3, found="again", note="wide falls")
    glance(act(day=LAST_YEAR), row=cast.row, position=4, found="nothing")
    rubric = Rubric.live.get(purpose="full", replaced_by=None)
    marks = {"form": 5, "vigour": 5}
    given = score(act(day=LAST_YEAR), rubric=rubric, row=cast.row, position=5, marks=marks,
                  note="broad falls").thing  # fmt: skip
    decide(act(day=LAST_YEAR), candidates=[given.candidate], verdict="watch")
    told = told_by(owner_client, walk)
    assert tight("3 2026: look again, wide falls") in told
    assert tight("4 2026: nothing") in told
    assert tight("5 Watch. 2026: 100 of 100 (Wanda), broad falls") in told


def test_walk__newest_season_alone_is_told(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    glance(act(day=LAST_YEAR), row=cast.row, position=3, found="again", note="wide falls")
    glance(act(day=date(2027, 5, 17)), row=cast.row, position=3, found="nothing", note="faded")
    told = told_by(owner_client, walk)
    assert tight("3 2027: nothing, faded") in told
    assert "widefalls" not in told


def test_walk__has_a_line_for_whatever_stands(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    glance(act(day=LAST_YEAR), row=cast.row, position=2, found="dead")
    code = select_seedling(act(day=LAST_YEAR), row=cast.row, position=7, reason="late").thing.code
    pdf = owner_client.get(walk).content
    told = written(pdf)
    numbers = [char["text"] for char in pages_of(pdf)[0].chars if char["size"] == 14.0]
    assert "".join(numbers) == "13456789101112"
    assert tight("Nothing stands any more at 2.") in told
    assert tight(f"7 {code}") in told
    for words in ("Seed parent Quillon Teapot", "Pollen parent Marzipan Ledger", "positions 1–12",
                  "lined out 10 June 2025"):  # fmt: skip
        assert tight(words) in told


def test_walk__asks_what_the_newest_short_rubric_asks(
    owner_client: Client, cast: Cast, walk: str
) -> None:
    rubric = Rubric.live.get(purpose="walk", replaced_by=None)
    told = told_by(owner_client, walk)
    for criterion in rubric.criteria.all():
        assert tight(criterion.title) in told
    assert tight("Seen before?, 1–3: 1 often seen, 2 something new, 3 never seen.") in told


def test_walk__row_of_a_bed_goes_stretch_by_stretch(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    place = {"bed": cast.bed, "row": 1, "first": 15, "seedlings": 3}
    line_out(act(day=LINED_OUT), pot=cast.pot, **place)
    pdf = owner_client.get(reverse("bed-row-walk-pdf", args=[cast.bed.pk, 1])).content
    assert "positions1–12" in written(pdf)
    assert "positions15–17" in written(pdf)
    empty = owner_client.get(reverse("bed-row-walk-pdf", args=[cast.bed.pk, 2])).content
    assert "Noseedlingsstandinthisrow." in written_on(pages_of(empty)[0])
    assert owner_client.get(reverse("bed-row-walk-pdf", args=[cast.bed.pk, 9])).status_code == 404


def test_walk__asks_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    rubric = Rubric.live.get(purpose="full", replaced_by=None)

    def judged(position: int) -> None:
        at = {"row": cast.row, "position": position}
        glance(act(day=LAST_YEAR), found="again", **at)
        score(act(day=LAST_YEAR), rubric=rubric, marks={"form": 4}, **at)

    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            assert owner_client.get(walk).status_code == 200
        return len(asked)

    judged(1)
    before = queries()
    for position in (2, 3, 4, 5):
        judged(position)
    assert queries() == before


def test_sheets__every_sheet_is_there_for_the_paper_chosen(
    owner_client: Client, cast: Cast
) -> None:
    page = owner_client.get(reverse("sheets"), {"paper": "Letter"})
    assert texts(page, "[aria-current=true]") == ["Letter"]
    found = [link for link in links(page) if ".pdf" in link]
    assert len(found) == 4
    for link in found:
        assert link.endswith("?paper=Letter")
        answer = owner_client.get(link)
        assert answer["Content-Type"] == "application/pdf"
        assert round(pages_of(answer.content)[0].width) in (612, 792)
    (day,) = [form for form in texts(page, "form label") if form == "Another day"]
    assert day


def test_sheets__visitors_print_them_too(visitor_client: Client, cast: Cast, walk: str) -> None:
    assert visitor_client.get(reverse("sheets")).status_code == 200
    assert visitor_client.get(walk).status_code == 200


def test_sheets__empty_garden(owner_client: Client, bare: Garden) -> None:
    page = owner_client.get(reverse("sheets"))
    assert texts(page, ".empty") == [
        "No seedlings stand in rows.", "No bed is laid out yet.", "No cross is made yet.",
    ]  # fmt: skip
    answer = owner_client.get(reverse("to-cross-pdf"))
    assert "Nothingisplannedfor2027." in written(answer.content)


def test_sheets__nothing_is_loaded_until_a_sheet_is_asked_for() -> None:
    """The PDF library takes a third of a second; pages open without it."""
    import subprocess
    import sys

    code = (
        "import django, sys; django.setup(); import garden.urls; "
        "print([name for name in sys.modules if name.startswith('reportlab')])"
    )
    said = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env={**__import__("os").environ, "DJANGO_SETTINGS_MODULE": "tests.settings"},
    )  # fmt: skip
    assert said.stdout.strip() == "[]"
