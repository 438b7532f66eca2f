"""What simplify takes away before anything is summed, and in which order tables are made."""

from __future__ import annotations

import numpy as np
import pytest

from breeding.inheritance.network import Factor, Impossible, Network, simplify
from breeding.inheritance.network.ordering import TooWide, best_order, neighbours, order_of
from tests.breeding.networks import FOUNDER, MENDEL, NONE, SOME, garden, random_mating


def test_simplify_of_nothing() -> None:
    told = simplify(Network([]))
    assert (told.states, told.parts, told.log_weight) == ((), (), 0.0)


def test_simplify_tells_what_parents_of_a_recessive_can_be() -> None:
    factors = [Factor((0,), FOUNDER), Factor((1,), NONE), Factor((2, 0, 1), MENDEL),
               Factor((2,), NONE), Factor((3, 0, 1), MENDEL), Factor((3,), SOME)]  # fmt: skip
    told = simplify(Network([5] * 4, factors))
    # A plant without the allele took none from either parent; its sister took one or two.
    assert [states.tolist() for states in told.states] == [[1, 2], [0], [0], [1, 2]]
    assert [part.variables for part in told.parts] == [(0, 3)]


def test_simplify_goes_on_through_generations() -> None:
    table = np.eye(3)
    chain = [Factor((at, at + 1), table) for at in range(30)]
    told = simplify(Network([3] * 31, [*chain, Factor((0,), np.array([0.0, 2, 0]))]))
    assert all(states.tolist() == [1] for states in told.states)
    assert told.parts == ()
    assert told.log_weight == pytest.approx(np.log(2))


def test_simplify_cuts_at_certain_variables() -> None:
    alike = np.array([[2.0, 1], [1, 2]])
    chain = [Factor((at, at + 1), alike) for at in range(4)]
    told = simplify(Network([2] * 5, [*chain, Factor((2,), np.array([0.0, 1]))]))
    assert [part.variables for part in told.parts] == [(0, 1), (3, 4)]
    assert [part.network.scopes for part in told.parts] == [[(0, 1), (1,)], [(0,), (0, 1)]]


def test_simplify_leaves_variables_without_factors_alone() -> None:
    told = simplify(Network([2, 3]))
    assert [part.variables for part in told.parts] == [(0,), (1,)]


def test_simplify_keeps_shared_tables_shared() -> None:
    dice = np.random.default_rng(1)
    _, factors = garden(random_mating(200, 5, dice), dice, seen=0)
    network = simplify(Network([5] * 200, factors)).parts[0].network
    wide = {id(table) for table in network.tables if table.ndim == 3}
    # One for either order of the parents.
    assert len(wide) <= 2


def test_simplify_refuses_what_no_state_is_left_of() -> None:
    with pytest.raises(Impossible, match="without any state"):
        simplify(Network([2], [Factor((0,), np.array([0.0, 1])), Factor((0,), np.array([1.0, 0]))]))


def test_order_leaves_what_is_too_wide() -> None:
    ring = [(at, (at + 1) % 6) for at in range(6)]
    order, total, refused = order_of(neighbours(ring, 6), [4] * 6, most=64)
    assert sorted(order) == list(range(6))
    assert refused == 0
    assert total == 4 * 64 + 16 + 4
    order, _, refused = order_of(neighbours(ring, 6), [4] * 6, most=63)
    assert order == []
    assert refused == pytest.approx(64)


@pytest.mark.parametrize("by_fill", [False, True])
def test_order_of_a_tree_makes_no_table_wider_than_its_factors(by_fill: bool) -> None:
    dice = np.random.default_rng(7)
    tree = [(int(dice.integers(0, at)), at) for at in range(1, 80)]
    order, _, refused = order_of(neighbours(tree, 80), [5] * 80, 25, by_fill)
    assert len(order) == 80
    assert refused == 0


def test_order_weighs_states_and_not_only_neighbours() -> None:
    # All ends have one neighbour; the one beside the wide variable is as dear as it.
    chain = [(0, 1), (1, 2), (2, 3)]
    assert best_order(chain, [2, 2, 50, 2], most=100)[0] in (0, 3)
    with pytest.raises(TooWide):
        best_order(chain, [2, 2, 50, 2], most=99)
