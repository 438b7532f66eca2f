from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from lxml import html

from garden.models import JournalLine, Person, Plant
from garden.records import add_person, add_plant, change_plant
from garden.records import undo as take_back
from garden.views.common import kept_at
from tests.cast import IN_BLOOM, Acts, Cast, Stock


def lines(response) -> list[str]:
    tree = html.fromstring(response.content)
    return [p.text.strip() for p in tree.xpath("//ol[contains(@class, 'journal')]//p")]


def undo(client: Client, line: JournalLine, came_from: str = "", entry: object = ""):
    headers = {"Referer": came_from} if came_from else {}
    fields = {"entry": entry or uuid.uuid4()}
    return client.post(f"/lines/{line.pk}/undo/", fields, headers=headers)


@pytest.fixture
def guest_line(owner: Person, act: Acts) -> JournalLine:
    return add_plant(act(), name="Lantern Keeper").line


def test_it_tells_the_newest_first(owner_client: Client, cast: Cast) -> None:
    told = lines(owner_client.get("/journal/"))
    assert told[0].startswith("Lined out 12")
    assert told[-1].startswith("Added Quillon Teapot")


def test_it_filters_by_person(
    owner_client: Client, stock: Stock, helper_person: Person, act: Acts
) -> None:
    add_plant(act(helper_person), name="Lantern Keeper")
    assert lines(owner_client.get(f"/journal/?person={helper_person.pk}")) == [
        "Added Lantern Keeper to the stock"
    ]


def test_it_turns_pages_by_line(
    owner_client: Client, owner: Person, act: Acts, django_assert_num_queries
) -> None:
    for at in range(60):
        add_plant(act(), name=f"Kettle {at:03}")
    first = owner_client.get("/journal/")
    [older] = html.fromstring(first.content).xpath("//a[contains(., 'Older')]/@href")
    # Session, person, garden, the moment to go on from, lines, people.
    with django_assert_num_queries(6):
        second = owner_client.get(f"/journal/{older}")
    assert (len(lines(first)), len(lines(second))) == (50, 10)
    assert lines(second)[0] == "Added Kettle 009 to the stock"


def test_it_stands_in_the_order_of_what_happened(owner_client: Client, act: Acts) -> None:
    for name, day in (("Late", 20), ("Early", 18), ("Between", 19)):
        add_plant(act(day=IN_BLOOM.replace(day=day)), name=name)
    told = [f"Added {name} to the stock" for name in ("Late", "Between", "Early")]
    assert lines(owner_client.get("/journal/"))[:3] == told
    late = JournalLine.objects.get(text=told[0])
    assert lines(owner_client.get(f"/journal/?before={late.pk}"))[:2] == told[1:]


@pytest.mark.parametrize("query", ["?person=x", "?before=-3", f"?before={'9' * 40}", "?person=²"])
def test_it_passes_over_nonsense(owner_client: Client, stock: Stock, query: str) -> None:
    assert len(lines(owner_client.get(f"/journal/{query}"))) == JournalLine.objects.count()


def test_it_offers_undo_to_those_who_may(
    owner_client: Client, helper_client: Client, visitor_client: Client, guest_line: JournalLine
) -> None:
    address = f"/lines/{guest_line.pk}/undo/".encode()
    assert address in owner_client.get("/journal/").content
    assert address not in helper_client.get("/journal/").content
    assert address not in visitor_client.get("/journal/").content


def test_it_offers_no_undo_of_what_is_older_than_two_days(
    owner_client: Client, guest_line: JournalLine
) -> None:
    address = f"/lines/{guest_line.pk}/undo/".encode()
    for hours, offered in ((47, True), (49, False)):
        JournalLine.objects.filter(pk=guest_line.pk).update(
            received_at=timezone.now() - timedelta(hours=hours)
        )
        assert (address in owner_client.get("/journal/").content) is offered


def test_may_be_undone_by__those_who_wrote_it_or_own_the_garden(
    owner: Person, helper_person: Person, visitor: Person, act: Acts
) -> None:
    line = add_plant(act(helper_person), name="Lantern Keeper").line
    assert [line.may_be_undone_by(one) for one in (owner, helper_person, visitor)] == [
        True, True, False,
    ]  # fmt: skip
    Person.objects.filter(pk=helper_person.pk).update(role="visitor")
    assert not line.may_be_undone_by(Person.objects.get(pk=helper_person.pk))


