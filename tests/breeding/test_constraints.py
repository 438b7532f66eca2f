"""What the database itself refuses along the thread, below all verbs and forms."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import models
from django.db.models import ProtectedError

from breeding.models import (
    MOST_SEEDLINGS,
    MOST_SEEDS_IN_A_POD,
    Cross,
    Pollination,
    Pot,
    SeedCup,
    Tag,
)
from evaluation.models import Seedling
from evaluation.records import select_seedling
from tests.cast import SOWN, WORKED
from tests.refusals import breaks

BEFORE = timedelta(days=-1)


def setting(thing: models.Model, **values: object) -> Callable[[], object]:
    """A write that goes past the model: one UPDATE."""
    return lambda: type(thing).objects.filter(pk=thing.pk).update(**values)


def cross(cast, **values: object) -> Callable[[], object]:
    plain = {
        "season": 2024, "number": 9, "code": "24-009",
        "seed_parent": cast.oboe, "pollen_parent": cast.guest,
    }  # fmt: skip
    return lambda: Cross.objects.create(**plain | values)


def test_cross__a_plain_one_is_taken(cast) -> None:
    assert cross(cast)().pk


def test_cross__number_once(cast) -> None:
    breaks("season.*number", cross(cast, number=1))
    breaks("code", cross(cast, code="24-001"))


def test_cross__number_once_though_struck(cast) -> None:
    Cross.objects.update(struck=True)
    breaks("season.*number", cross(cast, number=1))


def test_cross__combination_once(cast) -> None:
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    breaks("seed_parent_id.*pollen_parent_id", cross(cast, **pair))
    assert cross(cast, **pair, season=2025)().pk


def test_cross__bee_pod_once(cast) -> None:
    bee = {"seed_parent": cast.postman, "pollen_parent": None, "pollen_unknown": True}
    breaks("season.*seed_parent_id", cross(cast, **bee))
    assert cross(cast, **bee, season=2025)().pk


@pytest.mark.parametrize("values", [{"pollen_unknown": True}, {"pollen_parent": None}])
def test_cross__pollen_parent_chosen(cast, values: dict) -> None:
    breaks("cross_pollen_parent_chosen", cross(cast, **values))


def test_cross__always_a_seed_parent(cast) -> None:
    breaks("NOT NULL.*seed_parent", cross(cast, seed_parent=None))


def test_cross__pods_within_flowers(cast) -> None:
    breaks("cross_pods_within_flowers", setting(cast.cross, pods=2))


@pytest.mark.parametrize("name", ["flowers", "pods", "failed", "seeds", "sown", "up", "lined_out"])
def test_cross__counts_are_not_negative(cast, name: str) -> None:
    breaks("CHECK", setting(cast.cross, **{name: -1}))


def test_tag__number_once(cast) -> None:
    breaks("code", lambda: Tag.objects.create(code=cast.tags[0], batch=cast.sheet))


def test_pollination__tag_once(cast) -> None:
    breaks("tag_id", setting(cast.failed, tag=cast.flower.tag))
    Pollination.objects.filter(pk=cast.flower.pk).update(struck=True)
    assert setting(cast.failed, tag=cast.flower.tag)() == 1


@pytest.mark.parametrize("stigmas", [0, 4])
def test_pollination__three_stigmas(cast, stigmas: int) -> None:
    breaks("pollination_three_stigmas", setting(cast.flower, stigmas=stigmas))


@pytest.mark.parametrize("name", ["looked_on", "harvested_on"])
def test_pollination__dates_in_order(cast, name: str) -> None:
    breaks("pollination_dates_in_order", setting(cast.flower, **{name: WORKED + BEFORE}))


@pytest.mark.parametrize(
    "values",
    [
        {"seeds": None}, {"seeds": 0}, {"seeds": MOST_SEEDS_IN_A_POD + 1}, {"cup": None},
        {"harvested_on": None}, {"state": "set"},
    ],
)  # fmt: skip
def test_pollination__harvest_whole(cast, values: dict) -> None:
    breaks("pollination_harvest_whole", setting(cast.flower, **values))


def test_pollination__seeds_without_harvest(cast) -> None:
    breaks("pollination_harvest_whole", setting(cast.bee_flower, seeds=4))


def test_pollination__failed_with_reason(cast) -> None:
    breaks("pollination_failed_with_reason", setting(cast.failed, fail_reason=""))
    breaks("pollination_failed_with_reason", setting(cast.bee_flower, fail_reason="eaten"))


def test_cup__number_once(cast) -> None:
    same = {"cross": cast.cross, "number": 1, "filled_on": SOWN}
    breaks("cross_id.*number", lambda: SeedCup.objects.create(code="other", **same))
    breaks("code", lambda: SeedCup.objects.create(code="24-001-1", **same | {"number": 2}))


def test_cup__not_more_sown_than_held(cast) -> None:
    breaks("cup_not_more_sown_than_held", setting(cast.cup, sown=41))
    assert setting(cast.cup, sown=41, sown_reason="found one")() == 1


def test_pot__number_once(cast) -> None:
    same = {"cup": cast.cup, "number": 1, "seeds": 1, "sown_on": SOWN}
    breaks("cup_id.*number", lambda: Pot.objects.create(code="other", **same))
    breaks("code", lambda: Pot.objects.create(code="24-001-1-1", **same | {"number": 2}))


def test_pot__holds_seed(cast) -> None:
    breaks("pot_holds_seed|pot_not_more_up", setting(cast.pot, seeds=0, up=0, lined_out=0))


def test_pot__not_more_up_than_sown(cast) -> None:
    breaks("pot_not_more_up_than_sown", setting(cast.pot, up=31))
    assert setting(cast.pot, up=31, up_reason="two from one")() == 1


def test_pot__not_more_out_than_up(cast) -> None:
    breaks("pot_not_more_out_than_up", setting(cast.pot, lined_out=19))
    assert setting(cast.pot, lined_out=19, lined_out_reason="a late one")() == 1


@pytest.mark.parametrize("name", ["counted_on", "first_up_on", "closed_on"])
def test_pot__dates_in_order(cast, name: str) -> None:
    breaks("pot_dates_in_order", setting(cast.pot, **{name: SOWN + BEFORE}))


def test_count__not_negative(cast) -> None:
    breaks("CHECK", setting(cast.pot.counts.get(), standing=-1))


@pytest.mark.parametrize("values", [{"first": 0}, {"first": 13}])
def test_row__positions_in_order(cast, values: dict) -> None:
    breaks("row_positions_in_order", setting(cast.row, **values))


def test_row__length_possible(cast) -> None:
    breaks("row_length_possible", setting(cast.row, last=MOST_SEEDLINGS + 1))
    assert setting(cast.row, last=MOST_SEEDLINGS)() == 1


def test_row__dates_in_order(cast) -> None:
    breaks("row_dates_in_order", setting(cast.row, closed_on=date(2025, 6, 9)))


@pytest.fixture
def seedling(act, cast) -> Seedling:
    return select_seedling(act(), row=cast.row, position=3).thing


def again(seedling: Seedling, **values: object) -> Callable[[], object]:
    plain = {
        "cross": seedling.cross, "row": seedling.row, "position": 4, "letter": "B",
        "code": "24-001B", "selected_on": seedling.selected_on,
    }  # fmt: skip
    return lambda: Seedling.objects.create(**plain | values)


def test_seedling__letter_position_code_and_plant_once(cast, seedling) -> None:
    breaks("letter", again(seedling, letter="A", plant=cast.guest))
    breaks("code", again(seedling, code="24-001A", plant=cast.guest))
    breaks("position", again(seedling, position=3, plant=cast.guest))
    breaks("plant_id", again(seedling, plant=seedling.plant))
    assert again(seedling, plant=cast.guest)().pk


@pytest.mark.parametrize("name", ["cross", "cup", "pot", "flower", "bed", "sheet", "teapot"])
def test_thread__nothing_that_others_hang_on_can_be_erased(cast, seedling, name: str) -> None:
    thing = cast.flower.tag if name == "flower" else getattr(cast, name)
    with pytest.raises(ProtectedError):
        thing.delete()
