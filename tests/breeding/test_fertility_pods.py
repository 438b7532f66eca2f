"""Pod set: one failure is no verdict, forty are; parents, pairs, strangers."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.fertility import Attempt, fit_pods
from breeding.fertility.barren import AT_MOST, PLANTS, quantile

# Twenty seed parents that set two to six flowers of ten with seven pollen parents.
OTHERS = [Attempt(f"seed {k}", f"pollen {k % 7}", 10, (2, 4, 6, 5, 3)[k % 5]) for k in range(20)]


def failing(flowers: int, pollen: str = "pollen 1"):
    return fit_pods([*OTHERS, Attempt("new", pollen, flowers, 0)])


def test_importing__loads_no_numpy() -> None:
    told = "import sys, breeding.fertility; print({'numpy', 'scipy', 'django'} & set(sys.modules))"
    ran = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert ran.stdout == "set()\n"


@pytest.mark.parametrize(("worked", "came"), [(1, 2), (-1, 0), (3, -1)])
def test_attempt__refuses_what_cannot_be(worked: int, came: int) -> None:
    with pytest.raises(ValueError, match="cannot be"):
        Attempt("a", "b", worked, came)


def test_nothing_worked__is_what_gardens_may_be() -> None:
    found = fit_pods([])
    for rate in (found.garden, found.seed("a"), found.pollen("a"), found.pair("a", None)):
        assert 0 < rate.low < 0.3 < rate.mean < 0.5 < 0.7 < rate.high < 1
        assert (rate.flowers, rate.pods, rate.verdict) == (0, 0, "not tried yet")
    assert found.pair_means(["a", "b"], ["c"]).shape == (2, 1)
    assert all("usual value" in sentence for sentence in found.told[:2])


def test_flowers_not_worked__tell_nothing() -> None:
    assert fit_pods([Attempt("a", "b", 0, 0)]).seed("a") == fit_pods([]).seed("a")


def test_one_failure__is_not_a_verdict() -> None:
    stranger = fit_pods(OTHERS).seed("new")
    once = failing(1).seed("new")
    assert stranger.mean - 0.05 < once.mean < stranger.mean
    assert once.high > 0.5
    assert once.verdict not in ("practically never", "seldom")


def test_forty_failures__are_one() -> None:
    rate = failing(40).seed("new")
    assert rate.mean < 0.03
    assert rate.high < 0.1
    assert rate.verdict == "practically never"
    assert rate.told_by == ("0 of 40 flowers", "pooled with 21 seed parents")


def test_failures__weigh_the_more_the_more_there_are() -> None:
    means = [failing(flowers).seed("new").mean for flowers in (1, 3, 8, 40)]
    assert means == sorted(means, reverse=True)


def test_one_pod_in_forty__is_seldom_and_not_never() -> None:
    rate = fit_pods([*OTHERS, Attempt("new", "pollen 1", 40, 1)]).seed("new")
    assert 0.01 < rate.low < rate.mean < 0.15
    assert rate.high < 0.3
    assert rate.verdict == "seldom"


def test_all_flowers_of_a_garden_failing__says_seldom_or_never() -> None:
    found = fit_pods([Attempt(f"s{k}", f"p{k % 4}", 15, 0) for k in range(12)])
    for rate in (found.garden, found.seed("s1"), found.pollen("p1"), found.pair("s1", "p1")):
        assert 0 <= rate.low <= rate.mean <= rate.high < 0.2
        assert np.isfinite(rate.error)


def test_all_flowers_of_a_garden_setting__says_readily() -> None:
    found = fit_pods([Attempt(f"s{k}", f"p{k % 4}", 15, 15) for k in range(12)])
    assert found.seed("s1").verdict == "readily"
    assert found.pollen("p1").low > 0.7


def test_one_plant_alone__is_pooled_with_what_is_usual() -> None:
    rate = fit_pods([Attempt("a", "b", 10, 7)]).seed("a")
    assert 0.4 < rate.mean < 0.7
    assert rate.low < 0.4 < 0.75 < rate.high


def test_failures_with_good_pollen__are_the_seed_parents() -> None:
    found = failing(40)
    assert found.pollen("pollen 1").mean > 0.3
    assert found.pair("new", "pollen 1").mean < 0.03
    assert found.pair("seed 2", "pollen 1").mean > 0.3


def test_failures_of_two_strangers__may_be_eithers() -> None:
    found = failing(40, "strange pollen")
    assert 0.1 < found.seed("new").mean < 0.35
    assert 0.1 < found.pollen("strange pollen").mean < 0.35
    assert found.pair("new", "strange pollen").mean < 0.05


def test_failures_of_one_pair__leave_both_parents_what_they_showed() -> None:
    found = fit_pods([*OTHERS, Attempt("seed 2", "pollen 4", 40, 0)])
    assert found.pair("seed 2", "pollen 4").mean < 0.08
    assert found.seed("seed 2").mean > 0.25
    assert found.pair("seed 2", "pollen 2").mean > 0.25


def test_unknown_pollen__tells_of_the_seed_parent() -> None:
    found = fit_pods([*OTHERS, Attempt("new", None, 20, 19)])
    assert found.seed("new").mean > fit_pods(OTHERS).seed("new").mean + 0.2
    assert found.pollen("new") == found.pollen("never seen")
    assert len(found.parents.pollens) == 7


def test_unknown_pollen__tells_less_than_known() -> None:
    def rate(pollen: str | None):
        return fit_pods([*OTHERS, Attempt("new", pollen, 20, 18)]).seed("new")

    known, unknown = rate("pollen 1"), rate(None)
    assert unknown.high - unknown.low > known.high - known.low


def test_strangers__are_as_the_garden_and_less_sure() -> None:
    found = fit_pods(OTHERS)
    stranger, known = found.seed("never"), found.seed("seed 1")
    assert stranger.mean == pytest.approx(found.garden.mean, abs=0.03)
    assert stranger.high - stranger.low > known.high - known.low
    assert found.pair("never", "nor this").error > stranger.error


def test_many_flowers__leave_nothing_to_the_others() -> None:
    """Three of ten of very many: the pair's interval is the plain binomial one, 90 %."""
    rate = fit_pods([*OTHERS, Attempt("new", "pollen 1", 4000, 1200)]).pair("new", "pollen 1")
    reach = 1.6449 * (0.3 * 0.7 / 4000) ** 0.5
    assert rate.mean == pytest.approx(0.3, abs=0.002)
    assert (rate.low, rate.high) == pytest.approx((0.3 - reach, 0.3 + reach), abs=0.002)


