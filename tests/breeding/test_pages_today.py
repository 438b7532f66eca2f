"""Today and its lists."""

from __future__ import annotations

from datetime import date

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding.models import Pollination, Tag
from garden.models import Person
from tests.cast import Cast, noon
from tests.pages import links, texts, tree


def test_it_shows_what_is_due_with_both_parents(owner_client: Client, cast: Cast) -> None:
    with time_machine.travel(noon(date(2024, 6, 22))):
        page = owner_client.get(reverse("today"))
    assert texts(page, ".due h2") == ["Pods to look at"]
    assert texts(page, ".due-n") == ["1"]
    assert texts(page, ".due .parents") == ["Thistle Postman × unknown"]
    assert links(page, ".due .line") == [reverse("look", args=[cast.bee_flower.pk])]


def test_it_says_what_is_not_due(owner_client: Client, cast: Cast) -> None:
    with time_machine.travel(noon(date(2024, 3, 1))):
        page = owner_client.get(reverse("today"))
    assert texts(page, ".due") == []
    assert len(texts(page, ".idle li")) == 6


@pytest.mark.parametrize(
    ("day", "key", "thing"),
    [
        (date(2024, 11, 25), "sow", "cup"),
        (date(2025, 4, 25), "count", "pot"),
        (date(2025, 5, 20), "line-out", "pot"),
        (date(2026, 5, 12), "bloom", "row"),
    ],
)
def test_it_lists_each_kind_of_work(
    owner_client: Client, cast: Cast, day: date, key: str, thing: str
) -> None:
    with time_machine.travel(noon(day)):
        page = owner_client.get(reverse("due", args=[key]))
    expected = getattr(cast, thing)
    assert [str(expected) in text for text in texts(page, ".lines .small")] == [True]


def test_it_answers_an_unknown_list_with_nothing_here(owner_client: Client, cast: Cast) -> None:
    assert owner_client.get(reverse("due", args=["weeding"])).status_code == 404


def test_it_offers_a_visitor_no_form(visitor_client: Client, cast: Cast) -> None:
    with time_machine.travel(noon(date(2024, 6, 22))):
        page = visitor_client.get(reverse("today"))
    assert reverse("new-cross") not in links(page)
    assert links(page, ".due .line") == [reverse("tag", args=[cast.bee_flower.tag.code])]


def test_it_shows_a_stranger_the_door_only(client: Client, cast: Cast) -> None:
    for name in ("today", "plants", "journal", "calendar"):
        answer = client.get(reverse(name))
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("asked", ["127.0.0.1:8123", "localhost:8123", "[::1]:8123"])
def test_calendar_it_shows_the_address_that_a_phone_reaches(
    owner_client: Client, owner: Person, monkeypatch: pytest.MonkeyPatch, asked: str
) -> None:
    monkeypatch.setattr("garden.doorway.home_addresses", lambda: ["192.168.7.20", "10.0.0.4"])
    address = f"http://192.168.7.20:8123{reverse('feed', args=[owner.feed_key])}"
    page = owner_client.get(reverse("calendar"), headers={"Host": asked})
    assert texts(page, "#address") == [address]
    assert links(page, ".btn--main") == [address]


def test_calendar_it_says_when_only_this_computer_can_read_it(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("garden.doorway.home_addresses", list)
    page = owner_client.get(reverse("calendar"), headers={"Host": "localhost:8123"})
    assert texts(page, "#address")[0].startswith("http://localhost:8123/")
    assert any("no home network" in told for told in texts(page, "p"))


def test_calendar_it_keeps_a_name_that_a_phone_asked_by(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("garden.doorway.home_addresses", lambda: ["192.168.7.20"])
    page = owner_client.get(reverse("calendar"))
    assert texts(page, "#address")[0].startswith("http://testserver/")


def test_it_names_how_much_a_list_holds(owner_client: Client, cast: Cast) -> None:
    for tag in cast.tags[3:7]:
        Pollination.objects.create(
            cross=cast.cross, tag=Tag.objects.get(code=tag), day=date(2024, 6, 3)
        )
    with time_machine.travel(noon(date(2024, 6, 22))):
        page = owner_client.get(reverse("today"))
    assert texts(page, ".due-all") == ["All 5 pods to look at"]
    assert texts(page, ".top .soft") == ["5 things wait to be done."]


def test_it_keeps_its_policy_and_its_pages_out_of_caches(owner_client: Client, cast: Cast) -> None:
    answer = owner_client.get(reverse("today"))
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "no-store" in answer.headers["Cache-Control"]
    assert not tree(answer).xpath("//*[@style] | //script[not(@src)] | //style")
