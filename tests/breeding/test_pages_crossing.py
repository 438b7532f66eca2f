"""The cross form as it is sent and as it comes back."""

from __future__ import annotations

import uuid
from datetime import date

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding.models import Cross, Pollination
from garden.models import JournalLine
from tests.cast import Cast, Stock, noon
from tests.pages import links, post, texts, tree


def test_it_records_a_flower_and_goes_on_with_the_same_pollen(
    owner_client: Client, stock: Stock
) -> None:
    sent = {"seed": stock.teapot.pk, "pollen": stock.ledger.pk, "tag": stock.tags[0], "stigmas": 2}
    answer = post(owner_client, reverse("new-cross"), **sent)
    line = JournalLine.objects.get(verb="record_pollination")
    assert answer.status_code == 303
    assert answer.url == f"{reverse('new-cross')}?kept={line.pk}&pollen={stock.ledger.pk}"
    assert Pollination.live.get().stigmas == 2
    page = owner_client.get(answer.url)
    assert stock.tags[0] in texts(page, ".kept p")[0]
    assert texts(page, "[aria-current=true]") == ["Same pollen again"]
    assert tree(page).cssselect("input[name=pollen]")[0].get("value") == str(stock.ledger.pk)


def test_it_takes_typed_names_that_can_mean_only_one_plant(
    owner_client: Client, stock: Stock
) -> None:
    post(
        owner_client,
        reverse("new-cross"),
        seed_text="quillon teapot",
        pollen_text="ledger",
        tag=stock.tags[0],
        stigmas=3,
    )
    cross = Cross.live.get()
    assert (cross.seed_parent, cross.pollen_parent) == (stock.teapot, stock.ledger)


def test_it_takes_no_name_that_is_a_letter_away(owner_client: Client, stock: Stock) -> None:
    typed = {"seed_text": "Quilon Teapot", "pollen": stock.ledger.pk, "tag": stock.tags[0]}
    page = post(owner_client, reverse("new-cross"), stigmas=3, **typed)
    assert page.status_code == 422
    assert texts(page, "#seed-field .err") == ["Did you mean one of these?"]
    assert texts(page, "#seed-answers .answer .name") == ["Quillon Teapot"]
    assert not Pollination.objects.exists()


def test_it_asks_which_plant_is_meant_and_keeps_what_was_typed(
    owner_client: Client, stock: Stock
) -> None:
    typed = {"seed_text": "e", "pollen": stock.ledger.pk, "tag": stock.tags[0], "note": "windy"}
    page = post(owner_client, reverse("new-cross"), stigmas=3, **typed)
    assert page.status_code == 422
    assert "More than one plant" in texts(page, "#seed-field .err")[0]
    assert len(tree(page).cssselect("#seed-answers .answer")) > 1
    assert tree(page).cssselect("#id_tag")[0].get("value") == stock.tags[0]
    assert "windy" in texts(page, "textarea[name=note]")
    assert not Pollination.objects.exists()


def test_it_records_a_bee_pod_only_when_somebody_chose_it(
    owner_client: Client, stock: Stock
) -> None:
    sent = {"seed": stock.teapot.pk, "tag": stock.tags[0], "stigmas": 3}
    assert post(owner_client, reverse("new-cross"), **sent).status_code == 422
    assert post(owner_client, reverse("new-cross"), pollen="unknown", **sent).status_code == 303
    assert Cross.live.get().pollen_unknown


def test_it_counts_the_same_entry_once(owner_client: Client, stock: Stock) -> None:
    sent = {
        "entry": str(uuid.uuid4()),
        "seed": stock.teapot.pk,
        "pollen": stock.ledger.pk,
        "tag": stock.tags[0],
        "stigmas": 3,
    }
    first = owner_client.post(reverse("new-cross"), sent)
    again = owner_client.post(reverse("new-cross"), sent)
    assert (first.status_code, first.url) == (again.status_code, again.url)
    assert Pollination.objects.count() == 1
    other = owner_client.post(reverse("new-cross"), sent | {"tag": stock.tags[1]})
    assert other.status_code == 422
    assert Pollination.objects.count() == 1


def test_it_keeps_the_phones_clock_and_the_day_meant(owner_client: Client, stock: Stock) -> None:
    sent = {"seed": stock.teapot.pk, "pollen": stock.ledger.pk, "tag": stock.tags[0], "stigmas": 3}
    with time_machine.travel(noon(date(2026, 6, 5))):
        post(owner_client, reverse("new-cross"), at="2026-06-01T22:30:00Z", **sent)
    line = JournalLine.objects.get(verb="record_pollination")
    # Half past midnight in the garden: the flower was worked on the second.
    assert Pollination.live.get().day.isoformat() == "2026-06-02"
    assert line.happened_at.isoformat() == "2026-06-01T22:30:00+00:00"
    assert line.received_at > line.happened_at


@pytest.mark.parametrize("at", ["1970-01-01T00:00:00Z", "2031-01-01T00:00:00Z", "noon", "12:00"])
def test_it_does_not_believe_a_dead_clock(owner_client: Client, stock: Stock, at: str) -> None:
    sent = {"seed": stock.teapot.pk, "pollen": stock.ledger.pk, "tag": stock.tags[0], "stigmas": 3}
    with time_machine.travel(noon(date(2026, 6, 5))):
        post(owner_client, reverse("new-cross"), at=at, **sent)
    assert Pollination.live.get().day == date(2026, 6, 5)


