"""All pairs of the candidates side by side: every column kept, each weighed into one score."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from breeding.planning.candidates import Candidates, Flags, Floats, Ints, Weights
from breeding.planning.columns import scaled

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

# Two kinships this close are the same one.
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Pair:
    """One pair as it is shown. None is unknown.

    Attributes
    ----------
    row : int
        Its row in the table.
    seed, pollen : plants
        In the direction with the higher expected pod set, in the candidates' order if alike.
    score : float
        The sum of `parts`, the weighted columns; 0 is the table's mean.
    merit, merit_error : float or None
        Mean of the parents' breeding values, and its standard error.
    chance : float or None
        Of the wanted types, for one seedling, 0–1.
    kinship : float
        Of the parents, 0–1.
    overlap : float or None
        Bloom in common, as it was handed over (days).
    fertility, other_way : float or None
        Expected pod set in the direction named and in the other one, 0–1.
    near : bool
        More closely related than the limit: shown, never chosen.
    unlikely : bool
        With a chance below the least one: the same.
    unknown : tuple of str
        Columns that count as the table's mean here.
    """

    row: int
    seed: Hashable
    pollen: Hashable
    score: float
    parts: Mapping[str, float]
    merit: float | None
    merit_error: float | None
    chance: float | None
    kinship: float
    overlap: float | None
    fertility: float | None
    other_way: float | None
    near: bool
    unlikely: bool
    unknown: tuple[str, ...]

    @property
    def excluded(self) -> bool:
        """Whether it is never chosen."""
        return self.near or self.unlikely


@dataclass(frozen=True)
class Pairs:
    """The table; rows are pairs of different candidates, (0, 1), (0, 2) … as in the upper triangle.

    Attributes
    ----------
    keys : tuple of plants
    kin : ndarray of float, shape (plants, plants)
        Kinship, each plant's with itself in the diagonal.
    seed, pollen : ndarray of int, shape (pairs,)
        Places in `keys`.
    columns : dict of str to ndarray of float, shape (pairs,)
        merit, merit_error, chance, kinship, overlap, fertility, other_way; NaN where unknown.
    parts : dict of str to ndarray of float, shape (pairs,)
        What each column adds to the score.
    score : ndarray of float, shape (pairs,)
    near, unlikely : ndarray of bool, shape (pairs,)
        Pairs that are never chosen, by kinship and by chance.
    """

    keys: tuple[Hashable, ...]
    kin: Floats
    seed: Ints
    pollen: Ints
    columns: Mapping[str, Floats]
    parts: Mapping[str, Floats]
    score: Floats
    near: Flags
    unlikely: Flags

    @property
    def excluded(self) -> Flags:
        """Pairs that are never chosen."""
        return self.near | self.unlikely

    def __len__(self) -> int:
        return len(self.score)

    def best(self, most: int = 20, *, with_excluded: bool = False) -> list[Pair]:
        """The pairs of the highest scores, best first; the excluded ones only on request."""
        order = np.argsort(-self.score, kind="stable")
        if not with_excluded:
            order = order[~self.excluded[order]]
        return [self.pair(int(row)) for row in order[: max(most, 0)]]

    def pair(self, row: int) -> Pair:
        """One row of the table."""
        values = {name: float(column[row]) for name, column in self.columns.items()}
        known = {name: None if np.isnan(value) else value for name, value in values.items()}
        return Pair(
            row=row,
            seed=self.keys[self.seed[row]],
            pollen=self.keys[self.pollen[row]],
            score=float(self.score[row]),
            parts={name: float(part[row]) for name, part in self.parts.items()},
            merit=known["merit"],
            merit_error=known["merit_error"],
            chance=known["chance"],
            kinship=values["kinship"],
            overlap=known["overlap"],
            fertility=known["fertility"],
            other_way=known["other_way"],
            near=bool(self.near[row]),
            unlikely=bool(self.unlikely[row]),
            unknown=tuple(name for name in self.parts if known[name] is None),
        )


def pair_table(
    candidates: Candidates,
    kinship: ArrayLike,
    chance: ArrayLike | None = None,
    overlap: ArrayLike | None = None,
    fertility: ArrayLike | None = None,
    weights: Weights | None = None,
    kin_limit: float | None = None,
    least_chance: float = 0.0,
) -> Pairs:
    """Every pair of different candidates with its columns and its score.

    Parameters
    ----------
    candidates : Candidates
        One or more.
    kinship : array-like of float, shape (plants, plants)
        As `Pedigree.kinship_matrix` gives it; symmetric, nothing unknown.
    chance, overlap, fertility : array-like of float, shape (plants, plants), optional
        Of seed parents in rows with pollen parents in columns; NaN where unknown. Chance of the
        wanted types, 0–1; bloom in common, days; expected pod set, 0–1.
    weights : Weights, optional
    kin_limit : float, optional
        Pairs of a higher kinship stay in the table and are excluded from choice.
    least_chance : float
        So are pairs whose chance is known to be lower, 0–1.

    Returns
    -------
    Pairs

    Raises
    ------
    ValueError
        If a table is of another shape or holds what cannot be.

    Notes
    -----
    The score is the sum of weight × column, each column scaled by its spread over the pairs
    (`columns.scaled`), kinship counted against. Unknown values count as the table's mean and are
    named in `Pair.unknown`. The mean of the parents' breeding values is what the seedlings are
    expected to be on average; its error, √(a² + b²) / 2 of the parents' errors a and b, takes
    these as independent. Memory and time grow with plants²: 44,850 pairs in some hundredths of a
    second.

    Examples
    --------
    >>> table = pair_table(Candidates("ABC", merit=(1, 2, 6)), [[0.25, 0, 0], [0, 0.25, 0.2],
    ...     [0, 0.2, 0.25]], kin_limit=0.1)
    >>> [(pair.seed, pair.pollen, pair.merit) for pair in table.best()]
    [('A', 'C', 3.5), ('A', 'B', 1.5)]
    """
    n = len(candidates)
    kin = _square(kinship, n, "kinship", whole=True)
    if not np.allclose(kin, kin.T, rtol=0, atol=CLOSE):
        raise ValueError("Kinship is the same both ways.")
    seed, pollen, pods, other = _directions(_square(fertility, n, "fertility", most=1.0))
    merit, error = candidates.column("merit"), candidates.column("merit_error")
    columns = {
        "merit": (merit[seed] + merit[pollen]) / 2,
        "merit_error": np.hypot(error[seed], error[pollen]) / 2,
        "chance": _square(chance, n, "chance", most=1.0)[seed, pollen],
        "kinship": kin[seed, pollen],
        "overlap": _square(overlap, n, "overlap")[seed, pollen],
        "fertility": pods,
        "other_way": other,
    }
    told = (weights or Weights()).mapping()
    signs = {name: -1.0 if name == "kinship" else 1.0 for name in told}
    # A column of weight 0 adds 0, not -0.
    parts = {
        name: signs[name] * weight * scaled(columns[name]) + 0.0 for name, weight in told.items()
    }
    score = np.sum(list(parts.values()), axis=0)
    limit = np.inf if kin_limit is None else kin_limit + CLOSE
    near = columns["kinship"] > limit
    # What is not known is not below anything.
    unlikely = columns["chance"] < least_chance - CLOSE
    return Pairs(tuple(candidates.keys), kin, seed, pollen, columns, parts, score, near, unlikely)


def _directions(fertility: Floats) -> tuple[Ints, Ints, Floats, Floats]:
    """Seed and pollen parent of each pair by the higher pod set; that, and the other one."""
    first, second = np.triu_indices(len(fertility), 1)
    there, back = fertility[first, second], fertility[second, first]
    # A known way goes before an unknown one; ways that are alike stay as listed.
    turned = (back > there) | (np.isnan(there) & ~np.isnan(back))
    seed, pollen = np.where(turned, second, first), np.where(turned, first, second)
    return seed, pollen, np.where(turned, back, there), np.where(turned, there, back)


def _square(
    told: ArrayLike | None, n: int, name: str, *, most: float = np.inf, whole: bool = False
) -> Floats:
    if told is None:
        return np.full((n, n), np.nan)
    table = np.asarray(told, dtype=float)
    if table.shape != (n, n):
        raise ValueError(f"{name} has a row and a column for each of {n} candidates.")
    if np.isinf(table).any() or (table < 0).any() or (table > most + CLOSE).any():
        raise ValueError(f"{name} holds a value that cannot be.")
    if whole and np.isnan(table).any():
        raise ValueError(f"{name} is known of every pair.")
    return table
