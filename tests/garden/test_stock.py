from __future__ import annotations

from datetime import date

import pytest

from garden.models import Bed, Garden, Placing, Plant
from garden.records import add_bed, add_plant, change_plant, place_plant, strike_plant, undo
from garden.verbs import Refused


def stock_version() -> int:
    return Garden.objects.get().stock_version


def test_add_plant__keeps_what_is_known(act, bare) -> None:
    kept = add_plant(
        act(), name="  Moss   Semaphore ", iris_class="SDB", ploidy=4, year=1998, notes=" dry "
    )
    plant = kept.thing
    assert (plant.name, plant.iris_class, plant.ploidy) == ("Moss Semaphore", "SDB", 4)
    assert (plant.year, plant.notes, plant.kind, plant.status) == (
        1998, "dry", "cultivar", "growing",
    )  # fmt: skip
    assert kept.line.text == "Added Moss Semaphore to the stock"
    assert str(plant) == plant.label == "Moss Semaphore"


def test_add_plant__number_while_there_is_no_name(act, bare) -> None:
    assert add_plant(act(), number="Q 17-3").thing.label == "Q 17-3"


def test_add_plant__describes_the_colours(act, bare) -> None:
    plant = add_plant(act(), name="Moss", standards="white", falls="violet").thing
    assert "violet" in plant.description
    assert not plant.description_own


def test_add_plant__own_words_stay(act, bare) -> None:
    plant = add_plant(act(), name="Moss", standards="white", description="like milk").thing
    assert (plant.description, plant.description_own) == ("like milk", True)
    change_plant(act(), plant=plant, falls="violet")
    plant.refresh_from_db()
    assert plant.description == "like milk"


def test_change_plant__description_follows_the_colours(act, stock) -> None:
    before = stock.teapot.description
    plant = change_plant(act(), plant=stock.teapot, falls="yellow").thing
    assert plant.description != before
    assert "yellow" in plant.description


def test_add_plant__moves_the_version_of_the_stock(act, bare) -> None:
    before = stock_version()
    add_plant(act(), name="Moss")
    assert stock_version() > before


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({}, "name", "Give the plant a name or a number"),
        ({"name": " ' "}, "name", "Give the plant a name or a number"),
        ({"name": "quillon  TEAPOT"}, "name", "Quillon Teapot is already in the stock"),
        ({"number": "q 17-3"}, "number", "Q 17-3 is already in the stock"),
        ({"name": "M", "year": 1499}, "year", "The year must be from 1500 to 2100"),
        ({"name": "M", "height_cm": 0}, "height_cm", "from 1 to 250"),
        ({"name": "M", "height_cm": 251}, "height_cm", "from 1 to 250"),
        ({"name": "M", "ploidy": 9}, "ploidy", "from 1 to 8"),
        ({"name": "M", "chromosomes": 7}, "chromosomes", "from 8 to 200"),
        ({"name": "M", "falls": "blurple"}, "falls", "‘blurple’ is no word of the colour list"),
        ({"name": "M", "pattern": "dotty"}, "pattern", "no word of the colour list"),
        ({"name": "M", "iris_class": "XX"}, "iris_class", "not a valid choice"),
        ({"name": "M", "kind": "tree"}, "kind", "not a valid choice"),
        ({"name": "M" * 81}, "name", "at most 80 characters"),
        ({"name": "M", "scent": "grape"}, "", "scent is not recorded of a plant"),
        ({"name": "M", "folded": "x"}, "", "folded is not recorded of a plant"),
    ],
)
def test_add_plant__refused(act, stock, fields: dict, field: str, sentence: str) -> None:
    before = Plant.objects.count()
    with pytest.raises(Refused, match=sentence) as refused:
        add_plant(act(), **fields)
    assert list(refused.value.messages) == [field]
    assert Plant.objects.count() == before


def test_add_plant__struck_parent_is_refused(act, stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="twice")
    stock.guest.refresh_from_db()
    with pytest.raises(Refused, match="struck out") as refused:
        add_plant(act(), name="Moss", pollen_parent=stock.guest)
    assert list(refused.value.messages) == ["pollen_parent"]


def test_add_plant__name_of_a_struck_plant_is_free(act, stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="twice")
    assert add_plant(act(), number="Q 17-3").thing.pk != stock.guest.pk


def test_change_plant__parent_found_later_replaces_its_text(act, stock) -> None:
    plant = change_plant(act(), plant=stock.semaphore, seed_parent=stock.guest).thing
    assert (plant.parent("seed"), plant.seed_parent_text) == (stock.guest, "")


def test_change_plant__text_replaces_the_parent(act, stock) -> None:
    plant = change_plant(act(), plant=stock.oboe, pollen_parent_text="unknown").thing
    assert (plant.pollen_parent, plant.parent("pollen")) == (None, "unknown")
    assert plant.has_parents


def test_change_plant__keeps_the_reason(act, stock) -> None:
    line = change_plant(act(), plant=stock.oboe, year=2016, reason=" seen on the label ").line
    assert line.reason == "seen on the label"
    assert line.text == "Changed Oboe for Hannes: year"


def test_change_plant__nothing_changed(act, stock) -> None:
    with pytest.raises(Refused, match="Nothing was changed"):
        change_plant(act(), plant=stock.teapot, year=1998)


def test_change_plant__renamed_is_found_by_its_new_name(act, stock) -> None:
    change_plant(act(), plant=stock.guest, name="Postbox Lullaby")
    assert Plant.live.get(folded="postbox lullaby") == stock.guest


