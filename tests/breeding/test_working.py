"""How many flowers to work: against closed forms, against throws, and by its nature."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from breeding.inheritance.expecting import expect
from breeding.inheritance.quadrature import Spread, number, shape_of_share, share
from breeding.inheritance.working import Rates, flowers_to_work
from tests.breeding.invented_loci import FOUR, T, copies, spread

# A garden with differences between crosses, sowings and pods.
GARDEN = Rates(Spread(0.4, 0.02), Spread(25, 150), Spread(0.5, 0.03), Spread(0.8), 20)
PLAIN = Rates(Spread(0.5), Spread(20, 20), Spread(0.5))


@settings(max_examples=25, deadline=None)
@given(st.floats(0.005, 1), st.floats(0.05, 0.95), st.floats(1, 60), st.floats(0, 200))
def test_flowers_by_the_closed_form(q: float, pods: float, seeds: float, beyond: float) -> None:
    """One wanted: each flower fails by itself, by its pod or by all its seeds."""
    rates = Rates(Spread(pods), Spread(seeds, seeds + beyond), Spread(0.5))
    mean = seeds * 0.5 * q
    # Above 1e-9 the seeds of a pod are negative binomial, not Poisson.
    size = seeds**2 / beyond if beyond > 1e-9 else None
    none = exp(-mean) if size is None else (1 + mean / size) ** -size
    exact = log(0.05) / log(1 - pods * (1 - none))
    found = flowers_to_work([(q, 1)], 1, rates).sure
    assert found is not None or exact > 2000
    if found is not None:
        assert ceil(exact - 1e-6) <= found <= ceil(exact + 1e-6)


@pytest.mark.parametrize("wanted", [1, 5, 20])
def test_flowers_are_enough_as_often_as_said(wanted: int) -> None:
    """Thrown anew: pods, seeds, germination, life and readings, 95 % of the crosses give enough."""
    readings = [(1 / 36, 0.6), (0.0, 0.01), (0.25, 0.39)]
    told = flowers_to_work(readings, wanted, GARDEN)
    assert told.sure is not None
    for flowers, most in ((told.sure, 1.0), (told.sure - 1, told.reached)):
        enough = thrown(flowers, readings, GARDEN, 60_000) >= wanted
        assert enough.mean() == pytest.approx(min(told.reached, most), abs=0.006)
    assert told.reached == pytest.approx(0.95, abs=0.004)


def thrown(flowers: int, readings: list, rates: Rates, times: int) -> np.ndarray:
    """Wanted seedlings in bloom, thrown pod by pod."""
    dice = np.random.default_rng(7)
    pods = dice.binomial(flowers, dice.beta(*shape_of_share(rates.pods), times))
    mean = dice.gamma(
        rates.seeds.mean**2 / rates.seeds_of_crosses,
        rates.seeds_of_crosses / rates.seeds.mean,
        times,
    )
    size = rates.evenness
    seeds = dice.negative_binomial(np.maximum(size * pods, 1e-9), size / (size + mean))
    chance, weight = zip(*readings, strict=True)
    each = dice.beta(*shape_of_share(rates.germination), times) * rates.bloom.mean
    return dice.binomial(seeds, each * dice.choice(chance, times, p=weight))


def test_flowers_on_average_are_fewer_than_to_be_sure() -> None:
    told = flowers_to_work([(1 / 4, 1)], 10, GARDEN)
    each = 0.4 * 25 * 0.5 * 0.8 / 4
    assert told.on_average == ceil(10 / each)
    assert told.sure is not None
    assert told.sure > 2 * told.on_average


def test_flowers_steps_lead_from_flowers_to_wanted() -> None:
    told = flowers_to_work([(1 / 4, 1)], 3, GARDEN)
    assert [each.stage for each in told.steps] == [
        "flowers", "pods", "seeds", "seedlings", "blooming", "wanted",
    ]  # fmt: skip
    flowers, pods, seeds, up, blooming, wanted = (each.mean for each in told.steps)
    assert flowers == told.sure
    assert (pods / flowers, seeds / pods, up / seeds) == pytest.approx((0.4, 25, 0.5))
    assert (blooming / up, wanted / blooming) == pytest.approx((0.8, 0.25))
    assert all(each.low <= each.mean <= each.high for each in told.steps)
    assert told == flowers_to_work([(1 / 4, 1)], 3, GARDEN)


def test_flowers_when_the_type_may_be_impossible() -> None:
    told = flowers_to_work([(0, 0.2), (0.25, 0.8)], 1, PLAIN)
    assert (told.sure, told.possible) == (None, 0.8)
    assert told.given_possible == flowers_to_work([(0.25, 1)], 1, PLAIN).sure
    assert told.reached == pytest.approx(0.8)
    assert told.steps[0].mean == told.given_possible


def test_flowers_when_nothing_can_come() -> None:
    told = flowers_to_work([(0, 1)], 1, PLAIN)
    assert (told.on_average, told.sure, told.given_possible, told.steps) == (None, None, None, ())
    barren = flowers_to_work([(0.5, 1)], 1, replace(PLAIN, pods=Spread(0)))
    assert (barren.on_average, barren.sure, barren.reached) == (None, None, 0)


def test_flowers_beyond_what_anybody_works() -> None:
    told = flowers_to_work([(1e-3, 1)], 5, PLAIN)
    assert told.on_average == 1000
    assert told.sure is not None
    assert not told.sure_beyond
    told = flowers_to_work([(1e-4, 1)], 5, PLAIN)
    assert (told.sure, told.on_average, told.beyond, told.sure_beyond) == (None, None, True, True)
    assert 0 < told.reached < 0.95
    assert told.steps[0].mean == 2000
    assert flowers_to_work([(1e-9, 1)], 1, PLAIN).on_average is None


def test_flowers_on_average_end_where_nobody_works_more() -> None:
    """Five seedlings in bloom from a flower."""
    assert flowers_to_work([(1e-4, 1)], 1, PLAIN).on_average == 2000
    assert flowers_to_work([(0.99e-4, 1)], 1, PLAIN).on_average is None


def test_flowers_are_not_said_to_be_many_where_no_number_will_do() -> None:
    told = flowers_to_work([(0, 0.2), (1e-9, 0.8)], 1, PLAIN)
    assert (told.sure, told.given_possible, told.beyond, told.sure_beyond) == (
        None, None, True, False,
    )  # fmt: skip
    barren = flowers_to_work([(0.5, 1)], 1, replace(PLAIN, pods=Spread(0)))
    assert not barren.beyond


def test_flowers_of_a_sure_thing() -> None:
    """Every flower sets, every seed grows and is wanted, twenty even seeds in a pod."""
    sure = Rates(Spread(1), Spread(20), Spread(1))
    assert flowers_to_work([(1, 1)], 1, sure).sure == 1
    assert flowers_to_work([(1, 1)], 1, sure).on_average == 1


@settings(max_examples=15, deadline=None)
@given(
    st.floats(0.02, 0.9),
    st.integers(1, 8),
    st.floats(0.1, 0.9),
    st.floats(0, 0.9),
    st.floats(0, 90),
)
def test_flowers_grow_with_what_is_wanted_and_with_certainty(
    q: float, wanted: int, pods: float, varied: float, beyond: float
) -> None:
    rates = Rates(Spread(pods, varied * pods * (1 - pods)), Spread(30, 30 + beyond), Spread(0.6))
    first, more, surer = (
        flowers_to_work([(q, 1)], wanted + extra, rates, sure).sure or 10**6
        for extra, sure in ((0, 0.8), (1, 0.8), (0, 0.9))
    )
    assert first <= more
    assert first <= surer


def test_flowers_for_a_cross_of_uncertain_copies() -> None:
    """From two plants to flowers in one go; the honest number is above the mean chance's."""
    cross = expect([T], {"T": spread(0, 0.5, 0.5, 0, 0)}, {"T": copies(1)}, FOUR)
    chance = cross.mixture_of({"T": "pink"})
    told = flowers_to_work(chance, 3, GARDEN)
    plug_in = flowers_to_work([(chance.mean, 1)], 3, GARDEN)
    assert told.sure is not None
    assert plug_in.sure is not None
    assert told.sure > plug_in.sure


