"""Pages of the pedigree: charts, their sheets of paper, and parentages pasted in."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pdfplumber
import pytest
from django.test import Client
from django.urls import reverse

from breeding.pedigrees import shares_of_cross
from breeding.records import record_pollination, take_parentage
from garden.models import Plant
from garden.records import add_plant
from tests.cast import Cast, Stock, act_of
from tests.pages import links, post, texts, tree

DEEP = "Oboe for Hannes × (Oboe for Hannes × [H 1-2: {Old Blue × unknown}])"


@pytest.fixture
def guest(cast: Cast, owner: Any) -> Plant:
    """Q 17-3 with three generations behind it, Oboe twice among them."""
    return take_parentage(act_of(owner), plant=cast.guest, text=DEEP).thing


def pedigree(client: Client, plant: Plant, **query: Any) -> Any:
    return client.get(reverse("pedigree", args=[plant.pk]), query)


def test_pedigree_it_draws_every_ancestor_as_a_link(owner_client: Client, guest: Plant) -> None:
    page = pedigree(owner_client, guest)
    found = set(links(page, ".pan svg a"))
    for name in ("Oboe for Hannes", "Quillon Teapot", "Old Blue"):
        assert reverse("plant", args=[Plant.live.get(name=name).pk]) in found
    region = tree(page).cssselect(".pan")[0]
    assert (region.get("tabindex"), region.get("role")) == ("0", "region")
    assert region.get("aria-label") == "Ancestors of Q 17-3"


def test_pedigree_it_lists_the_branches_seed_parent_first(
    owner_client: Client, guest: Plant
) -> None:
    page = pedigree(owner_client, guest)
    names = texts(page, ".branches .name")
    assert names[:4] == ["Q 17-3", "Oboe for Hannes", "Quillon Teapot", "Marzipan Ledger"]
    first = tree(page).cssselect(".branches > li > details > .branches > li .num")
    assert first[0].text_content().replace("\u202f", " ") == "75 %"
    # A plant that comes again leads to where its branch stands.
    again = tree(page).cssselect("a.branch-end[href^='#b']")[0].get("href")
    assert tree(page).cssselect(again)


def test_pedigree_it_says_how_to_read_the_chart(owner_client: Client, guest: Plant) -> None:
    said = texts(pedigree(owner_client, guest), ".lineage-chart > p")[0]
    assert "Seed parent above, pollen parent below." in said
    assert "A letter marks a plant that comes again" in said


def test_pedigree_it_writes_the_parentage(owner_client: Client, guest: Plant) -> None:
    written = texts(pedigree(owner_client, guest), ".notation")
    assert (
        written[0] == "Q 17-3: (Oboe for Hannes × [Oboe for Hannes × H 1-2: {Old Blue × unknown}])"
    )
    assert "Quillon Teapot × Marzipan Ledger" in written[1]
    assert written[2] == "2*Oboe for Hannes//Old Blue/unknown"


def test_pedigree_it_goes_as_deep_as_chosen(owner_client: Client, guest: Plant) -> None:
    shallow, deep = (pedigree(owner_client, guest, depth=depth) for depth in (2, 8))
    assert "Old Blue" not in texts(shallow, ".branches .name")
    assert "Dots: more is on record." in texts(shallow, ".lineage-chart > p")[0]
    assert "Old Blue" in texts(deep, ".branches .name")
    assert texts(deep, "nav [aria-current]")[-1].endswith("8")


@pytest.mark.parametrize("depth", ["", "0", "9", "1e3", "-4", "٤", "4\x00", "x" * 999])
def test_pedigree_it_takes_nonsense_as_nothing_asked(
    owner_client: Client, guest: Plant, depth: str
) -> None:
    page = pedigree(owner_client, guest, depth=depth, kind="cousins", paper="A0")
    assert page.status_code == 200
    assert page.context["depth"] == 4
    assert page.context["kind"] == "ancestors"


def test_pedigree_it_shows_descendants(owner_client: Client, cast: Cast, guest: Plant) -> None:
    page = pedigree(owner_client, cast.teapot, kind="descendants")
    assert texts(page, ".branches .name")[:2] == ["Quillon Teapot", "Oboe for Hannes"]
    assert "Q 17-3" in texts(page, ".branches .name")
    assert texts(page, ".notation") == []


@pytest.mark.parametrize(
    ("kind", "said"),
    [("ancestors", "No parents of Thistle Postman"), ("descendants", "No plant of the stock")],
)
def test_pedigree_it_says_when_there_is_none(
    owner_client: Client, stock: Stock, kind: str, said: str
) -> None:
    page = pedigree(owner_client, stock.postman, kind=kind)
    assert said in texts(page, ".empty")[0]
    assert texts(page, ".pan") == []


def test_pedigree_it_shows_parents_known_by_words_only(owner_client: Client, stock: Stock) -> None:
    page = pedigree(owner_client, stock.semaphore)
    assert "a plant nobody knows" in texts(page, ".branches .name")
    assert texts(page, ".notation")[0] == "Moss Semaphore: (a plant nobody knows × unknown)"


def test_pedigree_it_has_nothing_of_a_plant_that_is_not_there(owner_client: Client) -> None:
    for name in ("pedigree", "pedigree-pdf", "read-parentage"):
        assert owner_client.get(reverse(name, args=[10**17])).status_code == 404
    for name in ("web", "web-pdf"):
        assert owner_client.get(reverse(name, args=["99-999"])).status_code == 404


def line_of(owner: Any, generations: int) -> Plant:
    """A plant with one plant in each generation behind it."""
    parent = None
    for step in range(generations + 1):
        parent = add_plant(act_of(owner), name=f"Step {step}", seed_parent=parent).thing
    return parent


def test_pedigree_it_asks_once_for_a_generation(
    owner_client: Client, owner: Any, django_assert_max_num_queries: Callable
) -> None:
    last = line_of(owner, 12)
    pedigree(owner_client, last)
    with django_assert_max_num_queries(6 + 9):
        pedigree(owner_client, last, depth=8)
    first = Plant.live.get(name="Step 0")
    with django_assert_max_num_queries(4 + 10):
        pedigree(owner_client, first, depth=8, kind="descendants")


@pytest.mark.parametrize("paper", ["A4", "Letter", "", "A0"])
@pytest.mark.parametrize("kind", ["ancestors", "descendants"])
def test_pedigree_pdf_it_is_one_sheet(
    owner_client: Client, guest: Plant, paper: str, kind: str
) -> None:
    address = reverse("pedigree-pdf", args=[guest.pk])
    answer = owner_client.get(address, {"paper": paper, "kind": kind, "depth": 5})
    assert answer["Content-Type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert len(pdf.pages) == 1
        size = sorted((round(pdf.pages[0].width), round(pdf.pages[0].height)))
        words = pdf.pages[0].extract_text()
    assert size == ([612, 792] if paper == "Letter" else [595, 842])
    assert "Q 17-3" in words
    assert "Garden at the Mill Race" in words


def test_web_it_shows_each_ancestor_once(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("web", args=[cast.cross.code]))
    assert texts(page, ".branches .name")[1:] == ["Quillon Teapot", "Marzipan Ledger"]
    assert len(tree(page).cssselect(".pan svg a")) == 2


def test_web_it_shows_a_cross_with_unknown_pollen(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("web", args=[cast.bee_cross.code]))
    assert "pollen parent unknown" in texts(page, ".branches .name")


def test_web_it_shows_a_selfing(owner_client: Client, owner: Any, cast: Cast) -> None:
    cross = record_pollination(
        act_of(owner), seed_parent=cast.oboe, pollen_parent=cast.oboe, tag=cast.free_tag
    ).thing.cross
    page = owner_client.get(reverse("web", args=[cross.code]))
    assert texts(page, ".branches .num")[0].startswith("50")
    assert owner_client.get(reverse("web-pdf", args=[cross.code])).status_code == 200


def test_web_it_weighs_parents_by_their_sets(owner: Any, cast: Cast) -> None:
    dwarf = add_plant(act_of(owner), name="Pocket Clerk", iris_class="MTB").thing
    shares = shares_of_cross(cast.oboe.pk, dwarf.pk)
    assert shares[dwarf.pk] == pytest.approx(1 / 3)
    assert shares[cast.teapot.pk] == pytest.approx(1 / 3)
    assert shares[cast.oboe.pk] == pytest.approx(2 / 3)


def test_web_pdf_it_is_one_sheet(owner_client: Client, cast: Cast) -> None:
    answer = owner_client.get(reverse("web-pdf", args=[cast.cross.code]), {"depth": "none"})
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert len(pdf.pages) == 1
        assert "24-001: Quillon Teapot × Marzipan Ledger" in pdf.pages[0].extract_text()


def test_plant_and_cross_lead_to_their_charts(owner_client: Client, cast: Cast) -> None:
    plant = owner_client.get(reverse("plant", args=[cast.oboe.pk]))
    assert reverse("pedigree", args=[cast.oboe.pk]) in links(plant)
    cross = owner_client.get(reverse("cross", args=[cast.cross.code]))
    assert reverse("web", args=[cast.cross.code]) in links(cross)


def read(client: Client, plant: Plant, text: str, **more: Any) -> Any:
    return post(client, reverse("read-parentage", args=[plant.pk]), text=text, **more)


def test_read_parentage_it_shows_what_would_come_and_writes_nothing(
    owner_client: Client, cast: Cast
) -> None:
    before = Plant.objects.count()
    page = read(owner_client, cast.guest, DEEP)
    assert page.status_code == 200
    assert texts(page, ".tally b") == ["1", "1", "3"]
    assert texts(page, ".comings li")[0] == (
        "Q 17-3 gets the seed parent Oboe for Hannes and the pollen parent (parent of Q 17-3)"
    )
    assert Plant.objects.count() == before
    assert Plant.live.get(pk=cast.guest.pk).seed_parent is None


def test_read_parentage_it_writes_when_confirmed_and_offers_the_undo(
    owner_client: Client, cast: Cast
) -> None:
    form = tree(read(owner_client, cast.guest, DEEP)).cssselect("form:has(button[name=take])")[0]
    sent = {one.get("name"): one.value for one in form.cssselect("input[name], textarea[name]")}
    page = owner_client.post(
        reverse("read-parentage", args=[cast.guest.pk]), sent | {"take": "1"}, follow=True
    )
    assert "Read the parentage of Q 17-3" in texts(page, ".kept p")[0]
    assert page.request["PATH_INFO"] == reverse("pedigree", args=[cast.guest.pk])
    assert Plant.live.get(pk=cast.guest.pk).seed_parent == cast.oboe


def test_read_parentage_it_shows_where_a_text_is_wrong_and_keeps_it(
    owner_client: Client, cast: Cast
) -> None:
    text = "Oboe for Hannes × (Old Blue × New Blue"
    page = read(owner_client, cast.guest, text)
    assert page.status_code == 422
    assert texts(page, "#wrong_text") == ["At character 19: This ( is never closed."]
    assert texts(page, ".spot") == ["("]
    assert tree(page).cssselect("textarea")[0].text_content().strip() == text


def test_read_parentage_it_shows_contradictions_and_offers_no_button(
    owner_client: Client, cast: Cast
) -> None:
    page = read(owner_client, cast.oboe, "Thistle Postman × Marzipan Ledger")
    assert page.status_code == 422
    assert "but recorded is Quillon Teapot" in texts(page, ".field--bad .err")[0]
    assert texts(page, "button[name=take]") == []
    refused = read(owner_client, cast.oboe, "Thistle Postman × Marzipan Ledger", take="1")
    assert refused.status_code == 422


def test_read_parentage_it_asks_back_for_a_name_a_letter_away(
    owner_client: Client, cast: Cast
) -> None:
    page = read(owner_client, cast.guest, "Qillon Teapot × Old Blue")
    assert texts(page, ".near a") == ["Quillon Teapot"]


def test_visitor__reads_charts_and_takes_no_parentage(visitor_client: Client, cast: Cast) -> None:
    page = pedigree(visitor_client, cast.oboe)
    assert page.status_code == 200
    door = reverse("read-parentage", args=[cast.oboe.pk])
    assert door not in links(page)
    assert visitor_client.get(door).status_code == 403
    assert read(visitor_client, cast.oboe, DEEP, take="1").status_code == 403
    assert visitor_client.get(reverse("web", args=[cast.cross.code])).status_code == 200
