"""A few values that stand for a whole spread: Gauss's rule for shares and for numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from breeding.inheritance.mixtures import Mixture, mixture

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

POINTS = 16
# A share that varies more than this part of the most it can would be nothing but 0 and 1.
WIDEST = 0.95


@dataclass(frozen=True, slots=True)
class Spread:
    """A number that is not the same every time: its mean and variance."""

    mean: float
    variance: float = 0.0

    def __post_init__(self) -> None:
        if not (self.mean >= 0 and self.variance >= 0):
            raise ValueError("A mean and a variance are not negative.")


def shape_of_share(spread: Spread) -> tuple[float, float] | None:
    """The two shapes of the beta distribution with this mean and variance; None when it is fixed.

    Raises
    ------
    ValueError
        If the mean is above 1, or the variance more than mean·(1 − mean).
    """
    most = spread.mean * (1 - spread.mean)
    if spread.mean > 1 or spread.variance > most * (1 + 1e-9) + 1e-12:
        raise ValueError(
            f"A share of {spread.mean} with a variance of {spread.variance} cannot be."
        )
    if spread.variance <= 1e-12 or most == 0:
        return None
    size = most / min(spread.variance, WIDEST * most) - 1
    return spread.mean * size, (1 - spread.mean) * size


def share(spread: Spread, points: int = POINTS) -> Mixture:
    """A share, 0–1, that is beta distributed, as `points` weighted values.

    Notes
    -----
    Gauss–Jacobi quadrature from the recurrence of the polynomials [1]_: right for every polynomial
    up to the degree 2·`points` − 1.

    References
    ----------
    .. [1] Golub & Welsch 1969, Math. Comp. 23:221–230.

    Examples
    --------
    >>> told = share(Spread(0.4, 0.02))
    >>> round(told.mean, 9)
    0.4
    """
    import numpy as np

    shape = shape_of_share(spread)
    if shape is None:
        return mixture([spread.mean], [1.0])
    p, q = shape[1] - 1, shape[0] - 1
    n = np.arange(points, dtype=float)
    twice = 2 * n + p + q
    with np.errstate(divide="ignore", invalid="ignore"):
        centre = (q * q - p * p) / (twice * (twice + 2))
        beside = 4 * n * (n + p) * (n + q) * (n + p + q) / (twice**2 * (twice**2 - 1))
    centre[0] = (q - p) / (p + q + 2)
    # Where the general form would be 0/0: p + q = −1.
    beside[1] = 4 * (1 + p) * (1 + q) / ((2 + p + q) ** 2 * (3 + p + q))
    nodes, weights = _gauss(centre, beside[1:])
    return mixture(((1 + nodes) / 2).clip(0, 1), weights)


def number(spread: Spread, points: int = POINTS) -> Mixture:
    """A number above 0 that is gamma distributed, as `points` weighted values (Gauss–Laguerre)."""
    import numpy as np

    if spread.variance <= 1e-12 or spread.mean == 0:
        return mixture([spread.mean], [1.0])
    scale = spread.variance / spread.mean
    shape = spread.mean / scale
    n = np.arange(points, dtype=float)
    nodes, weights = _gauss(2 * n + shape, n[1:] * (n[1:] + shape - 1))
    return mixture(nodes.clip(0) * scale, weights)


def _gauss(centre: Array, beside: Array) -> tuple[Array, Array]:
    """Nodes and weights from the recurrence: diagonal, and squares of what stands beside it."""
    import numpy as np

    root = np.sqrt(beside)
    nodes, vectors = np.linalg.eigh(np.diag(centre) + np.diag(root, 1) + np.diag(root, -1))
    return nodes, vectors[0] ** 2
