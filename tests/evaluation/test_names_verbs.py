"""Measuring, proposing, dropping and giving names."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from breeding.models import Cross
from breeding.pedigrees import behind, parentage_texts
from evaluation.models import Candidate, ProposedName, Rubric, Scoring, Seedling
from evaluation.records import (
    correct_seedling,
    drop_name,
    give_name,
    measure,
    propose_name,
    score,
    select_seedling,
)
from garden.finding import find_plants
from garden.models import JournalLine, Plant
from garden.records import add_plant, change_plant, strike_plant, undo
from garden.verbs import Refused
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def seedling(act, cast: Cast) -> Seedling:
    return select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing


@pytest.fixture
def plant(seedling: Seedling) -> Plant:
    return seedling.plant


def proposed(act, plant: Plant, text: str = "Lantern at Dusk", **more) -> ProposedName:
    return propose_name(act(), plant=plant, text=text, **more).thing


def refused(sentence: str, doing, *args, **values) -> None:
    before = JournalLine.objects.count()
    with pytest.raises(Refused, match=sentence):
        doing(*args, **values)
    assert JournalLine.objects.count() == before


def test_propose_name__is_written_with_who_and_when(act, plant, helper_person) -> None:
    kept = propose_name(
        act(person=helper_person), plant=plant, text=" ‘Lantern  at Dusk’ ", note=" the lamp "
    )
    name = kept.thing
    assert (name.text, name.note, name.state) == ("Lantern at Dusk", "the lamp", "open")
    assert (name.person, name.day) == (helper_person, date(2026, 5, 20))
    assert kept.line.text == "Proposed ‘Lantern at Dusk’ for 24-001A"
    assert JournalLine.objects.filter(mentions__thing_id=plant.pk, verb="propose_name").exists()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Write the name"), ("''", "Write the name"), ("x" * 81, "At most 80 letters"),
        ("24-001a", "That is its number"), ("Unknown", "nobody knows"),
        ("quillon TEAPOT", "Quillon Teapot is already in the stock"),
        ("q 17-3", "Q 17-3 is already in the stock"),
    ],
)  # fmt: skip
def test_propose_name__refuses(act, plant, text: str, sentence: str) -> None:
    refused(sentence, propose_name, act(), plant=plant, text=text)


def test_propose_name__not_twice_for_one_plant_but_again_when_dropped(act, plant) -> None:
    name = proposed(act, plant)
    refused(
        "proposed for 24-001A already", propose_name, act(), plant=plant, text="LANTERN at dusk"
    )
    drop_name(act(), proposed=name, reason="too long")
    name.refresh_from_db()
    assert (name.state, name.settled_why) == ("dropped", "too long")
    again = propose_name(act(), plant=plant, text="Lantern at Dusk")
    assert again.thing == name
    assert (again.thing.state, again.thing.settled_on) == ("open", None)
    assert again.line.text == "Took up ‘Lantern at Dusk’ for 24-001A again"


def test_propose_name__only_for_what_may_be_named(act, cast, plant) -> None:
    species = add_plant(act(), name="Iris exempla", kind="species").thing
    refused("is a species", propose_name, act(), plant=species, text="Zyntra")
    refused("has its name", propose_name, act(), plant=cast.teapot, text="Zyntra")
    refused("is a guest", propose_name, act(), plant=cast.guest, text="Zyntra")


def test_give_name__keeps_the_number_and_becomes_a_cultivar(act, plant) -> None:
    name, other = proposed(act, plant), proposed(act, plant, "Zyntra")
    kept = give_name(act(), proposed=name, reason="the lamp")
    plant.refresh_from_db()
    assert (plant.name, plant.number, plant.kind) == ("Lantern at Dusk", "24-001A", "cultivar")
    assert plant.label == "Lantern at Dusk"
    assert kept.line.text == "24-001A is named ‘Lantern at Dusk’"
    assert ProposedName.live.get(pk=name.pk).settled_why == "the lamp"
    refused("has its name", give_name, act(), proposed=other)
    refused("given already", give_name, act(), proposed=name)
    refused("given already", drop_name, act(), proposed=name)


def test_give_name__all_references_stay(act, cast, seedling, plant) -> None:
    rubric = Rubric.live.get(purpose="full", replaced_by=None)
    score(act(), rubric=rubric, plant=plant, marks={"form": 4})
    child = add_plant(act(), name="Child of It", seed_parent=plant, pollen_parent=cast.oboe).thing
    give_name(act(), proposed=proposed(act, plant))
    seedling.refresh_from_db()
    assert (seedling.plant, seedling.code, str(seedling)) == (plant, "24-001A", "24-001A")
    assert Candidate.live.get(plant=plant).scores == 1
    assert Scoring.live.get().candidate.plant == plant
    child.refresh_from_db()
    assert child.seed_parent == plant
    plant.refresh_from_db()
    assert (plant.seed_parent, plant.pollen_parent) == (cast.teapot, cast.ledger)
    texts = parentage_texts(behind([child.pk], 4), child.pk, 4)
    assert texts[0].text == "Child of It: (Lantern at Dusk × Oboe for Hannes)"
    assert Cross.live.get(pk=seedling.cross_id).seedlings.get() == seedling


def test_give_name__the_plant_is_found_by_name_and_by_number(act, plant) -> None:
    give_name(act(), proposed=proposed(act, plant))
    for text in ("lantern", "24-001A"):
        assert find_plants(text)[0] == plant


def test_give_name__refused_while_the_stock_has_the_name(act, plant) -> None:
    name = proposed(act, plant)
    add_plant(act(), name="LANTERN at Dusk")
    refused("LANTERN at Dusk is already in the stock", give_name, act(), proposed=name)
    assert Plant.live.get(pk=plant.pk).name == ""


def test_give_name__undone_returns_number_kind_and_proposal(act, plant) -> None:
    name = proposed(act, plant)
    line = give_name(act(), proposed=name).line
    undo(act(), line=line)
    plant.refresh_from_db()
    name.refresh_from_db()
    assert (plant.name, plant.kind, plant.label) == ("", "seedling", "24-001A")
    assert (name.state, name.settled_on) == ("open", None)
    give_name(act(), proposed=name)
    assert Plant.live.get(pk=plant.pk).name == "Lantern at Dusk"


def test_give_name__undoing_it_gives_way_to_whoever_took_the_number(act, plant) -> None:
    line = give_name(act(), proposed=proposed(act, plant)).line
    add_plant(act(), number="24-001A", kind="guest")
    refused("the same stands there already", undo, act(), line=line)
    assert Plant.live.get(pk=plant.pk).name == "Lantern at Dusk"


def test_give_name__an_own_seedling_keeps_its_parents_all_the_same(act, plant) -> None:
    give_name(act(), proposed=proposed(act, plant))
    with pytest.raises(Refused, match="keeps its parents"):
        change_plant(act(), plant=plant, seed_parent=None, seed_parent_text="")


def test_give_name__the_seedling_can_still_be_corrected(act, cast, seedling, plant) -> None:
    give_name(act(), proposed=proposed(act, plant))
    correct_seedling(act(), seedling=seedling, position=4, seen="wide falls", reason="miscounted")
    assert Candidate.live.get(plant=plant).position == 4


def test_strike_plant__not_while_a_name_is_proposed(act) -> None:
    plant = add_plant(act(), number="Z 1", kind="seedling").thing
    line = propose_name(act(), plant=plant, text="Zyntra").line
    with pytest.raises(Refused, match="proposed name Zyntra hangs on it"):
        strike_plant(act(), plant=plant, reason="a mistake")
    undo(act(), line=line)
    strike_plant(act(), plant=plant, reason="a mistake")


def test_constraints__one_name_given_and_settled_with_a_day(act, plant) -> None:
    name, other = proposed(act, plant), proposed(act, plant, "Zyntra")
    rows = ProposedName.objects
    for broken in ({"state": "chosen"}, {"settled_on": date(2026, 1, 1)}, {"folded": ""}):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.filter(pk=name.pk).update(**broken)
    settled = {"state": "chosen", "settled_on": date(2026, 5, 20)}
    rows.filter(pk=name.pk).update(**settled)
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.filter(pk=other.pk).update(**settled)


def test_measure__is_kept_with_who_and_when(act, plant) -> None:
    kept = measure(act(), plant=plant, height_cm=91, buds=9, day=date(2026, 5, 19))
    assert (kept.thing.height_cm, kept.thing.buds, kept.thing.branches) == (91, 9, None)
    assert kept.line.text == "Measured 24-001A: height 91 cm, buds 9"
    plant.refresh_from_db()
    # Nothing was recorded before.
    assert plant.height_cm == 91
    measure(act(), plant=plant, height_cm=88)
    plant.refresh_from_db()
    assert plant.height_cm == 91


def test_measure__undone_is_gone(act, plant) -> None:
    undo(act(), line=measure(act(), plant=plant, height_cm=91).line)
    plant.refresh_from_db()
    assert plant.height_cm is None
    assert not plant.measurings.filter(struck=False).exists()


@pytest.mark.parametrize(
    ("values", "sentence"),
    [({}, "at least one measure"), ({"height_cm": 0}, "Height: from 1 to 250 cm"),
     ({"height_cm": 251}, "Height: from"), ({"flower_width_mm": 301}, "from 5 to 300 mm"),
     ({"buds": 61}, "Buds: from 0 to 60"), ({"branches": -1}, "Branches: from 0 to 12"),
     ({"buds": 3, "day": date(2027, 1, 1)}, "has not come yet")],
)  # fmt: skip
def test_measure__refuses(act, plant, values: dict, sentence: str) -> None:
    refused(sentence, measure, act(), plant=plant, **values)
