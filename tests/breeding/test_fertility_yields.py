"""Seeds in a pod and germination: pooled expectations, and how single pods and pots scatter."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.fertility import Sowing, Yield, fit_germination, fit_seeds

PODS = [Yield(f"s{k % 8}", f"p{k % 5}", (12, 30, 45, 22, 38, 5, 27)[k % 7]) for k in range(40)]
POTS = [Sowing(f"s{k % 8}", f"p{k % 5}", 30, (9, 21, 15, 26, 12, 18)[k % 6]) for k in range(40)]


@pytest.mark.parametrize(("seeds", "pods"), [(3, 0), (-1, 1), (4, -1)])
def test_yield__refuses_what_cannot_be(seeds: int, pods: int) -> None:
    with pytest.raises(ValueError, match="cannot be"):
        Yield("a", "b", seeds, pods)


def test_sowing__refuses_more_up_than_sown() -> None:
    with pytest.raises(ValueError, match="cannot be"):
        Sowing("a", "b", 10, 11)


def test_seeds__nothing_counted_is_the_usual_and_wide() -> None:
    found = fit_seeds([])
    for amount in (found.garden, found.of("a"), found.pair("a", None)):
        assert amount.low < 12 < amount.mean < 60 < amount.high
        assert (amount.tried, amount.came) == (0, 0)


def test_germination__nothing_sown_is_the_usual_and_wide() -> None:
    found = fit_germination([])
    for amount in (found.garden, found.of("a"), found.pair("a", None)):
        assert amount.mean == pytest.approx(0.5, abs=1e-6)
        assert amount.low < 0.3 < 0.7 < amount.high


def test_germination__more_seeds_that_all_came_up_never_speak_for_fewer() -> None:
    pots = [[Sowing("a", "b", sown, sown)] for sown in (5, 20, 50, 1000)]
    pots.append([Sowing("a", "b", 1000, 1000)] * 2)
    means = [fit_germination(each).pair("a", "b").mean for each in pots]
    assert means == sorted(means)
    assert means[-1] > 0.9


def test_germination__one_pot_cannot_tell_how_much_pots_differ() -> None:
    few, many = (fit_germination([Sowing("a", "b", 50, up) for up in pots])
                 for pots in ((50,), (25, 26) * 10))  # fmt: skip
    assert few.fitted.parts == pytest.approx(fit_germination([]).fitted.parts)
    assert many.fitted.parts[2] < few.fitted.parts[2]


def test_seeds__one_pod_moves_its_parent_but_little() -> None:
    bare = fit_seeds(PODS).of("new").mean
    once = fit_seeds([*PODS, Yield("new", "p1", 2)]).of("new").mean
    often = fit_seeds([*PODS, *[Yield("new", "p1", 2)] * 12]).of("new").mean
    assert 2 < often < once < bare
    assert once > 0.6 * bare
    assert often < 0.35 * bare


def test_seeds__many_pods_speak_for_themselves() -> None:
    amount = fit_seeds([*PODS, *[Yield("new", "p1", seeds) for seeds in (8, 12, 10) * 60]])
    assert amount.of("new").mean == pytest.approx(10, abs=1.5)


def test_seeds__all_pods_empty() -> None:
    amount = fit_seeds([Yield("a", "b", 0)] * 6).of("a")
    assert 0 < amount.low < amount.mean < 10


def test_seeds__pods_counted_together_tell_the_same_mean() -> None:
    """Twenty pods at once: the expectation of the twenty, and less of their spread."""
    singly = fit_seeds([*PODS, *[Yield("new", "p1", 20)] * 20]).of("new")
    at_once = fit_seeds([*PODS, Yield("new", "p1", 400, pods=20)]).of("new")
    assert at_once.mean == pytest.approx(singly.mean, rel=0.12)
    assert (at_once.tried, at_once.came) == (singly.tried, singly.came) == (20, 400)


def test_seeds__spread_is_that_of_single_pods() -> None:
    even = fit_seeds([Yield(f"s{k % 8}", "p", 29 + k % 3) for k in range(60)]).garden
    uneven = fit_seeds([Yield(f"s{k % 8}", "p", 60 * (k // 8 % 2)) for k in range(60)]).garden
    assert uneven.spread > 2 * even.spread
    # Never below that of counting, sqrt(30).
    assert even.spread > 5.4


def test_germination__spread_is_that_of_single_pots() -> None:
    even = fit_germination([Sowing(f"s{k % 8}", "p", 40, 20) for k in range(60)]).garden
    uneven = fit_germination([Sowing(f"s{k % 8}", "p", 40, 36 * (k // 8 % 2)) for k in range(60)])
    assert uneven.garden.spread > 3 * even.spread
    assert uneven.garden.spread < 0.5


def test_germination__follows_its_seed_parent_and_pair() -> None:
    good = [Sowing("good", "fine", 40, 38)] * 6
    found = fit_germination([*POTS, *good])
    assert found.of("good").mean > found.of("s1").mean + 0.15
    assert found.pair("good", "fine").mean > found.of("good").mean
    assert (found.pair("good", "fine").tried, found.pair("good", "fine").came) == (240, 228)


def test_unknown_pollen__is_any_pollen() -> None:
    found = fit_germination([*POTS, Sowing("new", None, 40, 39)])
    assert found.of("new").mean > found.of("never").mean
    assert found.pair("new", None).error > found.of("new").error * 0.99


def test_amounts__say_what_they_rest_on() -> None:
    beside = "pooled with 8 seed parents"
    assert fit_seeds(PODS).of("s0").told_by == ("147 seeds in 5 own pods", beside)
    assert fit_germination(POTS).of("s0").told_by == ("60 of 150 seeds", beside)
    assert fit_seeds([]).of("a").told_by[0] == "none of its own pods"


def test_variance__holds_both_uncertainties() -> None:
    amount = fit_seeds(PODS).of("s0")
    assert amount.variance == pytest.approx(amount.error**2 + amount.spread**2)


@pytest.mark.parametrize("found", [fit_seeds(PODS), fit_germination(POTS)])
def test_pair_means__hold_the_single_pairs(found) -> None:
    seeds, pollens = ["s0", "s5", "never"], ["p0", None, "p3", "never"]
    matrix = found.pair_means(seeds, pollens)
    for i, seed in enumerate(seeds):
        for j, pollen in enumerate(pollens):
            assert matrix[i, j] == pytest.approx(found.pair(seed, pollen).mean)


@settings(max_examples=8, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 90), st.integers(1, 4))))
def test_seeds__are_amounts_in_order(told: list[tuple[str, int, int]]) -> None:
    amount = fit_seeds([Yield(seed, "x", many, pods) for seed, many, pods in told]).of("a")
    assert 0 < amount.low < amount.mean < 3 * amount.high
    assert amount.spread > 0 < amount.error


@settings(max_examples=8, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 40), st.integers(0, 40))))
def test_germination__is_a_share(told: list[tuple[str, int, int]]) -> None:
    pots = [Sowing(seed, "x", max(a, b), min(a, b)) for seed, a, b in told]
    amount = fit_germination(pots).of("a")
    assert 0 <= amount.low < amount.mean < amount.high <= 1
    assert amount.variance < 0.25
