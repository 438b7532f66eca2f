"""Messages round loops, beside exact answers; what is stated of their error."""

from __future__ import annotations

import numpy as np
import pytest

from breeding.inheritance.network import Factor, Network, approximate, exact, simplify, solve
from breeding.inheritance.network.approximate import loopy_part
from breeding.inheritance.network.checking import Near
from breeding.inheritance.network.passing import Passing
from breeding.inheritance.network.stacks import outward
from tests.breeding.networks import garden, random_mating, seedlings

EVEN = 1e-9


def pedigree(seed: int, plants: int = 40, seen: float = 0.4) -> Network:
    dice = np.random.default_rng(seed)
    copies, factors = garden(random_mating(plants, 5, dice), dice, seen)
    pairs = [dice.integers(0, plants, 2) for _ in range(4)]
    counts = [
        seedlings(int(one), int(two), 0, 30)
        for one, two in pairs
        if copies[one] + copies[two] > 5 and one != two
    ]
    return Network([5] * plants, [*factors, *counts])


def off(one, two) -> np.ndarray:
    """Largest difference of a probability, by variable."""
    pairs = zip(one.marginals, two.marginals, strict=True)
    return np.array([np.abs(a - b).max() for a, b in pairs])


def test_tree_is_exact_by_messages_alone() -> None:
    dice = np.random.default_rng(3)
    tables = [dice.random((3, 4)), dice.random((4, 2, 3)), dice.random((3,)), dice.random((2, 5))]
    network = Network(
        [3, 4, 2, 3, 5],
        [Factor(scope, table) for scope, table in
         zip([(0, 1), (1, 2, 3), (3,), (2, 4)], tables, strict=True)],
    )  # fmt: skip
    passing = Passing(network, damping=0.0)
    passing.run(50, 1e-12)
    wanted = exact(network)
    assert passing.settled
    for found, marginal in zip(passing.marginals(), wanted.marginals, strict=True):
        np.testing.assert_allclose(found, marginal, atol=EVEN)
    assert passing.bethe() == pytest.approx(wanted.log_evidence, abs=1e-8)


def test_tree_of_steep_tables_is_exact_by_messages_alone() -> None:
    dice = np.random.default_rng(5)
    scopes = [(0, 1), (1, 2), (1, 3), (0,)]
    logs = [dice.uniform(-5000, 0, [4] * len(scope)) for scope in scopes]
    network = Network(
        [4] * 4, [Factor(*told, logs=True) for told in zip(scopes, logs, strict=True)]
    )
    passing = Passing(network, damping=0.2)
    passing.run(200, 1e-13)
    wanted = exact(network)
    for found, marginal in zip(passing.marginals(), wanted.marginals, strict=True):
        np.testing.assert_allclose(found, marginal, atol=1e-8)
    assert passing.bethe() == pytest.approx(wanted.log_evidence, abs=1e-6)


@pytest.mark.parametrize("shared", [True, False])
@pytest.mark.parametrize("arity", [2, 3, 4, 5])
def test_outward_sums_over_all_others(arity: int, shared: bool) -> None:
    dice = np.random.default_rng(arity)
    sizes, n = [2, 3, 4, 2, 3][:arity], 6
    table = dice.random(sizes if shared else [n, *sizes])
    messages = [dice.random((n, size)) for size in sizes]
    letters = "abcde"[:arity]
    for at, found in enumerate(outward(table, shared, messages)):
        others = [one for one in range(arity) if one != at]
        sums = ",".join(f"n{letters[one]}" for one in others)
        wanted = np.einsum(f"{'' if shared else 'n'}{letters},{sums}->n{letters[at]}", table,
                           *(messages[one] for one in others))  # fmt: skip
        np.testing.assert_allclose(found, wanted)


@pytest.mark.parametrize("seed", range(4))
def test_pedigree_is_near_the_exact_answer(seed: int) -> None:
    network = pedigree(seed)
    wanted, told = exact(network), approximate(network)
    assert told.settled
    assert told.rounds < 100
    assert not told.exact
    assert off(told, wanted).mean() < 0.02
    assert told.log_evidence == pytest.approx(wanted.log_evidence, abs=0.5)
    assert not off(told, wanted)[told.exactly].any()
    assert np.isnan(told.error[~told.exactly]).all()


