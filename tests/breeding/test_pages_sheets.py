"""The thread's sheets as the site gives them: from the record to the paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.records import (
    line_out,
    note_bloom,
    plan_crosses,
    put_away,
    record_pollination,
    store_pollen,
)
from evaluation.records import select_seedling
from garden.models import Garden
from garden.records import place_plant
from tests.cast import IN_BLOOM, LINED_OUT, Acts, Cast, noon
from tests.pages import links
from tests.printed import A4, LETTER, across, check_sheet, foot_of, pages_of, tight, written

pytestmark = pytest.mark.django_db
SEASON, TOMORROW = 2026, IN_BLOOM + timedelta(days=1)


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        yield


def queries(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert client.get(address).status_code == 200
    return len(asked)


def opened(client: Client, address: str, **query: str) -> bytes:
    answer = client.get(address, query)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


@pytest.fixture
def bed_map(cast: Cast) -> str:
    return reverse("bed-map-pdf", args=[cast.bed.pk])


def test_bed_map__tells_plants_seedlings_and_letters(
    owner_client: Client, act: Acts, cast: Cast, bed_map: str
) -> None:
    place_plant(act(), plant=cast.oboe, bed=cast.bed, position="3-7")
    place_plant(act(), plant=cast.guest, bed=cast.bed, position="by the gate")
    letter = select_seedling(act(), row=cast.row, position=5, reason="ruffled").thing.letter
    pdf = opened(owner_client, bed_map)
    check_sheet(pdf, across(A4))
    told = written(pdf)
    assert told.startswith("LongBed4rowsof30")
    for words in ("Oboe for Hannes", cast.cross.code, "1–12", "Quillon Teapot × Marzipan Ledger",
                  "by the gate", "Q 17-3"):  # fmt: skip
        assert tight(words) in told
    assert letter in {char["text"] for char in pages_of(pdf)[0].chars if char["size"] == 9.0}
    assert "Garden at the Mill Race · 20 May 2026" in foot_of(pages_of(pdf)[0])


def test_bed_map__what_is_gone_is_not_on_it(
    owner_client: Client, act: Acts, cast: Cast, bed_map: str
) -> None:
    place_plant(act(day=LINED_OUT), plant=cast.postman, bed=cast.bed, position="3-7")
    told = written(opened(owner_client, bed_map))
    assert "ThistlePostman" in told
    assert cast.cross.code in told
    put_away(act(), thing=cast.row, reason="dug over")
    told = written(opened(owner_client, bed_map))
    assert "ThistlePostman" in told
    assert cast.cross.code not in told


def test_bed_map__asks_as_often_for_a_full_bed(
    owner_client: Client, act: Acts, cast: Cast, bed_map: str
) -> None:
    place_plant(act(), plant=cast.teapot, bed=cast.bed, position="2-1")
    before = queries(owner_client, bed_map)
    for at, plant in enumerate((cast.ledger, cast.oboe, cast.postman)):
        place_plant(act(), plant=plant, bed=cast.bed, position=f"3-{at + 1}")
        place = {"bed": cast.bed, "row": 2, "first": 5 + at * 2, "seedlings": 1}
        line_out(act(day=LINED_OUT), pot=cast.pot, **place)
        select_seedling(act(), row=cast.row, position=at + 1, reason="tall")
    assert queries(owner_client, bed_map) == before


def test_sheets__go_on_the_paper_asked_for(owner_client: Client, bed_map: str) -> None:
    assert (pages_of(opened(owner_client, bed_map, paper="Letter"))[0].height) == LETTER[0]
    answer = owner_client.get(bed_map, {"paper": "Letter"})
    assert answer["Content-Disposition"].endswith('-Letter.pdf"')
    assert round(pages_of(opened(owner_client, bed_map, paper="Foolscap"))[0].height) == A4[0]
    Garden.objects.filter(pk=1).update(inches=True)
    assert round(pages_of(opened(owner_client, bed_map))[0].height) == LETTER[0]


def plan(act: Acts, cast: Cast) -> None:
    """Teapot and ledger open, the postman's pollen in store for two flowers on the oboe."""
    pairs = [(cast.teapot, cast.ledger, 3), (cast.oboe, cast.postman, 2)]
    plan_crosses(act(), pairs=pairs, season=SEASON)
    for plant in (cast.teapot, cast.ledger, cast.oboe):
        note_bloom(act(day=IN_BLOOM), plant=plant, stage="first")
        place_plant(act(), plant=plant, bed=cast.bed, position=f"2-{plant.pk}")
    store_pollen(act(), plant=cast.postman, place="Freezer, blue box")


