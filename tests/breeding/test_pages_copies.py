"""Pages of loci and copies: hypotheses, plants at a locus, one's own locus, types noted."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from breeding.heredity import in_memory, the_copies
from breeding.models import Locus, Reading
from breeding.pages.locipages import copies_line
from breeding.pages.locirows import bar, span_words, unsure
from breeding.records import add_locus, change_locus, count_types, note_bloom, note_type
from garden.models import Garden, Plant
from garden.records import add_plant, undo
from tests.cast import Cast, Stock
from tests.pages import links, post, texts, tree

HTMX = {"headers": {"HX-Request": "true"}}
PERCENT = " %"
OWN = {
    "symbol": "Sp",
    "name": "spotted base",
    "alleles": ["Sp", "sp"],
    "counted": "Sp",
    "types": [
        {"key": "spotted", "name": "spotted", "needs": {"Sp": 1}},
        {"key": "clean", "name": "clean"},
    ],
    "source": "own guess",
    "confidence": "supposed",
}


@pytest.fixture
def violet(db: None) -> Locus:
    return Locus.live.get(symbol="V")


@pytest.fixture
def tangerine(db: None) -> Locus:
    return Locus.live.get(symbol="t")


def locus_page(client: Client, symbol: str, **query: Any) -> Any:
    return client.get(reverse("locus", args=[symbol]), query)


def test_loci__stand_there_as_hypotheses_with_flowers_and_sources(
    owner_client: Client, stock: Stock
) -> None:
    page = owner_client.get(reverse("loci"))
    assert texts(page, ".locus-symbol") == ["V", "I", "Pl", "Is", "Ae", "Y", "t"]
    badges = texts(page, ".locus-card .badge")
    assert len(badges) == 7
    assert all(badge.startswith("Hypothesis, ") for badge in badges)
    assert len(texts(page, ".locus-source p")) == 7
    assert len(tree(page).cssselect(".locus-flowers svg")) == sum(
        len(locus.types) for locus in Locus.live.all()
    )
    assert links(page, ".act a") == [reverse("locus-new")]


def test_loci__looks_that_nobody_can_tell_apart_are_said(
    owner_client: Client, stock: Stock
) -> None:
    alike = {text for text in texts(owner_client.get(reverse("loci")), ".locus-flowers li")
             if "looks like" in text}  # fmt: skip
    assert alike == {
        "no violet pigment looks like ‘dominant white, pigment held back’ of I and ‘glaciata’ "
        "of Pl",
        "dominant white, pigment held back looks like ‘no violet pigment’ of V and ‘glaciata’ "
        "of Pl",
        "glaciata looks like ‘no violet pigment’ of V and ‘dominant white, pigment held back’ of I",
    }


def test_loci__tell_what_was_read_and_counted(
    owner_client: Client, act, cast: Cast, violet: Locus
) -> None:
    note_type(act(), plant=cast.guest, locus=violet, type="none")
    count_types(act(), cross=cast.cross, locus=violet, counts={"pigment": 5, "none": 2})
    card = texts(owner_client.get(reverse("loci")), ".locus-card")[0]
    # The violet falls of the teapot, and what was noted.
    assert "Read of 2 plants, 1 by hand; 7 seedlings of 1 cross counted." in card


def test_loci__take_as_many_queries_with_more_of_everything(
    owner_client: Client, act, cast: Cast, django_assert_max_num_queries
) -> None:
    for symbol in ("Aa", "Bb", "Cc"):
        add_locus(act(), **OWN | {"symbol": symbol})
    with django_assert_max_num_queries(16):
        owner_client.get(reverse("loci"))


def test_locus__says_its_rule_in_words(owner_client: Client, stock: Stock) -> None:
    def rules(symbol: str) -> list[str]:
        return texts(locus_page(owner_client, symbol), ".locus-types li > div > span:first-of-type")

    assert rules("t") == ["up to 3 copies of t", "all 4 copies of t"]
    assert rules("Is") == ["2 or more copies of Is", "1 copy of Is", "no copy of Is"]
    assert rules("Ae")[1] == "1 or 2 copies of Ae"
    assert rules("Pl") == [
        "1 copy or more of Pl", "1 copy or more of pl, and no Pl",
        "1 copy or more of pl-lu, and no Pl or pl", "only pl-a, in all copies",
    ]  # fmt: skip


def test_locus__shows_exact_ratios(owner_client: Client, stock: Stock) -> None:
    page = tree(locus_page(owner_client, "V"))
    rows = [
        [" ".join(cell.text_content().split()) for cell in row]
        for row in page.cssselect(".locus-ratios tbody tr")
    ]
    # Duplex: gametes 1 : 4 : 1, selfed 35 : 1, on the nulliplex 5 : 1.
    assert rows[2] == ["2", "1 : 4 : 1", "35 : 1", "5 : 1"]
    assert rows[1] == ["1", "1 : 1 : 0", "3 : 1", "1 : 1"]
    assert rows[4] == ["4", "0 : 0 : 1", "all violet pigment", "all violet pigment"]


def test_locus__ratios_follow_the_gardens_double_reduction(
    owner_client: Client, stock: Stock
) -> None:
    Garden.objects.update(double_reduction=0.1)
    page = locus_page(owner_client, "V")
    cells = texts(page, ".locus-ratios tbody tr:nth-child(3) td")
    # Duplex gametes at a rate a: (1 + 2a)/6, (4 - 4a)/6, (1 + 2a)/6, here 1/5, 3/5, 1/5.
    assert cells == ["1 : 3 : 1", "24 : 1", "4 : 1"]
    assert "double reduction 0.1" in texts(page, ".locus-ratios caption")[0]


def test_locus__shows_its_source_and_confidence(
    owner_client: Client, stock: Stock, violet: Locus
) -> None:
    section = texts(locus_page(owner_client, "V"), "[aria-labelledby=source]")[0]
    assert " ".join(violet.source.split()) in section
    assert "a chance of 10 %, a convention" in section


def test_locus__plants_come_a_moment_later_then_at_once(owner_client: Client, stock: Stock) -> None:
    first = locus_page(owner_client, "V")
    (waiting,) = tree(first).cssselect("#locus-plants[hx-get]")
    assert waiting.get("hx-trigger") == "load"
    assert links(first, "#locus-plants a") == ["?worked=1#plants"]
    part = owner_client.get(waiting.get("hx-get"), **HTMX)
    assert texts(part, "h1") == []
    assert "Quillon Teapot" in texts(part, "tbody .name")
    again = locus_page(owner_client, "V")
    assert texts(again, "tbody .name") == texts(part, "tbody .name")


def test_locus__without_script_the_plants_are_waited_for(
    owner_client: Client, stock: Stock
) -> None:
    page = locus_page(owner_client, "V", worked=1)
    assert texts(page, "h1") == ["V violet pigment"]
    assert "Quillon Teapot" in texts(page, "tbody .name")


def test_locus__row_tells_copies_type_and_what_they_rest_on(
    owner_client: Client, stock: Stock
) -> None:
    page = locus_page(owner_client, "V", worked=1, name="teapot")
    (row,) = tree(page).cssselect("#locus-rows tbody tr")
    copies = the_copies().of("V").copies(stock.teapot.pk)
    assert copies[0] == pytest.approx(0, abs=1e-6)
    widths = [float(part.get("width")) for part in row.cssselect("svg.copies-bar rect")[1:]]
    assert sum(widths) == pytest.approx(320, abs=1.5)
    told = [" ".join(cell.text_content().split()) for cell in row.cssselect("td")]
    assert f" {span_words(copies)} of 4 " in told[0]
    assert told[1] == "violet pigment"
    assert told[2].startswith(("Tells much: its own", "Tells little: its own"))
    assert "bits" not in " ".join(told)


def test_locus__filters_and_sorts(owner_client: Client, act, stock: Stock, violet: Locus) -> None:
    note_type(act(), plant=stock.guest, locus=violet, type="none")

    def names(**query: Any) -> list[str]:
        return texts(locus_page(owner_client, "V", worked=1, **query), "tbody .name")

    assert names(known="sure") == ["Q 17-3"]
    assert set(names(known="seen")) == {"Q 17-3", "Quillon Teapot"}
    assert names(iris_class="SDB") == ["Moss Semaphore"]
    assert names(name="q") == names(name="Q") != []
    assert names(sort="fewest")[0] == "Q 17-3"
    assert names(sort="most")[-1] == "Q 17-3"
    assert names(sort="name") == sorted(names(), key=str.casefold)
    assert names(known="sure", iris_class="SDB") == []


def test_locus__nonsense_in_the_filters_is_passed_over(owner_client: Client, stock: Stock) -> None:
    whole = texts(locus_page(owner_client, "V", worked=1), "tbody .name")
    for nonsense in ("x", "-1", "9" * 30, "\x00", "🌸"):
        query = {"iris_class": nonsense, "known": nonsense, "sort": nonsense, "first": nonsense}
        page = locus_page(owner_client, "V", worked=1, **query)
        assert texts(page, "tbody .name") == whole


def test_locus__filter_by_htmx_swaps_the_rows_alone(owner_client: Client, stock: Stock) -> None:
    headers = {"HX-Request": "true", "HX-Target": "locus-rows"}
    address = reverse("locus", args=["V"])
    page = owner_client.get(address, {"name": "oboe"}, headers=headers)
    assert texts(page, "tbody .name") == ["Oboe for Hannes"]
    assert tree(page).cssselect("form.filters") == []
    assert texts(page, "#locus-told[hx-swap-oob]") == ["1 plant"]


def test_locus__shows_a_page_of_many_plants_in_as_many_queries(
    owner_client: Client, act, stock: Stock, django_assert_max_num_queries
) -> None:
    Plant.objects.bulk_create(
        Plant(name=f"Row Plant {at}", folded=f"row plant {at}", iris_class="TB", ploidy=4)
        for at in range(60)
    )
    Garden.objects.update(stock_version=50)
    locus_page(owner_client, "V", worked=1)
    with django_assert_max_num_queries(16):
        page = locus_page(owner_client, "V", sort="name")
    assert len(texts(page, "tbody tr.x, #locus-rows tbody tr")) == 25
    more = links(page, ".turn a")
    assert more == [f"{reverse('locus', args=['V'])}?sort=name&first=25#plants"]
    second = owner_client.get(more[0])
    assert len(texts(second, "#locus-rows tbody tr")) == 25
    assert texts(second, "#locus-rows tbody tr")[0] != texts(page, "#locus-rows tbody tr")[0]


@pytest.fixture
def impossible(act, cast: Cast, tangerine: Locus) -> None:
    """A pink pair with seedlings that are not pink."""
    for plant in (cast.teapot, cast.ledger):
        note_type(act(), plant=plant, locus=tangerine, type="pink")
    count_types(act(), cross=cast.cross, locus=tangerine, counts={"pink": 9, "not-pink": 1})


def test_locus__contradictions_have_their_odds_and_their_cross(
    owner_client: Client, cast: Cast, impossible: None
) -> None:
    page = locus_page(owner_client, "t", worked=1)
    families = [card for card in tree(page).cssselect(".locus-against .card")
                if "seedling" in card.text_content()]  # fmt: skip
    (card,) = families
    told = " ".join(card.text_content().split())
    assert "1 seedling ‘not pink’ of Quillon Teapot × Marzipan Ledger" in told
    assert [a.get("href") for a in card.cssselect("a")] == [
        reverse("cross", args=[cast.cross.code])
    ]
    causes = [" ".join(each.text_content().split()) for each in card.cssselect(".locus-causes li")]
    assert any(each.startswith("a bee, or pollen that was not pure") for each in causes)
    shares = [float(each.split()[-2].replace("over", "")) for each in causes]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(100, abs=3)


def test_locus__a_selfed_plant_is_called_selfed(
    owner_client: Client, act, cast: Cast, tangerine: Locus
) -> None:
    note_type(act(), plant=cast.teapot, locus=tangerine, type="pink")
    child = add_plant(
        act(), name="Own Goal", ploidy=4, seed_parent=cast.teapot, pollen_parent=cast.teapot
    ).thing
    note_type(act(), plant=child, locus=tangerine, type="not-pink")
    (told,) = [text for text in texts(locus_page(owner_client, "t", worked=1), ".locus-against p")
               if "Own Goal" in text]  # fmt: skip
    assert "Quillon Teapot selfed" in told
    assert "Quillon Teapot × Quillon Teapot" not in told


def test_locus__a_plant_that_contradicts_is_linked(
    owner_client: Client, act, cast: Cast, tangerine: Locus
) -> None:
    for plant, key in ((cast.teapot, "pink"), (cast.ledger, "pink"), (cast.oboe, "not-pink")):
        note_type(act(), plant=plant, locus=tangerine, type=key)
    page = locus_page(owner_client, "t", worked=1)
    assert reverse("plant", args=[cast.oboe.pk]) in links(page, ".locus-against a")
    assert any("Oboe for Hannes is ‘not pink’" in text for text in texts(page, ".locus-against p"))


def test_locus__nothing_against_it_is_said_too(owner_client: Client, stock: Stock) -> None:
    page = locus_page(owner_client, "t", worked=1)
    assert "Nothing that was seen contradicts it." in texts(page, "#locus-plants p")


def test_locus__says_how_well_it_was_worked_out_and_how_behind_a_fold(
    owner_client: Client, stock: Stock
) -> None:
    page = locus_page(owner_client, "t", worked=1)
    front = texts(page, "#locus-plants > p.prose")[0]
    assert "Worked out exactly for all plants." in front
    assert "junction tree" not in front
    (behind,) = texts(page, "#locus-plants details p")
    assert behind.startswith("How common each allele is in the garden at large was estimated")
    assert "junction tree" in behind


def test_locus__is_used_and_not_used(owner_client: Client, stock: Stock, violet: Locus) -> None:
    address = reverse("locus-use", args=["V"])
    answer = post(owner_client, address, used="no", follow=True)
    assert texts(answer, ".badge")[1:2] == ["not used"]
    assert tree(answer).cssselect("#locus-plants") == []
    assert "V" not in [locus.symbol for locus in the_copies().loci]
    refused = post(owner_client, address, used="no")
    assert refused.status_code == 422
    assert texts(refused, ".errors li") == ["Nothing was changed."]
    assert post(owner_client, address, used="perhaps").status_code == 422
    post(owner_client, address, used="yes")
    assert Locus.live.get(symbol="V").used


def test_locus__unknown_symbols_are_nowhere(owner_client: Client, stock: Stock) -> None:
    for name in ("locus", "locus-change"):
        assert owner_client.get(reverse(name, args=["Qq"])).status_code == 404
    assert owner_client.get(reverse("note-type", args=[stock.oboe.pk, "Qq"])).status_code == 404


def test_plant_copies__every_locus_comes_by_itself(owner_client: Client, stock: Stock) -> None:
    page = owner_client.get(reverse("plant-copies", args=[stock.teapot.pk]))
    waiting = tree(page).cssselect(".copies-locus[hx-get]")
    assert len(waiting) == 7
    assert tree(page).cssselect("svg.copies-bar") == []
    # Its own flower is known at once.
    own = texts(page, "#at-V .copies-own p")
    assert own == ["Its own flower: violet pigment from its colours"]
    part = owner_client.get(waiting[0].get("hx-get"), **HTMX)
    assert len(tree(part).cssselect("#at-V svg.copies-bar")) == 1
    assert tree(part).cssselect("h1") == []
    whole = owner_client.get(reverse("plant-copies", args=[stock.teapot.pk]), {"worked": 1})
    assert len(tree(whole).cssselect("svg.copies-bar")) == 7


def test_plant_copies__says_what_they_rest_on_and_how_little(
    owner_client: Client, stock: Stock
) -> None:
    page = owner_client.get(reverse("plant-copies", args=[stock.guest.pk]), {"worked": 1})
    assert "What is known tells next to nothing: nothing but the garden’s usual frequency." in (
        texts(page, "#at-Pl > p")
    )
    # The figure stands behind a fold, and nowhere before it.
    assert texts(page, "#at-Pl details p")[0].startswith("0.0 bits are known of its copies")
    assert "bits" not in " ".join(texts(page, "#at-Pl > p"))


def test_plant_copies__chances_are_those_of_the_sums(
    owner_client: Client, act, stock: Stock, tangerine: Locus
) -> None:
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    page = owner_client.get(reverse("plant-copies", args=[stock.guest.pk]), {"worked": 1})
    assert texts(page, "#at-t .copies-own p") == ["Its own flower: pink, tangerine beard noted"]
    # Certain under the hypothesis alone, and it may be wrong.
    assert texts(page, "#at-t .copies-each li") == [f"4 over 99{PERCENT}"]
    assert texts(page, "#at-t .copies-words") == ["4 copies of t, if the hypothesis holds"]
    assert f" 100{PERCENT}" not in " ".join(texts(page, ".copies-loci"))
    assert tree(page).cssselect("#at-t .copies-own svg") == []
    # Nothing is open, so that no test cross is spoken of.
    assert tree(page).cssselect("#at-t [href*=testers]") == []


def test_plant_copies__the_best_testers_are_found_when_asked_for(
    owner_client: Client, act, stock: Stock, tangerine: Locus
) -> None:
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    address = reverse("plant-copies", args=[stock.teapot.pk])
    (link,) = tree(owner_client.get(address, {"worked": 1})).cssselect("#at-t [href*=testers]")
    assert "tell most" in link.text_content()
    part = owner_client.get(link.get("hx-get"), **HTMX)
    testers = links(part, ".copies-testers a:not(.btn)")
    assert 1 <= len(testers) <= 3
    assert f"{reverse('expect')}?seed={stock.teapot.pk}&pollen={stock.guest.pk}" in testers
    told = texts(part, "#at-t details p")[0]
    bits = [float(found) for found in re.findall(r"\(([\d.]+) bits\)", told)]
    assert len(bits) == len(testers)
    assert bits == sorted(bits, reverse=True)
    whole = owner_client.get(address + "?testers=t")
    assert links(whole, "#at-t .copies-testers a:not(.btn)") == testers


def test_plant_copies__a_tester_has_its_reason_and_is_planned_from_there(
    owner_client: Client, visitor_client: Client, act, stock: Stock, tangerine: Locus
) -> None:
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    address = reverse("plant-copies", args=[stock.teapot.pk]) + "?testers=t"
    page = owner_client.get(address)
    new = f"{reverse('new-cross')}?seed={stock.teapot.pk}&pollen={stock.guest.pk}"
    assert new in links(page, "#at-t .copies-testers a.btn")
    (why,) = [row for row in texts(page, ".copies-testers li") if "Q 17-3" in row]
    assert "Carries 4 copies of t, if the hypothesis holds." in why
    assert re.search(r"tells (much|a part|little)", why)
    # Nothing was noted of bloom, so nothing is said of it.
    assert "Blooms together" not in why
    note_bloom(act(), plant=stock.teapot, stage="first", day=date(2026, 5, 19))
    (why,) = [row for row in texts(owner_client.get(address), ".copies-testers li")
              if "Q 17-3" in row]  # fmt: skip
    assert re.search(r"Blooms together: [\d.]+ %", why)
    assert links(visitor_client.get(address), ".copies-testers a.btn") == []


def test_plant_copies__of_several_alleles_the_rest_is_named(
    owner_client: Client, act, stock: Stock
) -> None:
    plicata = Locus.live.get(symbol="Pl")
    note_type(act(), plant=stock.guest, locus=plicata, type="plicata")
    page = owner_client.get(reverse("plant-copies", args=[stock.guest.pk]), {"worked": 1})
    (told,) = [text for text in texts(page, "#at-Pl > p") if "; the rest " in text]
    rest = told.partition("; the rest ")[2]
    # A plicata has no Pl; pl-a alone is the glaciata.
    assert "pl-a (glaciata)" in rest
    assert "Pl (full colour)" not in rest
    assert all("the rest" not in text for text in texts(page, "#at-V > p"))


def test_plant_copies__takes_as_many_queries_with_more_loci(
    owner_client: Client, act, stock: Stock, django_assert_max_num_queries
) -> None:
    for symbol in ("Aa", "Bb", "Cc"):
        add_locus(act(), **OWN | {"symbol": symbol})
    with django_assert_max_num_queries(16):
        owner_client.get(reverse("plant-copies", args=[stock.teapot.pk]))


def test_plant_copies__say_when_recorded_parents_are_left_out(
    owner_client: Client, act, stock: Stock
) -> None:
    odd = add_plant(
        act(), name="Odd Sock", ploidy=7, seed_parent=stock.teapot, pollen_parent=stock.ledger
    ).thing
    (note,) = texts(owner_client.get(reverse("plant-copies", args=[odd.pk])), ".kin-note")
    assert "Odd Sock: ploidy 7 from 4 × 4" in note
    whole = owner_client.get(reverse("plant-copies", args=[odd.pk]), {"worked": 1})
    assert len(texts(whole, "#at-V .copies-words")) == 1


def test_plant_copies__nonsense_asked_for_is_passed_over(
    owner_client: Client, stock: Stock
) -> None:
    address = reverse("plant-copies", args=[stock.guest.pk])
    for query in ({"locus": "Qq"}, {"locus": "\x00"}, {"testers": "🌸"}):
        assert owner_client.get(address, query, **HTMX).status_code == 200
        assert owner_client.get(address, query).status_code == 200
    assert owner_client.get(reverse("plant-copies", args=[9999])).status_code == 404


def test_note_type__shows_each_type_as_a_flower_and_keeps_one(
    helper_client: Client, stock: Stock
) -> None:
    address = reverse("note-type", args=[stock.guest.pk, "Is"])
    page = helper_client.get(address)
    assert texts(page, ".note-type") == [
        "clear standards", "paled standards", "fully coloured standards"
    ]  # fmt: skip
    assert len(tree(page).cssselect(".note-type svg")) == 3
    answer = post(helper_client, address, type="paled", follow=True)
    assert Reading.live.get().type == "paled"
    assert texts(answer, "#at-Is .copies-own p") == ["Its own flower: paled standards noted"]
    again = helper_client.get(address)
    assert [each.get("value") for each in tree(again).cssselect("input:checked")] == ["paled"]


@pytest.mark.parametrize("sent", [{}, {"type": "plaid"}, {"type": "\x00"}, {"day": "soon"}])
def test_note_type__refuses_what_is_no_type(
    owner_client: Client, stock: Stock, sent: dict[str, str]
) -> None:
    answer = post(owner_client, reverse("note-type", args=[stock.guest.pk, "Is"]), **sent)
    assert answer.status_code == 422
    assert texts(answer, ".err")
    assert not Reading.objects.exists()


def test_visitors__read_and_note_nothing(visitor_client: Client, stock: Stock) -> None:
    note = reverse("note-type", args=[stock.guest.pk, "Is"])
    assert visitor_client.get(note).status_code == 403
    assert visitor_client.post(note, {"type": "paled"}).status_code == 403
    page = visitor_client.get(reverse("plant-copies", args=[stock.guest.pk]))
    assert page.status_code == 200
    assert tree(page).cssselect(".copies-own a") == []
    assert visitor_client.get(reverse("loci")).status_code == 200


def test_copies_line__waits_for_the_sums_and_names_what_is_known(
    owner_client: Client, act, stock: Stock, tangerine: Locus
) -> None:
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    line = copies_line(Garden.get(), stock.guest)
    assert (line["waiting"], line["told"]) == (True, [])
    part = owner_client.get(reverse("copies-line", args=[stock.guest.pk]), **HTMX)
    (said,) = texts(part, "p")
    assert said.startswith("Copies, supposed:")
    assert "t 4 of 4" in said
    assert links(part) == [reverse("plant-copies", args=[stock.guest.pk])]
    line = copies_line(Garden.get(), stock.guest)
    assert ("t", "t", "4 of 4") in line["told"]


def test_copies_line__is_nothing_where_nothing_is_known(owner_client: Client, act, stock) -> None:
    for locus in Locus.live.exclude(symbol="t"):
        change_locus(act(), locus=locus, used=False)
    the_copies().of("t")
    assert copies_line(Garden.get(), stock.guest) is None
    part = owner_client.get(reverse("copies-line", args=[stock.guest.pk]))
    assert part.content.strip() == b""


def test_copies_line__asks_the_database_once(act, stock: Stock, django_assert_num_queries) -> None:
    garden = Garden.get()
    copies_line(garden, stock.guest, patient=True)
    with django_assert_num_queries(1):
        copies_line(garden, stock.guest)


def test_memory__noting_a_type_moves_one_locus_alone(act, stock: Stock, tangerine: Locus) -> None:
    before = the_copies()
    violet, pink = before.of("V"), before.of("t")
    kept = note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    assert in_memory(Garden.get()) is None
    after = the_copies()
    assert after.of("V") is violet
    assert after.of("t") is not pink
    undo(act(), line=kept.line)
    assert the_copies().of("V") is violet


def test_memory__other_plants_move_every_locus(act, stock: Stock) -> None:
    violet = the_copies().of("V")
    add_plant(act(), name="Late Arrival", seed_parent=stock.teapot, pollen_parent=stock.ledger)
    assert the_copies().of("V") is not violet


def test_memory__stock_that_moved_without_new_descent_moves_none(act, stock: Stock) -> None:
    violet = the_copies().of("V")
    Garden.objects.update(stock_version=99)
    assert the_copies().of("V") is violet


def test_span_words_hold_nine_in_ten_chances() -> None:
    assert span_words((0.0, 0.0, 0.95, 0.05, 0.0)) == "2"
    assert span_words((0.0, 0.05, 0.5, 0.45, 0.0)) == "2–3"
    assert span_words((0.2,) * 5) == "0–4"


def test_bar_is_as_wide_as_the_chances() -> None:
    told = bar((0.5, 0.0, 0.46, 0.04, 0.0))
    assert [part["copies"] for part in told["parts"]] == [0, 2, 3]
    assert [part["x"] for part in told["parts"]] == ["0.0", "160.0", "307.2"]
    # Too narrow for its number.
    assert told["parts"][2]["middle"] == ""
    assert unsure((1.0, 0.0)) == 0
    assert unsure((0.25,) * 4) == pytest.approx(2)
