"""Marginals of random pedigrees against pyAgrum, a general library of Bayesian networks.

Source: lazy propagation on junction trees (`LazyPropagation`) of pyagrum 3.3.1. It is handed the
conditional tables and the evidence; nothing of ours but the table of one cross. The only test file
that imports it.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from breeding.inheritance.network import Factor, Network, exact, solve
from tests.breeding.networks import FOUNDER, MENDEL, NONE, SOME, garden, random_mating, seedlings

# Its compiled part warns of itself while it is loaded, and falls over where that is an error.
with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pyagrum as gum

PLANTS, TOLERANCE = 30, 1e-9
COUNTS = ((11, 12, 0, 40), (8, 14, 25, 5), (20, 9, 2, 300))


def their_network(factors: list[Factor], plants: int) -> tuple[gum.BayesNet, dict]:
    """Tables as conditional tables, flowers and counts as soft evidence on the child's side."""
    net = gum.BayesNet("pedigree")
    for plant in range(plants):
        net.add(gum.LabelizedVariable(f"p{plant}", "", 5))
    evidence = {}
    for factor in factors:
        names = [f"p{one}" for one in factor.variables]
        if len(names) == 3 and names[1] != names[2]:
            net.addArc(names[1], names[0])
            net.addArc(names[2], names[0])
            _fill(net, names, factor.table)
        elif len(names) == 3:
            net.addArc(names[1], names[0])
            _fill(net, names[:2], np.stack([factor.table[:, has, has] for has in range(5)], 1))
        elif factor.table is FOUNDER:
            net.cpt(names[0])[:] = FOUNDER
        elif len(names) == 1:
            evidence[names[0]] = factor.table.tolist()
        else:
            _add_counts(net, names, np.exp(factor.table - factor.table.max()), evidence)
    return net, evidence


def _fill(net: gum.BayesNet, names: list[str], table: np.ndarray) -> None:
    for parents in np.ndindex(table.shape[1:]):
        states = dict(zip(names[1:], map(int, parents), strict=True))
        net.cpt(names[0])[states] = table[(slice(None), *parents)].tolist()


def _add_counts(net: gum.BayesNet, names: list[str], weights: np.ndarray, evidence: dict) -> None:
    """A node that came true with a chance in proportion to the counts' weight."""
    name = f"counts_{'_'.join(names)}"
    net.add(gum.LabelizedVariable(name, "", 2))
    for parent in names:
        net.addArc(parent, name)
    _fill(net, [name, *names], np.stack([1 - weights, weights]))
    evidence[name] = [0.0, 1.0]


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("seen", [0.1, 0.6])
def test_marginals_of_thirty_plants(seed: int, seen: float) -> None:
    dice = np.random.default_rng(seed)
    _, factors = garden(random_mating(PLANTS, 5, dice), dice, seen)
    ours = Network([5] * PLANTS, factors)
    net, evidence = their_network(factors, PLANTS)
    theirs = gum.LazyPropagation(net)
    theirs.setEvidence(evidence)
    theirs.makeInference()
    told = exact(ours)
    for plant, marginal in enumerate(told.marginals):
        wanted = theirs.posterior(f"p{plant}").toarray()
        np.testing.assert_allclose(marginal, wanted, atol=TOLERANCE)
    assert told.log_evidence == pytest.approx(np.log(theirs.evidenceProbability()), abs=TOLERANCE)


@pytest.mark.parametrize("seed", range(3))
def test_marginals_with_counted_seedlings(seed: int) -> None:
    dice = np.random.default_rng(100 + seed)
    copies, factors = garden(random_mating(PLANTS, 6, dice), dice, 0.2)
    for one, two, none, some in COUNTS:
        if MENDEL[0, copies[one], copies[two]] in (0, 1):
            none, some = (0, some) if MENDEL[0, copies[one], copies[two]] == 0 else (none, 0)
        factors.append(seedlings(one, two, none, some))
    net, evidence = their_network(factors, PLANTS)
    theirs = gum.LazyPropagation(net)
    theirs.setEvidence(evidence)
    theirs.makeInference()
    for plant, marginal in enumerate(solve(Network([5] * PLANTS, factors)).marginals):
        wanted = theirs.posterior(f"p{plant}").toarray()
        np.testing.assert_allclose(marginal, wanted, atol=TOLERANCE)


def test_flowers_stand_as_evidence() -> None:
    net, evidence = their_network([Factor((0,), FOUNDER), Factor((1,), FOUNDER),
                                   Factor((2, 0, 1), MENDEL), Factor((2,), NONE)], 3)  # fmt: skip
    assert evidence == {"p2": NONE.tolist()}
    assert SOME.sum() == 4
    assert net.sizeArcs() == 2
