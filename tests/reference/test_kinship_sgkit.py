"""Random pedigrees against sgkit, a general library of statistical genetics.

Source: `sgkit.pedigree_kinship(method="Hamilton-Kerr")` of sgkit 0.10.0, which follows
Hamilton & Kerr 2018. Copies and λ are handed to it as the pedigrees were made, not as they were
read. The only test file that imports sgkit: it takes seconds.
"""

from __future__ import annotations

import random
import warnings
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from breeding.pedigree import Pedigree
from breeding.pedigree.inbreeding import by_frontier, by_strips

PLANTS, TOLERANCE = 60, 1e-9
# What a child of these two can be: (ploidy, copies from the first, copies from the second).
CROSSES = {
    (2, 2): [(2, 1, 1), (4, 2, 2)],
    (4, 2): [(3, 2, 1), (4, 2, 2)],
    (4, 4): [(4, 2, 2)],
    (4, 3): [(3, 2, 1), (4, 2, 2)],
}
HALF = {2: [(2, 1, 1)], 4: [(4, 2, 2), (3, 2, 1)]}


@dataclass
class Made:
    """A random pedigree, and what is known of it from the making."""

    rate: float
    parents: list[tuple[int | None, int | None]] = field(default_factory=list)
    ploidy: list[int] = field(default_factory=list)
    copies: list[tuple[int, int]] = field(default_factory=list)
    rates: list[tuple[float, float]] = field(default_factory=list)

    def add(self, pair: tuple, ploidy: int, copies: tuple[int, int]) -> None:
        from_sets = [
            2 * given if parent is None else self.ploidy[parent]
            for parent, given in zip(pair, copies, strict=True)
        ]
        self.parents.append(pair)
        self.ploidy.append(ploidy)
        self.copies.append(copies)
        self.rates.append(
            tuple(
                self.rate if (sets, given) == (4, 2) else 0.0
                for sets, given in zip(from_sets, copies, strict=True)
            )
        )


def made(seed: int, sets: tuple[int, ...], rate: float, half: float, selfs: float) -> Made:
    chance, pedigree = random.Random(seed), Made(rate)
    for number in range(PLANTS):
        if number < 8:
            ploidy = sets[number % len(sets)]
            pedigree.add((None, None), ploidy, (ploidy // 2, ploidy // 2))
            continue
        first, second = chance.randrange(number), chance.randrange(number)
        first = second if chance.random() < selfs else first
        if pedigree.ploidy[first] < pedigree.ploidy[second]:
            first, second = second, first
        one_known = chance.random() < half
        known = (pedigree.ploidy[first], pedigree.ploidy[second])
        options = HALF.get(known[0], []) if one_known else CROSSES.get(known, [])
        options = [option for option in options if len(sets) > 1 or option[0] == sets[0]]
        if not options:
            pedigree.add((None, None), sets[0], (sets[0] // 2, sets[0] // 2))
            continue
        ploidy, *copies = chance.choice(options)
        pair = (first, None) if one_known else (first, second)
        turn = chance.choice((1, -1))
        pedigree.add(pair[::turn], ploidy, tuple(copies[::turn]))
    return pedigree


KINDS = {
    "diploid": {"sets": (2,), "rate": 0.0, "half": 0.0, "selfs": 0.1},
    "diploid half-founders": {"sets": (2,), "rate": 0.0, "half": 0.3, "selfs": 0.1},
    "tetraploid": {"sets": (4,), "rate": 0.0, "half": 0.0, "selfs": 0.1},
    "tetraploid 1/7": {"sets": (4,), "rate": 1 / 7, "half": 0.0, "selfs": 0.1},
    "tetraploid 1/6 half-founders": {"sets": (4,), "rate": 1 / 6, "half": 0.3, "selfs": 0.2},
    "mixed": {"sets": (2, 4), "rate": 0.0, "half": 0.0, "selfs": 0.1},
    "mixed 1/6 half-founders": {"sets": (2, 4), "rate": 1 / 6, "half": 0.2, "selfs": 0.1},
}


def by_sgkit(pedigree: Made) -> Any:
    with warnings.catch_warnings():
        # What its dependencies deprecate is not ours to mend.
        warnings.simplefilter("ignore")
        import xarray
        from sgkit import pedigree_kinship

        parent = [[-1 if p is None else p for p in pair] for pair in pedigree.parents]
        data = xarray.Dataset(
            {
                "parent": (("samples", "parents"), np.array(parent)),
                "stat_Hamilton_Kerr_tau": (
                    ("samples", "parents"), np.array(pedigree.copies, dtype=np.uint64),
                ),
                "stat_Hamilton_Kerr_lambda": (("samples", "parents"), np.array(pedigree.rates)),
            }
        )  # fmt: skip
        return pedigree_kinship(
            data, method="Hamilton-Kerr", allow_half_founders=True, return_relationship=True
        ).compute()


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("kind", KINDS)
def test_kinship__agrees_with_sgkit_on_random_pedigrees(kind: str, seed: int) -> None:
    random_one = made(seed, **KINDS[kind])
    reference = by_sgkit(random_one)
    keys = list(range(PLANTS))
    random.Random(seed).shuffle(keys)
    pedigree = Pedigree(
        {key: random_one.parents[key] for key in keys},
        dict(enumerate(random_one.ploidy)), random_one.rate,
    )  # fmt: skip
    assert pedigree.gametes(keys[0])[0][0] == random_one.copies[keys[0]][0]
    kinship = reference.stat_pedigree_kinship.to_numpy()
    sets = np.array(random_one.ploidy)
    inbreeding = (sets * kinship.diagonal() - 1) / (sets - 1)
    pairs = [[pedigree.kinship(a, b) for b in range(PLANTS)] for a in range(PLANTS)]
    related = [[pedigree.relationship(a, b) for b in range(PLANTS)] for a in range(PLANTS)]
    assert np.abs(pedigree.kinship_matrix(range(PLANTS)) - kinship).max() < TOLERANCE
    assert np.abs(np.array(pairs) - kinship).max() < TOLERANCE
    assert np.abs(related - reference.stat_pedigree_relationship.to_numpy()).max() < TOLERANCE
    assert [pedigree.inbreeding(a) for a in range(PLANTS)] == pytest.approx(inbreeding, abs=1e-9)
    for kernel in (by_frontier, by_strips):
        found = kernel(pedigree._recursion).inbreeding[pedigree._place]
        assert found == pytest.approx(inbreeding[keys], abs=TOLERANCE)


def test_made__has_what_the_kinds_promise() -> None:
    mixed = made(1, **KINDS["mixed 1/6 half-founders"])
    assert set(mixed.ploidy) == {2, 3, 4}
    assert any(pair[0] == pair[1] is not None for pair in mixed.parents)
    assert any((p is None) != (q is None) for p, q in mixed.parents)
    # Gametes that were not reduced: two copies from a diploid.
    assert any(
        parent is not None and mixed.ploidy[parent] == given == 2
        for pair, copies in zip(mixed.parents, mixed.copies, strict=True)
        for parent, given in zip(pair, copies, strict=True)
    )
