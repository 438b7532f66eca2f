"""The selection index: several records of a plant weighed into one prediction of its merit.

Hazel (1943), Genetics 28: 476-490; in the notation of Mrode (2014), *Linear Models for the
Prediction of Animal Breeding Values*, chapter 1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Index:
    """Weights of m records for t traits in the goal.

    `b` (m,) weighs deviations of the records from their means; `sub_indices` (t, m) predict each
    trait of the goal alone, and their sum by the goal's weights is `b`. `accuracy` is the
    correlation of index and aggregate genotype, the ratio of their standard deviations.
    """

    b: Floats
    sub_indices: Floats
    sd_index: float
    sd_aggregate: float
    accuracy: float

    def of(self, deviations: ArrayLike) -> Floats:
        """Index values, shape (n,), of deviations from the means, shape (n, m)."""
        import numpy as np

        return np.asarray(deviations, dtype=float) @ self.b


@dataclass(frozen=True)
class Predictor:
    """Breeding value predicted as `b` times a deviation from the mean, and its accuracy."""

    b: float
    accuracy: float

    def of(self, deviation: float) -> float:
        return self.b * deviation


def selection_index(
    phenotypic: ArrayLike,
    genetic: ArrayLike,
    weights: ArrayLike,
    goal: ArrayLike | None = None,
) -> Index:
    """b = P⁻¹ G w, the weights with the highest correlation to the aggregate genotype.

    Parameters
    ----------
    phenotypic
        P, shape (m, m): covariances of the records.
    genetic
        G, shape (m, t): covariances of the records with the goal's traits.
    weights
        w, shape (t,): worth of one unit of each trait.
    goal
        C, shape (t, t): genetic covariances of the goal's traits; G itself when they are the
        traits recorded.

    Raises
    ------
    ValueError
        When shapes do not fit, or the covariances cannot be covariances.
    """
    import numpy as np

    p, g = np.asarray(phenotypic, dtype=float), np.asarray(genetic, dtype=float)
    w = np.asarray(weights, dtype=float)
    c = g if goal is None else np.asarray(goal, dtype=float)
    if p.ndim != 2 or g.shape != (len(p), len(w)) or c.shape != (len(w), len(w)):
        raise ValueError(
            "Covariances and weights do not fit: one line a record, one column a trait."
        )
    _check_covariances(p, "records")
    if not (np.isfinite(w).all() and np.isfinite(g).all()):
        raise ValueError("Every weight and covariance must be a number.")
    subs = np.linalg.solve(p, g).T
    b = w @ subs
    if not np.isfinite(c).all() or w @ c @ w < 0:
        raise ValueError("The genetic covariances give the goal a variance below nothing.")
    of_index, of_goal = float(b @ p @ b), float(w @ c @ w)
    if of_index > of_goal * (1 + 1e-9):
        raise ValueError("The index would vary more than the merit it predicts: check the values.")
    sd_index, sd_goal = math.sqrt(of_index), math.sqrt(of_goal)
    return Index(b, subs, sd_index, sd_goal, sd_index / sd_goal if sd_goal else math.nan)


def _check_covariances(matrix: Floats, of: str) -> None:
    import numpy as np

    square = matrix.shape[0] == matrix.shape[1] and np.isfinite(matrix).all()
    if not (square and np.allclose(matrix, matrix.T)) or np.linalg.eigvalsh(matrix).min() <= 0:
        raise ValueError(f"The covariances of the {of} are not those of different {of}.")


def own_records(heritability: float, repeatability: float, records: int = 1) -> Predictor:
    """Breeding value from the mean of a plant's own records: b = n h² / (1 + (n - 1) t).

    As in example 1.2 of Mrode (2014). Both shares are 0 to 1, heritability above 0 and no higher
    than repeatability.

    Raises
    ------
    ValueError
        When they are not, or there is no record.
    """
    if records < 1:
        raise ValueError("A prediction from own records needs one record or more.")
    if not 0 < heritability <= repeatability <= 1:
        raise ValueError(
            "Heritability is above 0 and no higher than repeatability, that at most 1."
        )
    b = records * heritability / (1 + (records - 1) * repeatability)
    return Predictor(b, math.sqrt(b))


def from_other_trait(
    seen: float, wanted: float, sd_seen: float, sd_wanted: float, correlation: float
) -> Predictor:
    """Breeding value of one trait from a record of another one.

    b = r h_seen h_wanted sd_wanted / sd_seen, accuracy r h_seen, as in example 1.5 of Mrode (2014).

    Parameters
    ----------
    seen, wanted
        Heritabilities of the recorded and the wanted trait, 0 to 1.
    sd_seen, sd_wanted
        Phenotypic standard deviations, above 0, in the traits' own units.
    correlation
        Genetic correlation, -1 to 1.

    Raises
    ------
    ValueError
        When a value is out of its range.
    """
    if not (0 <= seen <= 1 and 0 <= wanted <= 1 and -1 <= correlation <= 1):
        raise ValueError("Heritabilities are 0 to 1, a genetic correlation −1 to 1.")
    if not (sd_seen > 0 and sd_wanted > 0):
        raise ValueError("Standard deviations are above 0.")
    b = correlation * math.sqrt(seen * wanted) * sd_wanted / sd_seen
    return Predictor(b, abs(correlation) * math.sqrt(seen))