@pytest.mark.parametrize(
    ("readings", "wanted", "sure"),
    [([(0.5, 1)], 0, 0.95), ([(0.5, 1)], 1, 1.0), ([(1.5, 1)], 1, 0.9), ([], 1, 0.9)],
)
def test_flowers_refuse_what_cannot_be(readings: list, wanted: int, sure: float) -> None:
    with pytest.raises(ValueError, match="1,000|above 1|weight"):
        flowers_to_work(readings, wanted, PLAIN, sure)


@pytest.mark.parametrize(("mean", "variance"), [(1.2, 0), (0.5, 0.26), (-0.1, 0), (0.5, -1)])
def test_rates_refuse_a_share_that_cannot_be(mean: float, variance: float) -> None:
    with pytest.raises(ValueError, match="cannot be|not negative"):
        Rates(Spread(mean, variance), Spread(20), Spread(0.5))


@pytest.mark.parametrize(("mean", "variance"), [(0.4, 0.02), (0.5, 0.2), (0.05, 0.01), (0.9, 1e-4)])
def test_share_has_the_moments_of_a_beta(mean: float, variance: float) -> None:
    told = share(Spread(mean, variance))
    beta = stats.beta(*shape_of_share(Spread(mean, variance)))
    for power in (1, 2, 3, 6):
        assert told.weights @ told.values**power == pytest.approx(beta.moment(power), rel=1e-9)


def test_share_of_half_and_half_as_arcsine() -> None:
    """The arcsine law, where the general recurrence is 0 by 0."""
    told = share(Spread(0.5, 0.125))
    assert told.weights.tolist() == pytest.approx([1 / 16] * 16)


def test_number_has_the_moments_of_a_gamma() -> None:
    told = number(Spread(25, 100))
    gamma = stats.gamma(6.25, scale=4)
    for power in (1, 2, 3, 6):
        assert told.weights @ told.values**power == pytest.approx(gamma.moment(power), rel=1e-9)
    assert number(Spread(25)).values.tolist() == [25]
    assert share(Spread(1)).values.tolist() == [1]
