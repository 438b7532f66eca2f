"""The same as tables: gametes of every genotype, and plants whose copies are drawn at random."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import product
from math import factorial, prod
from typing import TYPE_CHECKING

from breeding.inheritance.drawing import gamete_states, gametes
from breeding.inheritance.gametes import Number, rate
from breeding.inheritance.sets import Sets, genotypes
from breeding.inheritance.uniting import united

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Table = NDArray[np.float64]

__all__ = ["at_random", "gamete_matrix", "gamete_states"]
# Rounds of random mating until double reduction has nothing more to add, in full precision.
MOST_ROUNDS = 200


def gamete_matrix(
    sets: Sets, alleles: int, double_reduction: Number = 0, size: int | None = None
) -> Table:
    """Chances of every gamete of every genotype.

    Returns
    -------
    ndarray of float, shape (genotypes, gametes)
        Rows in the order of `genotypes`, columns in that of `gamete_states`; kept, so not to be
        written to. Each row sums to 1.

    Examples
    --------
    >>> gamete_matrix(Sets((4,)), 2)[1].tolist()
    [0.5, 0.5, 0.0]
    """
    return _matrix(sets, alleles, rate(double_reduction), size)


@lru_cache(maxsize=128)
def _matrix(sets: Sets, alleles: int, double: Fraction, size: int | None) -> Table:
    import numpy as np

    place = {state: at for at, state in enumerate(gamete_states(sets, alleles, size))}
    rows = genotypes(sets, alleles)
    found = np.zeros((len(rows), len(place)))
    for row, genotype in enumerate(rows):
        for gamete, share in gametes(genotype, double, size).items():
            found[row, place[gamete]] = float(share)
    found.flags.writeable = False
    return found


def at_random(sets: Sets, frequencies: Sequence[float], double_reduction: Number = 0) -> Table:
    """Chances of the genotypes of a plant without parents, its copies drawn from the garden.

    Parameters
    ----------
    sets : Sets
    frequencies : sequence of float, length alleles
        Share of each allele; scaled to a sum of 1.
    double_reduction
        As for `gamete_frequencies`.

    Returns
    -------
    ndarray of float, shape (genotypes,)
        In the order of `genotypes`.

    Raises
    ------
    ValueError
        If a share is negative, or all are zero.

    Notes
    -----
    Multinomial in each group. With double reduction the equilibrium of random mating, found by
    repeated mating: in tetraploids two copies of one plant are then alike by descent with the
    chance α/(2+α). An odd group is drawn without.

    Examples
    --------
    >>> at_random(Sets((4,)), (0.5, 0.5)).tolist()
    [0.0625, 0.25, 0.375, 0.25, 0.0625]
    """
    import numpy as np

    shares = np.asarray(frequencies, dtype=float)
    if len(shares) == 0 or shares.min() < 0 or shares.sum() <= 0:
        raise ValueError("Shares of alleles are not negative, and not all zero.")
    shares = shares / shares.sum()
    found = np.ones(1)
    for size in sets.groups:
        found = np.outer(found, _one_group(size, shares, rate(double_reduction))).ravel()
    return found


def _one_group(size: int, shares: Table, double: Fraction) -> Table:
    plain = _multinomial(size, shares)
    if size < 4 or size % 2 or not double:
        return plain
    import numpy as np

    sets, alleles = Sets((size,)), len(shares)
    table, meeting = gamete_matrix(sets, alleles, double), _meeting(size, alleles)
    found = plain
    for _ in range(MOST_ROUNDS):
        gamete = found @ table
        mated = np.zeros_like(found)
        np.add.at(mated, meeting, np.outer(gamete, gamete).ravel())
        # The sum is squared in every round, and so would be its rounding.
        mated /= mated.sum()
        if np.abs(mated - found).max() < 1e-14:
            break
        found = mated
    return found


def _multinomial(size: int, shares: Table) -> Table:
    import numpy as np

    copies, ways = _ways(size, len(shares))
    found: Table = ways * np.prod(shares**copies, axis=1)
    return found


@lru_cache(maxsize=64)
def _ways(size: int, alleles: int) -> tuple[Table, Table]:
    """Copies in each genotype of one group, shape (genotypes, alleles), and orders to draw them."""
    import numpy as np

    parts = [genotype[0] for genotype in genotypes(Sets((size,)), alleles)]
    ways = [factorial(size) // prod(map(factorial, part)) for part in parts]
    return np.array(parts, dtype=float), np.array(ways, dtype=float)


@lru_cache(maxsize=64)
def _meeting(size: int, alleles: int) -> NDArray[np.intp]:
    """Places of the seedlings of all pairs of gametes, gamete by gamete, in one row."""
    import numpy as np

    sets = Sets((size,))
    place = {state: at for at, state in enumerate(genotypes(sets, alleles))}
    states = gamete_states(sets, alleles)
    return np.array([place[united(*pair, sets)] for pair in product(states, states)])
