from __future__ import annotations

import pytest
from django.test import Client
from lxml import html

from garden.models import Plant
from garden.records import add_plant
from tests.cast import Acts, Stock


def names(response) -> list[str]:
    tree = html.fromstring(response.content)
    return [link.text for link in tree.xpath("//tbody//th//a")]


@pytest.fixture
def many(act: Acts) -> list[str]:
    """120 plants whose years run against their names; a few have none."""
    for at in range(120):
        year = None if at % 40 == 7 else 2000 - at
        add_plant(act(), name=f"Kettle {at:03}", year=year)
    return [f"Kettle {at:03}" for at in range(120)]


def walk(client: Client, address: str) -> list[list[str]]:
    """The names on every page of the table, following its 'Next' link."""
    pages, query = [], address
    while query:
        response = client.get(f"/plants/{query}")
        pages.append(names(response))
        tree = html.fromstring(response.content)
        query = next(iter(tree.xpath("//nav[@class='turn']/a[contains(., 'Next')]/@href")), "")
    return pages


def test_it_lists_the_stock_by_name(owner_client: Client, stock: Stock) -> None:
    assert names(owner_client.get("/plants/")) == [
        "Marzipan Ledger", "Moss Semaphore", "Oboe for Hannes", "Q 17-3", "Quillon Teapot",
        "Thistle Postman",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("?name=teapot", ["Quillon Teapot"]),
        ("?name=Quilon+Teapot", ["Quillon Teapot"]),
        ("?name=17-3", ["Q 17-3"]),
        ("?iris_class=SDB", ["Moss Semaphore"]),
        ("?kind=guest", ["Q 17-3"]),
        ("?iris_class=TB&name=ledger", ["Marzipan Ledger"]),
        ("?status=lost", []),
        ("?name=%F0%9F%8C%B7", []),
    ],
)
def test_it_filters(owner_client: Client, stock: Stock, query: str, found: list[str]) -> None:
    assert names(owner_client.get(f"/plants/{query}")) == found


def test_it_passes_over_nonsense(owner_client: Client, stock: Stock) -> None:
    query = "?iris_class=ZZ&sort=;drop&after=99999999999999999999999&kind=%00&pattern=x"
    assert len(names(owner_client.get(f"/plants/{query}"))) == 6
    assert len(names(owner_client.get("/plants/?after=99999999999999999"))) == 6
    assert names(owner_client.get(f"/plants/?name={'x' * 10_000}")) == []


@pytest.mark.parametrize("backwards", [False, True])
def test_it_turns_pages_without_gap_or_repeat(
    owner_client: Client, many: list[str], backwards: bool
) -> None:
    pages = walk(owner_client, "?sort=-name" if backwards else "?")
    assert [len(page) for page in pages] == [50, 50, 20]
    assert [name for page in pages for name in page] == sorted(many, reverse=backwards)


@pytest.mark.parametrize("sort", ["year", "-year"])
def test_it_sorts_by_year_with_the_yearless_last(
    owner_client: Client, many: list[str], sort: str
) -> None:
    shown = [name for page in walk(owner_client, f"?sort={sort}") for name in page]
    assert sorted(shown) == many
    years = [Plant.objects.get(name=name).year for name in shown]
    assert years[-3:] == [None] * 3
    assert years[:-3] == sorted(years[:-3], reverse=sort == "-year")


def test_it_marks_the_sorted_column(owner_client: Client, stock: Stock) -> None:
    tree = html.fromstring(owner_client.get("/plants/?sort=-year&kind=guest").content)
    [heading] = tree.xpath("//th[@aria-sort]")
    assert heading.get("aria-sort") == "descending"
    assert heading.xpath("./a/@href") == ["?kind=guest&sort=year"]


def test_it_asks_the_same_number_of_queries_for_any_stock(
    owner_client: Client, stock: Stock, many: list[str], django_assert_num_queries
) -> None:
    owner_client.get("/plants/?name=kettle")
    # Session, person, garden, plants, places, count.
    with django_assert_num_queries(6):
        owner_client.get("/plants/?name=kettle")
    with django_assert_num_queries(6):
        owner_client.get("/plants/?kind=guest")


def test_it_gives_htmx_the_table_alone(owner_client: Client, stock: Stock) -> None:
    response = owner_client.get("/plants/?kind=guest", headers={"HX-Request": "true"})
    assert names(response) == ["Q 17-3"]
    assert b"<html" not in response.content
    assert "HX-Request" in response.headers["Vary"]


def test_it_gives_the_whole_page_when_going_back(owner_client: Client, stock: Stock) -> None:
    headers = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert b"<html" in owner_client.get("/plants/?kind=guest", headers=headers).content


def test_it_offers_visitors_nothing_to_record(visitor_client: Client, stock: Stock) -> None:
    assert b"/plants/new/" not in visitor_client.get("/plants/").content
    assert visitor_client.get("/plants/new/").status_code == 403
