"""Small tables of pairs, and their best sets found by trying all of them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from breeding.planning.candidates import Candidates, Weights
from breeding.planning.convex import group_kinship, uses
from breeding.planning.pairs import Pairs, pair_table


@dataclass(frozen=True)
class Tried:
    """Every set of N allowed pairs: values (sums of scores) and kinships, each shape (sets,)."""

    values: np.ndarray
    kinships: np.ndarray

    def best(self, limit: float = np.inf) -> float:
        """The highest value within the limit, −∞ without any."""
        return float(self.values[self.kinships <= limit + 1e-9].max(initial=-np.inf))

    def least(self) -> float:
        return float(self.kinships.min(initial=np.inf))


def try_all(pairs: Pairs, crosses: int, most_uses: int | None = None) -> Tried:
    found = []
    for rows in combinations(np.flatnonzero(~pairs.excluded).tolist(), crosses):
        at = list(rows)
        n = uses(pairs.seed[at], pairs.pollen[at], len(pairs.keys))
        if most_uses is None or n.max() <= most_uses:
            found.append((pairs.score[at].sum(), group_kinship(pairs.kin, n)))
    told = np.array(found).reshape(-1, 2)
    return Tried(told[:, 0], told[:, 1])


def related(n: int, seed: int) -> np.ndarray:
    """Kinship of plants that share some of n founders."""
    dice = np.random.default_rng(seed)
    shares = dice.dirichlet(np.full(n, 0.5), n)
    kinship: np.ndarray = shares @ shares.T / 2 + np.eye(n) / 8
    return kinship


def a_table(n: int, seed: int, kin_limit: float | None = None) -> Pairs:
    """Pairs of n plants with merits and pod sets drawn at random."""
    dice = np.random.default_rng(seed)
    return pair_table(
        Candidates(range(n), dice.normal(0, 3, n)),
        related(n, seed),
        fertility=dice.random((n, n)),
        weights=Weights(kinship=0),
        kin_limit=kin_limit,
    )