def test_may_be_undone_by__nobody_twice_nor_what_leaves_nothing_to_undo(
    owner: Person, act: Acts
) -> None:
    let_in = add_person(act(), name="Gesine", role="helper", password="a long password").line
    added = add_plant(act(), name="Lantern Keeper").line
    undone = take_back(act(), line=added).line
    lines = JournalLine.objects.filter(pk__in=[let_in.pk, added.pk, undone.pk])
    assert [line.may_be_undone_by(owner) for line in lines] == [False] * 3


def test_it_tells_the_day_once(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get("/journal/")
    harvested = next(line for line in lines(page) if line.startswith("Harvested"))
    assert harvested.endswith(cast.cup.code)
    assert JournalLine.objects.get(verb="harvest").text.endswith("(28 July 2024)")


def test_it_undoes_and_goes_back(owner_client: Client, guest_line: JournalLine) -> None:
    came_from = f"http://testserver/journal/?person=1&kept={guest_line.pk}&kept=2"
    response = undo(owner_client, guest_line, came_from)
    line = JournalLine.objects.latest("id")
    assert (response.status_code, response.url) == (303, f"/journal/?person=1&kept={line.pk}")
    assert Plant.objects.get(name="Lantern Keeper").struck
    assert "Undone" in owner_client.get(response.url).content.decode()


def test_it_counts_an_undo_once(owner_client: Client, guest_line: JournalLine) -> None:
    entry = uuid.uuid4()
    first, again = (undo(owner_client, guest_line, entry=entry) for _ in range(2))
    assert first.url == again.url
    assert JournalLine.objects.count() == 2


def test_it_goes_to_today_when_the_page_went_with_the_plant(
    owner_client: Client, guest_line: JournalLine
) -> None:
    page = kept_at(type("Kept", (), {"line": guest_line}), "plant", guest_line.subject_id).url
    response = undo(owner_client, guest_line, f"http://testserver{page}")
    assert response.url == f"/?kept={JournalLine.objects.latest('id').pk}"


def test_it_stays_on_a_page_that_still_stands(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    line = change_plant(act(), plant=stock.teapot, breeder="Edda Marlow").line
    response = undo(owner_client, line, f"http://testserver/plants/{stock.teapot.pk}/")
    assert response.url.startswith(f"/plants/{stock.teapot.pk}/?kept=")


@pytest.mark.parametrize(
    "came_from", ["", "https://elsewhere.example/plants/", "//elsewhere.example/", "javascript:x"]
)
def test_it_goes_nowhere_else(
    owner_client: Client, guest_line: JournalLine, came_from: str
) -> None:
    assert undo(owner_client, guest_line, came_from).url.startswith("/?kept=")


def test_it_says_why_a_line_stays(owner_client: Client, stock: Stock) -> None:
    line = JournalLine.objects.get(text__startswith="Added Quillon Teapot")
    response = undo(owner_client, line, "http://testserver/journal/")
    assert response.status_code == 422
    assert "cannot be undone while" in response.content.decode()
    assert html.fromstring(response.content).xpath("//main//a[.='Back']/@href") == ["/journal/"]


def test_it_refuses_others_lines_and_visitors(
    helper_client: Client, visitor_client: Client, guest_line: JournalLine
) -> None:
    assert undo(helper_client, guest_line).status_code == 422
    assert undo(visitor_client, guest_line).status_code == 403
    assert helper_client.get(f"/lines/{guest_line.pk}/undo/").status_code == 405
    assert helper_client.post(f"/lines/{'9' * 30}/undo/", {}).status_code == 404


@pytest.mark.parametrize("entry", ["x", "🌷", "\x00"])
def test_it_does_not_stumble_over_a_broken_entry(
    owner_client: Client, guest_line: JournalLine, entry: str
) -> None:
    response = undo(owner_client, guest_line, entry=entry)
    assert response.status_code == 422
    assert "could not be read" in response.content.decode()
