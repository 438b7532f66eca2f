"""Pages of kinship and the quiet line of the cross form."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from breeding.records import note_bloom
from garden.models import Garden, Plant
from garden.records import add_plant, change_plant
from garden.verbs import Act
from tests.cast import Cast, Stock
from tests.pages import links, post, texts, tree

Acts = Callable[..., Act]
# The narrow space before the sign is tidied like every other.
PERCENT = " %"
NONSENSE = ["0", "x", "-1", "9" * 30, "٣", "\x00", "1,1,1", "🌷", "12" * 400]


def pair(client: Client, a: Plant, b: Plant) -> object:
    return client.get(reverse("kin-pair"), {"a": a.pk, "b": b.pk})


def test_pair__shows_number_words_paths_and_rule(owner_client: Client, stock: Stock) -> None:
    page = pair(owner_client, stock.oboe, stock.teapot)
    assert texts(page, ".kin-words") == ["As full sibs, or parent and seedling."]
    # Kinship 1/8, relationship 4 × 1/8; seedlings 2/3 × 1/8 (Kerr et al. 2012).
    assert texts(page, ".tally b") == ["0.1250", "0.500", f"8.3{PERCENT}"]
    assert [text.replace(" 12.5", "|12.5") for text in texts(page, ".kin-paths li")] == [
        f"Oboe for Hannes ← Quillon Teapot|12.5{PERCENT}"
    ]
    assert texts(page, ".kin-top") == ["Quillon Teapot"]
    assert texts(page, "[aria-label='Common ancestors'] tbody tr") == [
        f"Quillon Teapot1 back, 50{PERCENT}itself"
    ]
    assert texts(page, "#rule ~ p")[0].startswith("Tetrasomic rule (Kerr et al. 2012")
    known = texts(page, "[aria-label='Completeness of both pedigrees'] tbody tr")
    assert known[0] == f"1100{PERCENT}0{PERCENT}"
    assert any("Not a test of the plants' DNA" in text for text in texts(page, ".soft"))


def test_pair__says_when_nothing_is_known(owner_client: Client, stock: Stock) -> None:
    page = pair(owner_client, stock.guest, stock.ledger)
    assert texts(page, ".kin-words") == ["No common ancestor is recorded."]
    assert any("No parents of Q 17-3 and Marzipan Ledger" in text for text in texts(page, "p b"))


def test_pair__takes_typed_names(owner_client: Client, stock: Stock) -> None:
    asked = {"a_text": "oboe", "b_text": "Quillon"}
    page = owner_client.get(reverse("kin-pair"), asked)
    assert texts(page, ".kin-mate .name") == ["Oboe for Hannes", "Quillon Teapot"]


def test_pair__offers_what_typed_letters_may_mean(owner_client: Client, stock: Stock) -> None:
    page = owner_client.get(reverse("kin-pair"), {"a": stock.oboe.pk, "b_text": "o"})
    offered = tree(page).cssselect("#b-answers button")
    assert {button.get("name") for button in offered} == {"b"}
    assert str(stock.postman.pk) in {button.get("value") for button in offered}
    part = owner_client.get(reverse("kin-answers", args=["b"]), {"b_text": "semaphor"})
    assert texts(part, "button .name") == ["Moss Semaphore"]


def test_pair__of_sets_that_cannot_cross_says_so(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    odd = add_plant(act(), name="Three Legs", ploidy=3, iris_class="IB").thing
    page = pair(owner_client, stock.oboe, odd)
    assert any("Three Legs has 3 sets of chromosomes" in text for text in texts(page, "p"))
    assert links(page, ".act a") == []


def test_pair__names_a_plant_whose_parents_are_left_out(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    odd = add_plant(
        act(), name="Odd Sock", ploidy=7, seed_parent=stock.teapot, pollen_parent=stock.ledger
    ).thing
    (note,) = texts(pair(owner_client, odd, stock.teapot), ".kin-note")
    assert "Odd Sock: ploidy 7 from 4 × 4" in note
    assert texts(pair(owner_client, stock.oboe, stock.teapot), ".kin-note") == []


def test_line_it_says_when_recorded_parents_were_left_out(
    owner_client: Client, stock: Stock, act
) -> None:
    odd = add_plant(
        act(), name="Odd Sock", ploidy=7, seed_parent=stock.teapot, pollen_parent=stock.ledger
    ).thing
    child = add_plant(
        act(), name="Even Sock", ploidy=4, seed_parent=stock.teapot, pollen_parent=stock.oboe
    ).thing
    page = owner_client.get(reverse("new-cross"), {"seed": odd.pk, "pollen": child.pk})
    (line,) = texts(page, "p.kin-line")
    assert "Left out: Odd Sock: ploidy 7 from 4 × 4" in line
    assert "No parents of Odd Sock" not in line


def test_pages__follow_a_corrected_parent_at_once(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    assert texts(pair(owner_client, stock.oboe, stock.ledger), ".tally b")[0] == "0.1250"
    change_plant(act(), plant=stock.oboe, pollen_parent=stock.guest)
    assert texts(pair(owner_client, stock.oboe, stock.ledger), ".tally b")[0] == "0.0000"
    assert texts(pair(owner_client, stock.oboe, stock.guest), ".tally b")[0] == "0.1250"


def test_map__begins_with_the_parents_of_the_season(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("kin-map"))
    assert texts(page, "#map") == ["The parents of 2024"]
    assert sorted(texts(page, ".kin-set li > a:first-of-type")) == [
        "Marzipan Ledger", "Quillon Teapot", "Thistle Postman"
    ]  # fmt: skip


def test_map__shows_each_pair_in_picture_and_table(owner_client: Client, stock: Stock) -> None:
    keys = f"{stock.oboe.pk},{stock.teapot.pk},{stock.guest.pk}"
    page = owner_client.get(reverse("kin-map"), {"plants": keys})
    titles = texts(page, "svg.kin-map title")
    assert len(titles) == 9
    assert any(title.endswith("0.500. As full sibs, or parent and seedling") for title in titles)
    rows = {row[: row.index("0")]: row for row in texts(page, ".kin-table tbody tr")}
    assert rows["Oboe for Hannes"].count("0.50") == 1
    assert rows["Q 17-3"].count("0.00") == 2
    numbers = texts(page, "svg.kin-map g g text")
    assert numbers.count(".50") == 2
    (near,) = texts(page, "#closest ~ ol .name")
    assert set(near.split(" and ")) == {"Oboe for Hannes", "Quillon Teapot"}


def test_map__adds_and_leaves_out(owner_client: Client, stock: Stock) -> None:
    asked = {"plants": [f"{stock.oboe.pk}", str(stock.teapot.pk)], "plants_text": "semaphore"}
    page = owner_client.get(reverse("kin-map"), asked)
    assert len(texts(page, ".kin-set li")) == 3
    leave = f"{reverse('kin-map')}?plants={stock.teapot.pk},{stock.semaphore.pk}"
    assert leave in links(page, ".kin-set a")
    assert len(texts(owner_client.get(leave), ".kin-set li")) == 2
    assert texts(owner_client.get(reverse("kin-map") + "?plants="), ".kin-set li") == []


def test_map__holds_forty_and_says_what_is_left_out(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    keys = [add_plant(act(), name=f"Row Plant {at}").thing.pk for at in range(42)]
    page = owner_client.get(reverse("kin-map"), {"plants": ",".join(map(str, keys))})
    assert len(texts(page, ".kin-set li")) == 40
    assert any("2 plants left out" in text for text in texts(page, "#map ~ p"))
    assert texts(page, "svg.kin-map g g text") == []


def test_plant__shows_founders_and_relatives(owner_client: Client, stock: Stock, act: Acts) -> None:
    record = {"iris_class": "TB", "season": "M"}
    for plant in (stock.oboe, stock.teapot):
        change_plant(act(), plant=plant, season="M")
    add_plant(act(), name="Far Lantern", **record)
    near = add_plant(act(), name="Near Lantern", seed_parent=stock.oboe, **record).thing
    page = owner_client.get(reverse("kin-of", args=[stock.oboe.pk]))
    assert texts(page, ".tally b") == [f"0{PERCENT}", "2.0"]
    founders = texts(page, "#founders ~ .pair table tbody tr")[:2]
    assert founders == [f"Quillon Teapot50{PERCENT}", f"Marzipan Ledger50{PERCENT}"]
    assert texts(page, "#far ~ ul .name") == ["Far Lantern"]
    assert set(texts(page, "[aria-labelledby=near] .lines .name")) == {
        "Quillon Teapot", "Marzipan Ledger", near.label
    }  # fmt: skip


def test_plant__without_parents_is_a_founder(owner_client: Client, stock: Stock) -> None:
    page = owner_client.get(reverse("kin-of", args=[stock.guest.pk]))
    assert any("counts as a founder" in text for text in texts(page, "p"))


def test_of_plant_it_goes_by_days_of_bloom_once_some_are_noted(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    early = add_plant(act(), name="Dawn Kettle", iris_class="TB", ploidy=4).thing
    late = add_plant(act(), name="Dusk Kettle", iris_class="TB", ploidy=4).thing
    for year in (2023, 2024, 2025):
        for plant, first, last in ((stock.guest, 20, 30), (early, 19, 29), (late, 8, 18)):
            month = 6 if plant == late else 5
            note_bloom(act(), plant=plant, stage="first", day=date(year, month, first))
            note_bloom(act(), plant=plant, stage="last", day=date(year, month, last))
    page = owner_client.get(reverse("kin-of", args=[stock.guest.pk]))
    names = texts(page, "[aria-labelledby=far] .name")
    assert "Dawn Kettle" in names
    assert "Dusk Kettle" not in names
    assert "as the days of bloom tell" in texts(page, "[aria-labelledby=far] .soft")[0]


def test_cross_form__tells_inbreeding_before_the_tag(owner_client: Client, stock: Stock) -> None:
    chosen = {"seed": stock.oboe.pk, "pollen": stock.teapot.pk}
    page = owner_client.get(reverse("new-cross"), chosen)
    expected = (
        f"Seedlings: expected inbreeding 8.3{PERCENT} "
        "(as of a cross of full sibs, or a backcross to a parent)."
        " No parents of Quillon Teapot are recorded."
    )
    assert texts(page, "#kin-line p.kin-line") == [expected]
    assert texts(owner_client.get(reverse("kin-line"), chosen), "p.kin-line") == [expected]
    refused = post(owner_client, reverse("new-cross"), tag="1", stigmas=3, **chosen)
    assert refused.status_code == 422
    assert texts(refused, "#kin-line p.kin-line") == [expected]


@pytest.mark.parametrize("pollen", ["", "unknown", "x", "99999"])
def test_cross_form__is_silent_until_both_parents_stand_there(
    owner_client: Client, stock: Stock, pollen: str
) -> None:
    chosen = {"seed": stock.oboe.pk, "pollen": pollen}
    assert texts(owner_client.get(reverse("new-cross"), chosen), "#kin-line p.kin-line") == []
    assert owner_client.get(reverse("kin-line"), chosen).content.strip() == b""


def test_cross_form__asks_again_when_a_parent_is_let_go(owner_client: Client, stock: Stock) -> None:
    page = owner_client.get(reverse("new-cross"), {"seed": stock.oboe.pk})
    (line,) = tree(page).cssselect("#kin-line")
    address = reverse("parent", args=["seed"])
    for query, event in (({"seed": stock.oboe.pk}, "parent-chosen"), ({}, "parent-left")):
        said = owner_client.get(address, query)["HX-Trigger-After-Swap"]
        assert said == event
        assert f"{event} from:body" in line.get("hx-trigger")


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_pages__answer_nonsense(owner_client: Client, stock: Stock, nonsense: str) -> None:
    for name, fields in (
        ("kin-pair", ("a", "b", "a_text", "b_text")),
        ("kin-map", ("plants", "plants_text")),
        ("kin-line", ("seed", "pollen")),
    ):
        asked = dict.fromkeys(fields, nonsense)
        assert owner_client.get(reverse(name), asked).status_code == 200
    assert owner_client.get(reverse("kin-of", args=[10**17])).status_code == 404
    assert owner_client.get(reverse("kin-answers", args=["c"])).status_code == 404


def test_pages__are_read_by_visitors(visitor_client: Client, cast: Cast) -> None:
    page = pair(visitor_client, cast.oboe, cast.teapot)
    assert texts(page, ".kin-words") == ["As full sibs, or parent and seedling."]
    assert not [link for link in links(page) if link.startswith(reverse("new-cross"))]
    for address in (reverse("kin-map"), reverse("kin-of", args=[cast.oboe.pk])):
        assert visitor_client.get(address).status_code == 200


@pytest.mark.parametrize("name", ["kin-pair", "kin-map", "kin-of"])
def test_pages__ask_a_fixed_number_of_queries(
    owner_client: Client, cast: Cast, act: Acts, name: str, django_assert_num_queries: Callable
) -> None:
    pages = {
        "kin-pair": f"{reverse('kin-pair')}?a={cast.oboe.pk}&b={cast.teapot.pk}",
        "kin-map": reverse("kin-map"),
        "kin-of": reverse("kin-of", args=[cast.oboe.pk]),
    }
    # Session, person and garden; the stock's pedigree; then what the page shows. What is held in
    # memory is not read again: the pedigree, and for one plant the days of bloom.
    queries, held = {"kin-pair": (6, 1), "kin-map": (7, 1), "kin-of": (9, 3)}[name]
    with django_assert_num_queries(queries):
        owner_client.get(pages[name])
    for at in range(12):
        add_plant(act(), name=f"Sister {at}", seed_parent=cast.oboe, iris_class="TB")
    with django_assert_num_queries(queries):
        owner_client.get(pages[name])
    with django_assert_num_queries(queries - held):
        owner_client.get(pages[name])


def test_settings__take_double_reduction_as_a_fraction(owner_client: Client, stock: Stock) -> None:
    address = reverse("garden-settings")
    form = owner_client.get(address).context["form"]
    sound = {field.html_name: field.value() or "" for field in form}
    for typed, kept in (("1/7", 1 / 7), ("0,1", 0.1), ("10 %", 0.1), ("0.1667", 1 / 6), ("0", 0)):
        answer = post(owner_client, address, **{**sound, "entry": "", "double_reduction": typed})
        assert answer.status_code in (303, 422), typed
        assert Garden.get().double_reduction == kept, typed
    for typed in ("0.2", "1/0", "much", "-0.1", "1e-1"):
        answer = post(owner_client, address, **{**sound, "entry": "", "double_reduction": typed})
        assert answer.status_code == 422
        assert texts(answer, "#wrong_double_reduction")


def test_plant_form__keeps_how_copies_are_passed_on(owner_client: Client, stock: Stock) -> None:
    address = reverse("plant-change", args=[stock.guest.pk])
    form = owner_client.get(address).context["form"]
    sound = {field.html_name: field.value() or "" for field in form}
    sound |= {"entry": "", "transmission": "disomic"}
    assert post(owner_client, address, **sound).status_code == 303
    stock.guest.refresh_from_db()
    assert stock.guest.transmission == "disomic"
    refused = post(owner_client, address, **{**sound, "ploidy": "3"})
    assert texts(refused, "#wrong_transmission") == ["3 sets cannot pair in twos."]
