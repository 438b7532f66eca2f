"""What came from a cross against what was expected of it."""

from __future__ import annotations

from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance import goodness_of_fit
from breeding.inheritance.came import compare
from breeding.inheritance.counts import log_chances, number_of_tables, tables
from breeding.inheritance.expecting import expect
from breeding.inheritance.intervals import exact_interval
from breeding.inheritance.parents import Readings
from tests.breeding.invented_loci import FOUR, B, T, V, by_places, copies, spread


def cross(locus, seed, pollen) -> Readings:
    return expect([locus], {locus.symbol: seed}, {locus.symbol: pollen}, FOUR).crosses[locus.symbol]


def test_compare_with_a_certain_reading_is_its_exact_test() -> None:
    told = compare(cross(V, copies(1), copies(0)), {"violet": 8, "none": 1})
    fit = goodness_of_fit([8, 1], [1, 1])
    assert (told.method, fit.method, told.p) == ("exact", "exact", pytest.approx(fit.p))
    (judged,) = told.judged
    assert (judged.fit, judged.after, judged.reading.ratio) == (fit, 1.0, "1 in 2")


def test_compare_names_a_type_that_cannot_come() -> None:
    told = compare(cross(T, copies(4), spread(0, 0.5, 0.5, 0, 0)), {"other": 20, "pink": 1})
    assert (told.impossible, told.p, told.method) == (("pink",), 0.0, "exact")
    assert told.parts[0] == "No reading of the parents' copies allows pink."
    assert told.judged[0].fit.impossible == (1,)


def test_compare_weighs_the_readings_by_what_came() -> None:
    """Bayes by hand: 1 or 2 copies by none, twelve violet of twelve."""
    told = compare(cross(V, spread(0, 0.6, 0.4, 0, 0), copies(0)), {"violet": 12})
    one, two = 0.6 * 0.5**12, 0.4 * (5 / 6) ** 12
    by_copies = {each.reading.seed_copies: each.after for each in told.judged}
    assert by_copies == pytest.approx({1: one / (one + two), 2: two / (one + two)})
    assert told.parts[1] == (
        "It now speaks most for 2 copies of V in the seed parent and 0 in the pollen parent "
        "(probability 100 %)."
    )


def test_compare_judges_the_reading_that_is_best_now() -> None:
    told = compare(cross(V, spread(0, 0.5, 0.3, 0.15, 0.05), copies(0)), {"violet": 400}, most=2)
    assert [each.reading.seed_copies for each in told.judged] == [1, 2, 3]
    assert told.judged[-1].after == pytest.approx(0.75, abs=0.01)


def test_compare_is_kinder_when_the_copies_are_not_known() -> None:
    """Four of forty without violet: strange for one copy, but not when there may be two."""
    counts = {"violet": 36, "none": 4}
    sure = compare(cross(V, copies(1), copies(0)), counts)
    unsure = compare(cross(V, spread(0, 0.5, 0.5, 0, 0), copies(0)), counts)
    assert sure.p < 1e-6
    assert unsure.p > 0.1
    assert sure.parts[0] == "What came is further off than chance would have it (p below 0.001)."
    assert unsure.parts[0].startswith("What came is what chance gives when this is expected (p = ")


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 12), st.lists(st.sampled_from([0, 1, 2]), min_size=5, max_size=5).filter(any))
def test_compare_p_is_small_as_often_as_it_says(seedlings: int, weights: list[int]) -> None:
    """Over all tables there can be, p of α or less has a chance of α or less."""
    readings = cross(B, by_places(B, weights), spread(0.2, 0.2, 0.2, 0.2, 0.2))
    every = tables(seedlings, 3)
    chance = readings.weights @ np.exp(log_chances(every, readings.chances))
    p = np.array(
        [compare(readings, dict(zip(readings.keys, row, strict=True))).p for row in every.tolist()]
    )
    assert chance.sum() == pytest.approx(1)
    for alpha in (0.01, 0.05, 0.2, 0.5):
        assert chance[p <= alpha].sum() <= alpha + 1e-9


def test_compare_throws_tables_where_they_are_too_many() -> None:
    readings = cross(B, spread(0.2, 0.2, 0.2, 0.2, 0.2), spread(0.2, 0.2, 0.2, 0.2, 0.2))
    # As of two copies by two: 9 : 26 : 1.
    counts = {"strong": 160, "weak": 472, "self": 18}
    told = compare(readings, counts)
    assert told.method == "simulated"
    assert told.p == compare(readings, counts).p
    assert told.p > 0.1
    strange = compare(readings, {"strong": 320, "weak": 300, "self": 30})
    assert strange.p < 0.001


def test_compare_shares_come_with_their_exact_interval() -> None:
    told = compare(cross(V, copies(1), copies(0)), {"none": 5})
    violet, none = told.shares
    assert (violet.came, none.came, none.share, told.seedlings) == (0, 5, 1.0, 5)
    assert (none.low, none.high) == exact_interval(5, 5)
    assert violet.expected == 2.5


@pytest.mark.parametrize("counts", [{}, {"violet": 0}, {"violet": -1, "none": 3}, {"pink": 2}])
def test_compare_refuses_what_is_no_count(counts: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="Counts of the types violet, none"):
        compare(cross(V, copies(1), copies(0)), counts)


@pytest.mark.parametrize(("seedlings", "types"), [(0, 2), (5, 1), (7, 2), (6, 4)])
def test_tables_are_all_there_and_different(seedlings: int, types: int) -> None:
    every = tables(seedlings, types)
    assert len({tuple(row) for row in every.tolist()}) == number_of_tables(seedlings, types)
    assert (every.sum(axis=1) == seedlings).all()
    assert every.min() >= 0
    chances = np.exp(log_chances(every, np.full((1, types), 1 / types)))
    assert chances.sum() == pytest.approx(1)


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 400), st.data())
def test_exact_interval_solves_its_equations(total: int, data: st.DataObject) -> None:
    """At each end the tail of the binomial beyond the count is 2.5 %."""
    count = data.draw(st.integers(0, total))
    low, high = exact_interval(count, total)
    assert 0 <= low <= count / total <= high <= 1

    def tail(share: float, counts: range) -> float:
        return sum(comb(total, k) * share**k * (1 - share) ** (total - k) for k in counts)

    if count:
        assert tail(low, range(count, total + 1)) == pytest.approx(0.025, abs=1e-6)
    if count < total:
        assert tail(high, range(count + 1)) == pytest.approx(0.025, abs=1e-6)


@pytest.mark.parametrize(("count", "total", "held"), [(1, 0, 0.9), (3, 2, 0.9), (1, 2, 1.0)])
def test_exact_interval_refuses_nonsense(count: int, total: int, held: float) -> None:
    with pytest.raises(ValueError, match="is no share|between 0 and 1"):
        exact_interval(count, total, held)
