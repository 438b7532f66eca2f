from __future__ import annotations

import uuid

import pytest
from django.test import Client
from lxml import html

from garden.forms.words import month_day
from garden.models import Garden, JournalLine, Person
from tests.cast import PASSWORD, Stock

NEW = "a quiet word by the pond"


def settings_with(client: Client, **fields: str):
    """The settings form as the browser would send it, with some of it changed."""
    [form] = html.fromstring(client.get("/settings/").content).xpath("//main/form")
    return client.post("/settings/", {**dict(form.form_values()), **fields})


def test_it_leads_from_the_book_to_every_room(owner_client: Client, stock: Stock) -> None:
    hrefs = html.fromstring(owner_client.get("/book/").content).xpath("//main//a/@href")
    for href in hrefs:
        assert owner_client.get(href).status_code == 200, href
    assert {"/plants/", "/beds/", "/journal/", "/people/", "/settings/"} <= set(hrefs)


def test_it_shows_visitors_no_owners_rooms(visitor_client: Client, stock: Stock) -> None:
    page = visitor_client.get("/book/").content
    assert b"/people/" not in page
    assert b"/settings/" not in page


@pytest.mark.parametrize("page", ["/people/", "/people/new/", "/settings/"])
def test_it_keeps_owners_rooms_to_owners(helper_client: Client, page: str) -> None:
    assert helper_client.get(page).status_code == 403
    assert helper_client.post(page, {}).status_code in (403, 405)


def test_it_lets_somebody_in(owner_client: Client, bare: Garden) -> None:
    fields = {"entry": uuid.uuid4(), "name": "Ilse", "role": "visitor", "password": NEW}
    assert owner_client.post("/people/new/", fields).status_code == 303
    assert Client().login(username="Ilse", password=NEW)


@pytest.mark.parametrize("wrong", [
    {"name": ""}, {"name": "wanda"}, {"name": "x" * 61}, {"role": "queen"}, {"password": "short"},
    {"password": "password"}, {"password": ""}, {"name": "\x00"},
])  # fmt: skip
def test_it_refuses_an_impossible_person(owner_client: Client, bare: Garden, wrong: dict) -> None:
    fields = {"name": "Ilse", "role": "visitor", "password": NEW, **wrong}
    response = owner_client.post("/people/new/", fields)
    assert response.status_code == 422
    assert html.fromstring(response.content).xpath("//p[@class='err']")
    assert Person.objects.count() == 1


def test_it_shuts_somebody_out(owner_client: Client, helper_person: Person) -> None:
    address = f"/people/{helper_person.pk}/change/"
    owner_client.post(address, {"name": "Emil", "role": "helper", "password": ""})
    helper_person.refresh_from_db()
    assert not helper_person.is_active
    assert helper_person.check_password(PASSWORD)


def test_it_keeps_the_owners_session_with_a_new_password(
    owner_client: Client, owner: Person
) -> None:
    fields = {"name": "Wanda", "role": "owner", "is_active": "on", "password": NEW}
    response = owner_client.post(f"/people/{owner.pk}/change/", fields)
    assert response.status_code == 303
    assert owner_client.get(response.url).status_code == 200


def test_it_keeps_the_last_owner(owner_client: Client, owner: Person) -> None:
    fields = {"name": "Wanda", "role": "visitor", "is_active": "on"}
    response = owner_client.post(f"/people/{owner.pk}/change/", fields)
    assert response.status_code == 422
    assert owner_client.get(f"/people/{'9' * 30}/change/").status_code == 404


def test_it_changes_ones_own_password_and_keeps_the_session(
    visitor_client: Client, visitor: Person
) -> None:
    response = visitor_client.post("/password/", {"old": PASSWORD, "password": NEW})
    assert response.status_code == 303
    assert visitor_client.get(response.url).status_code == 200
    visitor.refresh_from_db()
    assert visitor.check_password(NEW)


@pytest.mark.parametrize(
    ("old", "new"), [("wrong", NEW), (PASSWORD, "short"), ("", NEW), (PASSWORD, "")]
)
def test_it_refuses_a_password(visitor_client: Client, visitor: Person, old: str, new: str) -> None:
    assert visitor_client.post("/password/", {"old": old, "password": new}).status_code == 422
    visitor.refresh_from_db()
    assert visitor.check_password(PASSWORD)


def test_it_changes_the_settings(owner_client: Client, bare: Garden) -> None:
    response = settings_with(owner_client, sow_on="3 Dec", pod_ripe_days="60", inches="on")
    garden = Garden.get()
    assert response.status_code == 303
    assert (garden.sow_on, garden.pod_ripe_days, garden.inches) == ("12-03", 60, True)
    told = JournalLine.objects.latest("id").text.partition(": ")[2]
    assert sorted(told.split(", ")) == [
        "the day of sowing", "the unit of heights", "when pods crack",
    ]  # fmt: skip


def test_it_moves_the_year_with_the_hemisphere(owner_client: Client, bare: Garden) -> None:
    settings_with(owner_client, hemisphere="S")
    garden = Garden.get()
    assert (garden.hemisphere, garden.sow_on) == ("S", "05-25")


@pytest.mark.parametrize("wrong", [
    {"sow_on": "the 40th"}, {"sow_on": "30 February"}, {"bloom_from": ""}, {"bloom_days": "-3"},
    {"bloom_days": "9" * 300}, {"pod_ripe_days": "2"}, {"time_zone": "Moon/Crater"},
    {"hemisphere": "E"}, {"name": ""}, {"name": "🌷" * 61}, {"recount_days": "401"},
])  # fmt: skip
def test_it_refuses_impossible_settings(owner_client: Client, bare: Garden, wrong: dict) -> None:
    response = settings_with(owner_client, **wrong)
    assert response.status_code == 422
    tree = html.fromstring(response.content)
    assert tree.xpath("//p[@class='err']")
    [(name, value)] = wrong.items()
    if tree.xpath(f"//input[@type='text'][@name='{name}']"):
        assert (tree.xpath(f"//input[@name='{name}']/@value") or [""]) == [value]


@pytest.mark.parametrize("text", ["25 November", "25. nov", "Nov 25", "november 25", "11-25"])
def test_month_day__ways_to_write_one_day(text: str) -> None:
    assert str(month_day(text)) == "11-25"


@pytest.mark.parametrize("text", ["", "25", "November", "25 Smarch", "31 June", "1-2-3", "🌷"])
def test_month_day__nonsense(text: str) -> None:
    with pytest.raises(ValueError, match=r".*"):
        month_day(text)
