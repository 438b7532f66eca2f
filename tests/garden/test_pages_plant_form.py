from __future__ import annotations

import uuid

import pytest
from django.test import Client
from lxml import html

from garden.models import Bed, Garden, JournalLine, Placing, Plant
from garden.models.stock import COLOUR_PARTS
from tests.cast import Stock
from tests.pages import texts

LEAST = {"kind": "cultivar", "status": "growing"}
# Things that people and machines send where a name or number was meant.
NONSENSE = ["🌷" * 50, "ש" * 300, "x" * 10_000, "-1", "9" * 400, "1e99", "NaN", "\x00", "<b>", "②"]


def send(client: Client, address: str, **fields: object):
    return client.post(address, {"entry": uuid.uuid4(), **LEAST, **fields})


def errors(response) -> str:
    tree = html.fromstring(response.content)
    return " ".join(tree.xpath("//*[@class='err']//text()"))


def typed(response, name: str) -> str:
    tree = html.fromstring(response.content)
    return tree.xpath(f"//*[@name='{name}']")[0].get("value")


def test_it_adds_a_plant(owner_client: Client, stock: Stock) -> None:
    response = send(
        owner_client, "/plants/new/", name="Lantern Keeper", iris_class="TB", ploidy="4",
        year="2019", height_cm="92", rebloom="on", standards="lavender", falls="navy",
        beard="gold", pattern="bicolor", seed_parent="quillon teapot", pollen_parent="Unknown",
    )  # fmt: skip
    plant = Plant.live.get(name="Lantern Keeper")
    line = JournalLine.objects.latest("id")
    assert response.status_code == 303
    assert response.url == f"/plants/{plant.pk}/?kept={line.pk}"
    assert (plant.seed_parent, plant.pollen_parent_text) == (stock.teapot, "unknown")
    assert (plant.height_cm, plant.ploidy, plant.rebloom) == (92, 4, True)
    assert plant.description == "Bicolor: S. lavender; F. navy; beard gold."
    assert not plant.description_own


def test_it_adds_once_when_sent_twice(owner_client: Client, stock: Stock) -> None:
    entry = uuid.uuid4()
    first = send(owner_client, "/plants/new/", name="Lantern Keeper", entry=entry)
    again = send(owner_client, "/plants/new/", name="Lantern Keeper", entry=entry)
    assert first.url == again.url
    assert Plant.objects.filter(name="Lantern Keeper").count() == 1


def test_it_refuses_a_twin_and_keeps_what_was_typed(owner_client: Client, stock: Stock) -> None:
    response = send(owner_client, "/plants/new/", name="quillon  TEAPOT", breeder="Edda Marlow")
    assert response.status_code == 422
    assert "Quillon Teapot is already in the stock." in errors(response)
    assert typed(response, "breeder") == "Edda Marlow"


@pytest.mark.parametrize("value", NONSENSE)
@pytest.mark.parametrize("name", ["year", "height_cm", "ploidy", "standards", "season", "kind"])
def test_it_refuses_nonsense_at_the_field(
    owner_client: Client, stock: Stock, name: str, value: str
) -> None:
    response = send(owner_client, "/plants/new/", **{"name": "Lantern Keeper", name: value})
    assert response.status_code == 422
    assert errors(response)
    assert not Plant.objects.filter(name="Lantern Keeper").exists()


@pytest.mark.parametrize("value", NONSENSE)
def test_it_never_stumbles_over_a_parent(owner_client: Client, stock: Stock, value: str) -> None:
    response = send(owner_client, "/plants/new/", name="Lantern Keeper", seed_parent=value)
    assert response.status_code == 422
    assert errors(response)


def test_it_asks_before_it_keeps_a_parent_as_text(owner_client: Client, stock: Stock) -> None:
    fields = {"name": "Lantern Keeper", "seed_parent": "Old Blue of the Mill"}
    response = send(owner_client, "/plants/new/", **fields)
    assert "No plant of the stock is called “Old Blue of the Mill”." in errors(response)
    assert html.fromstring(response.content).xpath("//input[@name='seed_parent_as_text']")
    send(owner_client, "/plants/new/", **fields, seed_parent_as_text="on")
    assert Plant.live.get(name="Lantern Keeper").seed_parent_text == "Old Blue of the Mill"


def test_it_does_not_take_a_near_name_for_the_parent(owner_client: Client, stock: Stock) -> None:
    fields = {"name": "Lantern Keeper", "seed_parent": "Quilton Teapot"}
    response = send(owner_client, "/plants/new/", **fields)
    assert "may be “Quillon Teapot”" in errors(response)
    offered = html.fromstring(response.content).xpath("//button[@class='answer']/span/text()")
    assert "Quillon Teapot" in offered


