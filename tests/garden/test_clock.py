"""When something happened, told by clocks that are wrong."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garden.clock import CLOCK_BEHIND, LONGEST_WAIT, TOLERANCE, true_moment

NOW = datetime(2026, 6, 5, 18, tzinfo=UTC)
TAP = datetime(2026, 6, 3, 12, tzinfo=UTC)
DAY, HOUR, MINUTE = timedelta(days=1), timedelta(hours=1), timedelta(minutes=1)
WRONG_BY = [DAY, -DAY, 26 * HOUR, -3 * HOUR, 7 * MINUTE, timedelta(days=9000)]

moments = st.datetimes(timezones=st.timezones() | st.just(UTC))
spans = st.timedeltas(timedelta(days=-500), timedelta(days=500))


@pytest.mark.parametrize("ahead", WRONG_BY)
def test_tap__of_a_wrong_clock_counts_back_from_now(ahead: timedelta) -> None:
    assert true_moment(TAP + ahead, NOW, NOW + ahead) == TAP
    assert true_moment(TAP + ahead, NOW, NOW + ahead, -ahead) == TAP


@pytest.mark.parametrize("ahead", WRONG_BY)
def test_tap__of_a_clock_put_right_before_the_sending(ahead: timedelta) -> None:
    assert true_moment(TAP + ahead, NOW, NOW, -ahead) == TAP


@pytest.mark.parametrize("ahead", [DAY, 26 * HOUR, timedelta(days=9000)])
def test_tap__of_a_clock_put_right_before_the_tap(ahead: timedelta) -> None:
    # Ahead of the garden when they last met; by that, the tap would lie long ago or in an hour.
    assert true_moment(NOW - HOUR, NOW, NOW, ahead) == NOW - HOUR


def test_tap__of_a_clock_in_another_zone_is_the_same_moment() -> None:
    there = TAP.astimezone(timezone(timedelta(hours=-7)))
    assert true_moment(there, NOW, NOW.astimezone(ZoneInfo("Asia/Tokyo"))) == TAP


def test_tap__is_not_moved_by_the_way_of_the_message() -> None:
    late = TOLERANCE - timedelta(seconds=1)
    assert true_moment(TAP, NOW, NOW - late) == TAP
    assert true_moment(TAP, NOW, NOW - late, late) == TAP


@pytest.mark.parametrize(
    ("tapped", "phone_now"),
    [
        (None, None),
        (None, NOW),
        (datetime(1970, 1, 1, tzinfo=UTC), None),
        (NOW - CLOCK_BEHIND, None),
        (NOW + DAY, None),
        (NOW - LONGEST_WAIT, NOW),
        (datetime(1, 1, 1, tzinfo=UTC), datetime(9999, 12, 31, tzinfo=UTC)),
        (datetime(9999, 12, 31, 23, 59, tzinfo=timezone(-HOUR)), datetime(1, 1, 1, tzinfo=UTC)),
    ],
)
def test_tap__that_cannot_be_believed_is_now(
    tapped: datetime | None, phone_now: datetime | None
) -> None:
    assert true_moment(tapped, NOW, phone_now) == NOW


@given(tapped=st.none() | moments, phone_now=st.none() | moments, known=st.none() | spans)
def test_moment__lies_within_the_longest_wait_and_never_ahead(
    tapped: datetime | None, phone_now: datetime | None, known: timedelta | None
) -> None:
    assert NOW - LONGEST_WAIT < true_moment(tapped, NOW, phone_now, known) <= NOW


@given(wait=st.timedeltas(timedelta(0), timedelta(days=300)), ahead=spans, zone=st.timezones())
def test_moment__is_the_tap_s_whatever_the_clock_shows(
    wait: timedelta, ahead: timedelta, zone: ZoneInfo
) -> None:
    tapped = (NOW - wait + ahead).astimezone(zone)
    off = abs(true_moment(tapped, NOW, NOW + ahead) - (NOW - wait))
    assert off <= (TOLERANCE if abs(ahead) <= TOLERANCE else timedelta(0))


ways = st.lists(
    st.tuples(
        st.timedeltas(timedelta(seconds=1), timedelta(days=3)),
        st.timedeltas(timedelta(0), 2 * MINUTE),
    ),
    min_size=2,
    max_size=6,
)


def arrived(ways: list[tuple[timedelta, timedelta]], ahead: timedelta, known: Any) -> list[Any]:
    """(true moment of the tap, moment made of it) of taps sent one after the other long after."""
    tapped, now, told = TAP, NOW + timedelta(days=20), []
    for between, way in ways:
        tapped, sent = tapped + between, now
        now = sent + way
        told.append((tapped, true_moment(tapped + ahead, now, sent + ahead, known)))
    return told


@given(ways=ways, ahead=spans)
def test_moments__of_one_phone_keep_the_order_of_its_taps(
    ways: list[tuple[timedelta, timedelta]], ahead: timedelta
) -> None:
    told = [moment for _, moment in arrived(ways, ahead, -ahead)]
    assert told == sorted(told)
    assert len(set(told)) == len(told)


@given(ways=ways, ahead=spans)
def test_moments__of_a_phone_that_knew_nothing_are_off_by_little_more_than_the_way(
    ways: list[tuple[timedelta, timedelta]], ahead: timedelta
) -> None:
    """A clock that is off by no more than the tolerance stands, and the way may hide as much."""
    for (truth, moment), (_, way) in zip(arrived(ways, ahead, None), ways, strict=True):
        assert abs(moment - truth) <= TOLERANCE + way
