"""Numbers to grow and ratios to tell apart, against published tables.

Sedcole 1977, Crop Sci. 17:667–668, Table 1 (all entries recalled from memory equal the exact ones;
the values here were worked out exactly). Hanson 1959, Agron. J. 51:711–715, for ratios. Mendel 1866
by Fisher 1936 for chi-square.
"""

from __future__ import annotations

from fractions import Fraction as F
from math import erfc, sqrt

import pytest

from breeding.inheritance import (
    chance_of_at_least,
    goodness_of_fit,
    seedlings_to_grow,
    seedlings_to_tell_apart,
)

AT_LEAST = (1, 2, 3, 4, 5, 6, 8, 10, 15)
GROW_95 = {
    "3/4": (3, 5, 6, 8, 9, 11, 14, 17, 25),
    "1/2": (5, 8, 11, 13, 16, 18, 23, 28, 40),
    "1/4": (11, 18, 23, 29, 34, 40, 50, 60, 84),
    "1/6": (17, 27, 36, 45, 53, 61, 76, 91, 128),
    "3/14": (13, 21, 28, 34, 41, 47, 59, 70, 98),
    "1/8": (23, 37, 49, 60, 71, 82, 103, 123, 172),
    "1/16": (47, 75, 99, 122, 144, 166, 208, 248, 347),
    "1/36": (107, 169, 225, 277, 327, 376, 471, 563, 784),
    "9/196": (64, 102, 135, 167, 197, 227, 284, 339, 473),
    "1/64": (191, 302, 401, 494, 584, 671, 839, 1002, 1397),
    "1/1296": (3881, 6147, 8158, 10047, 11861, 13623, 17037, 20351, 28361),
}
GROW_99 = {
    "1/2": (7, 11, 14, 17, 19, 22, 27, 33, 45),
    "1/4": (17, 24, 31, 37, 43, 49, 60, 70, 96),
    "1/36": (164, 237, 300, 359, 414, 468, 572, 672, 911),
    "1/216": (993, 1432, 1813, 2167, 2503, 2828, 3452, 4053, 5491),
}
# Mendel's seven characters, dominant and recessive: chi-square of 3 : 1 and its p.
MENDEL = [
    ((5474, 1850), 0.262880, 0.608148),
    ((6022, 2001), 0.014999, 0.902528),
    ((705, 224), 0.390743, 0.531909),
    ((882, 299), 0.063506, 0.801039),
    ((428, 152), 0.450575, 0.502062),
    ((651, 207), 0.349650, 0.554311),
    ((787, 277), 0.606516, 0.436103),
]


@pytest.mark.parametrize(
    ("sure", "chance", "numbers"),
    [("19/20", *row) for row in GROW_95.items()] + [("99/100", *row) for row in GROW_99.items()],
)
def test_seedlings_to_grow(sure: str, chance: str, numbers: tuple[int, ...]) -> None:
    found = [seedlings_to_grow(F(chance), wanted, F(sure)) for wanted in AT_LEAST]
    assert found == list(numbers)


@pytest.mark.parametrize(
    ("one", "other", "number"),
    [
        ("1/4", "1/16", 49.80), ("1/2", "1/6", 26.33), ("1/4", "1/36", 27.76),
        ("1/6", "1/4", 359.08), ("1/6", "3/14", 1038.63), ("1/36", "9/196", 1629.70),
    ],
)  # fmt: skip
def test_seedlings_to_tell_apart(one: str, other: str, number: float) -> None:
    assert seedlings_to_tell_apart(one, other) == pytest.approx(number, abs=0.005)


@pytest.mark.parametrize(("counts", "chi_square", "p"), MENDEL)
def test_goodness_of_fit__mendel(counts: tuple[int, int], chi_square: float, p: float) -> None:
    found = goodness_of_fit(counts, (3, 1))
    assert found.method == "chi-square"
    assert (found.chi_square, found.p) == pytest.approx((chi_square, p), abs=5e-7)


def test_goodness_of_fit__mendels_dihybrid() -> None:
    found = goodness_of_fit((315, 101, 108, 32), (9, 3, 3, 1))
    assert (found.degrees, round(found.chi_square, 6)) == (3, 0.470024)
    assert found.p == pytest.approx(0.925426, abs=5e-7)


def test_chance_of_at_least__of_thousands_of_seedlings() -> None:
    """Against the normal approximation: 2,100 of 4,000 lie 3.15 standard deviations out."""
    exactly = chance_of_at_least("1/2", 4000, 2100)
    assert exactly == pytest.approx(erfc((2099.5 - 2000) / sqrt(1000) / sqrt(2)) / 2, rel=0.01)
