"""Flowers that may be read in two ways: types without a sign are not overlooked."""

from __future__ import annotations

import numpy as np
import pytest

from breeding.inheritance.copies import infer
from breeding.pedigree import Pedigree
from tests.breeding.copies_garden import VIOLET, simulate

EVEN = {"V": 0.5, "v": 0.5}
ONE = Pedigree({"Dusk": (None, None)}, ploidy=4)
GIVEN = {"violet": 0.3, "white": 1.0}


def test_a_hint_weighs_the_types_by_bayes() -> None:
    told = infer(ONE, VIOLET, {"Dusk": GIVEN}, frequencies=EVEN)
    white = (1 / 16) / (1 / 16 + 0.3 * 15 / 16)
    assert told.copies("Dusk")[0] == pytest.approx(white)


def test_a_hint_is_no_flower_seen() -> None:
    told = infer(ONE, VIOLET, {"Dusk": GIVEN}, frequencies=EVEN)
    assert not told.support("Dusk").flower_seen
    assert told.support("Dusk").bits > 0


def test_a_hint_contradicts_nothing() -> None:
    family = {"Snow": (None, None), "Frost": (None, None), "Dusk": ("Snow", "Frost")}
    white = {"Snow": ["white"], "Frost": ["white"]}
    pedigree = Pedigree(family, ploidy=4)
    hinted = {**white, "Dusk": {"violet": 1.0, "white": 0.01}}
    assert infer(pedigree, VIOLET, hinted, frequencies=EVEN).contradictions == ()
    seen = infer(pedigree, VIOLET, {**white, "Dusk": ["violet"]}, frequencies=EVEN)
    assert [each.plant for each in seen.contradictions] == ["Dusk"]


@pytest.mark.parametrize(
    ("weights", "sentence"),
    [
        ({"violet": 1.0}, "every type has a weight"),
        ({"violet": 1.0, "white": 0.0}, "every type has a weight"),
        ({"violet": 1.0, "plaid": 1.0}, "plaid is no type"),
    ],
)
def test_a_hint_weighs_every_type(weights: dict[str, float], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        infer(ONE, VIOLET, {"Dusk": weights}, frequencies=EVEN)


def test_hints_keep_one_sided_reading_from_colouring_the_whole_garden() -> None:
    """Nine violet flowers in ten show a sign, white ones never: left out, or hinted at."""
    wrong = {"left out": [], "hinted": []}
    for seed in range(12):
        garden = simulate(seed, shares=[0.25, 0.75], seen=1.0, families=0, founders=10)
        dice = np.random.default_rng(seed)
        signed = {
            plant: types
            for plant, types in garden.seen.items()
            if types == ["violet"] and dice.random() < 0.9
        }
        hinted = {plant: signed.get(plant, GIVEN) for plant in garden.seen}
        for name, seen in (("left out", signed), ("hinted", hinted)):
            told = infer(garden.pedigree, VIOLET, seen)
            for plant in garden.truth:
                chance = told.copies(plant)[garden.copies(plant)[0]]
                wrong[name].append(-np.log(max(chance, 1e-9)))
    assert np.mean(wrong["hinted"]) < np.mean(wrong["left out"]) - 0.1
