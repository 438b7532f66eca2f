"""The pages of bloom, pollen and fertility, as people see them and as HTMX asks for their parts."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding.blooming import forget
from breeding.models import Bloom, Pollen
from breeding.records import finish_pollen, note_bloom, store_pollen
from garden.models import Garden, JournalLine, Person, Placing
from garden.records import add_bed, add_plant, change_plant, place_plant, undo
from tests.cast import Acts, Cast, Stock, noon
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

TODAY = date(2026, 5, 20)
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    with time_machine.travel(noon(TODAY)):
        yield


@pytest.fixture
def years(stock: Stock) -> Stock:
    """Three years of notes: the semaphore opens first, then postman, teapot and ledger."""
    for plant, opens in ((stock.semaphore, 2), (stock.postman, 10), (stock.teapot, 20),
                         (stock.ledger, 24)):  # fmt: skip
        for year, later in ((2023, 0), (2024, 4), (2025, 2)):
            days = [date(year, 5, 1) + timedelta(days=opens + later + more) for more in (0, 5, 12)]
            stages = dict(zip(("first_on", "peak_on", "last_on"), days, strict=True))
            Bloom.objects.create(plant=plant, season=year, **stages)
    return stock


@pytest.fixture
def places(act: Acts, stock: Stock) -> Stock:
    """Two beds: positions that are counted, not spelt."""
    wall = add_bed(act(), name="Brick Wall", rows=1, positions=20).thing
    for plant, bed, position in (
        (stock.teapot, stock.bed, "2-10"),
        (stock.ledger, stock.bed, "2-9"),
        (stock.oboe, stock.bed, "1-30"),
        (stock.postman, wall, "4"),
    ):
        place_plant(act(), plant=plant, bed=bed, position=position)
    return stock


def sign_in_again(client: Client) -> Client:
    """Half a year later nobody is in any more."""
    client.force_login(Person.objects.get(role="owner"))
    return client


def walk(client: Client, **asked: object) -> object:
    return client.get(reverse("bloom-walk"), asked)


def names(page: object) -> list[str]:
    return texts(page, ".bloom-stop .name")


def noted(act: Acts, stock: Stock, *stages: tuple[str, date]) -> Bloom:
    for stage, day in stages:
        bloom = note_bloom(act(day=day), plant=stock.teapot, stage=stage).thing
    return bloom


# The walk.


def test_walk_it_goes_through_beds_and_positions_those_without_a_place_last(
    owner_client: Client, places: Stock
) -> None:
    page = walk(owner_client, bed="all")
    assert names(page) == ["Thistle Postman", "Oboe for Hannes", "Marzipan Ledger",
                           "Quillon Teapot", "Moss Semaphore", "Q 17-3"]  # fmt: skip
    assert texts(page, ".bloom-stop .small")[:4] == [
        "Brick Wall 4", "Long Bed 1-30", "Long Bed 2-9", "Long Bed 2-10",
    ]  # fmt: skip


def test_walk_it_remembers_the_bed_in_the_address(owner_client: Client, places: Stock) -> None:
    page = walk(owner_client, bed=places.bed.pk)
    assert names(page) == ["Oboe for Hannes", "Marzipan Ledger", "Quillon Teapot"]
    assert texts(page, ".chip[aria-current]") == ["Long Bed"]
    here = f"?bed={places.bed.pk}"
    forms = tree(page).cssselect(".bloom-tap")
    assert {form.get("action").partition("?")[1:] for form in forms} == {("?", here[1:])}
    assert names(walk(owner_client, bed="none")) == ["Moss Semaphore", "Q 17-3"]


def test_walk_it_shows_a_plant_of_two_beds_in_both_and_once_in_all(
    owner_client: Client, act: Acts, places: Stock
) -> None:
    wall = Placing.live.get(position="4").bed
    place_plant(act(), plant=places.teapot, bed=wall, position="1")
    assert names(walk(owner_client, bed=wall.pk)) == ["Quillon Teapot", "Thistle Postman"]
    assert "Quillon Teapot" in names(walk(owner_client, bed=places.bed.pk))
    assert names(walk(owner_client, bed="all")).count("Quillon Teapot") == 1


def test_walk_it_leaves_out_what_does_not_grow_here(
    owner_client: Client, act: Acts, places: Stock
) -> None:
    change_plant(act(), plant=places.oboe, status="lost")
    assert "Oboe for Hannes" not in names(walk(owner_client, bed="all"))


@pytest.mark.parametrize("bed", ["x", "99999", "1e3", "'", "9" * 30])
def test_walk_it_passes_over_nonsense(owner_client: Client, places: Stock, bed: str) -> None:
    page = owner_client.get(reverse("bloom-walk"), {"bed": bed, "on": "2026-02-30", "after": "½"})
    assert page.status_code == 200
    assert not names(page)


def test_walk_it_asks_for_the_few_that_are_due_in_the_order_of_the_beds(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    for plant, position in ((years.ledger, "2"), (years.teapot, "9"), (years.postman, "12")):
        place_plant(act(), plant=plant, bed=years.bed, position=position)
    for plant, day in ((years.semaphore, 1), (years.postman, 9)):
        note_bloom(act(day=date(2026, 5, day)), plant=plant, stage="first")
    note_bloom(act(day=date(2026, 5, 12)), plant=years.semaphore, stage="last")
    page = walk(owner_client)
    assert names(page)[:2] == ["Quillon Teapot", "Thistle Postman"]
    assert "Moss Semaphore" not in names(page)
    assert texts(page, ".bloom-tap .btn")[:2] == ["Open: Quillon Teapot", "Peak: Thistle Postman"]
    # The later of the two stands first.
    words = [line_of(page, plant).text_content() for plant in (years.teapot, years.postman)]
    days = [re.search(r"expected (\d+) May", each) for each in words]
    assert int(days[0][1]) > int(days[1][1])


def line_of(page: object, plant: object) -> object:
    return tree(page).get_element_by_id(f"bloom-{plant.pk}")


def buttons(page: object, plant: object) -> list[str]:
    found = line_of(page, plant).cssselect(".bloom-tap button")
    return [f"{each.get('value')}" for each in found]


def test_walk_it_offers_the_peak_where_the_opening_was_missed(
    owner_client: Client, years: Stock
) -> None:
    assert buttons(walk(owner_client, bed="all", on="2026-05-14"), years.postman) == ["first"]
    page = walk(owner_client, bed="all", on="2026-05-19")
    assert buttons(page, years.postman) == ["peak", "first"]
    address = line_of(page, years.postman).cssselect("form")[0].get("action")
    assert post(owner_client, address, stage="peak", day="2026-05-19").status_code == 303
    assert buttons(walk(owner_client, bed="all"), years.postman) == ["last"]


def test_walk_it_offers_on_an_earlier_day_nothing_that_comes_after_what_is_noted(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    noted(act, stock, ("peak", date(2026, 5, 16)))
    for day, offered in (("2026-05-12", ["first"]), ("2026-05-16", ["last"]), ("", ["last"])):
        assert buttons(walk(owner_client, bed="all", on=day), stock.teapot) == offered
    noted(act, stock, ("first", date(2026, 5, 13)))
    assert buttons(walk(owner_client, bed="all", on="2026-05-12"), stock.teapot) == []
    assert buttons(walk(owner_client, bed="all", on="2026-05-14"), stock.teapot) == []


def test_walk_it_asks_weeks_later_for_the_day(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    noted(act, years, ("first", date(2026, 5, 19)))
    with time_machine.travel(noon(date(2026, 11, 28))):
        page = walk(sign_in_again(owner_client), bed="all")
    line = line_of(page, years.teapot)
    assert not line.cssselect("form")
    [way] = line.cssselect(".bloom-tap a")
    assert way.text == "When was it over?"
    assert way.get("href").startswith(reverse("bloom-note", args=[years.teapot.pk]))


def test_walk_it_says_out_of_bloom_when_it_usually_begins(
    owner_client: Client, years: Stock
) -> None:
    with time_machine.travel(noon(date(2026, 11, 20))):
        page = walk(sign_in_again(owner_client))
    assert not names(page)
    [told] = texts(page, ".empty")
    assert "Bloom usually begins here about 5 May, with Moss Semaphore (noted in 3 years)" in told


def test_walk_it_says_before_any_note_what_the_calendar_has(
    owner_client: Client, stock: Stock
) -> None:
    [told] = texts(walk(owner_client), ".empty")
    assert "No bloom was ever noted here" in told
    assert "begin on 10 May" in told


def test_walk_it_tells_how_late_the_season_is_and_by_how_many(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    for plant, day in ((years.semaphore, 11), (years.postman, 19)):
        note_bloom(act(day=date(2026, 5, day)), plant=plant, stage="first")
    assert any("later than usual, told by 2 plants" in each
               for each in texts(walk(owner_client), ".prose"))  # fmt: skip


def test_walk_it_turns_pages(
    owner_client: Client, stock: Stock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("breeding.pages.bloompages.ON_A_PAGE", 4)
    first = walk(owner_client, bed="all")
    [more] = [link for link in links(first, ".turn a") if "after" in link]
    second = owner_client.get(more)
    assert len(names(first)) == 4
    assert len(set(names(first) + names(second))) == 6


def test_walk_it_notes_another_day(owner_client: Client, stock: Stock) -> None:
    page = walk(owner_client, bed="all", on="2026-05-12")
    form = tree(page).cssselect(".bloom-tap")[0]
    assert form.cssselect("[name=day]")[0].get("value") == "2026-05-12"
    answer = post(owner_client, form.get("action"), stage="first", day="2026-05-12")
    assert answer.status_code == 303
    assert "on=2026-05-12" in answer.url
    assert Bloom.live.get().first_on == date(2026, 5, 12)
    ahead = walk(owner_client, bed="all", on="2027-05-12")
    assert not tree(ahead).cssselect(".bloom-day")


def test_walk_it_answers_htmx_with_its_part(owner_client: Client, stock: Stock) -> None:
    page = owner_client.get(reverse("bloom-walk"), {"bed": "all"}, headers=HTMX)
    assert not tree(page).cssselect("h1")
    assert len(names(page)) == 6
    assert "HX-Request" in page.headers["Vary"]


def test_walk_it_gives_a_visitor_no_form(visitor_client: Client, years: Stock) -> None:
    page = walk(visitor_client, bed="all")
    assert names(page)
    assert not tree(page).cssselect("main form")
    assert reverse("pollen-new") not in links(page)
    assert links(page, ".bloom-who")[0].endswith("/bloom/")


def test_walk_it_asks_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, years: Stock, django_assert_num_queries: Callable
) -> None:
    walk(owner_client, bed="all")
    with django_assert_num_queries(7):
        walk(owner_client, bed="all")
    for number in range(8):
        plant = add_plant(act(), number=f"K {number}", iris_class="TB").thing
        place_plant(act(), plant=plant, bed=years.bed, position=f"3-{number}")
        note_bloom(act(day=TODAY), plant=plant, stage="first")
    walk(owner_client, bed="all")
    with django_assert_num_queries(7):
        walk(owner_client, bed="all")


# One tap.


def tap(client: Client, stock: Stock, stage: str, **more: object) -> object:
    address = reverse("bloom-note", args=[stock.teapot.pk]) + "?bed=all"
    sent = {"entry": str(uuid.uuid4()), "at": "", "stage": stage, **more}
    return client.post(address, sent, headers=HTMX)


def test_note_it_replaces_the_line_and_offers_undo_in_it(
    owner_client: Client, stock: Stock
) -> None:
    line = tap(owner_client, stock, "first")
    assert line.status_code == 200
    assert line_of(line, stock.teapot).tag == "li"
    told = "✓ opened 20 May: Quillon Teapot opened its first flower (20 May 2026)"
    assert texts(line, ".bloom-kept") == [told]
    assert not tree(line).cssselect(".bloom-tap [name=stage]")
    kept = JournalLine.objects.get(verb="note_bloom")
    form = tree(line).cssselect("form.bloom-tap")[0]
    assert form.get("action") == reverse("undo", args=[kept.pk])
    post(owner_client, form.get("action"))
    assert not Bloom.live.exists()


def test_note_it_counts_a_doubled_tap_once(owner_client: Client, stock: Stock) -> None:
    entry = str(uuid.uuid4())
    first, again = (tap(owner_client, stock, "first", entry=entry) for _ in range(2))
    assert texts(first, ".bloom-kept") == texts(again, ".bloom-kept")
    assert JournalLine.objects.filter(verb="note_bloom").count() == 1


def test_note_it_counts_on_with_every_tap(owner_client: Client, stock: Stock) -> None:
    line = tap(owner_client, stock, "first")
    [told] = tree(line).cssselect("#bloom-count")
    assert told.get("hx-swap-oob") == "true"
    assert texts(line, "#bloom-count") == ["1 open of 6 plants, 1 noted today."]
    undoing = tree(line).cssselect("form.bloom-tap")[0]
    assert undoing.get("hx-select-oob") == "#bloom-count"
    assert texts(walk(owner_client, bed="all"), "#bloom-count") == texts(line, "#bloom-count")


def test_note_it_puts_the_new_day_where_the_expected_one_stood(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    noted(act, years, ("first", date(2026, 5, 19)))
    small = [each.text for each in
             line_of(walk(owner_client, bed="all"), years.teapot).cssselect(".small")]  # fmt: skip
    after = tap(owner_client, years, "peak")
    assert small[1] == "opened 19 May"
    assert texts(after, ".small")[:2] == small[:2]
    assert len(texts(after, ".small")) == len(small)


def ask_late(client: Client, stock: Stock, **asked: str) -> object:
    with time_machine.travel(noon(date(2026, 11, 28))):
        address = reverse("bloom-note", args=[stock.teapot.pk])
        return sign_in_again(client).get(address, asked)


def test_note_it_asks_weeks_later_when_it_was_over_with_the_day_expected(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    noted(act, years, ("first", date(2026, 5, 19)))
    page = ask_late(owner_client, years, to="plant")
    assert texts(page, "label[for=id_day]") == ["When was it over?"]
    filled = date.fromisoformat(tree(page).cssselect("#id_day")[0].get("value"))
    assert date(2026, 5, 27) <= filled <= date(2026, 6, 5)
    assert texts(page, ".act .btn") == ["Over that day"]
    [other] = [way for way in links(page) if way.startswith("?stage=peak")]
    asked = dict(part.split("=") for part in other[1:].split("&"))
    peak = ask_late(owner_client, years, **asked)
    assert texts(peak, "label[for=id_day]") == ["When was its peak?"]
    assert date(2026, 5, 19) <= date.fromisoformat(
        tree(peak).cssselect("#id_day")[0].get("value")
    ) < filled  # fmt: skip


def test_note_it_keeps_the_day_asked_for_and_refuses_one_that_no_iris_reaches(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    bloom = noted(act, years, ("first", date(2026, 5, 19)))
    address = reverse("bloom-note", args=[years.teapot.pk]) + "?to=plant"
    with time_machine.travel(noon(date(2026, 11, 28))):
        wrong = post(sign_in_again(owner_client), address, stage="last")
        assert wrong.status_code == 422
        assert "27 weeks: no iris is open so long" in texts(wrong, "#wrong_day")[0]
        assert texts(wrong, "label[for=id_day]") == ["When was it over?"]
        right = post(owner_client, address, stage="last", day="2026-05-31")
    assert right.url.startswith(reverse("plant-bloom", args=[years.teapot.pk]))
    bloom.refresh_from_db()
    assert bloom.last_on == date(2026, 5, 31)


def test_note_it_fills_in_the_day_of_the_walk(owner_client: Client, stock: Stock) -> None:
    address = reverse("bloom-note", args=[stock.teapot.pk])
    page = owner_client.get(address, {"on": "2026-05-12"})
    assert tree(page).cssselect("#id_day")[0].get("value") == "2026-05-12"
    assert not tree(owner_client.get(address)).cssselect("#id_day")[0].get("value")


def test_note_it_says_in_the_line_why_not(owner_client: Client, act: Acts, stock: Stock) -> None:
    noted(act, stock, ("first", TODAY - timedelta(days=3)))
    line = tap(owner_client, stock, "first")
    assert line.status_code == 422
    assert "noted already" in texts(line, ".bloom-wrong")[0]
    assert texts(line, ".bloom-tap .btn") == ["Peak: Quillon Teapot"]


def test_note_it_goes_on_stage_by_stage(owner_client: Client, stock: Stock) -> None:
    for tapped, then in (("first", "Peak"), ("peak", "Over"), ("last", "")):
        assert tap(owner_client, stock, tapped).status_code == 200
        line = tree(walk(owner_client, bed="all")).get_element_by_id(f"bloom-{stock.teapot.pk}")
        buttons = [button.text for button in line.cssselect(".bloom-tap .btn")]
        assert buttons == ([then] if then else [])


def test_note_it_works_without_script(owner_client: Client, stock: Stock) -> None:
    address = reverse("bloom-note", args=[stock.teapot.pk]) + "?bed=all"
    answer = post(owner_client, address, stage="first")
    line = JournalLine.objects.get(verb="note_bloom")
    assert answer.url == f"{reverse('bloom-walk')}?kept={line.pk}&bed=all"
    page = owner_client.get(answer.url)
    assert texts(page, ".kept button") == [f"Undo {line.text}"]


def test_note_it_refuses_without_script_on_its_own_page(owner_client: Client, stock: Stock) -> None:
    page = post(owner_client, reverse("bloom-note", args=[stock.teapot.pk]), stage="")
    assert page.status_code == 422
    assert texts(page, "#wrong_stage") == ["Choose first flower, peak or over."]
    assert texts(page, ".bloom-stages .btn") == ["First flower open", "At its peak", "Over"]


def test_note_it_offers_only_what_is_not_noted(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    noted(act, stock, ("first", TODAY))
    page = owner_client.get(reverse("bloom-note", args=[stock.teapot.pk]))
    assert texts(page, ".bloom-stages .btn") == ["At its peak", "Over"]


def test_note_it_comes_back_to_the_plant(owner_client: Client, stock: Stock) -> None:
    address = reverse("bloom-note", args=[stock.teapot.pk]) + "?to=plant"
    answer = post(owner_client, address, stage="first")
    assert answer.url.startswith(reverse("plant-bloom", args=[stock.teapot.pk]))


@pytest.mark.parametrize("htmx", [{}, HTMX])
def test_forms_they_are_not_for_visitors(
    visitor_client: Client, act: Acts, stock: Stock, htmx: dict[str, str]
) -> None:
    bloom = noted(act, stock, ("first", TODAY))
    jar = store_pollen(act(), plant=stock.teapot, place="Freezer").thing
    for address in (
        reverse("bloom-note", args=[stock.teapot.pk]), reverse("pollen-new"),
        reverse("bloom-correct", args=[bloom.pk]), reverse("pollen-finish", args=[jar.pk]),
    ):  # fmt: skip
        assert visitor_client.get(address, headers=htmx).status_code == 403
        sent = {"stage": "peak", "reason": "x", "entry": str(uuid.uuid4())}
        assert visitor_client.post(address, sent, headers=htmx).status_code == 403


def test_correct_it_puts_the_days_right(owner_client: Client, act: Acts, stock: Stock) -> None:
    bloom = noted(act, stock, ("first", TODAY))
    address = reverse("bloom-correct", args=[bloom.pk])
    assert tree(owner_client.get(address)).cssselect("#id_first_on")[0].get("value") == "2026-05-20"
    answer = post(owner_client, address, first_on="2026-05-18", reason="read a day late")
    assert answer.url.startswith(reverse("plant-bloom", args=[stock.teapot.pk]))
    bloom.refresh_from_db()
    assert bloom.first_on == date(2026, 5, 18)


def test_correct_it_knows_nothing_of_what_was_struck_out(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    bloom = noted(act, stock, ("first", TODAY))
    undo(act(), line=JournalLine.objects.latest("id"))
    assert owner_client.get(reverse("bloom-correct", args=[bloom.pk])).status_code == 404


# The season.


def season(client: Client, year: int = 2026, **asked: object) -> object:
    return client.get(reverse("bloom-season", args=[year]), asked)


def test_season_it_shows_all_by_class_and_first_day(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    note_bloom(act(day=date(2026, 5, 8)), plant=years.semaphore, stage="first")
    page = season(owner_client)
    assert texts(page, "section > .h2") == ["Standard dwarf bearded", "Intermediate bearded",
                                            "Tall bearded"]  # fmt: skip
    rows = texts(page, ".season-row .name")
    assert rows[:2] == ["Moss Semaphore", "Thistle Postman"]
    assert rows.index("Quillon Teapot") < rows.index("Marzipan Ledger")
    told = texts(page, ".season-days")
    assert told[0] == "opened 8 May"
    assert "expected" in told[1]


def test_season_it_draws_notes_in_ink_and_the_expected_pale_with_a_whisker(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    note_bloom(act(day=date(2026, 5, 8)), plant=years.semaphore, stage="first")
    bars = tree(season(owner_client)).cssselect(".season-row .season-bar")
    fills = [[rect.get("fill") for rect in bar.cssselect("rect")] for bar in bars]
    assert fills[0] == ["#c9bde6", "#47207c"]
    assert set(map(tuple, fills[1:])) == {("#c9bde6",)}
    across = [line for line in bars[1].cssselect("line") if line.get("x1") != line.get("x2")]
    assert len(across) == 1


def test_season_it_shows_of_past_years_what_was_noted(owner_client: Client, years: Stock) -> None:
    assert len(texts(season(owner_client, 2024), ".season-row")) == 4
    assert texts(season(owner_client, 2019), ".empty")


def test_season_it_expects_the_next_spring(owner_client: Client, years: Stock) -> None:
    with time_machine.travel(noon(date(2026, 11, 20))):
        sign_in_again(owner_client)
        assert not texts(season(owner_client, 2026), ".season-row")
        assert len(texts(season(owner_client, 2027), ".season-row")) == 6


@pytest.mark.parametrize("year", [0, 1899, 2028, 10**15])
def test_season_it_knows_no_other_years(owner_client: Client, stock: Stock, year: int) -> None:
    assert season(owner_client, year).status_code == 404


def test_season_it_tells_who_meets_and_whose_pollen_is_kept(
    owner_client: Client, years: Stock
) -> None:
    page = season(owner_client, plant=years.teapot.pk)
    lists = dict(zip(texts(page, ".season-beside h3"),
                     tree(page).cssselect(".season-mates"), strict=True))  # fmt: skip
    found = {title: [each.text for each in mates.cssselect(".name")]
             for title, mates in lists.items()}  # fmt: skip
    assert "Marzipan Ledger" in found["Longest open together with it"]
    assert found["Over before it opens: keep their pollen"] == ["Moss Semaphore"]
    other = season(owner_client, plant=years.semaphore.pk)
    later = texts(other, ".season-beside h3")[0]
    assert later == "It is over before these open: keep its pollen"
    assert f"{reverse('pollen-new')}?plant={years.semaphore.pk}" in links(other)


def test_season_it_answers_htmx_with_the_chosen_plants_part(
    owner_client: Client, years: Stock
) -> None:
    address = reverse("bloom-season", args=[2026])
    part = owner_client.get(address, {"plant": years.teapot.pk}, headers=HTMX)
    assert not tree(part).cssselect("h1")
    assert texts(part, "h2") == ["Quillon Teapot among the others"]
    nobody = owner_client.get(address, {"plant": "x"}, headers=HTMX)
    assert "not in this season" in texts(nobody, ".empty")[0]


def test_season_it_asks_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, years: Stock, django_assert_num_queries: Callable
) -> None:
    season(owner_client, plant=years.teapot.pk)
    with django_assert_num_queries(6):
        season(owner_client, plant=years.teapot.pk)
    for number in range(8):
        plant = add_plant(act(), number=f"K {number}", iris_class="TB").thing
        note_bloom(act(day=TODAY), plant=plant, stage="first")
    season(owner_client)
    with django_assert_num_queries(6):
        season(owner_client, plant=years.teapot.pk)


def test_south_it_has_bloom_in_october_and_one_season(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    Garden.objects.update(hemisphere="S")
    for year in (2023, 2024, 2025):
        note_bloom(act(day=date(year, 10, 20)), plant=stock.teapot, stage="first")
        note_bloom(act(day=date(year, 11, 2)), plant=stock.teapot, stage="last")
    page = season(owner_client, 2025)
    assert "open 20 Oct to 2 Nov" in texts(page, ".season-days")
    assert season(owner_client, 2027).status_code == 404
    with time_machine.travel(noon(date(2026, 10, 19))):
        assert "Quillon Teapot" in names(walk(sign_in_again(owner_client)))
    told = texts(owner_client.get(reverse("plant-bloom", args=[stock.teapot.pk])), ".prose")
    assert "20 Oct" in told[0]


# One plant.


def test_plant_it_tells_its_years_and_what_that_rests_on(
    owner_client: Client, years: Stock
) -> None:
    page = owner_client.get(reverse("plant-bloom", args=[years.teapot.pk]))
    assert texts(page, ".season-row > .name") == ["2026", "2025", "2024", "2023"]
    [told] = texts(page, ".prose")
    assert "noted in 3 years" in told
    assert texts(page, ".act .btn--main") == ["Open today"]


def test_plant_it_asks_weeks_later_for_the_day_instead_of_one_tap(
    owner_client: Client, act: Acts, years: Stock
) -> None:
    address = reverse("plant-bloom", args=[years.teapot.pk])
    noted(act, years, ("first", date(2026, 5, 19)), ("peak", TODAY))
    assert texts(owner_client.get(address), ".act .btn--main") == ["Over today"]
    with time_machine.travel(noon(date(2026, 11, 28))):
        page = sign_in_again(owner_client).get(address)
    assert texts(page, ".act .btn") == ["When was it over?"]
    assert not tree(page).cssselect(".act form")


def test_plant_it_marks_a_bloom_that_no_iris_has_and_draws_it_without_its_end(
    owner_client: Client, years: Stock
) -> None:
    address = reverse("plant-bloom", args=[years.teapot.pk])
    usual = texts(owner_client.get(address), ".prose")[0]
    Bloom.objects.filter(plant=years.teapot, season=2025).update(last_on=date(2025, 11, 28))
    forget()
    page = owner_client.get(address)
    [told] = texts(page, ".season-days .late")
    assert told.startswith("27 weeks, longer than any iris is open")
    assert not any("Nov" in day for day in texts(page, ".season-axis text"))
    assert "Nov" not in texts(page, ".prose")[0]
    assert usual.partition(" and is over")[0] == texts(page, ".prose")[0].partition(" and is")[0]


def test_plant_it_tells_who_meets_it(owner_client: Client, years: Stock) -> None:
    page = owner_client.get(reverse("plant-bloom", args=[years.semaphore.pk]))
    assert texts(page, ".season-beside h2") == ["Moss Semaphore among the others"]
    assert "Quillon Teapot" in texts(page, ".season-beside .name")


def test_plant_it_says_of_one_never_noted_that_it_never_was(
    owner_client: Client, years: Stock
) -> None:
    page = owner_client.get(reverse("plant-bloom", args=[years.oboe.pk]))
    [told] = texts(page, ".prose")
    assert told.startswith("It was never noted")


def test_plant_it_shows_how_it_sets(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("plant-bloom", args=[cast.teapot.pk]))
    words = texts(page, ".fertile dd")
    assert "1 of 2 flowers" in words[0]
    assert "not tried yet" in words[1]
    assert "40 seeds in 1 own pod" in words[2]
    assert "18 of 30 seeds" in words[3]


def test_plant_it_asks_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, years: Stock, django_assert_num_queries: Callable
) -> None:
    address = reverse("plant-bloom", args=[years.teapot.pk])
    owner_client.get(address)
    with django_assert_num_queries(13):
        owner_client.get(address)
    for place in ("Freezer", "Fridge"):
        store_pollen(act(), plant=years.teapot, place=place)
    with django_assert_num_queries(13):
        owner_client.get(address)


def test_plant_it_gives_a_visitor_no_form(visitor_client: Client, years: Stock) -> None:
    page = visitor_client.get(reverse("plant-bloom", args=[years.teapot.pk]))
    assert not tree(page).cssselect("main form")
    assert "Correct 2025" not in texts(page, "a")


# Pollen.


def test_pollen_it_lists_jars_and_marks_those_past_their_day(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    day = TODAY - timedelta(days=10)
    for plant, use_by in ((stock.ledger, day + timedelta(days=5)), (stock.teapot, TODAY)):
        store_pollen(act(day=day), plant=plant, place="Freezer", use_by=use_by)
    page = owner_client.get(reverse("pollen"))
    assert texts(page, ".bloom-stop .name") == ["Marzipan Ledger", "Quillon Teapot"]
    assert texts(page, ".bloom-stop--past .name") == ["Marzipan Ledger"]
    assert "2 jars, 1 past its day" in texts(page, ".top p.soft")[0]


def test_pollen_it_shows_first_what_is_spent_then_the_oldest(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    for plant, taken, use_by in (
        (stock.ledger, date(2025, 5, 25), None),
        (stock.oboe, date(2026, 5, 10), date(2026, 5, 15)),
        (stock.postman, date(2024, 5, 25), None),
        (stock.teapot, date(2020, 5, 19), None),
    ):
        store_pollen(act(day=taken), plant=plant, place="Fridge", use_by=use_by)
    page = owner_client.get(reverse("pollen"))
    assert texts(page, ".bloom-stop .name") == ["Quillon Teapot", "Oboe for Hannes",
                                                "Thistle Postman", "Marzipan Ledger"]  # fmt: skip
    assert texts(page, ".late") == [
        "more than 6 years old, no day noted",
        "past its day, 15 May 2026",
    ]
    own = owner_client.get(reverse("plant-bloom", args=[stock.teapot.pk]))
    assert texts(own, "#jars ~ * .late, section .late") == ["more than 6 years old, no day noted"]


def test_pollen_it_proposes_the_end_of_next_seasons_bloom_and_places_of_earlier_jars(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    address = reverse("pollen-new")
    assert not tree(owner_client.get(address)).cssselect("[name=kept_in]")
    store_pollen(act(day=date(2025, 5, 20)), plant=stock.ledger, place="Freezer, blue box")
    store_pollen(act(), plant=stock.ledger, place="Fridge door")
    page = owner_client.get(address, {"plant": stock.teapot.pk})
    assert tree(page).cssselect("#id_use_by")[0].get("value") == "2027-06-19"
    offered = tree(page).cssselect("[name=kept_in]")
    assert [each.get("value") for each in offered] == ["Fridge door", "Freezer, blue box"]
    sent = {"plant": stock.teapot.pk, "use_by": ""}
    wrong = post(owner_client, address, **sent)
    assert texts(wrong, "#wrong_place") == ["Write where it is kept."]
    post(owner_client, address, kept_in="Freezer, blue box", **sent)
    post(owner_client, address, kept_in="Freezer, blue box", place="Cellar", **sent)
    of_teapot = Pollen.live.filter(plant=stock.teapot).order_by("pk")
    assert [jar.place for jar in of_teapot] == ["Freezer, blue box", "Cellar"]


def test_pollen_it_is_kept_of_a_plant_chosen_in_the_address(
    owner_client: Client, stock: Stock
) -> None:
    page = owner_client.get(reverse("pollen-new"), {"plant": stock.teapot.pk})
    assert texts(page, ".bloom-chosen .name") == ["Quillon Teapot"]
    sent = {"plant": stock.teapot.pk, "place": "Freezer, blue box", "use_by": "2027-06-30"}
    answer = post(owner_client, reverse("pollen-new"), **sent)
    assert answer.url.startswith(reverse("pollen"))
    jar = Pollen.live.get()
    assert (jar.plant, jar.taken_on, jar.use_by) == (stock.teapot, TODAY, date(2027, 6, 30))


def test_pollen_it_takes_a_typed_name_and_offers_near_ones(
    owner_client: Client, stock: Stock
) -> None:
    wrong = post(owner_client, reverse("pollen-new"), plant_text="Quilon Teapot", place="Freezer")
    assert wrong.status_code == 422
    assert texts(wrong, "#wrong_plant_text") == ["Did you mean one of these?"]
    assert texts(wrong, ".answer .name") == ["Quillon Teapot"]
    assert tree(wrong).cssselect("#id_place")[0].get("value") == "Freezer"
    post(owner_client, reverse("pollen-new"), plant_text="ledger", place="Freezer")
    assert Pollen.live.get().plant == stock.ledger


def test_pollen_it_answers_typed_letters(owner_client: Client, stock: Stock) -> None:
    asked = {"plant_text": "teap"}
    found = owner_client.get(reverse("pollen-new"), asked, headers=HTMX)
    assert not tree(found).cssselect("form")
    assert texts(found, ".answer .name") == ["Quillon Teapot"]


def test_pollen_it_offers_what_is_open_and_places_used(
    owner_client: Client, act: Acts, stock: Stock
) -> None:
    noted(act, stock, ("first", TODAY - timedelta(days=2)))
    note_bloom(act(day=TODAY - timedelta(days=40)), plant=stock.semaphore, stage="first")
    store_pollen(act(), plant=stock.ledger, place="Fridge door")
    page = owner_client.get(reverse("pollen-new"))
    assert texts(page, "button.chip") == ["Quillon Teapot"]
    assert [each.get("value") for each in tree(page).cssselect("datalist option")] == [
        "Fridge door"
    ]


@pytest.mark.parametrize(
    ("sent", "ended"),
    [
        ({"outcome": "used up"}, "used up"),
        ({"outcome": "other", "reason": "spilt"}, "spilt"),
        ({"outcome": "<b>", "reason": "mould"}, "mould"),
    ],
)
def test_pollen_it_is_finished_by_one_tap(
    owner_client: Client, act: Acts, stock: Stock, sent: dict[str, str], ended: str
) -> None:
    jar = store_pollen(act(), plant=stock.ledger, place="Freezer").thing
    answer = post(owner_client, reverse("pollen-finish", args=[jar.pk]), **sent)
    assert answer.status_code == 303
    jar.refresh_from_db()
    assert (jar.ended_on, jar.ended_reason) == (TODAY, ended)
    page = owner_client.get(reverse("pollen"))
    assert not texts(page, ".bloom-stop")
    assert any(ended in told for told in texts(page, ".bloom-ended"))


def test_pollen_it_asks_what_became_of_it(owner_client: Client, act: Acts, stock: Stock) -> None:
    jar = store_pollen(act(), plant=stock.ledger, place="Freezer").thing
    page = post(owner_client, reverse("pollen-finish", args=[jar.pk]), outcome="other")
    assert page.status_code == 422
    assert texts(page, "#wrong_reason") == ["Write what became of it."]


def test_pollen_it_asks_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, stock: Stock, django_assert_num_queries: Callable
) -> None:
    for many in (1, 4):
        for _ in range(many):
            jar = store_pollen(act(), plant=stock.ledger, place="Freezer").thing
            store_pollen(act(), plant=stock.teapot, place="Freezer")
            finish_pollen(act(), pollen=jar, reason="used up")
        with django_assert_num_queries(5):
            owner_client.get(reverse("pollen"))


# The doors to counting by type.


def doors(page: object) -> list[str]:
    return [way for way in links(page, "main a") if "count-types" in way]


def test_doors_the_row_and_its_walk_lead_to_counting_that_row(
    owner_client: Client, cast: Cast
) -> None:
    door = f"{reverse('count-types', args=[cast.cross.code])}?row={cast.row.pk}"
    with time_machine.travel(noon(date(2031, 5, 20))):
        sign_in_again(owner_client)
        for name in ("row", "walk-row"):
            assert doors(owner_client.get(reverse(name, args=[cast.row.pk]))) == [door]
        assert doors(owner_client.get(reverse("cross", args=[cast.cross.code]))) == [
            door.partition("?")[0]
        ]
        assert owner_client.get(door).status_code == 200


def test_doors_none_where_nothing_can_bloom_yet_and_none_for_a_visitor(
    owner_client: Client, cast: Cast, visitor: Person
) -> None:
    row = reverse("row", args=[cast.row.pk])
    with time_machine.travel(noon(cast.row.lined_out_on)):
        assert not doors(sign_in_again(owner_client).get(row))
    with time_machine.travel(noon(date(2031, 5, 20))):
        owner_client.force_login(visitor)
        assert not doors(owner_client.get(row))
        assert not doors(owner_client.get(reverse("cross", args=[cast.cross.code])))


# Fertility.


def test_fertility_it_shows_parents_and_how_little_one_flower_is(
    owner_client: Client, cast: Cast
) -> None:
    page = owner_client.get(reverse("fertility"))
    cells = {row.cssselect(".name")[0].text: [cell.text_content() for cell in row.cssselect("td")]
             for row in tree(page).cssselect("tbody tr")}  # fmt: skip
    assert set(cells) == {"Quillon Teapot", "Marzipan Ledger"}
    assert "1 of 2 flowers" in cells["Quillon Teapot"][0]
    assert "1 of 2 flowers" in cells["Marzipan Ledger"][1]
    assert cells["Marzipan Ledger"][0] == ""


def test_fertility_it_is_ordered_by_links(owner_client: Client, cast: Cast) -> None:
    address = reverse("fertility")
    page = owner_client.get(address)
    assert texts(page, "th[aria-sort=descending]") == ["As seed parent"]
    ways = dict(zip(texts(page, ".sort"), links(page, ".sort"), strict=True))
    assert ways == {"Plant": "?sort=name", "As seed parent": "?sort=seed",
                    "As pollen parent": "?sort=-pollen", "Flowers": "?sort=-flowers"}  # fmt: skip
    by_name = owner_client.get(address + ways["Plant"])
    assert texts(by_name, "tbody .name") == ["Marzipan Ledger", "Quillon Teapot"]
    assert owner_client.get(address, {"sort": "x'; --"}).status_code == 200


def test_fertility_it_says_when_nothing_is_known(owner_client: Client, stock: Stock) -> None:
    assert texts(owner_client.get(reverse("fertility")), ".empty") == [
        "No flower’s outcome is known yet."
    ]


def test_fertility_it_asks_a_fixed_number_of_queries(
    owner_client: Client, cast: Cast, django_assert_num_queries: Callable
) -> None:
    owner_client.get(reverse("fertility"))
    with django_assert_num_queries(7):
        owner_client.get(reverse("fertility"))
