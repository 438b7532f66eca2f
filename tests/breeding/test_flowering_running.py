"""The year that is running: late, or little noted? Against simulated gardens and plain throws."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from breeding.flowering import Noted, Shift, fit
from breeding.flowering.closed import Sites, settle
from breeding.flowering.diligence import quantile, together
from breeding.flowering.flowering import REACH
from breeding.flowering.layout import turns
from breeding.flowering.solving import sized
from breeding.flowering.spans import spans

PLACES = (0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, None)
STARTS = {"SDB": 115.0, "IB": 128.0, "TB": 140.0}
YEAR = 2024
STOPS = (118, 126, 134, 142)


@dataclass(frozen=True)
class Running:
    """A garden in the middle of a season, and what is true of it."""

    usual: dict[int, tuple[str, float | None]]
    noted: list[Noted]
    today: int
    shift: float
    first: dict[int, int]

    @property
    def begun(self) -> bool:
        return any(each.year == YEAR for each in self.noted)


def running(seed: int, tapped: float, past: int, plants: int = 40) -> Running:
    """First days of so many past years, all noted; of this year a share, until today."""
    dice = np.random.default_rng(seed)
    usual, noted, opened = {}, [], {}
    shifts = dice.normal(0, 7, past + 1)
    today = STOPS[seed % len(STOPS)]
    for plant in range(plants):
        group, letter = str(dice.choice(list(STARTS))), PLACES[dice.integers(len(PLACES))]
        usual[plant] = group, letter
        at = letter if letter is not None else dice.uniform(0.1, 0.9)
        place = STARTS[group] + 20 * (at - 0.5) + dice.normal(0, 3.5)
        for year, moved in enumerate(shifts, YEAR - past):
            day = round(place + moved + dice.normal(0, 2.5) + dice.normal(0, 1.5))
            blooms, seen = dice.random() < 0.95, dice.random() < (tapped if year == YEAR else 1)
            if blooms and year == YEAR:
                opened[plant] = day
            if blooms and seen and (year < YEAR or day <= today):
                noted.append(Noted(plant, year, "first", day))
    return Running(usual, noted, today, float(shifts[-1] - shifts.mean()), opened)


@cache
def shifts(tapped: float, past: int, many: int) -> list[tuple[Running, Shift, float]]:
    """(garden, shift as told, shift by the notes alone)."""
    found = []
    for seed in range(many):
        here = running(seed, tapped, past)
        if here.begun:
            told = fit(here.noted, here.usual, year=YEAR, today=here.today).shift(YEAR)
            found.append((here, told, fit(here.noted, here.usual).shift(YEAR).days))
    return found


@pytest.mark.parametrize("tapped", [1.0, 0.1])
def test_shift__holds_the_truth_whoever_walks(tapped: float) -> None:
    cases = [*shifts(tapped, 1, 28), *shifts(tapped, 4, 24)]
    held = [told.low <= here.shift <= told.high for here, told, _ in cases]
    assert len(held) > 40
    assert 0.82 <= np.mean(held) <= 0.97


def test_shift__of_a_diligent_year_gains_by_what_is_closed() -> None:
    cases = [*shifts(1.0, 1, 28), *shifts(1.0, 4, 24)]
    told = [found.days - here.shift for here, found, _ in cases]
    bare = [alone - here.shift for here, _, alone in cases]
    assert np.mean(bare) < -0.25
    assert abs(np.mean(told)) < 0.2
    assert np.mean(np.square(told)) < 0.75 * np.mean(np.square(bare))


def test_shift__of_a_sparse_year_does_not_feign_a_late_one() -> None:
    """If all that are not noted were closed, it would be by more than three days."""
    cases = [*shifts(0.1, 1, 28), *shifts(0.1, 4, 24)]
    assert abs(np.mean([found.days - here.shift for here, found, _ in cases])) < 0.8


def test_shift__one_late_tap_is_no_late_year() -> None:
    """Forty plants opened from day 20 on last year; this year one was noted, on day 60."""
    noted = [Noted(plant, 2023, "first", 20 + plant) for plant in range(40)]
    noted.append(Noted(39, 2024, "first", 60))
    usual = dict.fromkeys(range(40), ("TB", None))
    found = fit(noted, usual, year=2024, today=60).shift(2024)
    assert found.waiting == 39
    assert found.low < 0.5 < found.high
    assert abs(found.days) < 3


def test_spans__of_plants_not_noted_hold_their_first_days() -> None:
    """Whether few are noted or all: of those that bloom and are not noted yet, nine in ten."""
    for tapped in (1.0, 0.1):
        held = []
        for seed in range(12):
            here = running(seed, tapped, past=3)
            found = fit(here.noted, here.usual, year=YEAR, today=here.today)
            noted = {each.plant for each in here.noted if each.year == YEAR}
            left = [plant for plant in here.first if plant not in noted]
            days = spans(found, found.layout.at(left), YEAR)
            reach = REACH * np.sqrt(days.spread()[0, 0])
            first = np.array([here.first[plant] for plant in left])
            held += (np.abs(first - days.days[0]) <= reach).tolist()
        assert len(held) > 150
        assert 0.82 <= np.mean(held) <= 0.97


@pytest.mark.parametrize("share", [0.95, 0.6, 0.1])
def test_settle__agrees_with_throwing(share: float) -> None:
    """Evidence and shift: thrown from the notes' posterior, weighed by what is seen of each."""
    here = running(1, 0.5, past=2, plants=12)
    bare = fit(here.noted, here.usual)
    layout, held, prior = bare.layout, bare.components, bare.posterior
    noted = {each.plant for each in here.noted if each.year == YEAR}
    plants = layout.at(plant for plant in here.usual if plant not in noted)
    columns = layout.columns([YEAR] * len(plants))
    sites = Sites.of(plants, columns, [here.today + 0.5 - bare.centre] * len(plants))
    found = settle(layout, sized(layout, turns(here.noted, layout), bare.centre), held, prior,
                   sites, share)  # fmt: skip
    dice, throws = np.random.default_rng(2), 60_000
    shared = dice.multivariate_normal(prior.mean, prior.spread, throws)
    rows = layout.rows(plants, columns, 0)
    weights = np.ones(throws)
    for at, plant in enumerate(plants):
        own = prior.start[plant] + shared @ prior.pull[plant].T
        own = own + dice.multivariate_normal([0, 0], prior.left[plant], throws)
        day = own @ rows[0][at] + shared @ rows[1][at]
        day = day + dice.normal(0, np.hypot(held.turn, held.note), throws)
        weights *= 1 - share + share * (day > sites.day[at])
    year = shared[:, columns[0]]
    mean = np.average(year, weights=weights)
    error = np.average((year - mean) ** 2, weights=weights) ** 0.5
    assert len(plants) >= 5
    assert found.evidence == pytest.approx(np.log(weights.mean()), abs=0.05)
    assert found.posterior.mean[columns[0]] == pytest.approx(mean, abs=0.12)
    told = found.posterior.spread[columns[0], columns[0]] ** 0.5
    assert told == pytest.approx(error, abs=0.12)


