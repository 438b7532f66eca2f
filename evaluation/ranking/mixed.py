"""The mixed model of judging, and its equations.

    score = season + scorer + place + additive value + what else is the unit's own + residual

Season (or any fixed factor) is fixed, the rest random: scorers and places with one variance each,
additive values with the relationship matrix of the pedigree, the permanent own part and the
residual independent. The own part of a unit, and with it the Mendelian part of a seedling without
offspring, is taken out of the equations exactly: what stays is a system over seasons, scorers,
places and the plants of the pedigree, however many seedlings were judged.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from evaluation.ranking.kin import Family

if TYPE_CHECKING:
    import numpy as np
    from scipy.sparse import csr_array

# Rows of a sparse matrix times the inverse, so many at a time.
STRIP = 2_000


class NotSolvable(ValueError):
    """Why the model cannot be worked out, in a sentence."""


class Components(NamedTuple):
    """Variances on the scale of the scores, squared; `groups` of the random factors in order."""

    additive: float
    own: float
    groups: tuple[float, ...]
    residual: float


@dataclass(frozen=True)
class Solution:
    """Best linear unbiased estimates and predictions under given components.

    Attributes
    ----------
    fixed : ndarray, shape (f,)
    groups : list of ndarray
        Effects of each random factor.
    additive : ndarray, shape (n,)
        Additive values of the plants of the core.
    extra : ndarray, shape (units,)
        What is a unit's own beside `additive`: Mendelian part of a seedling, and permanent part.
    inverse : ndarray, shape (p, p)
        Prediction error (co)variances of fixed, groups and additive, in that order.
    minus_two_log : float
        −2 × restricted log-likelihood, up to a constant of the data.
    """

    fixed: np.ndarray
    groups: list[np.ndarray]
    additive: np.ndarray
    extra: np.ndarray
    inverse: np.ndarray
    minus_two_log: float
    shrink: np.ndarray
    components: Components


class Equations:
    """The data of one model, ready to be solved for any components.

    Parameters
    ----------
    values, weights : ndarray, shape (n,)
        Scores, and how much each weighs (1: one full score).
    unit : ndarray of int, shape (n,)
        Which unit each score is of.
    fixed : csr_array, shape (n, f)
        Design of the fixed effects, of full rank.
    groups : sequence of csr_array, each (n, levels)
        Designs of the random factors.
    family : Family

    References
    ----------
    .. [1] Henderson 1984, Applications of Linear Models in Animal Breeding, Guelph (from memory).
    .. [2] Mrode 2014, Linear Models for the Prediction of Animal Breeding Values, 3rd ed.,
       chapters 3 and 4.
    """

    def __init__(
        self,
        values: np.ndarray,
        weights: np.ndarray,
        unit: np.ndarray,
        fixed: csr_array,
        groups: Sequence[csr_array],
        family: Family,
    ) -> None:
        import numpy as np
        from scipy.sparse import csr_array, hstack

        n, units = len(values), family.rows.shape[0]
        self.family, self.values, self.weights, self.unit = family, values, weights, unit
        self.inverse_a = family.core.inverse()
        self.log_a = family.core.log_determinant()
        ones = csr_array((np.ones(n), (np.arange(n), unit)), shape=(n, units))
        design = hstack([fixed, *groups, ones @ family.rows]).tocsr()
        weighed = csr_array((weights, (np.arange(n), np.arange(n))), shape=(n, n)) @ design
        edges = np.cumsum([0, fixed.shape[1], *(g.shape[1] for g in groups), family.rows.shape[1]])
        self.parts = [slice(int(a), int(b)) for a, b in zip(edges[:-1], edges[1:], strict=True)]
        self.design, self.crossed = design, (design.T @ weighed).tocsr()
        self.right = weighed.T @ values
        # Sums over the scores of each unit.
        self.of_unit = (ones.T @ weighed).tocsr()
        self.weight_of_unit = np.bincount(unit, weights, units)
        self.sum_of_unit = np.bincount(unit, weights * values, units)
        self.squares = float(weights @ values**2)
        self.log_weights = float(np.log(weights).sum())

    def solve(self, components: Components) -> Solution:
        """Solve for given components; NotSolvable when fixed effects cannot be told apart."""
        import numpy as np
        from scipy.linalg import lapack
        from scipy.sparse import csr_array

        own = self.family.own * components.additive + components.own
        ratio = own / components.residual
        shrink = ratio / (1 + ratio * self.weight_of_unit)
        units = np.arange(len(shrink))
        taken = csr_array((shrink, (units, units)), shape=(len(units),) * 2) @ self.of_unit
        matrix = ((self.crossed - self.of_unit.T @ taken) / components.residual).toarray()
        right = (self.right - taken.T @ self.sum_of_unit) / components.residual
        for part, variance in zip(self.parts[1:-1], components.groups, strict=True):
            at = np.arange(part.start, part.stop)
            matrix[at, at] += 1 / variance
        matrix[self.parts[-1], self.parts[-1]] += self.inverse_a.toarray() / components.additive
        scale = np.sqrt(np.diag(matrix))
        factor, failed = lapack.dpotrf(matrix, lower=1, overwrite_a=1)
        # A column that the ones before it explain leaves nothing but what rounding makes.
        if failed or (np.diag(factor) / scale).min(initial=1.0) < 1e-7:
            raise NotSolvable("Seasons and other fixed effects cannot be told apart here.")
        log_matrix = 2 * float(np.log(np.diag(factor)).sum())
        inverse, _ = lapack.dpotri(factor, lower=1, overwrite_c=1)
        inverse = np.tril(inverse) + np.tril(inverse, -1).T
        theta = inverse @ right
        left_over = (self.squares - shrink @ self.sum_of_unit**2) / components.residual
        told = (
            len(self.values) * np.log(components.residual)
            - self.log_weights
            + np.log1p(ratio * self.weight_of_unit).sum()
            + sum(
                (part.stop - part.start) * np.log(variance)
                for part, variance in zip(self.parts[1:-1], components.groups, strict=True)
            )
            + len(self.family.core.keys) * np.log(components.additive)
            + self.log_a
            + log_matrix
            + left_over
            - right @ theta
        )
        extra = shrink * (self.sum_of_unit - self.of_unit @ theta)
        fixed, *groups, additive = (theta[part] for part in self.parts)
        return Solution(fixed, groups, additive, extra, inverse, float(told), shrink, components)

    def errors_of(self, rows: csr_array, inverse: np.ndarray) -> np.ndarray:
        """Variance of each row times the effects, shape (rows,): the diagonal of R C⁻¹ R'."""
        import numpy as np

        found = np.empty(rows.shape[0])
        for first in range(0, rows.shape[0], STRIP):
            strip = rows[first : first + STRIP]
            found[first : first + STRIP] = strip.multiply(strip @ inverse).sum(axis=1)
        return found
