"""When a backup is due and which are kept: days, weeks and months by the garden's clock."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garden.backup.keeping import Copy, is_due, kept

NOW = datetime(2026, 6, 17, 21, 40)  # a Wednesday


def copy_at(made: datetime, special: bool = False) -> Copy:
    return Copy(made, f"haftbook-{made:%Y-%m-%d-%H%M}.zip", special)


def kept_of(*made: datetime, special: bool = False) -> list[datetime]:
    return sorted(each.made for each in kept([copy_at(day, special) for day in made], NOW))


def test_kept__is_all_of_today_and_yesterday() -> None:
    made = [NOW - timedelta(hours=hours) for hours in range(0, 44, 3)]
    assert min(made).date() == datetime(2026, 6, 16).date()
    assert kept_of(*made) == sorted(made)


def test_kept__is_the_last_of_each_of_seven_days() -> None:
    made = [NOW - timedelta(days=days, hours=hours) for days in range(7) for hours in (0, 5)]
    days = [each.date() for each in kept_of(*made)]
    assert len(set(days)) == 7
    assert [days.count(day) for day in sorted(set(days))] == [1, 1, 1, 1, 1, 2, 2]
    assert {each.hour for each in kept_of(*made)[:5]} == {21}


def test_kept__is_the_last_of_each_week_then_of_each_month() -> None:
    made = [NOW - timedelta(days=days) for days in range(900)]
    left = kept_of(*made)
    weeks = [(each.month, each.day) for each in left if 7 <= (NOW - each).days < 50]
    # Sundays, and the last day of April.
    assert weeks == [(4, 30), (5, 3), (5, 10), (5, 17), (5, 24), (5, 31), (6, 7)]
    months = [each for each in left if (NOW - each).days >= 60]
    assert len({(each.year, each.month) for each in months}) == len(months)
    assert min(left) == datetime(2024, 7, 31, 21, 40)
    assert len(left) < 2 + 7 + 8 + 24


def test_kept__is_the_newest_three_whatever_their_age() -> None:
    made = [NOW - timedelta(days=3000 + days) for days in range(5)]
    assert kept_of(*made) == sorted(made)[2:]


def test_kept__is_what_was_made_before_an_upgrade_for_sixty_days() -> None:
    made = [NOW - timedelta(days=days, hours=hours) for days in (40, 59) for hours in (1, 2, 3, 4)]
    assert kept_of(*made, special=True) == sorted(made)
    assert len(kept_of(*made)) < len(made)


moments = st.integers(-3 * 24 * 60, 1100 * 24 * 60).map(lambda ago: NOW - timedelta(minutes=ago))
copies = st.lists(st.builds(copy_at, moments, st.booleans()), max_size=120, unique=True)


@given(copies=copies)
def test_kept__never_loses_the_newest_and_is_bounded(copies: list[Copy]) -> None:
    left = kept(copies, NOW)
    assert left <= set(copies)
    assert set(sorted(copies)[-3:]) <= left
    assert kept(left, NOW) == left
    old = [each for each in left if each.made.date() < (NOW - timedelta(days=2)).date()]
    assert len([each for each in old if not each.special]) <= 7 + 8 + 24 + 3
    assert {each for each in copies if each.made > NOW} <= left


@given(copies=copies, later=st.integers(0, 400))
def test_kept__never_takes_back_what_it_gave_up(copies: list[Copy], later: int) -> None:
    """Whoever thins out every day keeps no less than who thins out once in a long while."""
    then = NOW + timedelta(days=later)
    assert kept(copies, then) - kept(copies, NOW) == set()


@given(copies=copies)
def test_kept__covers_every_month_of_two_years(copies: list[Copy]) -> None:
    left = kept(copies, NOW)
    for each in copies:
        if each.made <= NOW and (NOW - each.made).days < 23 * 30:
            assert [one for one in left if one.made.date().replace(day=1)
                    == each.made.date().replace(day=1)]  # fmt: skip


@pytest.mark.parametrize(
    ("wrote", "made", "tried", "due"),
    [
        (None, None, None, False),
        (timedelta(minutes=5), None, None, False),
        (timedelta(minutes=20), None, None, True),
        (timedelta(minutes=25), timedelta(days=1), None, True),
        # Somebody who writes now and then all day long fills no disk.
        (timedelta(minutes=25), timedelta(minutes=50), None, False),
        (timedelta(minutes=25), timedelta(hours=2), None, True),
        # That day is over, or the laptop was shut before.
        (timedelta(hours=22), timedelta(days=1), None, True),
        (timedelta(hours=22), timedelta(minutes=10), None, True),
        (timedelta(days=200), None, None, True),
        # What failed is tried again, but not every minute.
        (timedelta(minutes=25), None, timedelta(minutes=5), False),
        (timedelta(minutes=25), None, timedelta(hours=1), True),
        # A clock that was put back.
        (timedelta(minutes=25), timedelta(days=-1), timedelta(days=-1), True),
    ],
)
def test_due__after_a_days_work(
    wrote: timedelta | None, made: timedelta | None, tried: timedelta | None, due: bool
) -> None:
    ago = [None if each is None else NOW - each for each in (wrote, made, tried)]
    assert is_due(NOW, *ago) is due
