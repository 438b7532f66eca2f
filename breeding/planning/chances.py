"""The chance of a wanted type for all pairs at once, from what the plants' gametes carry."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from breeding.planning.candidates import Flags, Floats

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

Gamete = TypeVar("Gamete")
CLOSE = 1e-6


def unions(
    seed: Sequence[Gamete], pollen: Sequence[Gamete], shows: Callable[[Gamete, Gamete], bool]
) -> Flags:
    """Which unions of a seed parent's and a pollen parent's gamete show the wanted type.

    Parameters
    ----------
    seed, pollen : sequences of gametes
        In the order of the columns of `gamete_shares`. Gametes of plants of different ploidy
        may stand in one list.
    shows : callable
        Called once for each union.

    Returns
    -------
    ndarray of bool, shape (seed gametes, pollen gametes)

    Examples
    --------
    >>> unions((0, 1, 2), (0, 1), lambda one, other: one + other >= 2).astype(int).tolist()
    [[0, 0], [0, 1], [1, 1]]
    """
    told = [[bool(shows(one, other)) for other in pollen] for one in seed]
    return np.array(told, dtype=bool).reshape(len(seed), len(pollen))


def chance_of_type(
    seed_shares: ArrayLike, shows: ArrayLike, pollen_shares: ArrayLike | None = None
) -> Floats:
    """Chance that one seedling of a pair shows the wanted type at one locus, for all pairs.

    Parameters
    ----------
    seed_shares : array-like of float, shape (plants, seed gametes)
        How often a gamete of each plant is of each kind, each row with the sum 1; over all its
        possible genotypes, weighed by their probabilities. A row of NaN: nothing is known.
    shows : array-like of bool, shape (seed gametes, pollen gametes)
        See `unions`.
    pollen_shares : array-like of float, shape (plants, pollen gametes), optional
        The same where pollen has another list of gametes; by default as `seed_shares`.

    Returns
    -------
    ndarray of float, shape (plants, plants)
        Fraction, 0–1, seed parents in rows and pollen parents in columns; NaN with an unknown
        parent.

    Raises
    ------
    ValueError
        If shapes do not fit, or a row holds no chances with the sum 1.

    Notes
    -----
    The parents' genotypes are taken as independent given their probabilities; those of relatives
    are not quite, as they rest on the same seedlings. Two matrix products: plants² × gametes.

    Examples
    --------
    >>> simplex = [0.5, 0.5]  # of gametes without and with a copy
    >>> chance_of_type([simplex, [1.0, 0.0]], [[True, False], [False, False]]).tolist()
    [[0.25, 0.5], [0.5, 1.0]]
    """
    seed = _shares(seed_shares)
    pollen = seed if pollen_shares is None else _shares(pollen_shares)
    shown = np.asarray(shows, dtype=float)
    if shown.shape != (seed.shape[1], pollen.shape[1]) or len(seed) != len(pollen):
        raise ValueError("The unions have a row for each seed gamete, a column for each of pollen.")
    chance: Floats = np.clip(seed @ shown @ pollen.T, 0.0, 1.0)
    return chance


def chance_of_all(chances: Iterable[Floats]) -> Floats:
    """Chance of the wanted types at several loci, taken as independent (not linked).

    Parameters
    ----------
    chances : iterable of ndarray of float, shape (plants, plants) each
        One of `chance_of_type` for each locus, one at least.

    Returns
    -------
    ndarray of float, shape (plants, plants)
        Their product; NaN where one is unknown, unless another one is 0.

    Examples
    --------
    >>> chance_of_all([np.array([[0.5]]), np.array([[0.25]])]).tolist()
    [[0.125]]
    """
    tables = [np.asarray(each, dtype=float) for each in chances]
    if not tables:
        raise ValueError("A type is wanted at one locus at least.")
    product = np.ones_like(tables[0])
    never = np.zeros(product.shape, dtype=bool)
    for table in tables:
        product = product * table
        never |= table == 0
    # What cannot come at one locus cannot come at all, whatever the unknown one says.
    product[never] = 0.0
    return product


def _shares(told: ArrayLike) -> Floats:
    shares = np.asarray(told, dtype=float)
    if shares.ndim != 2:
        raise ValueError("Gametes have a row for each plant, a column for each kind.")
    known = shares[~np.isnan(shares).all(axis=1)]
    wrong = np.isnan(known).any() or (known < -CLOSE).any()
    if wrong or (np.abs(known.sum(axis=1) - 1) > CLOSE).any():
        raise ValueError("The shares of a plant's gametes are chances with the sum 1.")
    return shares
