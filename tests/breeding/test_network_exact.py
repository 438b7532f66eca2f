"""Exact marginals against going through everything."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance.network import Factor, Impossible, Network, TooWide, approximate, exact
from breeding.inheritance.network import solve as solve_all
from tests.breeding.networks import (
    FOUNDER,
    MENDEL,
    NONE,
    SOME,
    everything,
    garden,
    random_mating,
    seedlings,
)

WAYS = (exact, approximate, solve_all)


@st.composite
def networks(draw: st.DrawFn, sparse: bool = True) -> Network:
    """Up to six variables of one to three states; weights may be zero and far apart."""
    sizes = draw(st.lists(st.integers(1, 3), min_size=1, max_size=6))
    weight = st.one_of(*([st.just(-np.inf)] if sparse else []), st.floats(-400, 3))
    factors = []
    for _ in range(draw(st.integers(0, 7))):
        scope = draw(st.lists(st.integers(0, len(sizes) - 1), max_size=3))
        shape = [sizes[one] for one in scope]
        count = int(np.prod(shape))
        cells = draw(st.lists(weight, min_size=count, max_size=count))
        factors.append(Factor(tuple(scope), np.reshape(cells, shape), logs=True))
    return Network(sizes, factors)


@given(networks())
@settings(max_examples=150, deadline=None)
def test_exact_is_what_going_through_everything_gives(network: Network) -> None:
    with np.errstate(invalid="ignore", divide="ignore"):
        marginals, log_evidence, _ = everything(network)
    if log_evidence == -np.inf or np.isnan(log_evidence):
        with pytest.raises(Impossible):
            exact(network)
        return
    told = exact(network)
    for found, wanted in zip(told.marginals, marginals, strict=True):
        np.testing.assert_allclose(found, wanted, atol=1e-12)
    assert told.log_evidence == pytest.approx(log_evidence, abs=1e-9)
    assert told.exact
    assert not told.error.any()


@given(networks(sparse=False), st.data())
@settings(max_examples=60, deadline=None)
def test_joint_is_what_going_through_everything_gives(
    network: Network, data: st.DataObject
) -> None:
    scopes = [scope for scope in network.scopes if scope]
    if not scopes:
        return
    wanted = data.draw(st.permutations(data.draw(st.sampled_from(scopes))))
    _, _, joint = everything(network)
    rest = tuple(at for at in range(len(network)) if at not in wanted)
    sums = joint.sum(axis=rest).transpose(np.argsort(np.argsort(wanted)))
    np.testing.assert_allclose(exact(network).joint(wanted), sums, atol=1e-12)


@given(networks())
@settings(max_examples=60, deadline=None)
def test_ways_agree_where_nothing_is_too_wide(network: Network) -> None:
    try:
        told = exact(network)
    except Impossible:
        for way in WAYS:
            with pytest.raises(Impossible):
                way(network)
        return
    for way in WAYS:
        other = way(network)
        assert other.exact
        assert other.log_evidence == pytest.approx(told.log_evidence, abs=1e-9)
        for one, two in zip(told.marginals, other.marginals, strict=True):
            np.testing.assert_allclose(one, two, atol=1e-12)


def test_pedigree_of_six_is_what_going_through_everything_gives() -> None:
    dice = np.random.default_rng(4)
    parents = [None, None, (0, 1), (0, 1), (2, 3), (2, 2)]
    _, factors = garden(parents, dice)
    network = Network([5] * 6, [*factors, seedlings(4, 5, 3, 11), seedlings(0, 0, 1, 5)])
    marginals, log_evidence, _ = everything(network)
    told = exact(network)
    np.testing.assert_allclose(told.marginals, marginals, atol=1e-12)
    assert told.log_evidence == pytest.approx(log_evidence, abs=1e-10)


def test_selfed_plant_names_its_parent_twice() -> None:
    network = Network([5, 5], [Factor((0,), FOUNDER), Factor((1, 0, 0), MENDEL),
                               Factor((1,), NONE)])  # fmt: skip
    wanted = FOUNDER * np.array([MENDEL[0, has, has] for has in range(5)])
    np.testing.assert_allclose(exact(network).marginal(0), wanted / wanted.sum(), atol=1e-14)


@pytest.mark.parametrize("way", WAYS)
def test_no_variables_at_all(way) -> None:
    told = way(Network([]))
    assert told.marginals == ()
    assert told.log_evidence == 0
    assert told.exact
    assert told.settled


@pytest.mark.parametrize("way", WAYS)
def test_variable_of_which_nothing_is_told_is_even(way) -> None:
    told = way(Network([4, 1]))
    assert told.marginal(0).tolist() == [0.25] * 4
    assert told.marginal(1).tolist() == [1.0]
    assert told.log_evidence == pytest.approx(np.log(4))


@pytest.mark.parametrize("way", WAYS)
def test_contradiction_is_a_value_error_with_a_sentence(way) -> None:
    parents_without = [Factor((at,), NONE) for at in (0, 1)]
    child = [Factor((2, 0, 1), MENDEL), Factor((2,), SOME)]
    with pytest.raises(ValueError, match="contradicts itself"):
        way(Network([5] * 3, [*parents_without, *child]))
    with pytest.raises(ValueError, match="contradicts itself"):
        way(Network([], [Factor((), np.array(0.0))]))


@pytest.mark.parametrize("way", WAYS)
def test_contradiction_round_a_loop_is_found_where_summed(way) -> None:
    other = np.array([[0.0, 1], [1, 0]])
    with pytest.raises(ValueError, match="contradicts itself"):
        way(Network([2] * 3, [Factor(pair, other) for pair in ((0, 1), (1, 2), (0, 2))]))


@pytest.mark.parametrize("way", WAYS)
def test_weights_of_any_size_stand_beside_each_other(way) -> None:
    one = Factor((0, 1), np.array([[0.0, -5000.0], [-5000.0, -9000.0]]), logs=True)
    two = Factor((0,), np.array([-5000.0, 0.0]), logs=True)
    three = Factor((1,), np.array([-4001.0, 0.0]), logs=True)
    told = way(Network([2, 2], [one, two, three]))
    # (0, 0): −9001, (0, 1): −10000, (1, 0): −9001, (1, 1): −9000.
    wanted = np.exp([-1, -1000, -1, 0])
    np.testing.assert_allclose(
        told.marginal(0), [wanted[:2].sum() / wanted.sum(), wanted[2:].sum() / wanted.sum()]
    )
    assert told.log_evidence == pytest.approx(-9000 + np.log(wanted.sum()))


def test_too_wide_says_how_wide() -> None:
    dice = np.random.default_rng(2)
    _, factors = garden(random_mating(60, 4, dice), dice, seen=0)
    with pytest.raises(TooWide) as told:
        exact(Network([5] * 60, factors), most=5**4)
    assert told.value.width > 5**4


@pytest.mark.parametrize(
    ("sizes", "factor", "sentence"),
    [
        ([2], Factor((0,), np.array([1.0, -1.0])), "not negative"),
        ([2], Factor((0,), np.array([1.0, np.nan])), "finite"),
        ([2], Factor((0,), np.array([0.0, np.inf]), logs=True), "finite"),
        ([2], Factor((0,), np.ones(3)), "does not fit"),
        ([2], Factor((0,), np.ones((2, 2))), "axes"),
        ([2], Factor((1,), np.ones(2)), "not there"),
        ([2], Factor((0, 0), np.ones((2, 3))), "named twice"),
        ([0], Factor((), np.ones(())), "at least one state"),
    ],
)
def test_what_does_not_fit_is_refused(sizes, factor, sentence) -> None:
    with pytest.raises(ValueError, match=sentence):
        Network(sizes, [factor])


@pytest.mark.parametrize("way", WAYS)
def test_what_came_in_is_left_as_it_was(way) -> None:
    table = np.array([[0.5, 0.0], [0.5, 1.0]])
    way(Network([2, 2], [Factor((1, 0), table), Factor((0,), np.array([0.0, 3.0]))]))
    assert table.tolist() == [[0.5, 0.0], [0.5, 1.0]]
