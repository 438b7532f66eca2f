"""Plants that may become parents, and how much each column of the pair table weighs."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, fields
from math import isfinite
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Floats: TypeAlias = "NDArray[np.float64]"
Ints: TypeAlias = "NDArray[np.intp]"
Flags: TypeAlias = "NDArray[np.bool_]"


@dataclass(frozen=True)
class Candidates:
    """Plants that may become parents.

    Parameters
    ----------
    keys : sequence of plants
        Rows and columns of every table that goes with them, in this order; none comes twice.
    merit : array-like of float, shape (plants,), optional
        Breeding values in points; NaN where there is none.
    merit_error : array-like of float, shape (plants,), optional
        Their standard errors, 0 or more; NaN where there is none.

    Raises
    ------
    ValueError
        If a plant comes twice, or a list is of another length or holds what cannot be.

    Examples
    --------
    >>> len(Candidates(("Amsel", "Birke"), merit=(2.5, float("nan"))))
    2
    """

    keys: Sequence[Hashable]
    merit: ArrayLike | None = None
    merit_error: ArrayLike | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "keys", tuple(self.keys))
        if len(set(self.keys)) != len(self.keys):
            raise ValueError("A candidate stands in the list once.")
        for name in ("merit", "merit_error"):
            told = getattr(self, name)
            column = np.full(len(self), np.nan) if told is None else np.array(told, dtype=float)
            if column.shape != (len(self),) or np.isinf(column).any():
                raise ValueError(f"{name} has one number for each candidate, NaN if unknown.")
            object.__setattr__(self, name, column)
        if (self.column("merit_error") < 0).any():
            raise ValueError("An error is 0 or more.")

    def __len__(self) -> int:
        return len(self.keys)

    def column(self, name: str) -> Floats:
        """`merit` or `merit_error` as an array, shape (plants,), NaN where unknown."""
        column: Floats = getattr(self, name)
        return column


@dataclass(frozen=True, slots=True)
class Weights:
    """What each column counts in the score; 0 leaves it out. The defaults are a convention.

    Merit and the wanted type count alike, all others half of that. Every column is scaled by its
    own spread first, so that 1 against 1 is a spread of one for a spread of the other. Kinship
    counts against a pair.

    Raises
    ------
    ValueError
        If a weight is below 0 or no number.
    """

    merit: float = 1.0
    chance: float = 1.0
    kinship: float = 0.5
    overlap: float = 0.5
    fertility: float = 0.5

    def __post_init__(self) -> None:
        for name, weight in self.mapping().items():
            if not (isfinite(weight) and weight >= 0):
                raise ValueError(f"The weight of {name} is 0 or more.")

    def mapping(self) -> Mapping[str, float]:
        """Weight by the column's name, in the table's order."""
        return {each.name: getattr(self, each.name) for each in fields(self)}
