"""A written parentage taken into the stock: all of it or nothing, and the way back."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from breeding.parentage import look_at, looks_like_number
from breeding.pedigrees import behind, parentage_texts
from breeding.records import take_parentage
from garden.models import JournalLine, Plant
from garden.records import add_plant, change_plant, strike_plant, undo
from garden.verbs import Act, Refused
from tests.cast import Stock

Acts = Callable[..., Act]
TEXT = "Q 17-3: (Quillon Teapot × [14-031C: {Attic Barometer × unknown} × 'Marzipan Ledger'])"


def parents_of(label: str) -> tuple[str, str]:
    """Both parents in words."""
    plant = Plant.live.get(folded=label.casefold())
    return str(plant.parent("seed")), str(plant.parent("pollen"))


def written_out(plant: Plant) -> str:
    return parentage_texts(behind([plant.pk], 8), plant.pk, 8)[0].text


def test_take_parentage__links_what_is_there_and_adds_what_is_not(act: Acts, stock: Stock) -> None:
    before = Plant.live.count()
    kept = take_parentage(act(), plant=stock.guest, text=TEXT)
    assert kept.thing == stock.guest
    assert Plant.live.count() == before + 3
    nameless = Plant.live.get(number="(parent of Q 17-3)")
    assert parents_of("Q 17-3") == ("Quillon Teapot", "(parent of Q 17-3)")
    assert (nameless.seed_parent.label, nameless.pollen_parent) == ("14-031C", stock.ledger)
    assert parents_of("14-031C") == ("Attic Barometer", "unknown")
    assert kept.line.text == "Read the parentage of Q 17-3: 2 plants linked, 3 added"
    assert JournalLine.objects.filter(verb="take_parentage").count() == 1


def test_take_parentage__adds_plants_as_known_from_pedigrees_only(act: Acts, stock: Stock) -> None:
    take_parentage(act(), plant=stock.guest, text=TEXT)
    added = Plant.live.filter(status=Plant.Status.ABSENT)
    assert {(one.name, one.number, one.kind) for one in added} == {
        ("", "(parent of Q 17-3)", "guest"),
        ("", "14-031C", "guest"),
        ("Attic Barometer", "", "cultivar"),
    }


def test_take_parentage__what_was_printed_reads_as_the_same_pedigree(
    act: Acts, stock: Stock
) -> None:
    take_parentage(act(), plant=stock.guest, text=TEXT)
    text = written_out(stock.guest)
    assert text == (
        "Q 17-3: (Quillon Teapot × [14-031C: {Attic Barometer × unknown} × Marzipan Ledger])"
    )
    with pytest.raises(Refused, match="recorded already"):
        take_parentage(act(), plant=stock.guest, text=text)
    twin = add_plant(act(), number="Q 17-4").thing
    take_parentage(act(), plant=twin, text=text.replace("Q 17-3: ", "Q 17-4: ", 1))
    assert written_out(twin) == text.replace("Q 17-3: ", "Q 17-4: ", 1)
    assert Plant.live.filter(number__startswith="(").count() == 2
    assert Plant.live.filter(number="14-031C").count() == 1


def test_take_parentage__in_an_empty_garden_gives_the_same_text_again(
    act: Acts, bare: object
) -> None:
    text = "A-1: (Fen Lamp × [B-2: {Tide Clerk × (Fen Lamp × sdlg.)} × Tin Orchard])"
    plant = add_plant(act(), number="A-1").thing
    take_parentage(act(), plant=plant, text=text)
    first = written_out(plant)
    other = add_plant(act(), number="A-2").thing
    take_parentage(act(), plant=other, text=first.replace("A-1", "A-2", 1))
    assert written_out(other) == first.replace("A-1", "A-2", 1)


def test_take_parentage__reads_purdy(act: Acts, stock: Stock) -> None:
    take_parentage(act(), plant=stock.guest, text="Quillon Teapot/2*Marzipan Ledger")
    parent = Plant.live.get(number="(parent of Q 17-3)")
    assert parents_of("Q 17-3") == ("(parent of Q 17-3)", "Marzipan Ledger")
    assert (parent.seed_parent, parent.pollen_parent) == (stock.teapot, stock.ledger)


def test_take_parentage__selfs_and_sibs(act: Acts, stock: Stock) -> None:
    take_parentage(act(), plant=stock.guest, text="Oboe for Hannes × sib")
    sib = Plant.live.get(number="(parent of Q 17-3)")
    assert (sib.seed_parent, sib.pollen_parent) == (stock.teapot, stock.ledger)
    take_parentage(act(), plant=stock.postman, text="Quillon Teapot × self")
    assert parents_of("Thistle Postman") == ("Quillon Teapot", "Quillon Teapot")


def test_take_parentage__words_give_way_to_the_plant_they_name(act: Acts, stock: Stock) -> None:
    change_plant(act(), plant=stock.semaphore, seed_parent_text="Old Blue")
    take_parentage(act(), plant=stock.semaphore, text="Old Blue × unknown")
    plant = Plant.live.get(pk=stock.semaphore.pk)
    assert (plant.seed_parent.name, plant.seed_parent_text) == ("Old Blue", "")


@pytest.mark.parametrize(
    ("who", "text", "said"),
    [
        ("semaphore", "Old Blue × unknown", "written is “a plant nobody knows”"),
        ("oboe", "Thistle Postman × Marzipan Ledger", "but recorded is Quillon Teapot"),
        ("oboe", "Marzipan Ledger × Quillon Teapot", "the other way round"),
        ("teapot", "Oboe for Hannes × unknown", "among its own ancestors"),
        ("teapot", "Quillon Teapot × Old Blue", "among its own ancestors"),
        ("guest", "Oboe for Hannes: (Old Blue × New Blue)", "not of Q 17-3"),
        ("guest", "Old Blue", "not one name"),
        ("guest", "Old Blue × (New Blue", "At character 12: This ( is never closed."),
        ("guest", "A × B × C", "brackets must tell which cross was made first"),
        ("guest", "", "Nothing stands here"),
        ("guest", f"{'y' * 90} × Old Blue", "character 1: Ensure this value has at most 80"),
        ("oboe", "Quillon Teapot × Marzipan Ledger", "recorded already"),
    ],
)
def test_take_parentage__refuses_as_a_whole(
    act: Acts, stock: Stock, who: str, text: str, said: str
) -> None:
    before = list(Plant.objects.order_by("pk").values_list()), JournalLine.objects.count()
    with pytest.raises(Refused) as refused:
        take_parentage(act(), plant=getattr(stock, who), text=text)
    assert set(refused.value.messages) == {"text"}
    assert said in str(refused.value)
    assert before == (
        list(Plant.objects.order_by("pk").values_list()),
        JournalLine.objects.count(),
    )


def test_take_parentage__a_number_of_two_plants_is_not_guessed(act: Acts, stock: Stock) -> None:
    for name in ("Fen Lamp", "Tide Clerk"):
        add_plant(act(), name=name, number="9-9")
    with pytest.raises(Refused, match="may be several plants here: Fen Lamp, Tide Clerk"):
        take_parentage(act(), plant=stock.guest, text="9-9 × Old Blue")


def test_take_parentage__a_number_finds_the_plant_that_has_a_name_now(
    act: Acts, stock: Stock
) -> None:
    lamp = add_plant(act(), name="Fen Lamp", number="9-9").thing
    take_parentage(act(), plant=stock.guest, text="9-9 × Old Blue")
    assert Plant.live.get(pk=stock.guest.pk).seed_parent == lamp


def test_take_parentage__refuses_a_plant_struck_out(act: Acts, stock: Stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="twice")
    with pytest.raises(Refused, match="struck out"):
        take_parentage(act(), plant=stock.guest, text=TEXT)


def test_take_parentage__is_refused_to_visitors(act: Acts, stock: Stock, visitor: object) -> None:
    with pytest.raises(Refused, match="Visitors read"):
        take_parentage(act(visitor), plant=stock.guest, text=TEXT)


def test_take_parentage__undo_takes_all_of_it_back(act: Acts, stock: Stock) -> None:
    before = set(Plant.live.values_list())
    kept = take_parentage(act(), plant=stock.guest, text=TEXT)
    undo(act(), line=kept.line)
    assert set(Plant.live.values_list()) == before


def test_take_parentage__undo_takes_back_more_than_a_list_of_fifty(act: Acts, stock: Stock) -> None:
    text = "Leaf 0"
    for number in range(1, 61):
        text = f"({text} × Leaf {number})"
    before = set(Plant.live.values_list())
    kept = take_parentage(act(), plant=stock.guest, text=text)
    assert len(kept.line.made) == 61 + 59
    undo(act(), line=kept.line)
    assert set(Plant.live.values_list()) == before


def test_take_parentage__nameless_plants_are_told_apart(act: Acts, stock: Stock) -> None:
    take_parentage(act(), plant=stock.guest, text="((A × B) × (C × D)) × (E × F)")
    numbers = set(Plant.live.filter(number__startswith="(").values_list("number", flat=True))
    assert numbers == {
        "(parent of Q 17-3)",
        "(parent of Q 17-3, 2)",
        "(grandparent of Q 17-3)",
        "(grandparent of Q 17-3, 2)",
    }


def test_look_at__asks_a_bounded_number_of_times(
    act: Acts, stock: Stock, django_assert_max_num_queries: Callable
) -> None:
    names = " × ".join(f"(Leaf {one} × Leaf {one + 1})" for one in (0, 2))
    text = f"Q 17-3: ({names})"
    with django_assert_max_num_queries(6):
        look = look_at(stock.guest, text)
    assert len(look.created) == 6


@pytest.mark.parametrize(
    ("name", "is_number"),
    [("14-031C", True), ("H 114-B", True), ("Sdl 7", True), ("Lantern 7", False), ("Moss", False)],
)
def test_looks_like_number__words_are_names(name: str, is_number: bool) -> None:
    assert looks_like_number(name) is is_number