def test_it_links_the_only_plant_that_can_be_meant(owner_client: Client, stock: Stock) -> None:
    send(owner_client, "/plants/new/", name="Lantern Keeper", seed_parent="teapot")
    assert Plant.live.get(name="Lantern Keeper").seed_parent == stock.teapot


def test_it_keeps_text_even_where_one_plant_holds_it(owner_client: Client, stock: Stock) -> None:
    fields = {"seed_parent": "Teapot", "seed_parent_as_text": "on"}
    send(owner_client, "/plants/new/", name="Lantern Keeper", **fields)
    assert Plant.live.get(name="Lantern Keeper").seed_parent_text == "Teapot"


def change(client: Client, plant: Plant, **fields: str):
    """Send the change form as the browser would: what stood in it, with some of it changed."""
    address = f"/plants/{plant.pk}/change/"
    [form] = html.fromstring(client.get(address).content).xpath("//main/form")
    standing = dict(form.form_values())
    # The parser says 'on' for a chosen radio whose value is empty.
    standing |= {name: "" for name in ("pattern", *COLOUR_PARTS) if standing[name] == "on"}
    return client.post(address, {**standing, **fields})


def test_it_changes_nothing_when_nothing_was_changed(owner_client: Client, stock: Stock) -> None:
    for plant in (stock.teapot, stock.semaphore, stock.oboe):
        response = change(owner_client, plant)
        assert response.status_code == 422
        assert b"Nothing was changed." in response.content


def test_it_writes_the_description_anew_from_new_colours(
    owner_client: Client, stock: Stock
) -> None:
    change(owner_client, stock.ledger, falls="gold", standards="gold")
    stock.ledger.refresh_from_db()
    assert stock.ledger.description == "Gold self."
    assert not stock.ledger.description_own


def test_it_leaves_somebodys_own_words_alone(owner_client: Client, stock: Stock) -> None:
    change(owner_client, stock.ledger, description="Warm as toast.")
    change(owner_client, stock.ledger, falls="gold")
    stock.ledger.refresh_from_db()
    assert (stock.ledger.description, stock.ledger.falls) == ("Warm as toast.", "gold")
    assert stock.ledger.description_own


def test_it_writes_from_the_colours_again_when_own_words_are_taken_out(
    owner_client: Client, stock: Stock
) -> None:
    change(owner_client, stock.ledger, description="Warm as toast.")
    change(owner_client, stock.ledger, description="")
    stock.ledger.refresh_from_db()
    assert stock.ledger.description == "Yellow self."
    assert not stock.ledger.description_own


def test_it_unlinks_a_parent(owner_client: Client, stock: Stock) -> None:
    change(owner_client, stock.oboe, seed_parent="", reason="a slip")
    stock.oboe.refresh_from_db()
    assert stock.oboe.seed_parent is None
    assert stock.oboe.pollen_parent == stock.ledger
    assert JournalLine.objects.latest("id").reason == "a slip"


@pytest.mark.parametrize("parent", ["Quillon Teapot", "Oboe for Hannes"])
def test_it_refuses_a_loop(owner_client: Client, stock: Stock, parent: str) -> None:
    response = change(owner_client, stock.teapot, seed_parent=parent)
    assert response.status_code == 422
    assert "parent" in errors(response)
    assert typed(response, "seed_parent") == parent


def test_it_reads_and_shows_inches(owner_client: Client, stock: Stock) -> None:
    Garden.objects.update(inches=True)
    send(owner_client, "/plants/new/", name="Lantern Keeper", height_cm='36,5"')
    plant = Plant.live.get(name="Lantern Keeper")
    assert plant.height_cm == 93
    shown = owner_client.get(f"/plants/{plant.pk}/change/")
    assert typed(shown, "height_cm") == "36.5"
    assert b"Height in inches" in shown.content


@pytest.mark.parametrize("height", ["0", "99", "-3", "1e999", "tall", "Infinity"])
def test_it_refuses_impossible_inches(owner_client: Client, stock: Stock, height: str) -> None:
    Garden.objects.update(inches=True)
    response = send(owner_client, "/plants/new/", name="Lantern Keeper", height_cm=height)
    assert "inches" in errors(response)


