"""Where the inference says 80 %, is it right about 80 times in 100? Simulated gardens tell."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from breeding.inheritance.copies import infer
from breeding.inheritance.genotypes import Sets, at_random
from tests.breeding.copies_garden import GRADED, VIOLET, simulate

GARDENS, BINS = 36, (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
CASES = [("violet", 0.0), ("violet", 1 / 7), ("graded", 1 / 7)]
LOCI = {"violet": VIOLET, "graded": GRADED}


@cache
def statements(name: str, alpha: float) -> tuple[np.ndarray, ...]:
    """(garden, probability stated, usual probability, whether true) of all plants and copies.

    Each garden has its own frequency, and nobody tells it to the inference.
    """
    rows = []
    for seed in range(GARDENS):
        share = float(np.random.default_rng(900 + seed).random())
        garden = simulate(
            seed,
            LOCI[name],
            shares=[share, 1 - share],
            alpha=alpha,
            founders=5,
            a_generation=5,
            generations=2,
        )
        told = infer(
            garden.pedigree, garden.locus, garden.seen, garden.families, double_reduction=alpha
        )
        usual = at_random(Sets((4,)), list(told.frequencies.values()), alpha)
        for plant in garden.parents:
            true = garden.copies(plant)[0]
            rows += [
                (seed, said, usual[copies], copies == true)
                for copies, said in enumerate(told.copies(plant))
            ]
    return tuple(np.array(column, dtype=float) for column in zip(*rows, strict=True))


@pytest.mark.parametrize(("name", "alpha"), CASES)
def test_copies_are_right_as_often_as_stated(name, alpha):
    """Within three standard errors of what was said, in every bin.

    The error is the binomial one, or that between gardens where it is larger: statements about one
    garden hang together.
    """
    garden, said, _, true = statements(name, alpha)
    for low, high in zip(BINS, BINS[1:], strict=False):
        inside = (said >= low) & ((said < high) | (high == 1.0))
        off = (true - said)[inside]
        binomial = np.sqrt((said * (1 - said))[inside].sum())
        between = np.sqrt((np.bincount(garden[inside].astype(int), off) ** 2).sum())
        assert inside.sum() >= 20
        # One wrong statement is room enough where next to nothing is left open.
        assert abs(off.sum()) <= max(3 * binomial, 3 * between, 1.0), (low, high)


@pytest.mark.parametrize(("name", "alpha"), CASES)
def test_copies_inferred_beat_the_frequencies_of_the_garden(name, alpha):
    _, said, usual, true = statements(name, alpha)
    brier = [float(((told - true) ** 2).mean()) for told in (said, usual)]
    scores = [float(np.log(np.maximum(told, 1e-12))[true == 1].mean()) for told in (said, usual)]
    assert brier[0] < 0.8 * brier[1]
    assert scores[0] > scores[1] + 0.2


@pytest.mark.parametrize(("name", "alpha"), CASES)
def test_copies_stated_as_certain_are_true_but_for_mistakes(name, alpha):
    _, said, _, true = statements(name, alpha)
    sure = said > 0.98
    assert sure.sum() > 50
    assert true[sure].mean() > 0.97
