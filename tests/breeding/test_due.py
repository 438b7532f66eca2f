"""Each kind of work: when it falls due, who is shown, and when it is over."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from breeding.due import KINDS, MOST_COUNTED, ORDER, all_work, pot_count_due, work
from breeding.models import Pollination, Pot
from breeding.records import count_up, harvest, line_out, note_pod, put_away, sow
from garden.calendar import GardenCalendar
from garden.models import JournalLine
from garden.records import undo
from tests.cast import COUNTED, LOOKED

CALENDAR = GardenCalendar()
WEEK = timedelta(days=6)


def due(key: str, today: date) -> list:
    return list(work(key, CALENDAR, today).things)


def test_all_work__in_the_order_of_the_thread(bare) -> None:
    kinds = list(all_work(CALENDAR, date(2026, 5, 20)))
    assert [kind.key for kind in kinds] == list(ORDER) == list(KINDS)
    assert [kind.count() for kind in kinds] == [0] * 6


def test_work__unknown_kind(bare) -> None:
    with pytest.raises(KeyError):
        work("prune", CALENDAR, date(2026, 5, 20))


def test_look__from_a_week_before_the_day(cast) -> None:
    day = date(2024, 6, 3) + timedelta(days=18)
    assert due("look", day - WEEK - timedelta(days=1)) == []
    assert due("look", day - WEEK) == [cast.bee_flower]


def test_look__says_when_and_how_late(cast) -> None:
    (pod,) = work("look", CALENDAR, date(2024, 6, 25)).first(5)
    assert (pod.due, pod.late) == (date(2024, 6, 21), 4)


def test_look__not_any_more_once_looked_at(act, cast) -> None:
    note_pod(act(day=LOOKED), pollination=cast.bee_flower, pod_set=True)
    assert due("look", date(2024, 6, 25)) == []


def test_look__forgotten_in_the_end(cast) -> None:
    assert due("look", date(2024, 6, 3) + timedelta(days=199)) == [cast.bee_flower]
    assert due("look", date(2024, 6, 3) + timedelta(days=200)) == []


def test_look__not_when_taken_back(act, cast) -> None:
    worked = JournalLine.objects.get(verb="record_pollination", subject_id=cast.bee_flower.pk)
    undo(act(), line=worked)
    assert due("look", date(2024, 6, 25)) == []


def test_harvest__pods_that_have_set(act, cast) -> None:
    note_pod(act(day=LOOKED), pollination=cast.bee_flower, pod_set=True)
    day = date(2024, 6, 3) + timedelta(days=56)
    assert due("harvest", day - WEEK - timedelta(days=1)) == []
    assert due("harvest", day - WEEK) == [cast.bee_flower]
    harvest(act(day=day), pollination=cast.bee_flower, seeds=5)
    assert due("harvest", day) == []


def test_harvest__the_garden_sets_its_own_days(act, cast) -> None:
    note_pod(act(day=LOOKED), pollination=cast.bee_flower, pod_set=True)
    slow = GardenCalendar(pod_ripe_days=80)
    assert not work("harvest", slow, date(2024, 8, 1)).things


def test_sow__from_the_sowing_day_on(cast) -> None:
    assert due("sow", date(2024, 11, 18)) == []
    (cup,) = work("sow", CALENDAR, date(2024, 11, 19)).first(5)
    assert (cup, cup.due, cup.left) == (cast.cup, date(2024, 11, 25), 10)


def test_sow__not_when_empty(act, cast) -> None:
    sow(act(), cup=cast.cup, seeds=10)
    assert due("sow", date(2026, 12, 1)) == []


def test_sow__not_when_put_away(act, cast) -> None:
    put_away(act(), thing=cast.cup, reason="mouldy")
    assert due("sow", date(2026, 12, 1)) == []


@pytest.fixture
def uncounted(act, cast) -> Pot:
    return sow(act(day=date(2024, 11, 25)), cup=cast.cup, seeds=10).thing


def test_count__in_spring(uncounted) -> None:
    assert uncounted not in due("count", date(2025, 3, 18))
    assert uncounted in due("count", date(2025, 3, 19))
    assert uncounted in due("count", date(2025, 3, 25) + timedelta(days=100))
    assert uncounted not in due("count", date(2025, 3, 25) + timedelta(days=101))


def test_count__again_after_some_days(act, uncounted) -> None:
    count_up(act(day=COUNTED), pot=uncounted, standing_now=3)
    assert uncounted not in due("count", COUNTED + timedelta(days=7))
    assert uncounted in due("count", COUNTED + timedelta(days=8))


def test_count__a_second_spring_but_no_third(uncounted) -> None:
    assert uncounted in due("count", date(2026, 4, 10))
    assert uncounted not in due("count", date(2027, 4, 10))


def test_count__not_when_all_are_up(act, uncounted) -> None:
    count_up(act(day=COUNTED), pot=uncounted, standing_now=10)
    assert uncounted not in due("count", date(2025, 5, 20))


def test_pot_count_due__first_again_and_next_spring() -> None:
    pot = Pot(sown_on=date(2024, 11, 25))
    assert pot_count_due(CALENDAR, pot, today=date(2025, 3, 1)) == date(2025, 3, 25)
    pot.counted_on = date(2025, 4, 10)
    assert pot_count_due(CALENDAR, pot, today=date(2025, 4, 11)) == date(2025, 4, 24)
    assert pot_count_due(CALENDAR, pot, today=date(2025, 7, 3)) == date(2025, 4, 24)
    assert pot_count_due(CALENDAR, pot, today=date(2025, 7, 4)) == date(2026, 3, 25)
    pot.counted_on = date(2025, 7, 1)
    assert pot_count_due(CALENDAR, pot, today=date(2025, 7, 1)) == date(2026, 3, 25)
    pot.counted_on = date(2026, 4, 1)
    assert pot_count_due(CALENDAR, pot, today=date(2026, 4, 20)) == date(2026, 4, 15)


def test_line_out__when_big_enough(act, uncounted) -> None:
    count_up(act(day=COUNTED), pot=uncounted, standing_now=3)
    day = COUNTED + timedelta(days=35)
    assert uncounted not in due("line-out", day - WEEK - timedelta(days=1))
    assert uncounted in due("line-out", day - WEEK)


def test_line_out__what_is_left_in_the_pot(act, cast) -> None:
    assert due("line-out", date(2025, 6, 15)) == [cast.pot]
    line_out(act(), pot=cast.pot, bed=cast.bed, row=2, first=1, seedlings=6)
    assert due("line-out", date(2025, 6, 15)) == []


def test_line_out__not_after_more_than_a_year(cast) -> None:
    assert due("line-out", COUNTED + timedelta(days=399)) == [cast.pot]
    assert due("line-out", COUNTED + timedelta(days=400)) == []


def test_bloom__in_the_season_after_lining_out(cast) -> None:
    assert due("bloom", date(2025, 6, 15)) == []
    assert due("bloom", date(2026, 5, 3)) == []
    assert due("bloom", date(2026, 5, 4)) == [cast.row]
    assert due("bloom", date(2026, 5, 10) + timedelta(days=40)) == [cast.row]
    assert due("bloom", date(2026, 5, 10) + timedelta(days=41)) == []


def test_bloom__a_second_season_but_no_third(cast) -> None:
    assert due("bloom", date(2027, 5, 15)) == [cast.row]
    assert due("bloom", date(2028, 5, 15)) == []


def test_bloom__not_when_dug(act, cast) -> None:
    put_away(act(), thing=cast.row, reason="dug")
    assert due("bloom", date(2026, 5, 20)) == []


def test_count__stops_at_a_limit(cast) -> None:
    Pollination.objects.filter(pk=cast.bee_flower.pk).update(struck=True)
    more = [
        Pollination(cross=cast.bee_cross, tag=tag, day=date(2024, 6, 3))
        for tag in type(cast.flower.tag).objects.bulk_create(
            type(cast.flower.tag)(code=f"t{n}", batch=cast.sheet) for n in range(MOST_COUNTED + 9)
        )
    ]
    Pollination.objects.bulk_create(more)
    assert work("look", CALENDAR, date(2024, 6, 25)).count() == MOST_COUNTED + 1


TEN_WEEKS = timedelta(weeks=10)


@pytest.mark.parametrize(("key", "day", "thing"), [
    ("look", date(2024, 6, 21), "bee_flower"),
    ("sow", date(2024, 11, 25), "cup"),
    ("count", date(2026, 3, 25), "pot"),
    ("line-out", COUNTED + timedelta(days=35), "pot"),
    ("bloom", date(2026, 5, 10), "row"),
])  # fmt: skip
def test_work__ten_weeks_ahead(cast, key: str, day: date, thing: str) -> None:
    def seen(today: date) -> list:
        return list(work(key, CALENDAR, today, TEN_WEEKS).things)

    assert seen(day - TEN_WEEKS) == [getattr(cast, thing)]
    assert seen(day - TEN_WEEKS - timedelta(days=1)) == []
    assert due(key, day - TEN_WEEKS) == []


def test_harvest__ten_weeks_ahead_is_every_pod_that_set(act, cast) -> None:
    note_pod(act(day=LOOKED), pollination=cast.bee_flower, pod_set=True)
    assert due("harvest", LOOKED) == []
    (pod,) = work("harvest", CALENDAR, LOOKED, TEN_WEEKS).first(5)
    assert (pod, pod.due) == (cast.bee_flower, date(2024, 7, 29))


def test_count__nothing_ahead_that_waits_for_the_next_spring(act, uncounted) -> None:
    count_up(act(day=date(2025, 6, 24)), pot=uncounted, standing_now=3)
    pot = Pot.objects.get(pk=uncounted.pk)
    assert pot_count_due(CALENDAR, pot, today=date(2026, 3, 25)) == date(2026, 3, 25)
    for ahead in (WEEK, TEN_WEEKS):
        assert uncounted not in work("count", CALENDAR, date(2025, 7, 2), ahead).things


@pytest.mark.parametrize("key", ORDER)
def test_first__one_query(cast, key: str, django_assert_max_num_queries) -> None:
    with django_assert_max_num_queries(1):
        for thing in work(key, CALENDAR, date(2026, 5, 20)).first(10):
            cross = getattr(thing, "cross", None) or thing.cup.cross
            assert str(cross.seed_parent)
