"""The relationship matrix that the model of merit inverts, against sgkit's.

Source: `sgkit.pedigree_kinship(method="Hamilton-Kerr", return_relationship=True)` of sgkit 0.10.0,
which follows Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860.
"""

from __future__ import annotations

import numpy as np
import pytest

from breeding.pedigree import Pedigree
from breeding.pedigree.factors import factors
from evaluation.ranking.kin import Unit, family
from tests.reference.test_kinship_sgkit import KINDS, PLANTS, Made, by_sgkit, made

TOLERANCE = 1e-9


def ours(given: Made, plants: int = PLANTS) -> Pedigree:
    parents = dict(enumerate(given.parents[:plants]))
    return Pedigree(parents, dict(enumerate(given.ploidy[:plants])), given.rate)


@pytest.mark.parametrize("kind", KINDS)
def test_inverse__is_that_of_the_table_of_sgkit(kind: str) -> None:
    given = made(1, **KINDS[kind])
    table = by_sgkit(given).stat_pedigree_relationship.to_numpy()
    taken = factors(ours(given))
    order = np.array(taken.keys)
    # A clone or a doubled diploid has nothing of its own: its row is all but its parent's.
    apart = taken.own > 1e-5
    less = np.linalg.inv(taken.less_parents().toarray())
    assert less @ np.diag(taken.own) @ less.T == pytest.approx(
        table[np.ix_(order, order)], abs=1e-5
    )
    if apart.all():
        product = taken.inverse() @ table[np.ix_(order, order)]
        assert np.abs(product - np.eye(len(order))).max() < TOLERANCE
    assert taken.diagonal == pytest.approx(np.diag(table)[order], abs=TOLERANCE)


@pytest.mark.parametrize("kind", ["tetraploid 1/6 half-founders", "mixed 1/6 half-founders"])
def test_family__seedlings_are_related_as_plants_of_the_pedigree(kind: str) -> None:
    """The last plants of the pedigree taken out of it, and judged as seedlings of their parents."""
    given, known = made(1, **KINDS[kind]), PLANTS - 20
    table = by_sgkit(given).stat_pedigree_relationship.to_numpy()
    pedigree = ours(given, known)
    # Of a plant with no known parent the garden knows no ploidy; of others it follows from them.
    rows = [
        row
        for row, pair in enumerate(given.parents)
        if row >= known
        and any(p is not None for p in pair)
        and all(p is None or p < known for p in pair)
        and all(p is None or given.ploidy[p] == given.ploidy[row] for p in pair)
    ]
    kin = family([Unit(row, None, *given.parents[row]) for row in rows], pedigree)
    assert len(rows) > 3
    order = np.array(kin.core.keys)
    share = kin.rows.toarray()
    among = table[np.ix_(order, order)]
    assert np.abs(share @ among - table[np.ix_(rows, order)]).max() < TOLERANCE
    assert kin.diagonal == pytest.approx(np.diag(table)[rows], abs=TOLERANCE)
    own = np.einsum("ij,jk,ik->i", share, among, share) + kin.own
    assert own == pytest.approx(np.diag(table)[rows], abs=TOLERANCE)
