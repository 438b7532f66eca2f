from __future__ import annotations

import uuid
from datetime import date, timedelta

import pytest

from breeding.models import SeedCup
from breeding.records import harvest, note_pod, put_away, record_pollination
from garden.models import JournalLine
from garden.records import undo
from tests.cast import HARVESTED, LOOKED, WORKED
from tests.refusals import refused


@pytest.fixture
def flower(act, cast):
    """A third flower of the first cross, worked and not yet looked at."""
    return record_pollination(
        act(day=WORKED), seed_parent=cast.teapot, pollen_parent=cast.ledger, tag=cast.free_tag
    ).thing


def test_note_pod__set(act, cast, flower) -> None:
    kept = note_pod(act(day=LOOKED), pollination=flower, pod_set=True)
    assert (kept.thing.state, kept.thing.looked_on, kept.thing.fail_reason) == ("set", LOOKED, "")
    cast.cross.refresh_from_db()
    assert (cast.cross.flowers, cast.cross.pods, cast.cross.failed) == (3, 2, 1)
    assert kept.line.text == f"24-001, tag {flower.tag}: a pod has set (20 June 2024)"


def test_note_pod__failed(act, cast, flower) -> None:
    kept = note_pod(act(day=LOOKED), pollination=flower, pod_set=False, reason=" eaten ")
    assert (kept.thing.state, kept.thing.fail_reason) == ("failed", "eaten")
    cast.cross.refresh_from_db()
    assert (cast.cross.pods, cast.cross.failed) == (1, 2)


def test_note_pod__failed_after_all(act, cast, flower) -> None:
    note_pod(act(day=LOOKED), pollination=flower, pod_set=True)
    later = note_pod(
        act(), pollination=flower, pod_set=False, reason="dropped", day=date(2024, 7, 1)
    ).thing
    assert (later.state, later.looked_on) == ("failed", date(2024, 7, 1))


def test_note_pod__a_reason_is_dropped_when_a_pod_has_set(act, flower) -> None:
    thing = note_pod(act(), pollination=flower, pod_set=True, reason="eaten", day=LOOKED).thing
    assert thing.fail_reason == ""


def test_note_pod__how_it_failed(act, flower) -> None:
    refused(
        note_pod, act(), "Say how it failed", "reason",
        pollination=flower, pod_set=False, reason=" ",
    )  # fmt: skip


def test_note_pod__before_the_flower_was_worked(act, flower) -> None:
    refused(
        note_pod, act(), "31 May 2024 is before the flower was worked on 1 June 2024", "day",
        pollination=flower, pod_set=True, day=date(2024, 5, 31),
    )  # fmt: skip


def test_note_pod__already_harvested(act, cast) -> None:
    refused(note_pod, act(), "already harvested", pollination=cast.flower, pod_set=True)


def test_note_pod__struck_flower(act, cast, flower) -> None:
    undo(act(), line=JournalLine.objects.first())
    refused(note_pod, act(), "This flower was struck out", pollination=flower, pod_set=True)


def test_note_pod__not_come_yet(act, flower) -> None:
    refused(
        note_pod, act(day=LOOKED), "has not come yet", "day",
        pollination=flower, pod_set=True, day=date(2024, 7, 20),
    )  # fmt: skip


def test_note_pod__the_contrary_from_before_is_for_a_person_to_decide(act, flower) -> None:
    """Two phones looked at one tag out of reach; the earlier look comes in behind the later."""
    later, earlier = act(day=LOOKED), act(day=LOOKED)
    earlier.happened_at -= timedelta(minutes=20)
    note_pod(later, pollination=flower, pod_set=True)
    said = r"Somebody looked at tag \d+ after this, on 20 June 2024: a pod had set\. That stands"
    refused(note_pod, earlier, said, pollination=flower, pod_set=False, reason="eaten")
    flower.refresh_from_db()
    assert flower.state == "set"
    # Of one mind they are both kept; and what was seen later still has the last word.
    again = act(day=LOOKED)
    again.happened_at -= timedelta(minutes=10)
    note_pod(again, pollination=flower, pod_set=True)
    note_pod(act(day=date(2024, 6, 25)), pollination=flower, pod_set=False, reason="dropped")
    refused(note_pod, act(day=date(2024, 6, 30)), "after this, on 25 June 2024: dropped",
            pollination=flower, pod_set=True, day=date(2024, 6, 24))  # fmt: skip


def test_note_pod__a_look_that_was_taken_back_stands_in_nobodys_way(act, flower) -> None:
    earlier = act(day=LOOKED)
    earlier.happened_at -= timedelta(minutes=20)
    undo(act(day=LOOKED), line=note_pod(act(day=LOOKED), pollination=flower, pod_set=True).line)
    assert note_pod(earlier, pollination=flower, pod_set=False, reason="eaten").thing