def test_to_cross__is_the_list_of_tomorrow(owner_client: Client, act: Acts, cast: Cast) -> None:
    plan(act, cast)
    pdf = opened(owner_client, reverse("to-cross-pdf"))
    check_sheet(pdf, A4)
    told = written(pdf)
    assert told.startswith("Tocrosson21May2026")
    assert tight("2 of 2 planned crosses can probably be made.") in told
    # The first three tags hang; the next are free.
    assert tight(f"Take along 5 tags: the next free ones are {cast.tags[3]} to {cast.tags[7]}") in (
        told
    )
    assert tight("Stored pollen in Freezer, blue box") in told
    assert tight(f"Quillon Teapot Long Bed 2-{cast.teapot.pk}") in told
    places = [each for page in pages_of(pdf) for each in page.rects if each["width"] > 40]
    assert len(places) == 5 + 3 * 4


def test_to_cross__leaves_out_what_is_worked(owner_client: Client, act: Acts, cast: Cast) -> None:
    plan(act, cast)
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    for tag in cast.tags[3:6]:
        record_pollination(act(), **pair, tag=tag)
    told = written(opened(owner_client, reverse("to-cross-pdf")))
    assert "QuillonTeapot" not in told
    assert tight(f"Take along 2 tags: the next free ones are {cast.tags[6]}") in told


def test_to_cross__of_another_day_and_of_nonsense(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    plan(act, cast)
    address = reverse("to-cross-pdf")
    assert written(opened(owner_client, address, on="2027-05-20")).startswith("Tocrosson20May2027")
    assert written(opened(owner_client, address, on="soon")).startswith("Tocrosson20May2026")


def test_to_cross__asks_as_often_for_many(owner_client: Client, act: Acts, cast: Cast) -> None:
    plan(act, cast)
    address = reverse("to-cross-pdf")
    owner_client.get(address)
    before = queries(owner_client, address)
    pairs = [
        (cast.ledger, cast.teapot, 1),
        (cast.ledger, cast.oboe, 2),
        (cast.oboe, cast.ledger, 4),
    ]
    plan_crosses(act(), pairs=pairs, season=SEASON)
    assert queries(owner_client, address) == before


def test_season__tells_crosses_plots_and_selections(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=5, reason="ruffled, late").thing
    pdf = opened(owner_client, reverse("season-pdf", args=[2024]))
    check_sheet(pdf, A4)
    told = written(pdf)
    # Flowers, pods, set of 100, seeds, sown, up, of 100, lined out, selected.
    row = tight(f"{cast.cross.code} Quillon Teapot × Marzipan Ledger 2 1 50 40 30 18 60 12 1")
    assert row in told
    assert tight("Thistle Postman × unknown (bee pod) 1 0") in told
    assert tight(f"{seedling.code} Quillon Teapot × Marzipan Ledger ruffled, late") in told
    assert tight("Seedlings up of 100 seeds sown 60 %") in told


def test_season__without_crosses(owner_client: Client, cast: Cast) -> None:
    told = written(opened(owner_client, reverse("season-pdf", args=[1999])))
    assert "Nocrosswasmade" in told
    assert owner_client.get(reverse("season-pdf", args=[5])).status_code == 404


def test_season__asks_as_often_for_many(owner_client: Client, act: Acts, cast: Cast) -> None:
    address = reverse("season-pdf", args=[2024])
    select_seedling(act(), row=cast.row, position=1, reason="tall")
    before = queries(owner_client, address)
    for at, (seed, pollen) in enumerate([(cast.oboe, cast.ledger), (cast.ledger, cast.oboe)]):
        pair = {"seed_parent": seed, "pollen_parent": pollen, "tag": cast.tags[5 + at]}
        record_pollination(act(day=date(2024, 6, 2)), **pair)
        select_seedling(act(), row=cast.row, position=2 + at, reason="tall")
    assert queries(owner_client, address) == before


def test_pages__lead_to_their_sheets(owner_client: Client, act: Acts, cast: Cast) -> None:
    plan(act, cast)
    pages: dict[str, Any] = {
        reverse("bed", args=[cast.bed.pk]): reverse("bed-map-pdf", args=[cast.bed.pk]),
        reverse("row", args=[cast.row.pk]): reverse("row-walk-pdf", args=[cast.row.pk]),
        reverse("bed-row", args=[cast.bed.pk, 1]): reverse(
            "bed-row-walk-pdf", args=[cast.bed.pk, 1]
        ),
        reverse("to-cross"): reverse("to-cross-pdf"),
        reverse("season", args=[2024]): reverse("season-pdf", args=[2024]),
        reverse("book"): reverse("sheets"),
    }
    for page, sheet in pages.items():
        assert sheet in links(owner_client.get(page)), page
