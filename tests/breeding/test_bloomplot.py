"""Bloom as bars and in sentences, without the database."""

from __future__ import annotations

from datetime import date

import pytest
from lxml import html

from breeding.flowering import Shift
from breeding.pages.bloomplot import APART, EDGE, Axis, Bar, axis_svg, bar_svg, chart_key
from breeding.pages.bloomwords import chance, days, shift_words

MAY = Axis(date(2026, 5, 1), 0.0, 40.0)


def drawn(bar: Bar, axis: Axis = MAY, **more: float) -> html.HtmlElement:
    return html.fromstring(bar_svg(bar, axis, **more))


def test_axis__reaches_around_all_bars_and_notes() -> None:
    axis = Axis.around([Bar(10, 14, 20), Bar(5, 9, 12, noted=(3, 25))], MAY.start)
    assert (axis.low, axis.high) == (1, 27)


def test_axis__of_one_day_has_a_length() -> None:
    axis = Axis.around([Bar(10, 10, 10)], MAY.start)
    assert axis.low < axis.high
    assert 0 <= axis.at(10) <= 100


@pytest.mark.parametrize(("day", "place"), [(-5, 0.0), (0, 0.0), (20, 50.0), (99, 100.0)])
def test_axis__keeps_days_within_the_chart(day: float, place: float) -> None:
    assert MAY.at(day) == place


def test_axis__names_days_with_room_between_them() -> None:
    texts = html.fromstring(axis_svg(Axis(date(2026, 1, 1), 100, 190))).cssselect("text")
    places = sorted(float(text.get("x").rstrip("%")) for text in texts)
    assert [text.text for text in texts][:2] == ["1 May", "1 Jun"]
    assert places[0] > EDGE
    assert all(after - before >= APART for before, after in zip(places, places[1:], strict=False))


def test_axis__names_between_months_stand_on_wide_pages_only() -> None:
    texts = html.fromstring(axis_svg(Axis(date(2026, 1, 1), 100, 160))).cssselect("text")
    assert {text.text.startswith("1 "): text.get("class") for text in texts} == {
        True: None, False: "desk",
    }  # fmt: skip


def test_bar__is_pale_where_expected_and_full_where_noted() -> None:
    pale, full = drawn(Bar(10, 14, 20, noted=(10, 15))).cssselect("rect")
    assert (pale.get("x"), full.get("x")) == ("25%", "25%")
    assert float(full.get("width")[:-1]) == pytest.approx(100 * 6 / 40)
    assert float(pale.get("width")[:-1]) == pytest.approx(100 * 11 / 40)


def test_bar__of_a_single_note_is_a_day_wide() -> None:
    _, full = drawn(Bar(10, 14, 20, noted=(10, 10))).cssselect("rect")
    assert float(full.get("width")[:-1]) == pytest.approx(2.5)


def test_bar__carries_whiskers_only_of_what_is_not_noted() -> None:
    def whiskers(bar: Bar) -> int:
        return sum(line.get("y1") == line.get("y2") for line in drawn(bar).cssselect("line"))

    assert whiskers(Bar(10, 14, 20, noted=(10, 20))) == 0
    assert whiskers(Bar(10, 14, 20, noted=(10, 10), last_between=(15, 25))) == 1
    assert whiskers(Bar(10, 14, 20, first_between=(2, 18))) == 1


def test_bar__marks_today_where_it_is_shown() -> None:
    plain, marked, beyond = (
        len(drawn(Bar(10, 14, 20), **more).cssselect("line"))
        for more in ({}, {"today": 12.0}, {"today": 90.0})
    )
    assert (marked - plain, beyond - plain) == (1, 0)


def test_key__says_what_each_mark_means() -> None:
    assert [word for _, word in chart_key()] == ["noted", "expected", "nine times in ten", "peak"]


@pytest.mark.parametrize(
    ("shift", "said"),
    [
        (Shift(-1.2, -2.6, -0.4, 5, 0, 3),
         "One day earlier than usual, told by 5 plants: nine times in ten "
         "it is 0 to 3 days earlier."),
        (Shift(0.2, -0.7, 0.9, 30, 0, 4),
         "As early as usual, told by 30 plants: nine times in ten "
         "it is within a day of the usual."),
        (Shift(2.0, -1.0, 5.0, 1, 2, 2),
         "Two days later than usual, told by 1 plant: nine times in ten it is between one day "
         "earlier and five days later."),
        (Shift(14.0, 10.0, 18.0, 9, 0, 6),
         "14 days later than usual, told by 9 plants: nine times in ten "
         "it is 10 to 18 days later."),
    ],
)  # fmt: skip
def test_shift__in_words_with_what_tells_it(shift: Shift, said: str) -> None:
    assert shift_words(shift) == said


def test_shift__says_when_nothing_tells_it() -> None:
    assert "Nothing noted of this season" in shift_words(Shift(0, -13, 13, 0, 0, 3))
    assert "No other season is noted" in shift_words(Shift(0, -13, 13, 8, 0, 1))


@pytest.mark.parametrize(
    ("part", "said"),
    [(1.0, "over 99 %"), (0.991, "over 99 %"), (0.99, "99 %"), (0.5, "50 %"), (0.0, "under 1 %")],
)
def test_chance__is_never_quite_sure(part: float, said: str) -> None:
    assert chance(part).replace("\u202f", " ") == said


def test_days__are_words_up_to_twelve() -> None:
    assert [days(count) for count in (0, 1, 12, 13)] == [
        "no days", "one day", "twelve days", "13 days",
    ]  # fmt: skip
