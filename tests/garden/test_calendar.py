from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garden.calendar import REST_BEFORE_FIRST_BLOOM, GardenCalendar, MonthDay

NORTH = GardenCalendar()
SOUTH = NORTH.mirrored("S")
any_day = st.dates(date(1950, 1, 1), date(2150, 12, 31))
month_days = st.dates(date(2024, 1, 1), date(2024, 12, 31)).map(lambda d: MonthDay(d.month, d.day))


def test_month_day__parse() -> None:
    assert MonthDay.parse("02-29") == MonthDay(2, 29)


@pytest.mark.parametrize("text", ["", "11", "13-01", "02-30", "00-10", "eleven-25", "-"])
def test_month_day__parse_nonsense(text: str) -> None:
    with pytest.raises(ValueError, match="."):
        MonthDay.parse(text)


def test_month_day__words() -> None:
    assert MonthDay(11, 25).words() == "25 November"


def test_month_day__leap_day_in_other_years() -> None:
    assert MonthDay(2, 29).in_year(2023) == date(2023, 2, 28)
    assert MonthDay(2, 29).in_year(2024) == date(2024, 2, 29)


@given(month_days)
def test_month_day__text_and_back(day: MonthDay) -> None:
    assert MonthDay.parse(str(day)) == day


@given(month_days, any_day)
def test_month_day__on_or_after_is_within_a_year(yearly: MonthDay, day: date) -> None:
    assert timedelta(0) <= yearly.on_or_after(day) - day <= timedelta(days=366)


@given(month_days, any_day)
def test_month_day__on_or_before_is_within_a_year(yearly: MonthDay, day: date) -> None:
    assert timedelta(0) <= day - yearly.on_or_before(day) <= timedelta(days=366)


def test_month_day__the_day_itself_counts() -> None:
    day = date(2024, 11, 25)
    assert MonthDay(11, 25).on_or_after(day) == day == MonthDay(11, 25).on_or_before(day)


def test_season__north_is_the_calendar_year() -> None:
    assert NORTH.season(date(2024, 1, 1)) == NORTH.season(date(2024, 12, 31)) == 2024


def test_season__south_runs_from_july_to_june() -> None:
    assert SOUTH.season(date(2024, 7, 1)) == SOUTH.season(date(2025, 6, 30)) == 2024
    assert SOUTH.season(date(2024, 6, 30)) == 2023


@given(any_day, st.sampled_from([NORTH, SOUTH]))
def test_season_starts__on_or_before_each_of_its_days(day: date, year: GardenCalendar) -> None:
    season = year.season(day)
    assert year.season_starts(season) <= day < year.season_starts(season + 1)


def test_mirrored__every_yearly_day_moves_by_half_a_year() -> None:
    assert (SOUTH.sow_on, SOUTH.count_from, SOUTH.bloom_from) == (
        MonthDay(5, 25), MonthDay(9, 25), MonthDay(11, 10),
    )  # fmt: skip
    assert SOUTH.pod_ripe_days == NORTH.pod_ripe_days


def test_mirrored__twice_is_where_it_was() -> None:
    assert SOUTH.mirrored("N") == NORTH


def test_mirrored__same_hemisphere_moves_nothing() -> None:
    assert NORTH.mirrored("N") is NORTH


def test_half_a_year_on__end_of_month() -> None:
    assert MonthDay(8, 31).half_a_year_on() == MonthDay(2, 28)


def test_due_days__of_one_thread() -> None:
    assert NORTH.pod_check_due(date(2024, 6, 1)) == date(2024, 6, 19)
    assert NORTH.pod_ripe_due(date(2024, 6, 1)) == date(2024, 7, 27)
    assert NORTH.sowing_due(date(2024, 7, 28)) == date(2024, 11, 25)
    assert NORTH.sowing_due(date(2024, 11, 26)) == date(2025, 11, 25)
    assert NORTH.line_out_due(date(2025, 4, 10)) == date(2025, 5, 15)


def test_springs__the_two_after_sowing() -> None:
    assert NORTH.springs(date(2024, 11, 25)) == (date(2025, 3, 25), date(2026, 3, 25))


def test_first_bloom_due__the_spring_after_lining_out() -> None:
    assert NORTH.first_bloom_due(date(2025, 6, 10)) == date(2026, 5, 10)
    assert NORTH.first_bloom_due(date(2025, 10, 1)) == date(2026, 5, 10)


@given(any_day, st.sampled_from([NORTH, SOUTH]))
def test_first_bloom_due__after_a_rest(lined_out: date, year: GardenCalendar) -> None:
    assert year.first_bloom_due(lined_out) - lined_out >= REST_BEFORE_FIRST_BLOOM
