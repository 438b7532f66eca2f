"""Tables of counts by type: all there can be, and how likely each is under given ratios."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from math import comb
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

# In place of the logarithm of 0: any count of what cannot be leaves nothing.
NEVER = -1e6


def number_of_tables(seedlings: int, types: int) -> int:
    """How many tables of so many seedlings in so many types there are."""
    return comb(seedlings + types - 1, types - 1)


@lru_cache(maxsize=32)
def tables(seedlings: int, types: int) -> Array:
    """All tables, shape (tables, types), in a fixed order; kept, so not to be written to.

    Examples
    --------
    >>> tables(2, 2).tolist()
    [[0, 2], [1, 1], [2, 0]]
    """
    import numpy as np

    # Bars among stars: a table is where the bars stand.
    whole = seedlings + types - 1
    bars = np.array(list(combinations(range(whole), types - 1)), dtype=int)
    bars = bars.reshape(number_of_tables(seedlings, types), types - 1)
    edges = np.pad(bars, ((0, 0), (1, 1)), constant_values=((0, 0), (-1, whole)))
    found: Array = np.diff(edges, axis=1) - 1
    found.flags.writeable = False
    return found


def log_chances(counts: Array, chances: Array) -> Array:
    """Logarithms of the multinomial chances of tables under ratios.

    Parameters
    ----------
    counts : ndarray of int, shape (tables, types)
    chances : ndarray of float, shape (ratios, types)

    Returns
    -------
    ndarray of float, shape (ratios, tables)
        Very small, not −inf, where a table cannot come.
    """
    import numpy as np

    with np.errstate(divide="ignore"):
        logs = np.where(chances > 0, np.log(chances), NEVER)
    found: Array = logs @ counts.T + _log_ways(counts)
    return found


def log_best(counts: Array) -> Array:
    """Logarithms of the chances of tables under the ratio that each shows itself."""
    import numpy as np

    whole = np.maximum(counts.sum(axis=1, keepdims=True), 1)
    logs = np.log(np.maximum(counts, 1) / whole)
    found: Array = (counts * logs).sum(axis=1) + _log_ways(counts)
    return found


def _log_ways(counts: Array) -> Array:
    """Logarithms of the orders in which the seedlings of each table can come."""
    import numpy as np

    most = int(counts.sum(axis=1).max(initial=0))
    factorials = np.concatenate(([0.0], np.log(np.arange(1, most + 1)).cumsum()))
    ways: Array = factorials[counts.sum(axis=1)] - factorials[counts].sum(axis=1)
    return ways
