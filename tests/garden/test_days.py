"""Days recorded by the real form are the days meant: midnight, summer time, leap day, zones."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding.models import Pollination
from garden.models import Garden, JournalLine
from tests import cast
from tests.cast import Stock
from tests.pages import texts

DAY, HOUR, MINUTE = timedelta(days=1), timedelta(hours=1), timedelta(minutes=1)
BERLIN, NEW_YORK = "Europe/Berlin", "America/New_York"
LORD_HOWE, APIA = "Australia/Lord_Howe", "Pacific/Apia"
# Zone, day of the change, and two moments of it by the garden's clock: (time, fold).
CHANGES = [
    (BERLIN, date(2026, 3, 29), (time(1, 59), 0), (time(3, 1), 0)),
    (BERLIN, date(2026, 10, 25), (time(2, 30), 0), (time(2, 20), 1)),
    (NEW_YORK, date(2026, 3, 8), (time(1, 59), 0), (time(3, 1), 0)),
    (NEW_YORK, date(2026, 11, 1), (time(1, 30), 0), (time(1, 20), 1)),
    (LORD_HOWE, date(2026, 10, 4), (time(1, 59), 0), (time(2, 31), 0)),
    (LORD_HOWE, date(2027, 4, 4), (time(1, 50), 0), (time(1, 40), 1)),
]
EDGES = ((time(0, 0, 30), 0), (time(23, 59, 30), 0))


def local(zone: str, day: date, at: time, fold: int = 0) -> datetime:
    return datetime.combine(day, at, ZoneInfo(zone)).replace(fold=fold)


def kept(
    client: Client,
    stock: Stock,
    tapped: datetime,
    waited: timedelta = timedelta(days=3),
    ahead: timedelta = timedelta(0),
    **more: Any,
) -> Pollination:
    """The flower that somebody worked at a moment, sent later by a phone so far ahead."""
    tag, known = stock.tags[Pollination.objects.count()], -ahead // timedelta(milliseconds=1)
    sent = tapped.astimezone(UTC) + waited
    shown = (tapped.astimezone(UTC) + ahead).isoformat()
    body = {"entry": str(uuid.uuid4()), "at": shown, "seed": stock.teapot.pk,
            "pollen": stock.ledger.pk, "tag": tag, "stigmas": 3, **more}  # fmt: skip
    headers = {"Haftbook-Entry": body["entry"], "Haftbook-Clock": (sent + ahead).isoformat(),
               "Haftbook-Skew": str(known)}  # fmt: skip
    with time_machine.travel(sent, tick=False):
        answer = client.post(reverse("new-cross"), body, headers=headers)
    assert answer.json()["outcome"] == "kept", answer.json()
    return Pollination.objects.get(tag__code=tag)


def in_zone(zone: str, **more: str) -> None:
    Garden.objects.update(time_zone=zone, **more)


@pytest.mark.parametrize("ahead", [timedelta(0), DAY, -DAY, 9 * HOUR, 40 * MINUTE])
def test_midnight__parts_two_taps_whatever_the_phone_shows(
    owner_client: Client, stock: Stock, ahead: timedelta
) -> None:
    day = date(2026, 6, 3)
    before = kept(owner_client, stock, local(BERLIN, day, time(23, 59, 30)), ahead=ahead)
    after = kept(owner_client, stock, local(BERLIN, day + DAY, time(0, 0, 30)), ahead=ahead)
    assert (before.day, after.day) == (day, day + DAY)


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago", "Asia/Kolkata"])
def test_phone__in_another_zone_records_by_the_garden_s_day(
    owner_client: Client, stock: Stock, zone: str
) -> None:
    day = date(2026, 6, 3)
    for at in (time(0, 0, 30), time(23, 59, 30)):
        shown = local(BERLIN, day, at).astimezone(ZoneInfo(zone))
        assert kept(owner_client, stock, shown, at=shown.isoformat()).day == day


@pytest.mark.parametrize("ahead", [timedelta(0), -DAY])
@pytest.mark.parametrize(("zone", "day", "first", "second"), CHANGES)
def test_change_of_summer_time__keeps_days_and_order(
    owner_client: Client, stock: Stock, zone: str, day: date, first: Any, second: Any,
    ahead: timedelta,
) -> None:  # fmt: skip
    in_zone(zone)
    taps = [local(zone, day, *each) for each in (EDGES[0], first, second, EDGES[1])]
    offsets = {tap.utcoffset() for tap in taps}
    assert len(offsets) == 2, "the clocks of this zone do not change on this day"
    worked = [kept(owner_client, stock, tap, ahead=ahead) for tap in taps]
    assert [flower.day for flower in worked] == [day] * 4
    lines = JournalLine.objects.filter(verb="record_pollination").order_by("happened_at")
    assert [line.subject_id for line in lines] == [flower.pk for flower in worked]
    assert [line.happened_at for line in lines] == [tap.astimezone(UTC) for tap in taps]


@pytest.fixture
def early_stock(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> Stock:
    """The stock and its tags as they were in 2011."""
    monkeypatch.setattr(cast, "PRINTED", date(2011, 5, 20))
    return request.getfixturevalue("stock")


def test_day_that_a_zone_left_out__is_nobody_s(owner_client: Client, early_stock: Stock) -> None:
    # Samoa went from 29 to 31 December 2011 (tz database, file australasia).
    in_zone(APIA)
    midnight = local(APIA, date(2011, 12, 31), time(0)).astimezone(UTC)
    taps = [midnight - HOUR, midnight - MINUTE, midnight + MINUTE, midnight + 23 * HOUR]
    worked = [kept(owner_client, early_stock, tap, ahead=-DAY) for tap in taps]
    assert [flower.day.day for flower in worked] == [29, 29, 31, 31]


LEAP_DAY = date(2024, 2, 29)


@pytest.mark.parametrize(("hemisphere", "season"), [("N", 2024), ("S", 2023)])
@pytest.mark.parametrize("ahead", [timedelta(0), DAY, -DAY, timedelta(days=365)])
def test_leap_day__is_a_day_like_others(
    owner_client: Client, early_stock: Stock, hemisphere: str, season: int, ahead: timedelta
) -> None:
    in_zone(BERLIN, hemisphere=hemisphere)
    worked = kept(owner_client, early_stock, local(BERLIN, LEAP_DAY, time(23, 59, 30)), ahead=ahead)
    assert (worked.day, worked.cross.season) == (LEAP_DAY, season)


def test_leap_day__is_counted_on_the_way_to_what_is_due(
    owner_client: Client, early_stock: Stock
) -> None:
    worked = kept(owner_client, early_stock, local(BERLIN, LEAP_DAY, time(12)), waited=HOUR)
    before = kept(owner_client, early_stock, local(BERLIN, LEAP_DAY - DAY, time(12)))
    calendar = Garden.get().calendar
    # 18 days to the look, 56 to the harvest: from 28 and 29 February 2024.
    assert calendar.pod_check_due(before.day) == date(2024, 3, 17)
    assert calendar.pod_check_due(worked.day) == date(2024, 3, 18)
    assert calendar.pod_ripe_due(worked.day) == date(2024, 4, 25)
    with time_machine.travel(local(BERLIN, date(2024, 3, 17), time(0, 0, 30))):
        page = owner_client.get(reverse("today"))
    said = texts(page, ".due .small")
    assert ["from 18 Mar" in each for each in said] == [False, True], said


def test_leap_day__comes_a_year_later_as_the_28th(owner_client: Client, early_stock: Stock) -> None:
    in_zone(BERLIN, sow_on="02-29")
    calendar = Garden.get().calendar
    assert calendar.sowing_due(LEAP_DAY) == LEAP_DAY
    assert calendar.sowing_due(LEAP_DAY + DAY) == date(2025, 2, 28)
    tap = local(BERLIN, date(2025, 2, 28), time(23, 59, 30))
    assert kept(owner_client, early_stock, tap).day == date(2025, 2, 28)
    assert kept(owner_client, early_stock, tap + MINUTE).day == date(2025, 3, 1)


def test_garden__that_changes_its_zone_keeps_the_days_that_stand(
    owner_client: Client, stock: Stock
) -> None:
    day = date(2026, 6, 3)
    worked = kept(owner_client, stock, local(BERLIN, day, time(23, 59, 30)), waited=MINUTE)
    in_zone("Pacific/Auckland")
    worked.refresh_from_db()
    assert (worked.day, worked.cross.season) == (day, 2026)
    # What waited counts by the zone that the garden is said to lie in when it arrives.
    assert kept(owner_client, stock, local("Pacific/Auckland", day, time(23, 59, 30))).day == day
    assert kept(owner_client, stock, local("Pacific/Auckland", day, time(0, 0, 30))).day == day


@pytest.mark.parametrize("zone", [BERLIN, "Pacific/Kiritimati", "Pacific/Pago_Pago"])
@pytest.mark.parametrize("ahead", [timedelta(0), DAY, -DAY])
def test_day__that_somebody_chose_stands_whatever_clocks_and_zones_say(
    owner_client: Client, stock: Stock, zone: str, ahead: timedelta
) -> None:
    tapped = local(BERLIN, date(2026, 6, 3), time(23, 59, 30))
    in_zone(zone)
    assert kept(owner_client, stock, tapped, ahead=ahead, day="2026-06-02").day == date(2026, 6, 2)


def test_due_day__turns_with_the_garden_s_midnight(owner_client: Client, stock: Stock) -> None:
    in_zone(LORD_HOWE, hemisphere="S")
    # Half an hour is lost on the way to the look, 18 days later.
    worked = kept(owner_client, stock, local(LORD_HOWE, date(2026, 9, 20), time(12)))
    due = Garden.get().calendar.pod_check_due(worked.day)
    assert due == date(2026, 10, 8)
    for at, day in ((time(23, 59, 30), due - DAY), (time(0, 0, 30), due)):
        with time_machine.travel(local(LORD_HOWE, day, at)):
            assert Garden.get().today() == day
            assert owner_client.get(reverse("hello")).json()["day"] == day.isoformat()
