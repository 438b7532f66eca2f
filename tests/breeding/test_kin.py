"""The garden's pedigree, held in memory: right for the stock as it stands, and never stale."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from breeding import kin, kinmap, kinpages
from breeding.kin import the_pedigree
from breeding.pedigree import Mode, Pedigree
from breeding.pedigree.planned import CannotCross, seedlings
from breeding.pedigree.relatives import relationship_table, relationships
from garden.models import Garden, Plant
from garden.records import add_plant, change_garden, change_plant, strike_plant
from garden.verbs import Act, Refused
from tests.cast import Stock

Acts = Callable[..., Act]
# Five generations with a selfing, a backcross, half-founders and three make-ups.
PARENTS = {
    "A": (None, None), "B": (None, None), "D": (None, None), "M": (None, None),
    "S": ("A", "A"), "C": ("A", "B"), "H": ("C", None), "K": ("C", "A"), "I": ("D", "K"),
    "E": ("D", "D"), "F": ("M", "K"), "Z": ("H", "I"), "Y": ("S", "K"),
}  # fmt: skip
SETS = dict.fromkeys(PARENTS, 4) | {"M": 2, "F": 3}
MODES = {"D": Mode.DISOMIC, "E": Mode.DISOMIC, "I": Mode.UNEVEN}


@pytest.fixture(params=[0.0, 0.1])
def family(request: pytest.FixtureRequest) -> Pedigree:
    return Pedigree(PARENTS, SETS, request.param, modes=MODES)


def test_relationships__are_those_of_each_pair(family: Pedigree) -> None:
    for plant in PARENTS:
        expected = [family.relationship(plant, other) for other in PARENTS]
        assert relationships(family, plant).tolist() == pytest.approx(expected, abs=1e-12)


def test_relationship_table__is_that_of_each_pair(family: Pedigree) -> None:
    table = relationship_table(family, PARENTS)
    for row, plant in zip(table.tolist(), PARENTS, strict=True):
        expected = [family.relationship(plant, other) for other in PARENTS]
        assert row == pytest.approx(expected, abs=1e-12)


def test_seedlings__are_as_inbred_as_such_plants_in_the_pedigree(family: Pedigree) -> None:
    for a in PARENTS:
        for b in PARENTS:
            if "F" in (a, b):
                continue
            found = seedlings(family, a, b)
            raised = Pedigree(
                PARENTS | {"new": (a, b)}, SETS | {"new": found.ploidy}, family.double_reduction,
                modes=MODES | {"new": found.mode},
            )  # fmt: skip
            assert found.inbreeding == pytest.approx(raised.inbreeding("new"), abs=1e-12)


def test_seedlings__of_odd_sets_are_refused(family: Pedigree) -> None:
    with pytest.raises(CannotCross, match="F has 3 sets of chromosomes, an odd number"):
        seedlings(family, "A", "F")


def test_the_pedigree__gives_the_numbers_of_the_stock(stock: Stock) -> None:
    held = the_pedigree()
    parents = {"teapot": (None, None), "ledger": (None, None), "oboe": ("teapot", "ledger")}
    plain = Pedigree(parents, ploidy=4)
    for a in parents:
        for b in parents:
            keys = getattr(stock, a).pk, getattr(stock, b).pk
            assert held.pedigree.kinship(*keys) == plain.kinship(a, b)
    assert held.pedigree.parents(stock.semaphore.pk) == (None, None)
    assert held.pedigree.mode(stock.semaphore.pk) is Mode.DISOMIC
    assert held.pedigree.mode(stock.postman.pk) is Mode.UNEVEN
    assert str(held.pedigree.common_paths(stock.oboe.pk, stock.teapot.pk).paths[0]) == (
        "Oboe for Hannes ← Quillon Teapot"
    )


def test_the_pedigree__takes_one_query_and_then_none(stock: Stock) -> None:
    garden = Garden.get()
    with CaptureQueriesContext(connection) as asked:
        first = the_pedigree(garden)
    assert len(asked) == 1
    with CaptureQueriesContext(connection) as asked:
        assert the_pedigree(garden) is first
    assert len(asked) == 0


def test_the_pedigree__knows_a_new_plant_at_once(stock: Stock, act: Acts) -> None:
    before = the_pedigree().pedigree
    child = add_plant(act(), name="Late Telegram", iris_class="TB", seed_parent=stock.oboe).thing
    assert child.pk not in before
    assert the_pedigree().pedigree.relationship(child.pk, stock.oboe.pk) == 0.5


def test_the_pedigree__follows_a_corrected_parent_at_once(stock: Stock, act: Acts) -> None:
    pair = stock.oboe.pk, stock.ledger.pk
    assert the_pedigree().pedigree.kinship(*pair) == 0.125
    change_plant(act(), plant=stock.oboe, pollen_parent=stock.guest)
    assert the_pedigree().pedigree.kinship(*pair) == 0
    assert the_pedigree().pedigree.kinship(stock.oboe.pk, stock.guest.pk) == 0.125


def test_the_pedigree__follows_ploidy_and_transmission_at_once(stock: Stock, act: Acts) -> None:
    assert the_pedigree().pedigree.mode(stock.guest.pk) is Mode.POLYSOMIC
    change_plant(act(), plant=stock.guest, transmission="disomic")
    assert the_pedigree().pedigree.mode(stock.guest.pk) is Mode.DISOMIC
    change_plant(act(), plant=stock.guest, ploidy=2)
    assert the_pedigree().pedigree.ploidy(stock.guest.pk) == 2


def test_the_pedigree__loses_a_plant_struck_out(stock: Stock, act: Acts) -> None:
    assert stock.oboe.pk in the_pedigree().pedigree
    strike_plant(act(), plant=stock.oboe, reason="written twice")
    assert stock.oboe.pk not in the_pedigree().pedigree


def test_the_pedigree__follows_double_reduction_at_once(stock: Stock, act: Acts) -> None:
    assert the_pedigree().pedigree.inbreeding(stock.oboe.pk) == 0
    change_garden(act(), double_reduction=0.1)
    # λ/(2+λ), Hamilton and Kerr 2018.
    assert the_pedigree().pedigree.inbreeding(stock.oboe.pk) == pytest.approx(0.1 / 2.1)


def test_the_pedigree__leaves_out_parents_that_cannot_be(stock: Stock, act: Acts) -> None:
    odd = add_plant(
        act(), name="Odd Sock", ploidy=7, seed_parent=stock.teapot, pollen_parent=stock.ledger
    ).thing
    child = add_plant(act(), name="Sock Drawer", seed_parent=odd).thing
    held = the_pedigree()
    assert [note.plant.label for note in held.notes] == ["Odd Sock"]
    assert "ploidy 7 from 4 × 4: no reading is possible" in held.notes[0].sentence
    assert held.pedigree.kinship(odd.pk, stock.teapot.pk) == 0
    assert held.pedigree.kinship(stock.oboe.pk, stock.teapot.pk) == 0.125
    assert [note.plant for note in held.notes_of([child.pk])] == [odd.pk]
    assert list(held.notes_of([stock.oboe.pk])) == []


def test_the_pedigree__names_a_loop_that_came_in_past_the_verbs(stock: Stock) -> None:
    Plant.objects.filter(pk=stock.teapot.pk).update(seed_parent=stock.oboe)
    Garden.stock_moved()
    notes = the_pedigree().notes
    assert len(notes) == 1
    assert "is among its own ancestors" in notes[0].sentence


@pytest.mark.django_db(transaction=True)
def test_the_pedigree__is_read_once_for_many_threads(
    stock: Stock, monkeypatch: pytest.MonkeyPatch
) -> None:
    garden, built, read = Garden.get(), [], kin._read
    monkeypatch.setattr(kin, "_read", lambda key: built.append(key) or read(key))
    found = []

    def ask() -> None:
        try:
            pedigree = the_pedigree(garden).pedigree
            found.append(pedigree.kinship(stock.oboe.pk, stock.teapot.pk))
        finally:
            connection.close()

    threads = [threading.Thread(target=ask) for _ in range(8)]
    the_pedigree(garden)
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [0.125] * 8
    assert len(built) == 1


@pytest.mark.parametrize(
    ("record", "way", "field"),
    [
        ({"ploidy": 2}, "tetrasomic", "transmission"),
        ({"ploidy": 3}, "disomic", "transmission"),
        ({}, "by magic", "transmission"),
    ],
)
def test_transmission__refuses_what_cannot_be(
    stock: Stock, act: Acts, record: dict, way: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_plant(act(), name="New One", transmission=way, **record)
    assert set(refused.value.messages) == {field}


def test_transmission__is_held_by_the_database(stock: Stock) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Plant.objects.filter(pk=stock.guest.pk).update(transmission="by magic")


def test_assumed__tetrasomic_speaks_of_four_sets() -> None:
    plant = Plant(iris_class="MTB", transmission="tetrasomic")
    assert (kin.assumed(plant).ploidy, kin.assumed(plant).mode) == (4, Mode.POLYSOMIC)


@pytest.mark.parametrize("value", [-0.01, 0.2, float("nan")])
def test_double_reduction__refuses_what_cannot_be(stock: Stock, act: Acts, value: float) -> None:
    with pytest.raises(Refused, match="between 0 and 1/6"):
        change_garden(act(), double_reduction=value)


def test_double_reduction__may_be_one_in_six_and_no_more(stock: Stock, act: Acts) -> None:
    assert change_garden(act(), double_reduction=1 / 6).thing.double_reduction == 1 / 6
    with pytest.raises(IntegrityError), transaction.atomic():
        Garden.objects.update(double_reduction=0.2)


def test_percent__never_writes_something_as_nothing() -> None:
    told = [kinpages.percent(part) for part in (0, 0.0001, 0.042, 0.5, 1)]
    assert told == ["0\u202f%", "under 0.1\u202f%", "4.2\u202f%", "50\u202f%", "100\u202f%"]


def test_ordered__sets_families_side_by_side() -> None:
    import numpy as np

    places = np.array([0, 50, 1, 51, 2, 52])
    order = kinmap.ordered(np.abs(np.subtract.outer(places, places)).astype(float))
    assert sorted(order) == list(range(6))
    assert {frozenset(order[:3]), frozenset(order[3:])} == {
        frozenset({0, 2, 4}), frozenset({1, 3, 5})
    }  # fmt: skip


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("relationship", [0, 0.01, 0.0625, 0.125, 0.25, 0.5, 1.2])
def test_fill__is_read_in_the_sun(relationship: float) -> None:
    """WCAG 2.2: (lighter + 0.05) / (darker + 0.05)."""
    darker, lighter = sorted(map(luminance, kinmap.fill(relationship)))
    assert (lighter + 0.05) / (darker + 0.05) >= 7


def test_fill__tells_nothing_from_little() -> None:
    assert kinmap.fill(0)[0] != kinmap.fill(0.001)[0]


def test_addresses__load_no_numpy() -> None:
    code = (
        "import django, sys; django.setup(); import breeding.urls, breeding.kinpages; "
        "print(sorted({'numpy', 'scipy', 'networkx'} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert run.stdout.strip() == "[]"
