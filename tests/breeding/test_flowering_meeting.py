"""Who is open with whom, against plain simulation of the same four days."""

from __future__ import annotations

import numpy as np
import pytest

from breeding.flowering import Noted, fit
from breeding.flowering.meeting import over_before
from breeding.flowering.spans import spans

USUAL = {"ada": ("TB", 0.2), "bert": ("TB", 0.8), "cleo": ("SDB", 0.5), "dora": ("IB", None)}
NOTES = [
    Noted(plant, year, stage, day + 3 * (year % 3))
    for plant, start in (("ada", 140), ("bert", 146), ("cleo", 118))
    for year in (2021, 2022, 2023)
    for stage, day in (("first", start), ("last", start + 12))
]


def by_simulation(a: str, b: str, year: int, draws: int = 200_000) -> tuple[float, float, float]:
    """(days together, chance of one, days of waiting), drawn from the spans' covariance."""
    bloom = fit(NOTES, USUAL)
    found = spans(bloom, bloom.layout.at([a, b]), year)
    dice = np.random.default_rng(4)
    shared = dice.normal(size=(found.loads.shape[2], draws))
    days = found.days[:, :, None] + np.einsum("akr,rn->akn", found.loads, shared)
    for k in range(2):
        root = np.linalg.cholesky(found.own[:, :, k] + 1e-12 * np.eye(2))
        days[:, k] += root @ dice.normal(size=(2, draws))
    together = days[1].min(0) - days[0].max(0) + 1
    return np.maximum(together, 0).mean(), (together > 0.5).mean(), np.maximum(-together, 0).mean()


@pytest.mark.parametrize("pair", [("ada", "bert"), ("ada", "dora"), ("cleo", "dora")])
@pytest.mark.parametrize("year", [2022, 2030])
def test_overlap__agrees_with_simulation(pair: tuple[str, str], year: int) -> None:
    found = fit(NOTES, USUAL).overlap(*pair, year)
    days, chance, wait = by_simulation(*pair, year)
    assert found.days == pytest.approx(days, abs=0.08)
    assert found.chance == pytest.approx(chance, abs=0.012)
    assert found.wait == pytest.approx(wait, abs=0.08)


def test_overlap__of_noted_days_is_counted() -> None:
    found = fit(NOTES, USUAL).overlap("ada", "bert", 2021)
    # 142 to 154 and 148 to 160 (2021 is two years after one that three divides).
    assert found.days == pytest.approx(154 - 148 + 1, abs=1e-6)
    assert found.chance == 1
    assert found.wait == 0
    assert found.a_first
    assert found.sure == 1


def test_overlap__of_noted_days_apart_is_none() -> None:
    found = fit(NOTES, USUAL).overlap("bert", "cleo", 2021)
    assert (found.days, found.chance, found.a_first) == (0, 0, False)
    # Over on the 132nd, open from the 148th: fifteen days between.
    assert found.wait == pytest.approx(148 - 132 - 1, abs=1e-6)


def test_overlap__one_day_shared_is_a_day() -> None:
    bloom = {"a": (1, 5), "b": (5, 9), "c": (6, 9)}
    noted = [Noted(plant, 1, stage, day)
             for plant, days in bloom.items()
             for stage, day in zip(("first", "last"), days, strict=True)]  # fmt: skip
    found = fit(noted, {})
    assert found.overlap("a", "b", 1).days == pytest.approx(1)
    assert found.overlap("a", "b", 1).chance == 1
    assert found.overlap("a", "c", 1).days == pytest.approx(0)
    assert found.overlap("a", "c", 1).chance == 0


def test_overlap__turned_round_is_the_same() -> None:
    bloom = fit(NOTES, USUAL)
    one, other = bloom.overlap("ada", "bert", 2030), bloom.overlap("bert", "ada", 2030)
    assert one.chance == pytest.approx(other.chance)
    assert one.days == pytest.approx(other.days, abs=0.05)
    assert one.a_first is not other.a_first


def test_overlaps__matrix_holds_the_single_ones() -> None:
    bloom, plants = fit(NOTES, USUAL), [*USUAL, "nobody"]
    found = bloom.overlaps(plants, 2024)
    for i, a in enumerate(plants):
        for j, b in enumerate(plants):
            if i != j:
                assert found[i, j] == pytest.approx(bloom.overlap(a, b, 2024).chance)


def test_overlap__unknown_shift_of_the_year_parts_no_two_plants() -> None:
    """A year that nothing is known of moves both; two plants of one place still meet."""
    found = fit(NOTES, USUAL)
    year = spans(found, found.layout.at(["ada"]), 2030)
    assert year.spread()[0, 0, 0] > 5**2
    assert found.overlap("ada", "bert", 2030).chance > 0.9


def test_over_before__both_orders_and_meeting_are_all_there_is() -> None:
    bloom = fit(NOTES, USUAL)
    found = spans(bloom, bloom.layout.at(["ada", "dora"]), 2030)
    before = over_before(found)
    meeting = bloom.overlap("ada", "dora", 2030).chance
    assert before[0, 1] + before[1, 0] + meeting == pytest.approx(1)