def test_note_pod__same_entry(act, flower) -> None:
    entry = uuid.uuid4()
    note_pod(act(entry=entry), pollination=flower, pod_set=True)
    assert note_pod(act(entry=entry), pollination=flower, pod_set=True).again
    refused(
        note_pod, act(entry=entry), "already kept",
        pollination=flower, pod_set=False, reason="eaten",
    )  # fmt: skip


def test_harvest__into_a_new_cup(act, cast, flower) -> None:
    kept = harvest(act(day=HARVESTED), pollination=flower, seeds=25)
    cup = kept.thing
    flower.refresh_from_db()
    assert (cup.code, cup.seeds, cup.filled_on, cup.left) == ("24-001-2", 25, HARVESTED, 25)
    assert (flower.state, flower.seeds, flower.cup, flower.harvested_on) == (
        "harvested", 25, cup, HARVESTED,
    )  # fmt: skip
    cast.cross.refresh_from_db()
    assert (cast.cross.pods, cast.cross.seeds) == (2, 65)
    assert kept.line.text == (
        f"Harvested tag {flower.tag}: 25 seeds into cup 24-001-2 (28 July 2024)"
    )
    assert kept.line.changed[0]["before"]["state"] == "worked"


def test_harvest__several_pods_into_one_cup(act, cast, flower) -> None:
    cup = harvest(act(), pollination=flower, seeds=25, cup=cast.cup, day=date(2024, 7, 20)).thing
    assert cup == cast.cup
    assert (cup.seeds, cup.filled_on, cup.pods.count()) == (65, date(2024, 7, 20), 2)
    assert SeedCup.objects.count() == 1


@pytest.mark.parametrize("seeds", [1, 300])
def test_harvest__fewest_and_most_seeds(act, flower, seeds: int) -> None:
    assert harvest(act(), pollination=flower, seeds=seeds).thing.seeds == seeds


@pytest.mark.parametrize(
    ("seeds", "sentence"),
    [(0, "noted as failed: empty"), (-1, "from 1 to 300"), (301, "from 1 to 300")],
)
def test_harvest__impossible_seeds(act, flower, seeds: int, sentence: str) -> None:
    refused(harvest, act(), sentence, "seeds", pollination=flower, seeds=seeds)


def test_harvest__twice(act, cast) -> None:
    refused(harvest, act(), "already harvested", pollination=cast.flower, seeds=5)


def test_harvest__failed_flower(act, cast) -> None:
    refused(
        harvest, act(), "noted as failed: dried up. Correct that first",
        pollination=cast.failed, seeds=5,
    )  # fmt: skip


def test_harvest__before_the_flower_was_worked(act, flower) -> None:
    refused(
        harvest, act(), "before the flower was worked", "day",
        pollination=flower, seeds=5, day=date(2024, 5, 1),
    )  # fmt: skip


def test_harvest__before_somebody_looked(act, flower) -> None:
    note_pod(act(day=LOOKED), pollination=flower, pod_set=True)
    refused(
        harvest, act(), "before somebody looked at the pod on 20 June 2024", "day",
        pollination=flower, seeds=5, day=date(2024, 6, 19),
    )  # fmt: skip


def test_harvest__cup_of_another_cross(act, cast) -> None:
    refused(
        harvest, act(), "Cup 24-001-1 holds seed of another cross", "cup",
        pollination=cast.bee_flower, seeds=5, cup=cast.cup,
    )  # fmt: skip


def test_harvest__cup_put_away(act, cast, flower) -> None:
    put_away(act(), thing=cast.cup, reason="mouldy")
    refused(harvest, act(), "Cup 24-001-1 was put away", pollination=flower, seeds=5, cup=cast.cup)


def test_harvest__struck_flower(act, cast, flower) -> None:
    undo(act(), line=JournalLine.objects.first())
    refused(harvest, act(), "This flower was struck out", pollination=flower, seeds=5)


def test_harvest__same_entry(act, flower) -> None:
    entry = uuid.uuid4()
    cup = harvest(act(entry=entry), pollination=flower, seeds=25).thing
    assert harvest(act(entry=entry), pollination=flower, seeds=25).thing == cup
    refused(harvest, act(entry=entry), "already kept", pollination=flower, seeds=26)
    assert SeedCup.objects.count() == 2


def test_harvest__visitor(act, flower, visitor) -> None:
    refused(harvest, act(visitor), "Visitors read", pollination=flower, seeds=25)