def test_change_plant__own_name_is_no_twin(act, stock) -> None:
    assert change_plant(act(), plant=stock.teapot, name="QUILLON Teapot").thing.pk


def test_change_plant__struck_is_refused(act, stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="")
    with pytest.raises(Refused, match="Q 17-3 was struck out"):
        change_plant(act(), plant=stock.guest, year=2000)


def test_change_plant__its_own_parent(act, stock) -> None:
    with pytest.raises(Refused, match="cannot be its own parent") as refused:
        change_plant(act(), plant=stock.guest, seed_parent=stock.guest)
    assert list(refused.value.messages) == ["seed_parent"]


def test_change_plant__child_as_parent(act, stock) -> None:
    with pytest.raises(Refused, match="Oboe for Hannes descends from Quillon Teapot") as refused:
        change_plant(act(), plant=stock.teapot, pollen_parent=stock.oboe)
    assert list(refused.value.messages) == ["pollen_parent"]


def test_change_plant__loop_through_generations(act, stock) -> None:
    plant = stock.oboe
    for number in range(5):
        plant = add_plant(act(), number=f"line {number}", pollen_parent=plant).thing
    with pytest.raises(Refused, match="line 4 descends from Marzipan Ledger"):
        change_plant(act(), plant=stock.ledger, seed_parent=plant)


def test_change_plant__undo_cannot_close_a_loop(act, stock) -> None:
    away = change_plant(act(), plant=stock.oboe, seed_parent=stock.guest).line
    change_plant(act(), plant=stock.teapot, seed_parent=stock.oboe)
    with pytest.raises(Refused, match="descends from"):
        undo(act(), line=away)


def test_strike_plant__leaves_the_stock(act, stock) -> None:
    line = strike_plant(act(), plant=stock.guest, reason="written twice").line
    assert stock.guest not in Plant.live.all()
    assert Plant.objects.get(pk=stock.guest.pk).struck
    assert (line.text, line.reason) == ("Struck out Q 17-3", "written twice")


def test_strike_plant__twice(act, stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="")
    with pytest.raises(Refused, match="already struck out"):
        strike_plant(act(), plant=stock.guest, reason="")


def test_strike_plant__parent_of_a_plant(act, stock) -> None:
    with pytest.raises(Refused, match="plant Oboe for Hannes hangs on it"):
        strike_plant(act(), plant=stock.teapot, reason="")


def test_strike_plant__parent_of_a_cross(act, cast) -> None:
    with pytest.raises(Refused, match="cross 24-002 hangs on it"):
        strike_plant(act(), plant=cast.postman, reason="")


def test_place_plant__from_a_day_on(act, stock) -> None:
    kept = place_plant(
        act(), plant=stock.teapot, bed=stock.bed, position=" 2-4 ", increases=5,
        day=date(2025, 8, 1),
    )  # fmt: skip
    placing = kept.thing
    assert (placing.position, placing.increases, placing.until) == ("2-4", 5, None)
    assert str(placing) == "Long Bed 2-4"
    assert kept.line.text == (
        "Quillon Teapot stands in Long Bed 2-4 with 5 increases (1 August 2025)"
    )


def test_place_plant__counted_anew_ends_the_count_before(act, stock) -> None:
    here = {"plant": stock.teapot, "bed": stock.bed, "position": "2-4"}
    first = place_plant(act(), **here, increases=5, day=date(2025, 8, 1)).thing
    second = place_plant(act(), **here, increases=9, day=date(2026, 5, 1)).thing
    first.refresh_from_db()
    assert (first.until, second.until) == (date(2026, 5, 1), None)


def test_place_plant__second_clump_leaves_the_first(act, stock) -> None:
    first = place_plant(act(), plant=stock.teapot, bed=stock.bed, position="2-4").thing
    place_plant(act(), plant=stock.teapot, bed=stock.bed, position="3-1")
    first.refresh_from_db()
    assert first.until is None


@pytest.mark.parametrize("increases", [-1, 5001])
def test_place_plant__increases_out_of_range(act, stock, increases: int) -> None:
    with pytest.raises(Refused, match="from 0 to 5000") as refused:
        place_plant(act(), plant=stock.teapot, bed=stock.bed, increases=increases)
    assert list(refused.value.messages) == ["increases"]


def test_place_plant__day_not_come_yet(act, stock) -> None:
    with pytest.raises(Refused, match="has not come yet"):
        place_plant(act(), plant=stock.teapot, bed=stock.bed, day=date(2030, 1, 1))


def test_place_plant__struck_plant(act, stock) -> None:
    strike_plant(act(), plant=stock.guest, reason="")
    with pytest.raises(Refused, match="Q 17-3 was struck out") as refused:
        place_plant(act(), plant=stock.guest, bed=stock.bed)
    assert list(refused.value.messages) == ["plant"]


def test_place_plant__struck_bed(act, stock) -> None:
    kept = add_bed(act(), name="Short Bed")
    undo(act(), line=kept.line)
    with pytest.raises(Refused, match="Short Bed was struck out") as refused:
        place_plant(act(), plant=stock.guest, bed=kept.thing)
    assert list(refused.value.messages) == ["bed"]
    assert not Placing.objects.exists()
    assert Bed.objects.get(pk=kept.thing.pk).struck


def test_plant__recipe_fields(stock) -> None:
    assert stock.teapot.has_colours
    assert stock.teapot.recipe_fields()["falls"] == "violet"
    assert not stock.guest.has_colours
    assert not stock.guest.has_parents