def test_it_finds_parents_with_mistakes_forgiven(owner_client: Client, stock: Stock) -> None:
    found = owner_client.get(reverse("answers", args=["seed"]), {"seed_text": "thisle"})
    assert texts(found, ".answer .name") == ["Thistle Postman"]
    none = owner_client.get(reverse("answers", args=["pollen"]), {"pollen_text": "zzzz"})
    assert texts(none, ".answer") == [
        "No plant is called “zzzz”.",
        "Add it to the stock",
        "Not known: a bee pod",
    ]


def test_it_says_how_a_tag_fails(owner_client: Client, cast: Cast) -> None:
    def said(tag: str) -> str:
        return texts(owner_client.get(reverse("tag-said"), {"tag": tag}), "p")[0]

    mistyped = cast.free_tag[:-1] + str((int(cast.free_tag[-1]) + 3) % 10)
    assert said(cast.free_tag) == f"Tag {cast.free_tag} is free."
    assert "is mistyped" in said(mistyped)
    assert "was never printed" in said("20001" if _fits("20001") else "20010")
    assert "already hangs on" in said(cast.tags[0])
    assert "only digits" in said("twelve")


def _fits(code: str) -> bool:
    from breeding.tagnumbers import read_tag

    try:
        return bool(read_tag(code))
    except ValueError:
        return False


def test_it_offers_to_add_a_plant_that_is_missing(owner_client: Client, stock: Stock) -> None:
    found = owner_client.get(reverse("answers", args=["seed"]), {"seed_text": "Zephyr & Co"})
    (add,) = links(found, "a.answer")
    page = owner_client.get(add)
    assert tree(page).cssselect("input[name=name]")[0].get("value") == "Zephyr & Co"


def test_it_says_for_which_letters_an_answer_stands(owner_client: Client, stock: Stock) -> None:
    found = tree(owner_client.get(reverse("answers", args=["seed"]), {"seed_text": " thist "}))
    assert {item.get("data-typed") for item in found.cssselect("[data-typed]")} == {"thist"}
    assert found.cssselect("#seed-told")[0].text_content() == "1 plant"


def test_it_goes_on_from_the_newest_flower_that_stands(owner_client: Client, cast: Cast) -> None:
    answer = post(owner_client, reverse("new-cross"), seed=cast.postman.pk, pollen=cast.oboe.pk,
                  tag=cast.free_tag, stigmas=3)  # fmt: skip
    before = links(owner_client.get(answer.url), ".seg--links a")
    line = JournalLine.objects.latest("id")
    undone = post(owner_client, reverse("undo", args=[line.pk]), follow=True)
    assert "Undone" in texts(undone, ".kept p")[0]
    page = owner_client.get(reverse("new-cross"))
    ways = links(page, ".seg--links a")
    assert len(ways) == len(before) == 3
    assert ways[0] == f"{reverse('new-cross')}?pollen=unknown"


def test_it_says_that_a_plant_on_itself_is_a_selfing(owner_client: Client, stock: Stock) -> None:
    def said(**chosen: int) -> bool:
        page = tree(owner_client.get(reverse("new-cross"), chosen))
        return page.cssselect("[data-selfing]")[0].get("hidden") is None

    assert said(seed=stock.teapot.pk, pollen=stock.teapot.pk)
    assert not said(seed=stock.teapot.pk, pollen=stock.ledger.pk)
    assert not said(seed=stock.teapot.pk)
    assert not said()


def test_it_says_what_is_wrong_once_and_leads_there(owner_client: Client, cast: Cast) -> None:
    sent = {"seed": cast.teapot.pk, "pollen": cast.ledger.pk, "tag": cast.tags[0], "stigmas": 9}
    page = post(owner_client, reverse("new-cross"), **sent)
    told = dict(zip(links(page, ".errors a"), texts(page, ".errors a"), strict=True))
    assert set(told) == {"#id_stigmas"}
    page = post(owner_client, reverse("new-cross"), **sent | {"stigmas": 3})
    assert texts(page, ".errors a")[0].startswith(f"Tag {cast.tags[0]} already hangs")
    assert links(page, ".errors a") == ["#id_tag"]
    assert tree(page).cssselect("form[novalidate] #id_tag[aria-invalid]")


def test_it_is_closed_to_visitors(visitor_client: Client, cast: Cast) -> None:
    assert visitor_client.get(reverse("new-cross")).status_code == 403
    assert post(visitor_client, reverse("new-cross")).status_code == 403
    assert post(visitor_client, reverse("look", args=[cast.bee_flower.pk])).status_code == 403


def test_it_starts_from_a_plants_page(owner_client: Client, stock: Stock) -> None:
    plant = owner_client.get(reverse("plant", args=[stock.teapot.pk]))
    start = f"{reverse('new-cross')}?seed={stock.teapot.pk}"
    assert start in links(plant)
    page = owner_client.get(start)
    assert texts(page, "#seed-field .name") == ["Quillon Teapot"]