def test_together__keeps_the_moments_of_the_mixture() -> None:
    here = running(2, 1.0, past=2)
    one = fit(here.noted, here.usual).posterior
    other = fit(here.noted[::2], here.usual).posterior
    many = min(len(one.start), len(other.start))
    assert len(one.mean) == len(other.mean)
    mixed = together([0.3, 0.7], [one, other])
    at = np.arange(many)
    own, shared = np.ones((many, 2)), np.ones((many, len(one.mean)))
    means = [each.value(at, own, shared) for each in (one, other)]
    squares = [each.variance(at, own, shared) for each in (one, other)]
    mean = 0.3 * means[0] + 0.7 * means[1]
    square = sum(w * (s + (m - mean) ** 2) for w, m, s in
                 zip((0.3, 0.7), means, squares, strict=True))  # fmt: skip
    assert mixed.value(at, own, shared) == pytest.approx(mean)
    assert mixed.variance(at, own, shared) == pytest.approx(square)


def test_quantile__of_two_normals() -> None:
    ones, errors = np.array([0.5, 0.5]), np.array([1.0, 1.0])
    assert quantile(ones, np.zeros(2), errors, 0.95) == pytest.approx(REACH)
    assert quantile(ones, np.array([-50.0, 50.0]), errors, 0.5) == pytest.approx(0, abs=50)
    assert quantile(ones, np.array([-50.0, 50.0]), errors, 0.75) == pytest.approx(50)
