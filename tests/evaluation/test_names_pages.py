"""Pages on the way to a name."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from evaluation.models import Measuring, ProposedName
from evaluation.records import decide, give_name, propose_name, select_seedling
from garden.models import Plant
from garden.records import add_plant
from tests.cast import Cast
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
LARGEST_PART = 15_000


@pytest.fixture
def plant(act, cast: Cast) -> Plant:
    return select_seedling(act(), row=cast.row, position=3).thing.plant


@pytest.fixture
def proposed(act, plant: Plant) -> ProposedName:
    return propose_name(act(), plant=plant, text="Lantern at Dusk", note="the lamp").thing


def names_of(plant: Plant) -> str:
    return reverse("plant-names", args=[plant.pk])


def propose(client: Client, plant: Plant, text: str, **more):
    return post(client, reverse("name-propose", args=[plant.pk]), text=text, **more)


def test_told__findings_and_likenesses_as_one_types(owner_client: Client, plant) -> None:
    asked = {"text": "moss Semafore Gruppe", "plant": plant.pk}
    part = owner_client.get(reverse("name-told"), asked, headers=HTMX)
    assert len(part.content) < LARGEST_PART
    assert texts(part, ".finding b") == ["Breaks the rule", "Breaks the rule"]
    assert "Article 21, as read in guides" in texts(part, ".finding .small")
    assert "Article 21, from memory" in texts(part, ".finding .small")
    assert texts(part, "a.btn") == ["Write ‘Moss Semafore Gruppe’"]
    part = owner_client.get(reverse("name-told"), {"text": "Moss Semafore"}, headers=HTMX)
    (line,) = texts(part, ".finding")
    assert line == "Doubtful Moss Semaphore looks alike: 2 letters differ SDB"
    assert not tree(part).cssselect("main")


def test_told__names_the_source_of_each_rule(owner_client: Client, cast) -> None:
    part = owner_client.get(reverse("name-told"), {"text": "Mr. Test Strain & Form"})
    told = texts(part, ".sources li")
    assert len(told) == 4
    assert any("1995" in each for each in told)
    assert any("registrar" in each and "older" in each.lower() for each in told)


@pytest.mark.parametrize(
    "asked",
    [{}, {"text": ""}, {"text": "x" * 5000}, {"text": "a\x00b"}, {"text": "\u202eשלום"},
     {"text": "Zyntra", "plant": "x"}, {"text": "Zyntra", "plant": "9" * 30},
     {"text": "<script>alert(1)</script>"}, {"text": "🌸"}],
)  # fmt: skip
def test_told__bears_nonsense(owner_client: Client, cast, asked: dict) -> None:
    for name in ("name-told", "names"):
        answer = owner_client.get(reverse(name), asked)
        assert answer.status_code == 200
        if answer.content.strip():
            assert not [each for each in tree(answer).iter("script") if each.text]


def test_told__says_so_when_nothing_speaks_against_it(owner_client: Client, cast) -> None:
    part = owner_client.get(reverse("name-told"), {"text": "Zyntra"})
    assert texts(part, ".looked-clear") == ["Nothing speaks against it here."]
    assert texts(part, ".looked-name .small") == ["6 of 30 signs"]


def test_propose__from_the_page_to_the_list(owner_client: Client, plant) -> None:
    page = owner_client.get(names_of(plant))
    (field,) = tree(page).cssselect("input[name=text]")
    assert field.get("hx-get") == f"{reverse('name-told')}?plant={plant.pk}"
    answer = propose(owner_client, plant, "Lantern at Dusk", note="the lamp")
    assert answer.status_code == 303
    page = owner_client.get(answer["Location"])
    assert texts(page, ".proposed-name") == ["Lantern at Dusk"]
    assert texts(page, ".proposed .hand") == ["the lamp"]
    assert texts(page, ".proposed .looked-clear") == ["Nothing speaks against it here."]


def test_propose__a_refused_name_stays_in_its_field(owner_client: Client, plant) -> None:
    answer = propose(owner_client, plant, "Quillon Teapot")
    assert answer.status_code == 422
    assert texts(answer, "#wrong_text") == ["Quillon Teapot is already in the stock."]
    (field,) = tree(answer).cssselect("input[name=text]")
    assert field.get("value") == "Quillon Teapot"
    assert not ProposedName.objects.exists()


def test_propose__the_offered_writing_fills_the_field(owner_client: Client, plant) -> None:
    page = owner_client.get(names_of(plant), {"text": "light Of dusk"})
    (link,) = links(page, ".looked a.btn")
    page = owner_client.get(link)
    (field,) = tree(page).cssselect("input[name=text]")
    assert field.get("value") == "Light of Dusk"
    assert texts(page, ".looked-clear") == ["Nothing speaks against it here."]


def test_give__confirms_with_the_findings_and_leads_to_the_plant(
    owner_client: Client, plant, proposed
) -> None:
    address = reverse("name-give", args=[proposed.pk])
    page = owner_client.get(address)
    assert "registered with the international registration authority" in " ".join(texts(page, "p"))
    answer = post(owner_client, address, reason="short", follow=True)
    assert answer.redirect_chain[-1][0].startswith(reverse("plant", args=[plant.pk]))
    assert texts(answer, "h1") == ["Lantern at Dusk"]
    assert "24-001A" in texts(answer, ".facts .code")
    # And the journal offers to take it back.
    assert "24-001A is named ‘Lantern at Dusk’" in " ".join(texts(answer, "main"))


def test_give__refused_while_the_stock_has_the_name(
    owner_client: Client, act, plant, proposed
) -> None:
    add_plant(act(), name="Lantern at dusk")
    answer = post(owner_client, reverse("name-give", args=[proposed.pk]))
    assert answer.status_code == 422
    assert "Lantern at dusk is already in the stock." in texts(answer, ".errors li")
    assert "Breaks the rule" in texts(answer, ".finding b")


def test_drop__stays_in_the_list_and_may_be_taken_up(owner_client: Client, plant, proposed) -> None:
    answer = post(
        owner_client, reverse("name-drop", args=[proposed.pk]), reason="too long", follow=True
    )
    assert texts(answer, ".proposed--dropped .proposed-name") == ["Lantern at Dusk"]
    assert "too long" in " ".join(texts(answer, ".proposed .told-by"))
    again = links(answer, ".proposed a")[-1]
    assert owner_client.get(again).status_code == 200
    assert propose(owner_client, plant, "Lantern at Dusk").status_code == 303


def test_names__who_is_on_the_way(owner_client: Client, act, cast, plant, proposed) -> None:
    kept = select_seedling(act(), row=cast.row, position=5).thing.plant
    decide(act(), candidates=[kept.candidates.get()], verdict="keep")
    page = owner_client.get(reverse("names"))
    assert texts(page, "section[aria-labelledby=proposed] .name") == ["Lantern at Dusk"]
    assert texts(page, "section[aria-labelledby=waiting] .name") == ["24-001B"]
    give_name(act(), proposed=proposed)
    page = owner_client.get(reverse("names"))
    assert texts(page, "section[aria-labelledby=given] .name") == ["Lantern at Dusk"]


def test_names__a_visitor_looks_and_does_nothing(visitor_client: Client, plant, proposed) -> None:
    for address in (reverse("names"), names_of(plant), reverse("name-told") + "?text=Zyntra"):
        assert visitor_client.get(address).status_code == 200
    page = visitor_client.get(names_of(plant))
    assert texts(page, ".proposed-act") == []
    assert not tree(page).cssselect("main form")
    for name, pk in (("name-give", proposed.pk), ("name-drop", proposed.pk),
                     ("name-propose", plant.pk), ("measure", plant.pk)):  # fmt: skip
        assert post(visitor_client, reverse(name, args=[pk]), text="Zyntra").status_code == 403
    assert ProposedName.live.get().state == "open"


def queries(client: Client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as held:
        assert client.get(address).status_code == 200
    return len(held)


def test_pages__take_as_many_queries_for_many_names(
    owner_client: Client, act, plant, proposed
) -> None:
    add_plant(act(), name="Lantern et Dusk")
    addresses = [reverse("names") + "?text=Lantern+of+Dusk", names_of(plant)]
    before = [queries(owner_client, each) for each in addresses]
    for at in range(5):
        other = add_plant(act(), number=f"Z {at}", kind="seedling").thing
        propose_name(act(), plant=plant, text=f"Lantern {'ABCDE'[at]}x Dusk")
        propose_name(act(), plant=other, text=f"Lantern {'ABCDE'[at]}y Dusk")
    assert [queries(owner_client, each) for each in addresses] == before


def test_measure__is_kept_and_leads_to_the_dossier(owner_client: Client, plant) -> None:
    address = reverse("measure", args=[plant.pk])
    (form,) = tree(owner_client.get(address)).cssselect("main form")
    assert form.get("data-outbox") == "Measures"
    answer = post(owner_client, address, height_cm="91", buds="8", day="2026-05-18", follow=True)
    assert answer.redirect_chain[-1][0].startswith(reverse("dossier", args=[plant.pk]))
    assert Measuring.live.get().height_cm == 91


def test_measure__in_digits_and_within_reason(owner_client: Client, plant) -> None:
    address = reverse("measure", args=[plant.pk])
    for sent, field in (({"height_cm": "tall"}, "height_cm"), ({"buds": "99"}, "buds")):
        answer = post(owner_client, address, **sent)
        assert answer.status_code == 422
        assert texts(answer, f"#wrong_{field}")


def test_links__from_seedling_plant_and_book(owner_client: Client, plant) -> None:
    names, dossier = names_of(plant), reverse("dossier", args=[plant.pk])
    for address in (reverse("seedling", args=["24-001A"]), reverse("plant", args=[plant.pk])):
        assert {names, dossier} <= set(links(owner_client.get(address)))
    assert reverse("names") in links(owner_client.get(reverse("book")))


def test_links__a_bought_plant_has_none(owner_client: Client, cast) -> None:
    page = owner_client.get(reverse("plant", args=[cast.teapot.pk]))
    assert not [each for each in links(page) if each and ("dossier" in each or "/names/" in each)]
