"""Spans between counts, the yearly factor, and the years to come."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garden.increase import (
    Counted,
    Dot,
    Span,
    Taken,
    Vigour,
    counts_svg,
    forecast,
    hold_back,
    may_sell,
    now,
    refill_from,
    shrink,
    spans_of,
    table,
    vigour,
)

SUMMER = date(2020, 8, 20)


def day(year: int, month: int = 8) -> date:
    return date(year, month, 20)


def steady(factor: float, spread: float = 0.0, variance: float = 0.0) -> Vigour:
    """A plant of that factor."""
    mean = math.log(factor)
    return Vigour(mean, variance, spread, 20, mean, 4, 4.0, 6, 0.0, mean)


def test_spans__what_was_taken_counts_as_grown() -> None:
    counts = [Counted("a", day(2024), 4), Counted("a", day(2025), 6)]
    (span,) = spans_of(counts, [Taken("a", day(2025, 3), 6)])
    assert (span.start, span.end, span.taken) == (4, 6, 6)
    assert span.growth == pytest.approx(math.log(3))


def test_spans__what_is_taken_on_the_day_of_a_count_went_before_or_after_it() -> None:
    counts = [Counted("a", day(2023), 4), Counted("a", day(2024), 3), Counted("a", day(2025), 9)]
    before, after = Taken("a", day(2024), 5, before=True), Taken("a", day(2024), 2)
    assert [span.taken for span in spans_of(counts, [before, after])] == [5, 2]
    assert now(counts[:2], [before, after]) == 1


def test_spans__what_was_lined_out_onto_a_counted_place_is_grown_once() -> None:
    counts = [Counted("a", day(2024), 10), Counted("a", day(2025), 15),
              Counted("b", day(2024), 3), Counted("b", day(2025), 11)]  # fmt: skip
    moved = Taken("a", day(2024, 10), 5, stays=True)
    (span,) = spans_of(counts, [moved])
    assert (span.start, span.end, span.taken) == (13, 26, 0)
    # Onto a place that was not counted before it is growth of the first.
    (alone,) = spans_of(counts[:2], [moved])
    assert (alone.end, alone.taken) == (15, 5)


def test_spans__what_is_planted_where_nothing_was_left_is_no_growth() -> None:
    counts = [
        Counted("a", day(2024), 10),
        Counted("a", day(2024, 10), 0),
        Counted("a", day(2025), 5),
    ]
    assert spans_of(counts, [Taken("a", day(2024, 9), 10)]) == []


def test_now__what_left_an_unknown_place_is_taken_off_unless_all_were_counted_since() -> None:
    counts = [Counted("a", date(2026, 8, 1), 10), Counted("b", date(2026, 8, 20), 5)]
    assert now(counts, [Taken("", date(2026, 8, 10), 4)]) == 11
    assert now(counts, [Taken("", date(2026, 7, 10), 4)]) == 15


def test_spans__a_recount_of_the_same_summer_is_passed_over() -> None:
    counts = [Counted("a", day(2024), 4), Counted("a", day(2024, 9), 5), Counted("a", day(2025), 8)]
    (span,) = spans_of(counts)
    assert (span.first, span.last, span.start, span.end) == (day(2024), day(2025), 4, 8)


def test_spans__places_of_the_same_seasons_stand_together() -> None:
    counts = [
        Counted("a", day(2024), 4), Counted("a", day(2025), 8),
        Counted("b", day(2024, 9), 2), Counted("b", day(2025, 9), 10),
        Counted("c", day(2025), 50),
    ]  # fmt: skip
    (span,) = spans_of(counts)
    assert (span.start, span.end) == (6, 18)


def test_spans__a_place_with_nothing_at_first_tells_nothing() -> None:
    counts = [Counted("a", day(2023), 0), Counted("a", day(2024), 3), Counted("a", day(2025), 6)]
    (span,) = spans_of(counts)
    assert (span.start, span.end) == (3, 6)


def test_spans__nothing_left_counts_as_half_a_plant() -> None:
    (span,) = spans_of([Counted("a", day(2024), 2), Counted("a", day(2025), 0)])
    assert span.growth == pytest.approx(math.log(0.25))


def test_spans__what_left_an_unknown_place_goes_to_the_largest() -> None:
    counts = [
        Counted("a", day(2024), 2), Counted("b", day(2023), 9),
        Counted("a", day(2025), 4), Counted("b", day(2025), 20),
    ]  # fmt: skip
    spans = spans_of(counts, [Taken("", day(2025, 3), 7)])
    assert sorted((span.start, span.taken) for span in spans) == [(2, 0), (9, 7)]


def test_spans__none_without_two_counts() -> None:
    assert spans_of([]) == []
    assert spans_of([Counted("a", day(2024), 3)]) == []


def test_now__last_counts_less_what_left_since() -> None:
    counts = [Counted("a", day(2024), 9), Counted("a", day(2025), 5), Counted("b", day(2024), 3)]
    taken = [
        Taken("a", day(2025), 4, before=True),
        Taken("a", day(2025, 9), 2),
        Taken("b", day(2025), 9),
    ]
    assert now(counts, taken) == 3
    assert now(counts, [*taken, Taken("", day(2025, 10), 1)]) == 2
    assert now(counts, [*taken, Taken("", day(2025, 10), -2)]) == 5
    assert now([]) == 0


def test_table__last_count_of_a_year_by_place() -> None:
    counts = [Counted("b", day(2024), 3), Counted("a", day(2025), 5), Counted("a", day(2025, 9), 6)]
    assert table(counts) == ([2024, 2025], {"b": {2024: 3}, "a": {2025: 6}})


def yearly(*numbers: int) -> list[Span]:
    return spans_of([Counted("a", day(2018 + at), number) for at, number in enumerate(numbers)])


def test_vigour__says_nothing_without_two_counts() -> None:
    assert vigour("x", {"x": [], "y": yearly(2, 4, 8)}) is None
    assert vigour("z", {"y": yearly(2, 4, 8)}) is None


def test_vigour__one_year_alone_has_a_factor_and_no_spread() -> None:
    found = vigour("x", {"x": yearly(2, 5)})
    assert found is not None
    assert found.factor == pytest.approx(2.5, rel=0.01)
    assert not found.tells_spread
    with pytest.raises(ValueError, match="no spread"):
        forecast(5, found, 2)
    with pytest.raises(ValueError, match="no spread"):
        found.between()


def test_vigour__a_single_year_leans_more_than_many() -> None:
    garden = {
        "a": yearly(2, 4, 7, 16, 30), "b": yearly(3, 4, 11, 18), "c": yearly(2, 6, 10, 31),
        "d": yearly(4, 7, 15, 30), "one year": yearly(2, 12),
    }  # fmt: skip
    short, long = vigour("one year", garden), vigour("a", garden)
    assert short is not None
    assert long is not None
    assert short.leaning > 2 * long.leaning > 0
    assert short.usual < short.mean < short.own


def test_vigour__fewer_than_four_plants_do_not_lean() -> None:
    garden = {"a": yearly(2, 4, 9), "b": yearly(2, 3, 4), "c": yearly(1, 4, 9)}
    found = vigour("a", garden)
    assert found is not None
    assert found.leaning == 0
    assert found.mean == found.own
    assert found.plants == 1


def test_vigour__interval_is_that_of_t() -> None:
    from scipy.stats import t

    found = steady(2.0, spread=0.3, variance=0.02)
    reach = t.ppf(0.95, 20) * math.sqrt(0.02 + 0.09)
    assert found.between() == pytest.approx((2 / math.exp(reach), 2 * math.exp(reach)))


def test_shrink__refuses_what_is_no_sample() -> None:
    for means, variances in [([], []), ([1.0], []), ([1.0], [-1.0]), ([1.0, 2.0], [0.0, 1.0])]:
        with pytest.raises(ValueError, match=r"variance"):
            shrink(means, variances)


def test_forecast__is_exact_where_nothing_varies() -> None:
    told = forecast(4, steady(3), 3, 2)
    assert [(one.low, one.middle, one.high) for one in told.years] == [
        (10, 10, 10), (28, 28, 28), (82, 82, 82),
    ]  # fmt: skip
    assert told.chance(3, 82) == 1
    assert told.chance(3, 83) == 0


def test_forecast__takes_what_each_year_is_said() -> None:
    told = forecast(10, steady(2), 3, [5, 0, 40])
    assert [one.middle for one in told.years] == [15, 30, 20]
    assert [one.taken for one in told.years] == [5, 0, 40]


def test_forecast__numbers_are_log_t() -> None:
    # Without takings log N is t distributed: location h·mu, scale² = h²·V + h·sigma².
    from scipy.stats import t

    found, years = steady(2, spread=0.3, variance=0.02), 3
    told = forecast(100, found, years).years[-1]
    scale = math.sqrt(years**2 * 0.02 + years * 0.09)
    for share, end in [(0.05, told.low), (0.5, told.middle), (0.95, told.high)]:
        exact = 100 * 2**years * math.exp(t.ppf(share, 20) * scale)
        assert math.log(end / exact) == pytest.approx(0, abs=0.04)


@pytest.mark.parametrize(
    ("start", "years", "takes"), [(-1, 2, 0), (3, 0, 0), (3, 13, 0), (3, 2, -1), (3, 2, [1])]
)
def test_forecast__refuses_what_cannot_be(start: int, years: int, takes: int | list[int]) -> None:
    with pytest.raises(ValueError, match=r"plants|forecast"):
        forecast(start, steady(2, 0.3), years, takes)


starts = st.integers(0, 400)
plants = st.builds(
    steady, st.floats(0.3, 5), st.floats(0, 1.2), st.floats(0, 0.5)
)  # fmt: skip
takings = st.integers(0, 60)


@settings(max_examples=40)
@given(starts, plants, st.integers(1, 5), takings)
def test_forecast__is_whole_in_order_and_never_negative(
    start: int, found: Vigour, years: int, take: int
) -> None:
    for one in forecast(start, found, years, take).years:
        assert all(isinstance(each, int) for each in (one.low, one.middle, one.high))
        assert 0 <= one.low <= one.middle <= one.high


@settings(max_examples=30)
@given(starts, starts, plants, st.integers(1, 5), takings)
def test_forecast__rises_with_the_start(
    one: int, other: int, found: Vigour, years: int, take: int
) -> None:
    low, high = sorted((one, other))
    below, above = forecast(low, found, years, take), forecast(high, found, years, take)
    assert (below.paths <= above.paths).all()
    assert below.chance(years, 10) <= above.chance(years, 10)


@settings(max_examples=30)
@given(starts, st.floats(0.3, 5), st.floats(0.3, 5), st.floats(0, 1), st.integers(1, 5), takings)
def test_forecast__rises_with_the_factor(
    start: int, one: float, other: float, spread: float, years: int, take: int
) -> None:
    low, high = sorted((one, other))
    below = forecast(start, steady(low, spread), years, take).paths
    assert (below <= forecast(start, steady(high, spread), years, take).paths).all()


@settings(max_examples=30)
@given(starts, plants, st.integers(1, 5), takings, takings)
def test_forecast__falls_with_what_is_taken(
    start: int, found: Vigour, years: int, one: int, other: int
) -> None:
    less, more = sorted((one, other))
    many, few = (forecast(start, found, years, take).paths for take in (less, more))
    assert (many >= few).all()


@settings(max_examples=40)
@given(st.integers(0, 150), plants, st.integers(1, 4), st.integers(0, 8))
def test_hold_back__is_enough_and_one_less_is_not(
    need: int, found: Vigour, years: int, take: int
) -> None:
    kept = hold_back(need, found, years, take=take)
    if kept is None:
        assert forecast(1_000_000, found, years, take).chance(years, need) < 0.9
        return
    assert forecast(kept, found, years, take).chance(years, need) >= 0.9
    if kept:
        assert forecast(kept - 1, found, years, take).chance(years, need) < 0.9


def test_hold_back__exact_cases() -> None:
    assert hold_back(27, steady(3), 3) == 1
    assert hold_back(28, steady(3), 3) == 2
    assert hold_back(12, steady(3), 0) == 12
    assert hold_back(0, steady(3, 0.5), 4) == 0
    # Two are taken each year: from 2 come 6 - 2, 12 - 2.
    assert hold_back(10, steady(3), 2, take=2) == 2
    assert hold_back(100, steady(1e-9), 3) is None


def test_refill__counts_the_best_year_within_the_years() -> None:
    assert refill_from(27, steady(3), 3) == 1
    # A plant that dwindles has its best year at once.
    assert refill_from(10, steady(0.5), 3) == 20
    assert refill_from(10, steady(0.5), 1) == 20


def test_may_sell__exact_cases() -> None:
    # 4 make 12; 7 sold leave 5, which make 15; 7 leave 8; 7 of 24 leave 17.
    assert may_sell(4, steady(3), 1, 3, 5) == 7
    assert may_sell(4, steady(3), 1, 1, 5) == 7
    assert may_sell(4, steady(3), 2, 1, 6) == 30
    assert may_sell(4, steady(3), 1, 1, 0) == 12
    assert may_sell(4, steady(1), 1, 2, 5) == 0
    # 4 -> 12 - 2 -> 30; and takings that cannot be leave nothing to sell.
    assert may_sell(4, steady(3), 2, 1, 6, take=2) == 24
    assert may_sell(4, steady(3), 4, 1, 0, take=30) == 0
    assert may_sell(0, steady(3), 1, 2, 0) == 0


@settings(max_examples=25)
@given(st.integers(1, 60), plants, st.integers(1, 3), st.integers(1, 3), st.integers(0, 20))
def test_may_sell__is_kept_and_falls_with_what_is_to_stay(
    start: int, found: Vigour, until: int, selling: int, keep: int
) -> None:
    sold = may_sell(start, found, until, selling, keep)
    assert sold >= may_sell(start, found, until, selling, keep + 5)
    assert sold <= may_sell(start + 5, found, until, selling, keep)
    if sold:
        takes = [0] * (until - 1) + [sold] * selling
        paths = forecast(start, found, until + selling - 1, takes).paths[until - 1 :]
        assert (paths.min(axis=0) >= keep * (1 - 1e-9)).mean() >= 0.9


def test_sums__refuse_numbers_below_nothing() -> None:
    for ask in (lambda: hold_back(-1, steady(2), 2), lambda: may_sell(3, steady(2), 1, 1, -2)):
        with pytest.raises(ValueError, match="0 or more"):
            ask()


def test_span__a_year_is_a_year_of_the_calendar() -> None:
    span = Span(SUMMER, SUMMER + timedelta(days=1461), 1, 16)
    assert span.years == pytest.approx(4)
    assert span.factor == pytest.approx(2)


def test_plot__has_no_style_and_says_its_numbers() -> None:
    from lxml import etree

    dots = [Dot(2024, 4), Dot(2025, 12), Dot(2026, 30, 11, 80)]
    drawn = counts_svg(dots, 'Fans of "A & B"')
    root = etree.fromstring(drawn)
    assert root.get("aria-label") == 'Fans of "A & B"'
    assert "style" not in drawn
    assert len(root.findall("circle")) == 3
    heights = [float(one.get("cy")) for one in root.findall("circle")]
    assert heights == sorted(heights, reverse=True)
    # Equal factors are equal steps: 4 to 12 is 3, so 10 to 30 is as high.
    from garden.increase.plot import _y

    assert _y(4, 80) - _y(12, 80) == pytest.approx(_y(10, 80) - _y(30, 80), abs=0.2)
    assert counts_svg([], "nothing") == ""


def test_plot__stays_within_its_frame_for_any_numbers() -> None:
    from lxml import etree

    for numbers in ([0, 0], [1, 100_000], [5], list(range(40))):
        dots = [Dot(2000 + at, number) for at, number in enumerate(numbers)]
        for one in etree.fromstring(counts_svg(dots, "t")).iter():
            for name in ("y", "y1", "y2", "cy"):
                assert 0 <= float(one.get(name, "1")) <= 240