def test_it_keeps_the_centimetres_that_half_inches_cannot_say(
    owner_client: Client, stock: Stock
) -> None:
    Garden.objects.update(inches=True)
    Plant.objects.filter(pk=stock.teapot.pk).update(height_cm=92)
    change(owner_client, stock.teapot, notes="Scent of cloves.")
    stock.teapot.refresh_from_db()
    assert (stock.teapot.height_cm, stock.teapot.notes) == (92, "Scent of cloves.")


def test_it_offers_plants_for_a_parent(owner_client: Client, stock: Stock) -> None:
    address = "/plants/offer/seed_parent/"
    found = html.fromstring(owner_client.get(address, {"seed_parent": "ledg"}).content)
    assert found.xpath("//span[@class='name']/text()") == ["Marzipan Ledger"]
    chosen = owner_client.get(address, {"chosen": stock.ledger.pk})
    assert typed(chosen, "seed_parent") == "Marzipan Ledger"


@pytest.mark.parametrize("query", ["", "?seed_parent=%F0%9F%8C%B7", "?seed_parent=%00"])
def test_it_offers_nothing_for_nonsense(owner_client: Client, stock: Stock, query: str) -> None:
    response = owner_client.get(f"/plants/offer/seed_parent/{query}")
    assert (response.status_code, texts(response, ".answer")) == (200, [])


@pytest.mark.parametrize("chosen", ["x", "-1", "9" * 17, "9" * 40])
def test_it_does_not_know_a_strange_parent(owner_client: Client, stock: Stock, chosen: str) -> None:
    address = "/plants/offer/seed_parent/"
    assert owner_client.get(address, {"chosen": chosen}).status_code == 404
    assert owner_client.get("/plants/offer/uncle/").status_code == 404


@pytest.mark.parametrize("page", ["change", "place", "strike"])
def test_it_does_not_know_a_strange_plant(owner_client: Client, stock: Stock, page: str) -> None:
    assert owner_client.get(f"/plants/99999/{page}/").status_code == 404
    assert owner_client.get(f"/plants/{'9' * 30}/{page}/").status_code == 404


@pytest.mark.parametrize("page", ["change", "place", "strike"])
def test_it_lets_visitors_only_read(visitor_client: Client, stock: Stock, page: str) -> None:
    address = f"/plants/{stock.guest.pk}/{page}/"
    assert visitor_client.get(address).status_code == 403
    assert visitor_client.post(address, {"reason": "x"}).status_code == 403


def test_it_says_where_a_plant_stands(owner_client: Client, stock: Stock) -> None:
    response = send(
        owner_client, f"/plants/{stock.teapot.pk}/place/", bed=stock.bed.pk, position="2-7",
        increases="5", day="2026-05-19",
    )  # fmt: skip
    assert response.status_code == 303
    placing = Placing.live.get(plant=stock.teapot)
    assert (placing.bed, placing.position, placing.increases) == (stock.bed, "2-7", 5)


@pytest.mark.parametrize("wrong", [
    {"bed": "9" * 30}, {"bed": "x"}, {"bed": ""}, {"increases": "-1"}, {"increases": "9" * 12},
    {"position": "x" * 21}, {"day": "2999-01-01"}, {"day": "0001-01-01"}, {"day": "soon"},
])  # fmt: skip
def test_it_refuses_an_impossible_place(owner_client: Client, stock: Stock, wrong: dict) -> None:
    fields = {"bed": stock.bed.pk, **wrong}
    response = send(owner_client, f"/plants/{stock.teapot.pk}/place/", **fields)
    assert response.status_code == 422
    assert errors(response)


def test_it_asks_for_a_bed_first(owner_client: Client, stock: Stock) -> None:
    Bed.objects.update(struck=True)
    assert (
        b"No bed is laid out yet." in owner_client.get(f"/plants/{stock.teapot.pk}/place/").content
    )


def test_it_strikes_a_plant_out_with_a_reason(owner_client: Client, stock: Stock) -> None:
    address = f"/plants/{stock.guest.pk}/strike/"
    assert "Write why" in errors(send(owner_client, address, reason=" "))
    response = send(owner_client, address, reason="written twice")
    stock.guest.refresh_from_db()
    assert response.url.startswith("/plants/?kept=")
    assert stock.guest.struck
    assert owner_client.get(address).status_code == 404


def test_it_does_not_strike_out_a_parent(owner_client: Client, stock: Stock) -> None:
    response = send(owner_client, f"/plants/{stock.teapot.pk}/strike/", reason="a slip")
    assert response.status_code == 422
    assert b"cannot be struck out" in response.content
