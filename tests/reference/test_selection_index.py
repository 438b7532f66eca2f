"""The selection index and single predictions against Mrode (2014), *Linear Models for the
Prediction of Animal Breeding Values*, 3rd ed., chapter 1.

The printed results are quoted from the book; the data of example 1.5 are from memory and
reproduce its printed results.
"""

from __future__ import annotations

import numpy as np
import pytest

from evaluation.ranking.index import from_other_trait, own_records, selection_index

P = [[6400, -57.6], [-57.6, 51.84]]
G = [[2752, 62.064], [62.064, 15.552]]
WORTH = (1.5, 0.5)


# Source: Mrode (2014), example 1.7, p. 18.
def test_selection_index__two_traits() -> None:
    index = selection_index(P, G, WORTH)
    assert index.b.round(3).tolist() == [0.674, 2.695]
    assert index.b == pytest.approx([0.6741022727272727, 2.6948358585858587], abs=1e-12)
    deviations = (index.sd_index, index.sd_aggregate, index.accuracy)
    assert deviations == pytest.approx(
        (55.456707495782034, 79.30311469292994, 0.6993004967146156), abs=1e-9
    )


# Source: Mrode (2014), example 1.7, p. 18.
def test_selection_index__sub_indices() -> None:
    index = selection_index(P, G, WORTH)
    first, second = index.sub_indices
    assert first.round(3).tolist() == [0.445, 1.692]
    assert (round(second[0], 4), round(second[1], 3)) == (0.0125, 0.314)
    assert first == pytest.approx([0.44522727272727275, 1.6919191919191918], abs=1e-12)
    assert second == pytest.approx([0.012522727272727272, 0.3139141414141414], abs=1e-12)
    assert 1.5 * first + 0.5 * second == pytest.approx(index.b)


# Source: Mrode (2014), example 1.2, p. 6.
def test_own_records__two_records() -> None:
    got = own_records(heritability=0.30, repeatability=0.5, records=2)
    assert got.b == pytest.approx(0.4)
    assert got.of(2000) == pytest.approx(800)
    assert round(got.accuracy, 3) == 0.632


# Source: Mrode (2014), example 1.5, p. 11: 945 kg, the population's mean 887 kg.
def test_from_other_trait__lean_growth_from_growth() -> None:
    got = from_other_trait(seen=0.43, wanted=0.45, sd_seen=80, sd_wanted=32, correlation=0.95)
    assert round(got.b, 3) == 0.167
    assert round(got.accuracy, 3) == 0.623
    assert round(round(got.b, 3) * 58, 3) == 9.686
    assert got.of(945 - 887) == pytest.approx(9.695, abs=5e-4)


def test_selection_index__of_one_trait_is_the_single_prediction() -> None:
    # Two records of one trait: variance 1, covariance t = 0.5, genetic covariance h² = 0.3.
    index = selection_index([[1, 0.5], [0.5, 1]], [[0.3], [0.3]], [1], goal=[[0.3]])
    single = own_records(0.3, 0.5, 2)
    assert index.b == pytest.approx([single.b / 2] * 2)
    assert index.accuracy == pytest.approx(single.accuracy)
    assert index.of([[2000, 2000]]) == pytest.approx([800])


def test_selection_index__of_two_traits_is_the_prediction_from_the_other() -> None:
    covariance = 0.95 * (0.43 * 0.45) ** 0.5 * 80 * 32
    index = selection_index([[80**2]], [[covariance]], [1], goal=[[0.45 * 32**2]])
    single = from_other_trait(0.43, 0.45, 80, 32, 0.95)
    assert (index.b[0], index.accuracy) == pytest.approx((single.b, single.accuracy))


def test_selection_index__no_other_weights_are_as_accurate() -> None:
    index, rng = selection_index(P, G, WORTH), np.random.default_rng(3)
    for b in index.b + rng.normal(0, 0.5, (50, 2)):
        accuracy = b @ G @ WORTH / np.sqrt((b @ P @ b) * (WORTH @ np.array(G) @ WORTH))
        assert accuracy <= index.accuracy + 1e-12


@pytest.mark.parametrize(
    ("p", "g", "w", "words"),
    [
        (P, [[1, 0]], WORTH, "do not fit"),
        ([1, 2], G, WORTH, "do not fit"),
        ([[1, 2], [2, 1]], G, WORTH, "not those of different records"),
        ([[1, 0.5], [0.2, 1]], G, WORTH, "not those of different records"),
        (P, G, (1, float("nan")), "must be a number"),
        (P, [[-1, 0], [0, -1]], WORTH, "below nothing"),
        ([[1, 0], [0, 1]], G, WORTH, "vary more than the merit"),
    ],
)
def test_selection_index__refuses(p: list, g: list, w: tuple, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        selection_index(p, g, w)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ((0.3, 0.5, 0), "one record or more"),
        ((0.6, 0.5, 1), "no higher than repeatability"),
        ((0, 0.5, 1), "above 0"),
        ((0.3, 1.1, 1), "at most 1"),
    ],
)
def test_own_records__refuses(given: tuple, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        own_records(*given)


@pytest.mark.parametrize("given", [(1.2, 0.4, 1, 1, 0.5), (0.4, 0.4, 1, 1, 2), (0.4, 0.4, 0, 1, 1)])
def test_from_other_trait__refuses(given: tuple) -> None:
    with pytest.raises(ValueError, match="are"):
        from_other_trait(*given)
