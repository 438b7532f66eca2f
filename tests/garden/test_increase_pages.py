"""Pages of increase: the walk, the forms, a plant's years, guests in other gardens."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from garden.models import GuestSent, Plant, StockCount, StockTaken
from garden.records import add_plant, count_stock, note_guest, place_plant, send_guest
from tests.cast import IN_BLOOM, Stock
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

FIRST = date(2022, 8, 20)


@pytest.fixture
def own(act: Any, stock: Stock) -> list[Plant]:
    """Three own seedlings in the Long Bed."""
    pair = {"seed_parent": stock.teapot, "pollen_parent": stock.ledger}
    plants = [
        add_plant(act(), number=f"24-001{letter}", kind="seedling", **pair).thing
        for letter in "ABC"
    ]
    for at, plant in enumerate(plants, 2):
        place_plant(act(day=FIRST), plant=plant, bed=stock.bed, position=str(at))
    return plants


def count_years(act: Any, stock: Stock, plant: Plant, *numbers: int) -> None:
    for at, number in enumerate(numbers):
        day = FIRST + timedelta(days=365 * at)
        count_stock(act(day=day), plant=plant, number=number, bed=stock.bed, position="2")


def count_address(plant: Plant, at: str, walk: str = "own") -> str:
    return f"{reverse('count-stock', args=[plant.pk])}?at={at}&walk={walk}"


def test_walk__goes_from_place_to_place_by_one_number_each(
    owner_client: Client, stock: Stock, own: list[Plant]
) -> None:
    walk = owner_client.get(reverse("stock-walk"))
    assert texts(walk, ".lines .name") == ["24-001A", "24-001B", "24-001C"]
    (begin,) = links(walk, ".act a")
    seen = []
    address = begin
    for number in (3, 5, 7):
        page = owner_client.get(address)
        seen.append(texts(page, "h1")[0])
        spot = tree(page).cssselect("[name=place][checked]")[0].get("value")
        answer = post(owner_client, address, number=str(number), place=spot)
        assert answer.status_code == 303
        address = answer["Location"]
    assert seen == ["24-001A", "24-001B", "24-001C"]
    assert address.startswith(reverse("stock-walk"))
    assert sorted(StockCount.live.values_list("number", flat=True)) == [3, 5, 7]
    done = owner_client.get(address)
    assert links(done, ".act a") == []
    assert "3 places, 0 not counted" in texts(done, ".soft")[0]


def test_walk__goes_on_behind_the_place_just_counted(
    owner_client: Client, stock: Stock, own: list[Plant]
) -> None:
    answer = post(
        owner_client, count_address(own[1], f"{stock.bed.pk}|3"), number="4",
        place=f"{stock.bed.pk}|3",
    )  # fmt: skip
    assert answer["Location"].startswith(reverse("count-stock", args=[own[2].pk]))
    assert "walk=own" in answer["Location"]


def test_walk__takes_as_many_queries_for_few_as_for_many(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant],
    django_assert_max_num_queries: Any,
) -> None:  # fmt: skip
    for at in range(12):
        plant = add_plant(act(), number=f"25-00{at}", kind="seedling").thing
        place_plant(act(), plant=plant, bed=stock.bed, position=str(at + 9))
    with django_assert_max_num_queries(9):
        owner_client.get(reverse("stock-walk"))


def test_count__what_was_taken_needs_a_fate(
    owner_client: Client, stock: Stock, own: list[Plant]
) -> None:
    address = reverse("count-stock", args=[own[0].pk])
    place = f"{stock.bed.pk}|2"
    refused = post(owner_client, address, number="4", taken="3", place=place)
    assert refused.status_code == 422
    assert texts(refused, "#wrong_fate") == ["Say what became of those taken out."]
    assert tree(refused).cssselect("details[open] [name=taken]")
    kept = post(owner_client, address, number="4", taken="3", fate="given", place=place)
    assert kept["Location"].startswith(reverse("plant-increase", args=[own[0].pk]))
    assert StockTaken.live.get().number == 3


def test_count__at_a_place_of_its_own(owner_client: Client, stock: Stock, own: list[Plant]) -> None:
    address = reverse("count-stock", args=[own[0].pk])
    refused = post(owner_client, address, number="4", place="other")
    assert texts(refused, "#wrong_bed") == ["Say where it was counted."]
    assert tree(refused).cssselect("details[open] [name=elsewhere]")
    post(owner_client, address, number="4", place="other", elsewhere="Potted, frame 2")
    assert StockCount.live.get().place == "Potted, frame 2"
    again = owner_client.get(address)
    assert "Potted, frame 2" in " ".join(texts(again, ".increase-places label"))


def test_count__can_be_undone_from_where_it_leads(
    owner_client: Client, stock: Stock, own: list[Plant]
) -> None:
    address = reverse("count-stock", args=[own[0].pk])
    page = post(owner_client, address, follow=True, number="4", place=f"{stock.bed.pk}|2")
    (undo,) = [form.get("action") for form in tree(page).cssselect(".kept form")]
    post(owner_client, undo)
    assert not StockCount.live.exists()


def test_plant__without_a_count_says_so(owner_client: Client, stock: Stock) -> None:
    answer = owner_client.get(reverse("plant-increase", args=[stock.teapot.pk]))
    assert texts(answer, ".empty")[0] == "Its fans were never counted."
    assert not tree(answer).cssselect("form[action]")


def test_plant__counted_once_has_no_forecast(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    count_years(act, stock, own[0], 4)
    answer = owner_client.get(reverse("plant-increase", args=[own[0].pk]))
    assert "no increase is known yet" in texts(answer, ".prose")[0]
    assert not tree(answer).cssselect("#to-come")


def test_plant__counted_twice_has_a_factor_and_no_interval(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    count_years(act, stock, own[0], 4, 10)
    answer = owner_client.get(reverse("plant-increase", args=[own[0].pk]))
    assert "× 2.5" in texts(answer, ".tallies")[0]
    assert "how much years differ is not known" in texts(answer, ".prose")[0]
    assert not tree(answer).cssselect("#to-come")
    assert tree(answer).cssselect("svg.increase-plot circle")


def test_plant__counted_over_years_looks_ahead(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    count_years(act, stock, own[0], 2, 5, 9, 22)
    address = reverse("plant-increase", args=[own[0].pk])
    year = date.today().year + 1
    answer = owner_client.get(f"{address}?year={year}&need=30&keep=6&sales=2")
    assert [row.text for row in tree(answer).cssselect(".increase-tab thead th")][1:5] == [
        "2022", "2023", "2024", "2025",
    ]  # fmt: skip
    answers = texts(answer, ".increase-answers li")
    assert f"at least 30 fans in {year}" in answers[0]
    assert "Hold back" in answers[1] or "would have to stand here" in answers[1]
    assert f"From {year} to {year + 1}" in answers[2]
    assert texts(answer, "#ahead tbody th")[-1] == str(year)
    part = owner_client.get(f"{address}?need=30", headers={"HX-Request": "true"})
    assert tree(part).cssselect(".increase-answers")
    assert not tree(part).cssselect("h1")


@pytest.mark.parametrize(
    "query", ["year=9999999", "year=x", "need=-4", "take=½", "sales=99", "keep=1e9", "year=1900"]
)
def test_plant__nonsense_in_the_question_is_passed_over(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant], query: str
) -> None:
    count_years(act, stock, own[0], 2, 5, 9, 22)
    answer = owner_client.get(reverse("plant-increase", args=[own[0].pk]) + f"?{query}")
    assert answer.status_code == 200
    assert tree(answer).cssselect(".increase-answers")


def test_plant__counted_long_ago_is_to_be_counted_anew(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    for year, number in ((2010, 2), (2011, 5), (2012, 9)):
        day = date(year, 8, 20)
        count_stock(act(day=day), plant=own[0], number=number, bed=stock.bed, position="2")
    answer = owner_client.get(reverse("plant-increase", args=[own[0].pk]))
    assert "Last counted in 2012" in " ".join(texts(answer, "#ahead .prose"))


def test_pages__carry_no_style(owner_client: Client, act: Any, stock: Stock, own: Any) -> None:
    count_years(act, stock, own[0], 2, 5, 9, 22)
    answer = owner_client.get(reverse("plant-increase", args=[own[0].pk]))
    assert tree(answer).cssselect("svg.increase-plot line")
    assert not tree(answer).cssselect("[style], style")


def test_pages__take_as_many_queries_for_few_as_for_many(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant],
    django_assert_max_num_queries: Any,
) -> None:  # fmt: skip
    for plant in own:
        count_years(act, stock, plant, 2, 5, 9, 22)
    with django_assert_max_num_queries(11):
        owner_client.get(reverse("increase"))
    with django_assert_max_num_queries(22):
        owner_client.get(reverse("plant-increase", args=[own[0].pk]))


def test_list__tells_factor_and_years(
    visitor_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    count_years(act, stock, own[0], 2, 4, 8)
    count_years(act, stock, own[1], 3)
    answer = visitor_client.get(reverse("increase"))
    first, second = texts(answer, "tbody tr")
    assert "8 fans" in first
    assert "× 2.0" in first
    assert "2 years" in first
    assert "one count" in second


def test_plant_page__leads_to_increase(owner_client: Client, stock: Stock) -> None:
    answer = owner_client.get(reverse("plant", args=[stock.teapot.pk]))
    assert reverse("plant-increase", args=[stock.teapot.pk]) in links(answer)


def test_book__leads_to_the_few(visitor_client: Client, stock: Stock) -> None:
    known = links(visitor_client.get(reverse("book")))
    for name in ("increase", "guests", "introductions"):
        assert reverse(name) in known


def test_correct__a_count_and_a_taking(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    count = count_stock(act(day=FIRST), plant=own[0], number=4, bed=stock.bed, position="2",
                        taken=2, fate="sold").thing  # fmt: skip
    address = reverse("stock-count-correct", args=[count.pk])
    assert post(owner_client, address, number="6", day="2022-08-20").status_code == 422
    kept = post(owner_client, address, number="6", day="2022-08-20", reason="miscounted")
    assert kept.status_code == 303
    gone = StockTaken.live.get()
    address = reverse("taken-correct", args=[gone.pk])
    values = {"number": "3", "fate": "lost", "day": "2022-08-20", "reason": "rot"}
    assert post(owner_client, address, **values).status_code == 303
    gone.refresh_from_db()
    assert (gone.number, gone.fate) == (3, "lost")


def test_guests__are_sent_from_a_place_and_listed(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    address = reverse("guest-new")
    assert links(owner_client.get(address), ".chips a")[0].endswith(f"?plant={own[2].pk}")
    page = owner_client.get(f"{address}?plant={own[0].pk}")
    assert [one.get("value") for one in tree(page).cssselect("[name=place]")] == [
        f"{stock.bed.pk}|2", "other",
    ]  # fmt: skip
    sent = post(owner_client, address, plant=str(own[0].pk), garden_name="Reed Garden",
                terms="test", number="2", place=f"{stock.bed.pk}|2")  # fmt: skip
    assert sent.status_code == 303
    assert StockTaken.live.get().place == "Long Bed 2"
    line = texts(owner_client.get(reverse("guests")), ".lines li")[0]
    assert "awaited: a report and 2 of 2 plants" in line


def test_guests__news_settle_them(owner_client: Client, act: Any, stock: Stock) -> None:
    guest = send_guest(act(), plant=stock.oboe, garden_name="Reed Garden", terms="test",
                       number=2).thing  # fmt: skip
    address = reverse("guest-news", args=[guest.pk])
    refused = post(owner_client, address)
    assert "Write what came back" in texts(refused, "#wrong_report")[0]
    post(owner_client, address, report="Tall and straight.", returned="2")
    answer = owner_client.get(reverse("guests"))
    assert "Nothing is outstanding." in texts(answer, ".empty")
    assert "2 came back; Tall and straight." in texts(answer, "#sheet")[0]


def test_guests__take_as_many_queries_for_few_as_for_many(
    owner_client: Client, act: Any, stock: Stock, django_assert_max_num_queries: Any
) -> None:
    for at, plant in enumerate((stock.teapot, stock.oboe, stock.ledger)):
        guest = send_guest(act(), plant=plant, garden_name=f"Garden {at}", terms="test",
                           number=1).thing  # fmt: skip
        note_guest(act(), guest=guest, report="well", ended=at == 2)
    with django_assert_max_num_queries(9):
        owner_client.get(reverse("guests"))


def test_visitors__read_and_get_no_form(
    visitor_client: Client, act: Any, stock: Stock, own: list[Plant]
) -> None:
    count_years(act, stock, own[0], 2, 5, 9, 22)
    guest = send_guest(act(), plant=own[0], garden_name="Reed", terms="test", number=1).thing
    for name, args in (("increase", []), ("stock-walk", []), ("guests", []),
                       ("plant-increase", [own[0].pk])):  # fmt: skip
        answer = visitor_client.get(reverse(name, args=args))
        assert answer.status_code == 200
        assert not tree(answer).cssselect("main form[method=post]")
    for name, args in (
        ("count-stock", [own[0].pk]),
        ("take-out", [own[0].pk]),
        ("guest-new", []),
        ("guest-news", [guest.pk]),
        ("introduction-new", []),
    ):
        assert visitor_client.get(reverse(name, args=args)).status_code == 403  # fmt: skip
    assert GuestSent.live.count() == 1


def test_plant__gives_the_same_answer_on_any_day_of_the_year(
    owner_client: Client, act: Any, stock: Stock, own: list[Plant], time_machine: Any
) -> None:
    count_years(act, stock, own[0], 2, 5, 9, 22)
    address = reverse("plant-increase", args=[own[0].pk]) + "?year=2028&need=40"
    seen = []
    for day in (IN_BLOOM, IN_BLOOM + timedelta(days=200)):
        time_machine.move_to(day.isoformat())
        seen.append(texts(owner_client.get(address), ".increase-answers"))
    assert seen[0] == seen[1]
    assert seen[0]
