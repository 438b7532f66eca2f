"""Normal equations of many small blocks that meet only in a few shared unknowns.

The blocks (plants) are taken out of the equations exactly, so that what is left to be solved is as
large as the shared unknowns are many. Cost: blocks × shared² and shared³.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Parts:
    """A symmetric matrix over n blocks of b unknowns and m shared ones.

    own (n, b, b) within blocks, border (n, b, m) between block and shared, shared (m, m).
    """

    own: Floats
    border: Floats
    shared: Floats

    def plus(self, other: Parts, times: float = 1.0) -> Parts:
        return Parts(
            self.own + times * other.own,
            self.border + times * other.border,
            self.shared + times * other.shared,
        )


@dataclass(frozen=True)
class Posterior:
    """Unknowns given the data, jointly normal.

    The shared ones have `mean` (m,) and `spread` (m, m); those of a block are
    start + pull · shared, with the covariance `left` about that: (n, b), (n, b, m), (n, b, b).
    `log_det` is that of the whole matrix of the equations.
    """

    mean: Floats
    spread: Floats
    start: Floats
    pull: Floats
    left: Floats
    log_det: float

    @property
    def own(self) -> Floats:
        """Means of the blocks' unknowns, (n, b)."""
        found: Floats = self.start + self.pull @ self.mean
        return found

    def own_spread(self) -> Floats:
        """Covariances within the blocks, (n, b, b)."""
        found: Floats = self.left + self.pull @ self.spread @ self.pull.transpose(0, 2, 1)
        return found

    def load(self, at: Ints, own: Floats, shared: Floats) -> Floats:
        """(k, m): how the k sums own · block + shared · shared move with the shared unknowns."""
        found: Floats = shared + np.einsum("kb,kbm->km", own, self.pull[at])
        return found

    def value(self, at: Ints, own: Floats, shared: Floats) -> Floats:
        """(k,): means of the k sums of unknowns of block `at` (k,) and of the shared ones."""
        found: Floats = (own * self.own[at]).sum(1) + shared @ self.mean
        return found

    def variance(self, at: Ints, own: Floats, shared: Floats) -> Floats:
        """(k,): variances of the same sums."""
        load = self.load(at, own, shared)
        alone = np.einsum("kb,kbc,kc->k", own, self.left[at], own)
        found: Floats = alone + ((load @ self.spread) * load).sum(1)
        return found


def absorb(
    matrix: Parts, own_right: Floats, shared_right: Floats, spread: bool = True
) -> Posterior:
    """Solve `matrix` · unknowns = right-hand side, blocks first.

    Parameters
    ----------
    matrix : Parts
        Precision matrix, positive definite.
    own_right, shared_right : ndarray of shape (n, b) and (m,)
    spread : bool
        Whether covariances are wanted; without them, three times as quick and `spread` is empty.

    Returns
    -------
    Posterior

    Raises
    ------
    scipy.linalg.LinAlgError
        If the matrix is not positive definite.

    References
    ----------
    Mrode 2014, Linear Models for the Prediction of Animal Breeding Values, 3rd ed., on absorption.

    Examples
    --------
    >>> parts = Parts(np.full((1, 1, 1), 2.0), np.ones((1, 1, 1)), np.full((1, 1), 3.0))
    >>> found = absorb(parts, np.full((1, 1), 3.0), np.full(1, 4.0))
    >>> float(found.mean[0]), float(found.own[0, 0])
    (1.0, 1.0)
    """
    from scipy.linalg import cho_solve, cholesky

    blocks, size, many = matrix.border.shape
    left = 1 / matrix.own if size == 1 else np.linalg.inv(matrix.own)
    start = np.einsum("nab,nb->na", left, own_right)
    pull = -(left @ matrix.border)
    border = matrix.border.reshape(blocks * size, many)
    reduced = matrix.shared + border.T @ pull.reshape(blocks * size, many)
    root = cholesky((reduced + reduced.T) / 2, lower=True)
    mean = cho_solve((root, True), shared_right - border.T @ start.reshape(-1))
    covariance = cho_solve((root, True), np.eye(many)) if spread else np.empty((0, 0))
    log_det = 2 * np.log(np.diagonal(root)).sum() + np.linalg.slogdet(matrix.own)[1].sum()
    return Posterior(mean, covariance, start, pull, left, float(log_det))