def test_several_attempts_of_a_pair__are_one() -> None:
    once = fit_pods([*OTHERS, Attempt("a", "b", 9, 4)])
    parts = fit_pods([*OTHERS, Attempt("a", "b", 4, 1), Attempt("a", "b", 5, 3)])
    assert once.pair("a", "b").mean == pytest.approx(parts.pair("a", "b").mean)


def test_pair_means__hold_the_single_pairs() -> None:
    found = fit_pods([*OTHERS, Attempt("new", "pollen 1", 6, 0), Attempt("new", None, 3, 1)])
    seeds = ["seed 0", "seed 8", "new", "never"]
    pollens = ["pollen 0", "pollen 1", None, "never"]
    matrix = found.pair_means(seeds, pollens)
    for i, seed in enumerate(seeds):
        for j, pollen in enumerate(pollens):
            assert matrix[i, j] == pytest.approx(found.pair(seed, pollen).mean, abs=1e-9)


def test_quantile__without_barren_ones_is_the_logit_normals() -> None:
    assert quantile(0.5, 0.4, 1.0, 0.0) == pytest.approx(1 / (1 + np.exp(-0.4)))


def test_quantile__of_barren_ones_is_evenly_spread() -> None:
    assert quantile(0.25, 3.0, 0.1, 1.0) == pytest.approx(AT_MOST / 4)


def test_barren__is_held_for_few_before_any_count() -> None:
    assert fit_pods([]).barren.seed[-1] == PLANTS


def test_barren__a_garden_of_many_sterile_plants_suspects_the_next_sooner() -> None:
    sterile = [Attempt(f"mule {k}", f"pollen {k % 7}", 30, 0) for k in range(10)]
    few = failing(5).seed("new").mean
    assert fit_pods([*OTHERS, *sterile, Attempt("new", "pollen 1", 5, 0)]).seed("new").mean < few


COUNTS = st.lists(
    st.tuples(
        st.sampled_from("abcd"),
        st.sampled_from(["x", "y", None]),
        st.integers(0, 12),
        st.integers(0, 12),
    ).map(lambda row: Attempt(row[0], row[1], max(row[2:]), min(row[2:]))),
    max_size=10,
)


@settings(max_examples=7, deadline=None)
@given(COUNTS)
def test_rates__are_chances_in_order(attempts: list[Attempt]) -> None:
    found = fit_pods(attempts)
    for rate in (found.garden, found.seed("a"), found.pollen("x"), found.pair("a", "x")):
        assert 0 <= rate.low <= rate.high <= 1
        assert 0 < rate.mean < 1
        assert rate.variance == rate.error**2 < 0.25


@settings(max_examples=5, deadline=None)
@given(COUNTS, st.randoms(use_true_random=False))
def test_rates__order_of_attempts_is_all_one(attempts: list[Attempt], dice) -> None:
    other = attempts.copy()
    dice.shuffle(other)
    one, two = fit_pods(attempts), fit_pods(other)
    assert one.seed("a").mean == pytest.approx(two.seed("a").mean, abs=1e-3)
    assert one.pollen("x").mean == pytest.approx(two.pollen("x").mean, abs=1e-3)


@settings(max_examples=5, deadline=None)
@given(COUNTS)
def test_a_failure_more__never_raises_the_seed_parent(attempts: list[Attempt]) -> None:
    before = fit_pods(attempts).seed("a").mean
    assert fit_pods([*attempts, Attempt("a", "x", 1, 0)]).seed("a").mean < before + 0.01


def test_pods__hundreds_of_flowers_that_all_set_are_no_trouble(recwarn) -> None:
    found = fit_pods([Attempt("a", "b", 5000, 5000), Attempt("c", "b", 3, 0)])
    assert found.seed("a").low > 0.9
    assert not recwarn
