"""Proposed names beside the names of the stock, and the class by when a plant blooms."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from breeding.records import note_bloom
from evaluation.naming.blooms import seasons_of, with_tall
from evaluation.naming.known import look_at, the_names
from evaluation.naming.parentage import parentage_of
from evaluation.records import drop_name, give_name, propose_name, select_seedling
from garden.models import Garden, Plant
from garden.records import add_plant
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant(act, cast: Cast) -> Plant:
    return select_seedling(act(), row=cast.row, position=3).thing.plant


def names_like(text: str, plant: Plant | None = None) -> list[str]:
    return [each.name for each in look_at(text, Garden.get(), plant).likes]


def test_look_at__names_of_the_stock(cast) -> None:
    (found,) = look_at("Moss Semafore").likes
    assert (found.name, found.plant) == ("Moss Semaphore", cast.semaphore.pk)
    assert (found.like.way, found.where) == ("looks alike: 2 letters differ", "SDB")


def test_look_at__names_known_from_pedigrees_only(act, cast) -> None:
    add_plant(act(), name="Slate Chimney", status="absent")
    add_plant(act(), name="Grandchild", seed_parent_text="Wet Slates")
    (absent,) = look_at("Slate Chimny").likes
    assert absent.where == "Known from pedigrees only"
    (text,) = look_at("Wet Slate").likes
    assert (text.name, text.where) == (
        "Wet Slates",
        "a parent of Grandchild, known by its name only",
    )


def test_look_at__unknown_and_whole_parentages_are_no_names(act, cast) -> None:
    add_plant(
        act(), name="Grandchild", seed_parent_text="unknown", pollen_parent_text="(Zyntra × Other)"
    )
    assert names_like("Unknown") == names_like("Zyntra Other") == []


def test_look_at__names_proposed_for_other_plants(act, cast, plant) -> None:
    name = propose_name(act(), plant=plant, text="Lantern at Dusk").thing
    (found,) = look_at("Lantern et Dusk").likes
    assert found.where == "proposed for 24-001A"
    assert names_like("Lantern et Dusk", plant) == []
    drop_name(act(), proposed=name)
    assert names_like("Lantern et Dusk") == []


def test_look_at__the_gravest_of_rules_and_likeness(cast) -> None:
    looked = look_at("quillon Teapot")
    assert looked.worst == "breaks"
    assert looked.count == {"breaks": 2, "doubt": 0, "note": 0}
    assert look_at("Zyntra").worst == ""


def test_the_names__are_held_until_the_stock_moves(
    act, cast, plant, django_assert_num_queries
) -> None:
    first = the_names(Garden.get())
    garden = Garden.get()
    with django_assert_num_queries(0):
        assert the_names(garden) is first
    add_plant(act(), name="Zyntra")
    assert "Zyntra" in [known.text for known in the_names(Garden.get()).known]
    give_name(act(), proposed=propose_name(act(), plant=plant, text="Lantern at Dusk").thing)
    assert names_like("Lantern et Dusk") == ["Lantern at Dusk"]


def test_the_names__another_stock_of_the_same_version_is_another(act, cast) -> None:
    from garden import finding

    held = the_names(Garden.get())
    finding._held = finding.Names(-1, (), ())
    assert the_names(Garden.get()) is not held


def bloomed(act, plant: Plant, day: date) -> None:
    note_bloom(act(day=day), plant=plant, stage="first", day=day)


def test_seasons_of__beside_the_tall_ones(act, cast) -> None:
    tall = [cast.teapot, cast.ledger, cast.oboe]
    for at, plant in enumerate(tall):
        bloomed(act, plant, date(2026, 5, 16) + timedelta(days=at))
    bloomed(act, cast.postman, date(2026, 5, 7))
    (season,) = seasons_of(cast.postman)
    assert (season.season, season.behind, season.tall) == (2026, -10, 3)
    assert season.words == "first flower 7 May; 10 days before the middle of 3 tall bearded ones"
    assert with_tall([season]) is False


def test_seasons_of__too_few_tall_ones_tell_nothing(act, cast) -> None:
    bloomed(act, cast.teapot, date(2026, 5, 16))
    bloomed(act, cast.ledger, date(2026, 5, 16))
    bloomed(act, cast.postman, date(2026, 5, 7))
    (season,) = seasons_of(cast.postman)
    assert (season.behind, with_tall([season])) == (None, None)
    assert seasons_of(cast.oboe) == []
    assert with_tall([]) is None


def test_parentage_of__as_in_a_registration(act, cast, plant) -> None:
    assert parentage_of(plant) == "Quillon Teapot × Marzipan Ledger"
    child = add_plant(act(), number="Z 1", seed_parent=plant, pollen_parent=cast.oboe).thing
    told = parentage_of(child)
    assert told == "24-001A: (Quillon Teapot × Marzipan Ledger) × Oboe for Hannes"
    assert parentage_of(cast.ledger) == ""


def test_parentage_of__without_the_label_of_a_named_one(act, cast, plant) -> None:
    give_name(act(), proposed=propose_name(act(), plant=plant, text="Planet X").thing)
    plant.refresh_from_db()
    assert parentage_of(plant) == "Quillon Teapot × Marzipan Ledger"
