from __future__ import annotations

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from lxml import html

from garden.models import Plant
from garden.records.importing import read_list
from tests.cast import Stock

LIST = (
    "name,class,seed_parent,pollen_parent,bed,position\n"
    "Oat Sermon,TB,Lantern Keeper,Quillon Teapot,Long Bed,4\n"
    "Lantern Keeper,TB,Old Blue,unknown,New Bed,1\n"
)


def look(client: Client, text: str = "", content: bytes | None = None):
    fields: dict = {"text": text}
    if content is not None:
        fields["file"] = SimpleUploadedFile("plants.csv", content)
    return client.post("/plants/import/", fields)


def said(response) -> str:
    return " ".join(html.fromstring(response.content).xpath("//main//text()"))


def test_it_shows_what_would_come_and_writes_nothing(owner_client: Client, stock: Stock) -> None:
    response = look(owner_client, LIST)
    tree = html.fromstring(response.content)
    assert response.status_code == 200
    assert tree.xpath("//p[@class='tally']/b/text()") == ["2", "2", "1"]
    assert tree.xpath("//tbody//span[@class='name']/text()") == ["Lantern Keeper", "Oat Sermon"]
    assert "Old Blue" in said(response)
    assert tree.xpath("//button[@name='take']/text()") == ["Take in 2 plants"]
    assert Plant.live.count() == 6


def test_it_takes_in_what_it_showed(owner_client: Client, stock: Stock) -> None:
    tree = html.fromstring(look(owner_client, LIST).content)
    [form] = tree.xpath("//form[.//button[@name='take']]")
    fields = {**dict(form.form_values()), "take": "1"}
    first = owner_client.post("/plants/import/", fields)
    again = owner_client.post("/plants/import/", fields)
    assert (first.status_code, first.url) == (303, again.url)
    oat = Plant.live.get(name="Oat Sermon")
    assert (oat.seed_parent.name, oat.pollen_parent) == ("Lantern Keeper", stock.teapot)
    assert oat.seed_parent.seed_parent_text == "Old Blue"
    assert oat.seed_parent.pollen_parent_text == "unknown"
    assert Plant.live.count() == 8


def test_it_names_every_problem_with_line_and_column(owner_client: Client, stock: Stock) -> None:
    response = look(owner_client, "name,class,year\nQuillon Teapot,XX,2001\n,TB,20x1\n")
    rows = html.fromstring(response.content).xpath("//tbody/tr")
    told = [tuple(cell.text_content() for cell in row)[:2] for row in rows]
    assert response.status_code == 422
    assert told == [
        ("Line 2", "iris_class"), ("Line 2", "name"), ("Line 3", "name"), ("Line 3", "year")
    ]  # fmt: skip
    assert "20x1" in html.fromstring(response.content).xpath("//textarea/text()")[0]
    assert Plant.live.count() == 6


def test_it_takes_in_nothing_of_a_list_that_went_wrong_since(
    owner_client: Client, stock: Stock
) -> None:
    fields = {"text": "name\nNew One\nQuillon Teapot\n", "take": "1", "entry": uuid.uuid4()}
    response = owner_client.post("/plants/import/", fields)
    assert response.status_code == 422
    assert "already in the stock" in said(response)
    assert Plant.live.count() == 6


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_it_reads_files_of_spreadsheets(owner_client: Client, stock: Stock, encoding: str) -> None:
    response = look(owner_client, content="name;year\r\nGrünes Gewölbe;1999\r\n".encode(encoding))
    assert response.status_code == 200
    assert "Grünes Gewölbe" in said(response)


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04\x00\x00", b"\x81\x8d", b"\xff\xfe\x00"])
def test_it_refuses_files_that_are_no_text(
    owner_client: Client, stock: Stock, content: bytes
) -> None:
    response = look(owner_client, content=content)
    assert response.status_code == 422
    assert html.fromstring(response.content).xpath("//*[@id='wrong_file']")


def test_it_refuses_a_huge_file(owner_client: Client, stock: Stock) -> None:
    response = look(owner_client, content=b"name\n" + b"x\n" * 1_000_001)
    assert response.status_code == 422
    assert "larger than 2 MB" in said(response)


@pytest.mark.parametrize(
    "text", ["", "name", "x" * 10_000, "🌷,🌷\n🌷,🌷", 'name\n"open', "name\x00\na", "\n\n\n"]
)
def test_it_answers_nonsense_with_reasons(owner_client: Client, stock: Stock, text: str) -> None:
    response = look(owner_client, text)
    assert response.status_code == 422
    assert html.fromstring(response.content).xpath("//*[@role='alert']")


def test_it_gives_an_example_that_can_be_taken_in(owner_client: Client, stock: Stock) -> None:
    response = owner_client.get("/plants/import/example.csv")
    listed = read_list(response.content.decode("utf-8-sig"))
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert (len(listed.lines), listed.problems) == (2, [])


def test_it_is_not_for_visitors(visitor_client: Client, stock: Stock) -> None:
    assert visitor_client.get("/plants/import/").status_code == 403
    assert look(visitor_client, LIST).status_code == 403
