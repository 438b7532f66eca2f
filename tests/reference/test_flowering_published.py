"""The sums of bloom against what is worked out exactly.

Balanced two-way tables: the textbook's shrinkage of a random effect, n·v / (n·v + e), as for a
progeny's mean in Mrode 2014, Linear Models for the Prediction of Animal Breeding Values, 3rd ed.
Unbalanced ones: the conditional mean of a multivariate normal, from the notes' whole covariance
matrix and no mixed-model equations at all. Components: the fixed point of EM (Dempster, Laird and
Rubin 1977) is a peak of the marginal likelihood.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from breeding.flowering import Noted, fit
from breeding.flowering.absorbing import Parts, absorb
from breeding.flowering.components import USUAL, WEIGHTS, Components
from breeding.flowering.layout import BEFORE, GROUP_LENGTH_SPREAD, NO_YEAR, lay_out, turns
from breeding.flowering.letters import START_SPREAD, STARTS
from breeding.flowering.solving import sized, solve

HELD = Components(year=6, lettered=4, plain=5, length=2, turn=3, note=2)
# First days of three plants (rows) in four years; worked by hand below.
TABLE = [[20, 26, 23, 19], [28, 31, 33, 24], [24, 27, 22, 23]]
BALANCED = [
    Noted(plant, year, "first", float(day))
    for plant, days in enumerate(TABLE)
    for year, day in enumerate(days)
]
USUAL_PLACES = dict.fromkeys(range(3), ("TB", None))


def effects(noted: list[Noted], usual: dict, held: Components):
    layout = lay_out(noted, usual)
    found = turns(noted, layout)
    posterior = solve(layout, sized(layout, found, found.centre), held)
    return layout, posterior


def test_plants_of_a_balanced_table_are_shrunk_as_the_textbook_says() -> None:
    """Means 22, 29, 24 by hand; v = 25, e = 9 + 4, four years: 4·25 / (4·25 + 13) = 100/113."""
    _, found = effects(BALANCED, USUAL_PLACES, HELD)
    own = found.own[:3, 0]
    assert own[1] - own[0] == pytest.approx(100 / 113 * (29 - 22), abs=1e-9)
    assert own[2] - own[0] == pytest.approx(100 / 113 * (24 - 22), abs=1e-9)


def test_years_of_a_balanced_table_are_shrunk_as_the_textbook_says() -> None:
    """Means 24, 28, 26, 22 by hand; v = 36, e = 13, three plants: 108/121."""
    layout, found = effects(BALANCED, USUAL_PLACES, HELD)
    years = found.mean[layout.columns(range(4))]
    assert years - years[0] == pytest.approx(108 / 121 * np.array([0, 4, 2, -2]), abs=1e-9)


def test_prediction_error_of_a_plant_is_the_textbooks() -> None:
    """Between two plants of a balanced table: 2 v (1 - h), with h = 100/113."""
    _, found = effects(BALANCED, USUAL_PLACES, HELD)
    pull = found.pull[0, 0] - found.pull[1, 0]
    error = found.left[0, 0, 0] + found.left[1, 0, 0] + pull @ found.spread @ pull
    assert error == pytest.approx(2 * 25 * (1 - 100 / 113), abs=1e-9)


RAGGED = [
    Noted("a", 2020, "first", 20), Noted("a", 2020, "last", 33), Noted("a", 2022, "peak", 30),
    Noted("b", 2021, "first", 25), Noted("b", 2021, "peak", 29), Noted("b", 2021, "last", 40),
    Noted("c", 2020, "last", 18), Noted("d", 2022, "first", 22), Noted("d", 2020, "first", 17),
]  # fmt: skip
RAGGED_PLACES = {"a": ("TB", 0.2), "b": ("TB", None), "c": ("SDB", 0.9), "d": ("IB", None),
                 "e": ("TB", 0.7)}  # fmt: skip
SHARE = {"first": 0.0, "peak": 0.4, "last": 1.0}


def mean_of(plant: str, stage: str) -> float:
    """Before any note."""
    group, letter = RAGGED_PLACES[plant]
    mean = STARTS[group] + BEFORE[1][0] * ((letter or 0.5) - 0.5)
    return mean + {"first": 0, "peak": BEFORE[3][0], "last": BEFORE[2][0]}[stage]


def covariance(one: tuple, other: tuple, held: Components) -> float:
    """Of two days (plant, year or None, stage) before any note, written out term by term."""
    (a, year, stage), (b, other_year, other_stage) = one, other
    (group, letter), (other_group, other_letter) = RAGGED_PLACES[a], RAGGED_PLACES[b]
    share = SHARE[stage] * SHARE[other_stage]
    found = BEFORE[0][1] ** 2
    found += BEFORE[1][1] ** 2 * ((letter or 0.5) - 0.5) * ((other_letter or 0.5) - 0.5)
    if stage == other_stage and stage != "first":
        found += BEFORE[2 if stage == "last" else 3][1] ** 2
    if group == other_group:
        found += START_SPREAD**2 + share * GROUP_LENGTH_SPREAD**2
    if year is not None and year == other_year:
        found += held.year**2 + (held.turn**2 if a == b else 0)
    if a == b:
        found += (held.plain if letter is None else held.lettered) ** 2 + share * held.length**2
        found += held.note**2 if one == other and year is not None else 0
    return found


def dense(held: Components) -> tuple[np.ndarray, np.ndarray, float]:
    """(covariance of the notes, days less their means before, mean day)."""
    keys = [(each.plant, each.year, each.stage) for each in RAGGED]
    spread = np.array([[covariance(a, b, held) for b in keys] for a in keys])
    centre = np.mean([each.day for each in RAGGED])
    off = [each.day - centre - mean_of(each.plant, each.stage) for each in RAGGED]
    return spread, np.array(off), float(centre)


@pytest.mark.parametrize("plant", list(RAGGED_PLACES))
@pytest.mark.parametrize("stage", ["first", "peak", "last"])
def test_unbalanced_notes_agree_with_the_whole_covariance(plant: str, stage: str) -> None:
    layout, found = effects(RAGGED, RAGGED_PLACES, HELD)
    row = layout.rows(layout.at([plant]), NO_YEAR, ["first", "peak", "last"].index(stage))
    spread, off, _ = dense(HELD)
    here = (plant, None, stage)
    beside = np.array(
        [covariance(here, (each.plant, each.year, each.stage), HELD) for each in RAGGED]
    )
    mean = mean_of(plant, stage) + beside @ np.linalg.solve(spread, off)
    variance = covariance(here, here, HELD) - beside @ np.linalg.solve(spread, beside)
    assert found.value(layout.at([plant]), *row)[0] == pytest.approx(mean, abs=1e-6)
    assert found.variance(layout.at([plant]), *row)[0] == pytest.approx(variance, abs=1e-6)


def penalised(held: Components) -> float:
    """Log marginal likelihood of the ragged notes, and the usual values' weight."""
    spread, off, _ = dense(held)
    found = -(np.linalg.slogdet(spread)[1] + off @ np.linalg.solve(spread, off)) / 2
    for name, weight in WEIGHTS.items():
        variance, usual = held.variances()[name], USUAL.variances()[name]
        found -= weight / 2 * (np.log(variance) + usual / variance)
    return float(found)


