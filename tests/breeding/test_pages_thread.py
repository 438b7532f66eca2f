"""Pages from the pod to the row: each shows both parents, what happened and what comes next."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from breeding.models import Cross, Pollination, Row
from tests.cast import Cast
from tests.pages import links, post, texts, tree

BOTH = ["Quillon Teapot", "Marzipan Ledger"]


def pages(cast: Cast) -> dict[str, str]:
    return {
        "cross": reverse("cross", args=[cast.cross.code]),
        "tag": reverse("tag", args=[cast.flower.tag.code]),
        "cup": reverse("cup", args=[cast.cup.code]),
        "pot": reverse("pot", args=[cast.pot.code]),
        "row": reverse("row", args=[cast.row.pk]),
    }


@pytest.mark.parametrize("name", ["cross", "tag", "cup", "pot", "row"])
def test_it_shows_both_parents_and_what_comes_next(
    owner_client: Client, cast: Cast, name: str
) -> None:
    page = owner_client.get(pages(cast)[name])
    assert texts(page, ".mate .name") == BOTH
    assert texts(page, ".card--next h2") == ["What comes next"]
    assert texts(page, ".journal li")


@pytest.mark.parametrize("name", ["tag", "cup", "pot", "row"])
def test_it_leads_back_to_the_cross(owner_client: Client, cast: Cast, name: str) -> None:
    page = owner_client.get(pages(cast)[name])
    assert reverse("cross", args=[cast.cross.code]) in links(page)


def test_cross_it_tells_the_life_line_in_order(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(pages(cast)["cross"])
    assert texts(page, ".life-step b") == [
        "2 flowers worked",
        "1 pod set",
        "1 pod failed",
        "40 seeds from 1 pod",
        "30 seeds sown",
        "18 seedlings standing",
        "12 seedlings lined out",
    ]
    assert texts(page, ".life .life-year") == ["2024", "2025"]


@pytest.mark.parametrize("name", ["tag", "cup", "pot", "row"])
def test_it_tells_the_way_that_leads_there_and_on(
    owner_client: Client, cast: Cast, name: str
) -> None:
    page = owner_client.get(pages(cast)[name])
    assert texts(page, ".life-step b") == [
        "1 flower worked",
        "1 pod set",
        "40 seeds from 1 pod",
        "30 seeds sown",
        "18 seedlings standing",
        "12 seedlings lined out",
    ]
    for other in ("tag", "cup", "pot", "row"):
        assert pages(cast)[other] in links(page, ".life-step a")


def test_tag_it_tells_what_comes_next_further_on(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(pages(cast)["tag"])
    steps = texts(page, ".next li")
    assert any("Sow 10 seeds of cup 24-001-1" in step for step in steps)
    assert any("Line out 6 of pot 24-001-1-1" in step for step in steps)


def test_plant_it_tells_its_life_and_what_comes_next(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("plant", args=[cast.teapot.pk]))
    told = ["Introduced", "Added to the stock", "1 cross as seed parent"]
    assert texts(page, ".life-step b") == told
    assert texts(page, ".card--next h2") == ["What comes next"]


@pytest.mark.parametrize("name", ["cross", "tag", "cup", "pot", "row"])
def test_it_answers_what_is_not_there_with_nothing_here(owner_client: Client, name: str) -> None:
    missing: Any = 987654 if name == "row" else "99-999"
    assert owner_client.get(reverse(name, args=[missing])).status_code == 404


def test_look_it_notes_a_failure_with_its_reason(owner_client: Client, cast: Cast) -> None:
    address = reverse("look", args=[cast.bee_flower.pk])
    assert post(owner_client, address, outcome="eaten").status_code == 303
    flower = Pollination.objects.get(pk=cast.bee_flower.pk)
    assert (flower.state, flower.fail_reason) == ("failed", "eaten")


def test_look_it_asks_for_the_reason(owner_client: Client, cast: Cast) -> None:
    answer = post(owner_client, reverse("look", args=[cast.bee_flower.pk]), outcome="other")
    assert answer.status_code == 422
    assert texts(answer, ".errors li") == ["Another reason: Say how it failed."]
    assert texts(answer, ".field .err") == ["Say how it failed."]


def test_look_it_answers_htmx_with_the_line_alone(owner_client: Client, cast: Cast) -> None:
    address = reverse("look", args=[cast.bee_flower.pk])
    answer = owner_client.post(address, {"outcome": "set"}, headers={"HX-Request": "true"})
    assert texts(answer, "li.kept-item .kept p")[0].startswith("✓")
    assert texts(answer, "body > header") == []


def test_harvest_it_refuses_a_day_before_the_pollination(owner_client: Client, cast: Cast) -> None:
    address = reverse("harvest", args=[cast.bee_flower.pk])
    answer = post(owner_client, address, seeds="12", day="2024-01-01")
    assert answer.status_code == 422
    assert "is before the flower was worked" in texts(answer, ".field--bad .err")[0]
    assert Pollination.objects.get(pk=cast.bee_flower.pk).state == "worked"


def test_harvest_it_offers_the_open_cup_of_the_same_cross(owner_client: Client, cast: Cast) -> None:
    post(owner_client, reverse("harvest", args=[cast.bee_flower.pk]), seeds="12")
    post(
        owner_client,
        reverse("new-cross"),
        seed=cast.postman.pk,
        pollen="unknown",
        tag=cast.free_tag,
        stigmas=3,
    )
    bee = Cross.live.filter(pollen_unknown=True).order_by("-season").first()
    page = owner_client.get(reverse("harvest", args=[bee.pollinations.get().pk]))
    assert texts(page, ".seg span") == []
    assert "a new cup" in texts(page, "form .hint")[-1]


def test_harvest_it_answers_the_same_entry_alike_after_its_cup_was_sown(
    owner_client: Client, cast: Cast
) -> None:
    """A form that waited on the phone may come again when what it chose is no choice any more."""
    first = {"entry": str(uuid.uuid4()), "seeds": "12", "day": "2024-08-01"}
    address = reverse("harvest", args=[cast.bee_flower.pk])
    answer = owner_client.post(address, first)
    cup = Pollination.objects.get(pk=cast.bee_flower.pk).cup
    post(owner_client, reverse("sow", args=[cup.code]), seeds="12")
    again = owner_client.post(address, first | {"at": "2024-08-01T09:00:00Z"})
    assert (again.status_code, again.url) == (answer.status_code, answer.url)
    other = owner_client.post(address, first | {"seeds": "13"})
    assert other.status_code == 422
    assert other.context["form"]["entry"].value() != first["entry"]


def test_harvest_it_offers_a_new_cup_beside_the_open_one(owner_client: Client, cast: Cast) -> None:
    pair = {"seed": cast.postman.pk, "pollen": "unknown", "stigmas": 3, "day": "2024-06-03"}
    post(owner_client, reverse("new-cross"), tag=cast.free_tag, **pair)
    second = Pollination.objects.get(tag__code=cast.free_tag)
    post(owner_client, reverse("harvest", args=[cast.bee_flower.pk]), seeds="1", day="2024-08-01")
    address = reverse("harvest", args=[second.pk])
    page = owner_client.get(address)
    assert texts(page, ".seg span") == ["a new cup", "cup 24-002-1, 1 seed"]
    assert post(owner_client, address, seeds="9", cup="").status_code == 303
    assert [str(cup) for cup in cast.bee_cross.cups.all()] == ["24-002-1", "24-002-2"]


def test_sow_it_lets_counts_grow_only_with_a_reason(owner_client: Client, cast: Cast) -> None:
    address = reverse("sow", args=[cast.cup.code])
    answer = post(owner_client, address, seeds="11")
    assert answer.status_code == 422
    assert "holds 10 seeds more, not 11" in texts(answer, "#wrong_more_reason")[0]
    answer = post(owner_client, address, seeds="11", more_reason="one hid under the lid")
    assert answer.status_code == 303


def test_line_out_it_starts_behind_the_last_row(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("line-out", args=[cast.pot.code]))
    values = {
        name: page.context["form"][name].value() for name in ("bed", "row", "first", "seedlings")
    }
    assert values == {"bed": cast.bed.pk, "row": 1, "first": 13, "seedlings": 6}


def test_line_out_it_refuses_a_place_that_is_taken(owner_client: Client, cast: Cast) -> None:
    answer = post(
        owner_client,
        reverse("line-out", args=[cast.pot.code]),
        bed=cast.bed.pk,
        row="1",
        first="12",
        seedlings="3",
    )
    assert answer.status_code == 422
    assert "already holds seedlings of 24-001" in texts(answer, "#wrong_first")[0]
    assert Row.live.count() == 1


def test_correct_it_keeps_what_stood_there(owner_client: Client, cast: Cast) -> None:
    address = reverse("correct", args=["flower", cast.flower.pk])
    form = owner_client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    answer = post(owner_client, address, follow=True, **sent | {"seeds": 42, "reason": "recount"})
    assert any("seeds 40 → 42" in line for line in texts(answer, ".journal p"))
    assert "recount" in texts(answer, ".journal .hand")


def test_correct_it_asks_for_stigmas_and_falls_as_the_cross_form_does(
    owner_client: Client, cast: Cast
) -> None:
    page = owner_client.get(reverse("correct", args=["flower", cast.flower.pk]))
    stigmas = tree(page).cssselect("input[type=radio][name=stigmas]")
    assert [radio.get("value") for radio in stigmas if radio.get("checked") is not None] == ["3"]
    assert [radio.get("value") for radio in stigmas] == ["1", "2", "3"]
    assert "Falls taken off" in texts(page, "label.tick")


def test_correct_it_offers_the_open_cups_of_the_cross(owner_client: Client, cast: Cast) -> None:
    address = reverse("correct", args=["flower", cast.flower.pk])
    assert not tree(owner_client.get(address)).cssselect("[name=cup]")
    new = {"seed": cast.teapot.pk, "pollen": cast.ledger.pk, "stigmas": 3, "day": "2024-06-01"}
    post(owner_client, reverse("new-cross"), tag=cast.free_tag, **new)
    second = Pollination.objects.get(tag__code=cast.free_tag)
    post(owner_client, reverse("harvest", args=[second.pk]), seeds="9", day="2024-08-01")
    address = reverse("correct", args=["flower", second.pk])
    cups = tree(owner_client.get(address)).cssselect("[name=cup]")
    assert [cup.get("checked") is not None for cup in cups] == [False, True]
    form = owner_client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    sent |= {"cup": cast.cup.pk, "reason": "wrong cup"}
    assert post(owner_client, address, **sent).status_code == 303
    cast.cup.refresh_from_db()
    assert cast.cup.seeds == 49


@pytest.mark.parametrize(
    ("kind", "name"), [("cross", "cross"), ("cup", "cup"), ("pot", "pot"), ("row", "row")]
)
def test_correct_it_keeps_a_first_note_without_asking_why(
    owner_client: Client, cast: Cast, kind: str, name: str
) -> None:
    address = reverse("correct", args=[kind, getattr(cast, name).pk])
    linked = [link for link in links(owner_client.get(pages(cast)[name])) if address in link]
    page = owner_client.get(linked[-1])
    assert texts(page, ".act button") == ["Keep the note"]
    assert not tree(page).cssselect("[name=reason]")
    answer = post(owner_client, linked[-1], note="by the wall", follow=True)
    assert any("by the wall" in line for line in texts(answer, ".journal p"))
    again = post(owner_client, address, note="by the gate")
    assert again.status_code == 422


def test_put_away_it_is_taken_back(owner_client: Client, cast: Cast) -> None:
    address = reverse("correct", args=["pot", cast.pot.pk])
    assert not tree(owner_client.get(address)).cssselect("[name=closed_on]")
    post(owner_client, reverse("put-away", args=["pot", cast.pot.pk]), reason="frost")
    form = owner_client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    sent |= {"closed_on": "", "closed_reason": "", "reason": "wrong pot"}
    assert post(owner_client, address, **sent).status_code == 303
    cast.pot.refresh_from_db()
    assert cast.pot.closed_on is None


def test_placing_it_is_corrected_from_the_plants_page(owner_client: Client, cast: Cast) -> None:
    place = reverse("plant-place", args=[cast.teapot.pk])
    post(owner_client, place, bed=cast.bed.pk, position="4", increases="3")
    placing = cast.teapot.placings.get()
    address = reverse("placing-correct", args=[placing.pk])
    assert address in links(owner_client.get(reverse("plant", args=[cast.teapot.pk])))
    form = owner_client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    sent |= {"position": "7", "reason": "misread"}
    told = texts(post(owner_client, address, follow=True, **sent), ".journal p")
    assert any("Long Bed 4" in line and "Long Bed 7" in line for line in told)


def test_correct_parents_it_moves_a_flower(owner_client: Client, cast: Cast) -> None:
    address = reverse("flower-parents", args=[cast.bee_flower.pk])
    answer = post(
        owner_client, address, seed=cast.postman.pk, pollen=cast.oboe.pk, reason="tag misread"
    )
    assert answer.status_code == 303
    moved = Pollination.objects.get(pk=cast.bee_flower.pk)
    assert moved.cross.pollen_parent == cast.oboe
    assert not Cross.live.filter(pk=cast.bee_cross.pk).exists()


def test_put_away_it_takes_a_pot_off_the_lists(owner_client: Client, cast: Cast) -> None:
    post(owner_client, reverse("put-away", args=["pot", cast.pot.pk]), reason="frost")
    page = owner_client.get(pages(cast)["pot"])
    assert any("Put away" in text and "frost" in text for text in texts(page, "main p"))


def test_tags_it_prints_the_next_numbers(owner_client: Client, cast: Cast) -> None:
    page = post(owner_client, reverse("tags"), count="24", follow=True)
    assert "24 tags" in texts(page, ".kept p")[0]
    assert len(texts(page, ".sheets li")) == 2


def test_season_it_shows_the_funnel_by_cross_and_by_parent(
    owner_client: Client, cast: Cast
) -> None:
    page = owner_client.get(reverse("season", args=[2024]))
    assert texts(page, ".tally b") == ["2", "3", "1", "40", "12"]
    assert texts(page, "#season-rows tbody th") == ["24-001", "24-002"]
    plot = owner_client.get(reverse("funnel-plot", args=[2024]))
    assert plot["Content-Type"] == "image/svg+xml"
    assert b"<svg" in plot.content


@pytest.mark.parametrize(
    ("typed", "name"), [("24-001", "cross"), ("24-001-1", "cup"), ("24-001-1-1", "pot")]
)
def test_look_up_it_opens_a_whole_number_at_once(
    owner_client: Client, cast: Cast, typed: str, name: str
) -> None:
    answer = owner_client.get(reverse("look-up"), {"q": typed})
    assert answer.status_code == 302
    assert answer.url == reverse(name, args=[typed])


def test_look_up_it_finds_plants_their_crosses_and_beds(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("look-up"), {"q": "teapt"})
    assert "Quillon Teapot" in texts(page, "#found .name")[0]
    assert "24-001" in texts(page, "#found .small .code")
    assert texts(owner_client.get(reverse("look-up"), {"q": "long"}), "#found .name") == [
        "Long Bed"
    ]
