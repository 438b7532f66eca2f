from __future__ import annotations

import uuid

import pytest
from django.test import Client
from lxml import html

from breeding.records import line_out
from garden.models import Bed
from garden.records import place_plant
from tests.cast import Acts, Cast, Stock
from tests.pages import texts


def test_it_shows_plants_in_walking_order_and_rows(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    for plant, position in ((cast.oboe, "1-10"), (cast.teapot, "1-9"), (cast.guest, "")):
        place_plant(act(), plant=plant, bed=cast.bed, position=position)
    tree = html.fromstring(owner_client.get(f"/beds/{cast.bed.pk}/").content)
    names = tree.xpath("//section[@aria-labelledby='plants']//span[@class='name']/text()")
    assert names == ["Q 17-3", "Quillon Teapot", "Oboe for Hannes"]
    assert f"/rows/{cast.row.pk}/" in tree.xpath("//section[@aria-labelledby='rows']//a/@href")


def test_it_says_one_position_in_the_singular(owner_client: Client, cast: Cast, act: Acts) -> None:
    line_out(act(), pot=cast.pot, bed=cast.bed, row=2, first=7, seedlings=1)
    shown = texts(owner_client.get(f"/beds/{cast.bed.pk}/"), ".small")
    assert any("position 7, lined out" in text for text in shown)
    assert any("positions 1 to 12" in text for text in shown)
    row = texts(owner_client.get(f"/beds/{cast.bed.pk}/row/2/"), ".lines .small")
    assert row[0].startswith("position 7, cross")


def test_it_counts_the_plants_of_each_bed(owner_client: Client, stock: Stock, act: Acts) -> None:
    place_plant(act(), plant=stock.teapot, bed=stock.bed, position="3")
    tree = html.fromstring(owner_client.get("/beds/").content)
    assert tree.xpath("//span[@class='line-mark']/text()") == ["1"]


def test_it_lays_out_a_bed(owner_client: Client, stock: Stock) -> None:
    fields = {"entry": uuid.uuid4(), "name": "South Wall", "rows": "2", "positions": "20"}
    response = owner_client.post("/beds/new/", fields)
    bed = Bed.live.get(name="South Wall")
    assert response.status_code == 303
    assert response.url.startswith(f"/beds/{bed.pk}/?kept=")
    assert (bed.rows, bed.positions) == (2, 20)


@pytest.mark.parametrize("wrong", [
    {"name": ""}, {"name": "long  BED"}, {"name": "x" * 41}, {"rows": "0"}, {"rows": "-2"},
    {"rows": "9" * 400}, {"positions": "many"}, {"positions": "5001"}, {"note": "x" * 10_000},
    {"name": "'"},
])  # fmt: skip
def test_it_refuses_an_impossible_bed(owner_client: Client, stock: Stock, wrong: dict) -> None:
    fields = {"name": "South Wall", "rows": "2", "positions": "20", **wrong}
    response = owner_client.post("/beds/new/", fields)
    assert response.status_code == 422
    assert html.fromstring(response.content).xpath("//p[@class='err']")
    assert Bed.live.count() == 1


def test_it_keeps_room_for_seedlings(owner_client: Client, cast: Cast) -> None:
    fields = {"name": "Long Bed", "rows": "4", "positions": "5"}
    response = owner_client.post(f"/beds/{cast.bed.pk}/change/", fields)
    assert response.status_code == 422
    assert b"Seedlings stand at position 12." in response.content


def test_it_lets_visitors_only_read(visitor_client: Client, stock: Stock) -> None:
    page = visitor_client.get(f"/beds/{stock.bed.pk}/")
    assert page.status_code == 200
    assert b"/change/" not in page.content
    assert visitor_client.get("/beds/new/").status_code == 403
    assert visitor_client.post(f"/beds/{stock.bed.pk}/change/", {}).status_code == 403


@pytest.mark.parametrize("pk", ["99999", "9" * 30])
def test_it_does_not_know_a_strange_bed(owner_client: Client, stock: Stock, pk: str) -> None:
    assert owner_client.get(f"/beds/{pk}/").status_code == 404
    assert owner_client.get(f"/beds/{pk}/change/").status_code == 404