def test_components_stand_on_the_peak_of_the_likelihood() -> None:
    held = fit(RAGGED, RAGGED_PLACES).components
    top = penalised(held)
    for name in WEIGHTS:
        for factor in (0.93, 1.07):
            assert penalised(replace(held, **{name: factor * getattr(held, name)})) < top, name


def test_absorbing_agrees_with_the_whole_inverse() -> None:
    dice = np.random.default_rng(2)
    blocks, size, many = 4, 2, 3
    whole = dice.normal(size=(11, 30))
    whole = whole @ whole.T
    for one in range(blocks):
        for other in range(blocks):
            if one != other:
                whole[2 * one : 2 * one + 2, 2 * other : 2 * other + 2] = 0
    whole += 20 * np.eye(11)
    right = dice.normal(size=11)
    own = np.array([whole[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] for k in range(blocks)])
    border = whole[:8, 8:].reshape(blocks, size, many)
    found = absorb(Parts(own, border, whole[8:, 8:]), right[:8].reshape(4, 2), right[8:])
    inverse = np.linalg.inv(whole)
    assert np.append(found.own.ravel(), found.mean) == pytest.approx(inverse @ right)
    assert found.spread == pytest.approx(inverse[8:, 8:])
    spread = np.array([inverse[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] for k in range(blocks)])
    assert found.own_spread() == pytest.approx(spread)
    assert found.log_det == pytest.approx(np.linalg.slogdet(whole)[1])
