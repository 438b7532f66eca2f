"""Simulated gardens with known truth: components, places, shifts and chances are found again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from breeding.flowering import Noted, fit

PLACES = (0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, None)
STARTS = {"SDB": 115.0, "IB": 128.0, "TB": 140.0}
LENGTHS = {"SDB": 11.0, "IB": 13.0, "TB": 15.0}


@dataclass(frozen=True)
class Truth:
    usual: dict[int, tuple[str, float | None]]
    place: dict[int, float]
    shift: dict[int, float]
    noted: list[Noted]
    bloomed: dict[tuple[int, int], tuple[int, int]]


def garden(plants: int, years: int, seed: int, seen: float = 0.8, blooms: float = 0.9) -> Truth:
    """Years from 2015 on; `seen` is the chance that a stage is noted."""
    dice = np.random.default_rng(seed)
    usual, place, noted, bloomed = {}, {}, [], {}
    shift = {2015 + at: dice.normal(0, 7) for at in range(years)}
    for plant in range(plants):
        group, letter = str(dice.choice(list(STARTS))), PLACES[dice.integers(len(PLACES))]
        usual[plant] = group, letter
        at = letter if letter is not None else dice.uniform(0.1, 0.9)
        place[plant] = STARTS[group] + 20 * (at - 0.5) + dice.normal(0, 3.5)
        length = LENGTHS[group] + dice.normal(0, 2)
        for year, moved in shift.items():
            day = place[plant] + moved + dice.normal(0, 2.5)
            first, peak, last = np.rint(
                day + np.array([0, 5 + 0.4 * (length - 13), length]) + dice.normal(0, 1.5, 3)
            )
            if dice.random() < blooms:
                bloomed[plant, year] = int(first), int(max(last, first + 1))
                stages = zip(("first", "peak", "last"), (first, peak, max(last, first + 1)),
                             strict=True)  # fmt: skip
                noted += [Noted(plant, year, s, d) for s, d in stages if dice.random() < seen]
    return Truth(usual, place, shift, noted, bloomed)


@pytest.fixture(scope="module")
def large() -> Truth:
    return garden(300, 8, seed=1)


@pytest.fixture(scope="module")
def small() -> list[Truth]:
    """Twelve gardens of forty plants over six years, noted half of the time."""
    return [garden(40, 6, seed, seen=0.5) for seed in range(12)]


def test_components_are_found_again(large: Truth) -> None:
    found = fit(large.noted, large.usual).components
    assert found.turn == pytest.approx(2.5, rel=0.08)
    # Half a day of rounding stands beside the error: sqrt(1.5² + 1/12).
    assert found.note == pytest.approx(1.53, rel=0.06)
    assert found.lettered == pytest.approx(3.5, rel=0.12)
    assert found.length == pytest.approx(2, rel=0.15)
    # Between plants without a letter: 3.5 days and a season of 20 days cut evenly at 0.8.
    assert found.plain == pytest.approx((3.5**2 + 16**2 / 12) ** 0.5, rel=0.25)
    assert 4 < found.year < 12


def test_components_are_said_to_be_estimated(large: Truth) -> None:
    assert all("estimated from" in told for told in fit(large.noted, large.usual).told)


def test_shifts_are_found_again(large: Truth) -> None:
    found, mean = fit(large.noted, large.usual), np.mean(list(large.shift.values()))
    for year, moved in large.shift.items():
        assert found.shift(year).days == pytest.approx(moved - mean, abs=0.8)


def test_places_hold_the_truth_nine_times_in_ten(small: list[Truth]) -> None:
    held = []
    for truth in small:
        found = fit(truth.noted, truth.usual)
        places = [found.place(plant) for plant in truth.place]
        held += [p.low <= truth.place[at] <= p.high for at, p in enumerate(places)]
    assert 0.82 < np.mean(held) < 0.97


def test_places_of_plants_never_noted_hold_the_truth_too(small: list[Truth]) -> None:
    held = []
    for truth in small:
        noted = [each for each in truth.noted if each.plant % 2]
        found = fit(noted, truth.usual)
        new = [plant for plant in truth.place if plant % 2 == 0]
        held += [found.place(at).low <= truth.place[at] <= found.place(at).high for at in new]
    assert 0.82 < np.mean(held) < 0.97


def calibrated(said: list[float], was: list[bool]) -> None:
    """Within each fifth of what is said, about as many come true."""
    chances, true = np.array(said), np.array(was)
    for low in np.arange(0, 1, 0.2):
        here = (chances >= low) & (chances < low + 0.2 + 1e-9)
        assert here.sum() > 40
        assert true[here].mean() == pytest.approx(chances[here].mean(), abs=0.1)


def test_overlaps_come_true_as_often_as_said(small: list[Truth]) -> None:
    """For a year that nothing is noted of yet."""
    said, was = [], []
    for truth in small:
        last = max(truth.shift)
        found = fit([each for each in truth.noted if each.year < last], truth.usual)
        chances = found.overlaps(list(truth.place), last)
        there = [plant for plant in truth.place if (plant, last) in truth.bloomed]
        for a in there:
            for b in there[: there.index(a)]:
                one, other = truth.bloomed[a, last], truth.bloomed[b, last]
                said.append(chances[a, b])
                was.append(min(one[1], other[1]) >= max(one[0], other[0]))
    calibrated(said, was)
