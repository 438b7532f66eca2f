"""Kinship of a whole programme as a curved floor of flat pieces, for solvers of linear programs.

n are the uses of each plant as a parent, whole numbers; a programme of N crosses has the kinship
n'Kn / (2N)² = c'Kc, c being the contributions. Below, K is already divided by (2N)².
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from breeding.planning.candidates import Floats, Ints

# A matrix may miss being positive semidefinite by rounding, this part of its largest value.
ROUNDING = 1e-6
ROUNDS = 14
# Above so many plants the split takes too long, and a plain one is made.
MOST_SPLIT = 500


@dataclass(frozen=True, slots=True)
class Cut:
    """row · n − const is nowhere above the programme's kinship, for whole numbers n."""

    row: Floats
    const: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Kinship of the uses n: Σ own · n² + n' rest n − slack.

    Attributes
    ----------
    own : ndarray of float, shape (plants,)
        A part of each plant's kinship with itself, 0 or more. Uses are whole numbers, and between
        whole numbers n² may be drawn as straight pieces: this makes the floor much higher.
    rest : ndarray of float, shape (plants, plants)
        Positive semidefinite.
    slack : float
        What was added to make it so, at most.
    """

    own: Floats
    rest: Floats
    slack: float

    def cut(self, n: Floats, slope: Floats | None = None) -> Cut:
        """The flat piece that touches the curve at n, any numbers 0 or more.

        Own parts get the straight piece to the next whole number, or any other `slope`, then moved
        down to touch at the best whole number.
        """
        if slope is None:
            slope = 2 * np.floor(n + 1e-9) + 1
        touch = np.floor((slope + 1) / 2)
        pull = self.rest @ n
        const = self.own @ (touch * (slope - touch)) + n @ pull + self.slack
        return Cut(self.own * slope + 2 * pull, float(const))


def curve(kin: Floats) -> Curve:
    """Split kinship into own parts as large as may be, and a rest that is still convex.

    Parameters
    ----------
    kin : ndarray of float, shape (plants, plants)
        Symmetric.

    Raises
    ------
    ValueError
        If it is far from positive semidefinite: then it is no kinship.

    Notes
    -----
    The largest trace of a diagonal matrix that leaves the rest positive semidefinite, by Newton
    steps on a logarithmic barrier; any step is a valid split. Time grows with plants³.

    Examples
    --------
    >>> curve(np.diag([0.25, 0.25])).own.round(3).tolist()
    [0.25, 0.25]
    """
    if not len(kin):
        return Curve(np.zeros(0), kin, 0.0)
    scale = float(np.abs(kin).max()) or 1.0
    least = float(np.linalg.eigvalsh(kin)[0]) / scale
    if least < -ROUNDING:
        raise ValueError("This is no kinship: some programme would have less than nothing of it.")
    lift = max(0.0, 1e-9 - least)
    safe = kin / scale + lift * np.eye(len(kin))
    floor = max(least, 0.0) + lift
    own = _own_parts(safe, floor) if len(kin) <= MOST_SPLIT else np.full(len(kin), 0.9 * floor)
    return Curve(scale * own, scale * (safe - np.diag(own)), scale * lift)


def _own_parts(safe: Floats, floor: float) -> Floats:
    """Barrier: maximise Σ d + μ log det(K − D) + μ Σ log d, μ halved and halved again."""
    own, barrier = np.full(len(safe), floor / 2), max(floor, 1e-4)
    for _ in range(ROUNDS):
        inverse = np.linalg.inv(safe - np.diag(own))
        slope = 1 - barrier * inverse.diagonal() + barrier / own
        bend = barrier * (inverse * inverse + np.diag(own**-2.0))
        step = np.linalg.solve(bend, slope)
        size = 1.0
        while not _fits(safe, own + size * step):
            size *= 0.6
            if size < 1e-6:
                return own
        own = own + (0.9 if size < 1 else 1.0) * size * step
        barrier *= 0.4
    return own


def _fits(safe: Floats, own: Floats) -> bool:
    if own.min() <= 0:
        return False
    try:
        np.linalg.cholesky(safe - np.diag(own))
    except np.linalg.LinAlgError:
        return False
    return True


def uses(first: Ints, second: Ints, plants: int) -> Floats:
    """How often each plant is a parent in these pairs, shape (plants,)."""
    return np.bincount(np.r_[first, second], minlength=plants).astype(float)


def group_kinship(kin: Floats, n: Floats) -> float:
    """c'Kc: kinship of two copies drawn at random from the seedlings of a programme.

    Parameters
    ----------
    kin : ndarray of float, shape (plants, plants)
    n : ndarray of float, shape (plants,)
        Uses as a parent; c = n / Σ n are the contributions.

    Returns
    -------
    float
        0–1. Half of what Meuwissen [1]_ limits, c'Ac with the relationship A = 2K of diploids;
        here K holds for any ploidy.

    References
    ----------
    .. [1] Meuwissen 1997, Maximizing the response of selection with a predefined rate of
       inbreeding, J. Anim. Sci. 75:934–940 (from memory).

    Examples
    --------
    >>> group_kinship(np.diag([0.25, 0.25]), np.array([1.0, 1.0]))
    0.125
    """
    total = float(n.sum())
    return float(n @ kin @ n) / total**2 if total else 0.0
