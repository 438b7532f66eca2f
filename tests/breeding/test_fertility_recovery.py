"""Simulated gardens with known truth: how often the 90 % intervals hold it."""

from __future__ import annotations

import numpy as np
import pytest

from breeding.fertility import Attempt, Sowing, Yield, fit_germination, fit_pods, fit_seeds

PARENTS, CROSSES, GARDENS = 40, 160, 8


def chance(logit):
    return 1 / (1 + np.exp(-logit))


def within(rate, truth: float) -> bool:
    return bool(rate.low <= truth <= rate.high)


@pytest.fixture(scope="module")
def pods() -> list[tuple]:
    """(fit, seed parents' logits, pollen parents', pairs') of gardens; spreads 1, 0.8 and 0.5."""
    made = []
    for seed in range(GARDENS):
        dice = np.random.default_rng(seed)
        seeds, pollens = dice.normal(0, 1, PARENTS), dice.normal(0, 0.8, PARENTS)
        pairs, attempts = {}, []
        for _ in range(CROSSES):
            i, j = (int(at) for at in dice.integers(PARENTS, size=2))
            logit = pairs.setdefault((i, j), -0.4 + seeds[i] + pollens[j] + dice.normal(0, 0.5))
            flowers = int(dice.integers(1, 9))
            attempts.append(Attempt(i, j, flowers, int(dice.binomial(flowers, chance(logit)))))
        made.append((fit_pods(attempts), seeds, pollens, pairs))
    return made


def test_seed_parents__intervals_hold_the_truth_nine_times_in_ten(pods: list[tuple]) -> None:
    held = [within(found.seed(at), chance(-0.4 + own))
            for found, seeds, *_ in pods for at, own in enumerate(seeds)]  # fmt: skip
    assert 0.82 < np.mean(held) < 0.97


def test_pollen_parents__intervals_hold_the_truth_nine_times_in_ten(pods: list[tuple]) -> None:
    held = [within(found.pollen(at), chance(-0.4 + own))
            for found, _, pollens, _ in pods for at, own in enumerate(pollens)]  # fmt: skip
    assert 0.82 < np.mean(held) < 0.97


def test_pairs__intervals_hold_the_truth_nine_times_in_ten(pods: list[tuple]) -> None:
    held = [within(found.pair(*pair), chance(logit))
            for found, _, _, pairs in pods for pair, logit in pairs.items()]  # fmt: skip
    assert 0.82 < np.mean(held) < 0.97


def test_pairs_never_tried__intervals_hold_the_truth_nine_times_in_ten(pods: list[tuple]) -> None:
    held, dice = [], np.random.default_rng(99)
    for found, seeds, pollens, pairs in pods:
        for i, j in dice.integers(PARENTS, size=(60, 2)):
            if (i, j) not in pairs:
                truth = chance(-0.4 + seeds[i] + pollens[j] + dice.normal(0, 0.5))
                held.append(within(found.pair(int(i), int(j)), truth))
    assert 0.82 < np.mean(held) < 0.97


def test_components__are_about_those_simulated(pods: list[tuple]) -> None:
    found = np.mean([each.fitted.parts for each, *_ in pods], axis=0)
    assert found == pytest.approx([1, 0.8, 0.5], rel=0.3)


def test_expectations__are_better_than_plain_shares(pods: list[tuple]) -> None:
    """Pooled means miss the truth of pairs by less than pods over flowers do."""
    pooled, plain = [], []
    for found, _, _, pairs in pods:
        for pair, logit in pairs.items():
            rate = found.pair(*pair)
            pooled.append((rate.mean - chance(logit)) ** 2)
            plain.append((rate.pods / rate.flowers - chance(logit)) ** 2)
    assert np.mean(pooled) < 0.6 * np.mean(plain)


def test_sterile_plants__are_told_from_unlucky_ones() -> None:
    """Four of forty never set: with eight flowers or more each, they are the ones suspected."""
    dice, sterile, sound = np.random.default_rng(3), [], []
    for _ in range(4):
        attempts = []
        for plant in range(40):
            for _ in range(4):
                share = 0.0 if plant < 4 else chance(-0.4 + dice.normal(0, 0.5))
                attempts.append(
                    Attempt(plant, int(dice.integers(12)), 3, int(dice.binomial(3, share)))
                )
        found = fit_pods(attempts)
        sterile += [found.seed(plant).mean for plant in range(4)]
        sound += [found.seed(plant).mean for plant in range(4, 40)]
    assert np.mean(sterile) < 0.08
    assert np.mean(sound) == pytest.approx(0.4, abs=0.05)


@pytest.fixture(scope="module")
def bench() -> list[tuple]:
    """(seeds' fit, germination's fit, both truths by seed parent) of gardens."""
    made = []
    for seed in range(GARDENS):
        dice = np.random.default_rng(seed)
        a, b = dice.normal(0, 0.4, PARENTS), dice.normal(0, 0.25, PARENTS)
        c, d = dice.normal(0, 0.6, PARENTS), dice.normal(0, 0.4, PARENTS)
        yields, sowings = [], []
        for _ in range(CROSSES):
            i, j = (int(at) for at in dice.integers(PARENTS, size=2))
            mean = np.exp(3.3 + a[i] + b[j])
            yields.append(Yield(i, j, int(dice.poisson(mean * dice.gamma(3) / 3))))
            share, sown = chance(0.2 + c[i] + d[j] + dice.normal(0, 0.8)), int(dice.integers(5, 60))
            sowings.append(Sowing(i, j, sown, int(dice.binomial(sown, share))))
        pots = dice.normal(0, 0.8, 4000)
        up = [chance(0.2 + own + pots).mean() for own in c]
        made.append((fit_seeds(yields), fit_germination(sowings), np.exp(3.3 + a), up))
    return made


def test_seeds__intervals_hold_the_truth_nine_times_in_ten(bench: list[tuple]) -> None:
    held = [
        within(found.of(at), own) for found, _, truth, _ in bench for at, own in enumerate(truth)
    ]
    assert 0.82 < np.mean(held) < 0.97


def test_germination__intervals_hold_the_truth_nine_times_in_ten(bench: list[tuple]) -> None:
    held = [
        within(found.of(at), own) for _, found, _, truth in bench for at, own in enumerate(truth)
    ]
    assert 0.82 < np.mean(held) < 0.97


def test_spreads_of_single_pods_and_pots__are_about_those_simulated(bench: list[tuple]) -> None:
    sizes, pots = ([each[at].fitted.parts[2] for each in bench] for at in (0, 1))
    assert np.mean(sizes) == pytest.approx(3, rel=0.2)
    assert np.mean(pots) == pytest.approx(0.8, rel=0.15)
    middle = np.mean([seeds.garden.spread / seeds.garden.mean for seeds, *_ in bench])
    # Of a negative binomial of size 3 with a mean of 27.
    assert middle == pytest.approx((1 / 27 + 1 / 3) ** 0.5, rel=0.12)