def test_pairs_and_small_tables_bring_it_nearer() -> None:
    plain, better = [], []
    for seed in range(4):
        network = pedigree(seed)
        wanted = exact(network)
        plain.append(off(approximate(network, small=1), wanted).mean())
        better.append(off(approximate(network), wanted).mean())
    assert np.mean(better) < np.mean(plain)


def test_stated_error_holds_for_nine_in_ten() -> None:
    right, stated = [], []
    for seed in range(10, 18):
        network = pedigree(seed, seen=0.3)
        wanted, told = exact(network), solve(network, most=3000)
        doubtful = ~told.exactly
        right += list(off(told, wanted)[doubtful] <= told.error[doubtful])
        stated += list(told.error[doubtful])
        assert not told.error[told.exactly].any()
    assert len(right) > 100
    assert np.mean(right) >= 0.9
    # No use in an error that is always right because it is large.
    assert np.mean(stated) < 0.1


def test_solve_is_exact_part_by_part() -> None:
    narrow, wide = pedigree(1, plants=10), pedigree(2, plants=60, seen=0.2)
    factors = [Factor(scope, table, True) for scope, table in
               zip(narrow.scopes, narrow.tables, strict=True)]  # fmt: skip
    factors += [Factor(tuple(10 + one for one in scope), table, True) for scope, table in
                zip(wide.scopes, wide.tables, strict=True)]  # fmt: skip
    told = solve(Network([5] * 70, factors), most=5**6)
    assert told.exactly[:10].all()
    assert not told.exactly[10:].all()
    alone = exact(narrow)
    np.testing.assert_allclose(told.marginals[:10], alone.marginals, atol=EVEN)


@pytest.mark.parametrize("way", [approximate, lambda network: solve(network, most=3000)])
def test_same_input_gives_the_same_answer(way) -> None:
    one, two = way(pedigree(3)), way(pedigree(3))
    assert all((a == b).all() for a, b in zip(one.marginals, two.marginals, strict=True))
    assert np.array_equal(one.error, two.error, equal_nan=True)
    assert one.log_evidence == two.log_evidence


def test_joint_of_a_factor_agrees_with_its_marginals() -> None:
    network = pedigree(2)
    told = approximate(network)
    wide = [scope for scope in network.scopes if len(scope) == 3]
    assert wide
    for scope in wide:
        joint = told.joint(scope)
        assert joint.sum() == pytest.approx(1)
        for axis, one in enumerate(scope):
            sums = joint.sum(axis=tuple({0, 1, 2} - {axis}))
            np.testing.assert_allclose(sums, told.marginal(one), atol=2e-3)


def test_joint_of_strangers_is_refused_unless_one_is_certain() -> None:
    chain = [Factor((at, at + 1), np.array([[2.0, 1], [1, 2]])) for at in range(4)]
    told = exact(Network([2] * 5, chain))
    with pytest.raises(KeyError, match="together"):
        told.joint((0, 4))
    sure = exact(Network([2] * 5, [*chain, Factor((4,), np.array([0.0, 1]))]))
    np.testing.assert_allclose(sure.joint((4, 0)), np.outer(sure.marginal(4), sure.marginal(0)))


@pytest.mark.parametrize("seed", range(3))
def test_what_is_looked_at_is_exact_when_all_of_the_core_is_near(seed: int) -> None:
    network = pedigree(seed, plants=30, seen=0.3)
    part = max(simplify(network).parts, key=lambda one: len(one.network)).network
    wanted = exact(part)
    core, _ = loopy_part(part)
    assert core.left
    assert core.order
    near = Near(core)
    for variable, marginal in enumerate(wanted.marginals):
        found = near.marginal(variable, balls=(1000,), widest=2**20)
        np.testing.assert_allclose(found, marginal, atol=1e-9)


def test_rounds_that_do_not_suffice_are_said() -> None:
    told = approximate(pedigree(1), rounds=1)
    assert told.rounds == 1
    assert not told.settled
    assert told.change > 0
