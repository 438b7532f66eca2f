"""Two parents' effects on counts: a mixed model by Laplace approximation.

predictor = mean + seed parent + pollen parent + (what is the row's own), everything normal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from breeding.flowering.absorbing import Floats, Ints, Parts, Posterior, absorb

# (log likelihood, slope, bend = minus second derivative) of each row at its predictor; the number
# is the third component of the model.
Curves = Callable[[Floats, float], tuple[Floats, Floats, Floats]]
MOST_STEPS, MOST_HALVINGS, NEAR = 60, 12, 1e-7


@dataclass(frozen=True)
class Rows:
    """Counted rows: index of the seed parent, of the pollen parent (-1: unknown), both (rows,).

    `seeds` and `pollens` are the numbers of parents; one more of each stands for any other.
    """

    seed: Ints
    pollen: Ints
    seeds: int
    pollens: int


@dataclass(frozen=True)
class Model:
    """A likelihood and what is held before any count.

    Attributes
    ----------
    curves : callable
    own : bool
        Whether the third component is the spread of the rows' own effects; otherwise it belongs to
        the likelihood alone.
    centre : tuple of float
        Mean and standard deviation of the garden's mean.
    usual : tuple of float
        Usual components: between seed parents, between pollen parents, and the third.
    seed_scale, pollen_scale : float or ndarray of shape (seeds + 1,) and (pollens + 1,)
        By how much each parent's effect is held for narrower than the component says: ratios of
        precisions, below 1 for those that stand far off.
    """

    curves: Curves
    own: bool
    centre: tuple[float, float]
    usual: tuple[float, float, float]
    seed_scale: float | Floats = 1.0
    pollen_scale: float | Floats = 1.0


@dataclass(frozen=True)
class Peak:
    """The most likely effects and the normal distribution about them.

    Shared unknowns: the mean, then the pollen parents and one stranger; blocks: the seed parents
    and one stranger. `own` are the rows' own standardised effects, `spread` (rows,) what they are
    multiplied by, `bend` (rows,) the curvature; `evidence` is the approximate log evidence.
    """

    posterior: Posterior
    own: Floats
    spread: Floats
    bend: Floats
    evidence: float


def row_spread(model: Model, rows: Rows, parts: tuple[float, float, float]) -> Floats:
    """Standard deviation of what is a row's own; an unknown pollen parent belongs to it."""
    square = np.full(len(rows.seed), parts[2] ** 2 if model.own else 0.0)
    square[rows.pollen < 0] += parts[1] ** 2
    found: Floats = np.sqrt(square)
    return found


def climb(
    model: Model,
    rows: Rows,
    parts: tuple[float, float, float],
    start: Peak | None = None,
    covariance: bool = True,
) -> Peak:
    """The peak of the posterior by Newton's steps, halved where they lead down.

    Parameters
    ----------
    model : Model
    rows : Rows
    parts : tuple of float
        Components, as in Model.usual.
    start : Peak, optional
        A peak near by, from where it is climbed.
    covariance : bool
        Whether more than the peak and the evidence is wanted.

    Returns
    -------
    Peak

    References
    ----------
    Tierney and Kadane 1986, Accurate approximations for posterior moments and marginal densities,
    J. Am. Stat. Assoc. 81:82-86.
    """
    spread = row_spread(model, rows, parts)
    if start is None:
        shared, seeds = np.zeros(rows.pollens + 2), np.zeros(rows.seeds + 1)
        shared[0], own = model.centre[0], np.zeros(len(rows.seed))
    else:
        shared, seeds, own = start.posterior.mean, start.posterior.own[:, 0], start.own
    before = _height(model, rows, parts, spread, shared, seeds, own)
    for _ in range(MOST_STEPS):
        found, own_step, bend = _step(model, rows, parts, spread, shared, seeds, own)
        to_shared, to_seeds = found.mean - shared, found.own[:, 0] - seeds
        part = 1.0
        for _ in range(MOST_HALVINGS):
            there = shared + part * to_shared, seeds + part * to_seeds, own + part * own_step
            after = _height(model, rows, parts, spread, *there)
            if after >= before - NEAR:
                break
            part /= 2
        else:
            break
        gained, before = after - before, after
        shared, seeds, own = there
        if gained < NEAR:
            break
    found, _, bend = _step(model, rows, parts, spread, shared, seeds, own, covariance)
    log_det = found.log_det + float(np.log1p(spread**2 * bend).sum())
    return Peak(found, own, spread, bend, before + _prior_scale(model, rows, parts) - log_det / 2)


def predictor(rows: Rows, shared: Floats, seeds: Floats) -> Floats:
    """(rows,): mean and parents' effects."""
    known = rows.pollen >= 0
    pollen = np.where(known, shared[1 + np.maximum(rows.pollen, 0)], 0.0)
    found: Floats = shared[0] + seeds[rows.seed] + pollen
    return found


def _height(
    model: Model, rows: Rows, parts: tuple[float, float, float], spread: Floats,
    shared: Floats, seeds: Floats, own: Floats,
) -> float:  # fmt: skip
    """Log likelihood and log prior, without what does not move."""
    fits, _, _ = model.curves(predictor(rows, shared, seeds) + spread * own, parts[2])
    off = ((shared[0] - model.centre[0]) / model.centre[1]) ** 2
    off += (model.pollen_scale * shared[1:] ** 2).sum() / parts[1] ** 2
    off += (model.seed_scale * seeds**2).sum() / parts[0] ** 2
    return float(fits.sum() - (off + (own**2).sum()) / 2)


def _prior_scale(model: Model, rows: Rows, parts: tuple[float, float, float]) -> float:
    """Half the log determinant of the prior's precision, without the scales."""
    return -float(
        np.log(model.centre[1])
        + (rows.seeds + 1) * np.log(parts[0])
        + (rows.pollens + 1) * np.log(parts[1])
    )


def _step(
    model: Model, rows: Rows, parts: tuple[float, float, float], spread: Floats,
    shared: Floats, seeds: Floats, own: Floats, covariance: bool = False,
) -> tuple[Posterior, Floats, Floats]:  # fmt: skip
    """One Newton step: the normal approximation here, the step of the rows' own, the bends."""
    here = predictor(rows, shared, seeds)
    _, slope, bend = model.curves(here + spread * own, parts[2])
    loose = 1 + spread**2 * bend
    own_slope = spread * slope - own
    weight = bend / loose
    # The working values: where the rows' own effects have been taken out exactly.
    right = slope - spread * bend * own_slope / loose + weight * here
    matrix, own_right, shared_right = _equations(model, rows, parts, weight, right)
    found = absorb(matrix, own_right, shared_right, covariance)
    moved = predictor(rows, found.mean, found.own[:, 0]) - here
    own_step: Floats = (own_slope - spread * bend * moved) / loose
    return found, own_step, bend


def _equations(
    model: Model, rows: Rows, parts: tuple[float, float, float], weight: Floats, right: Floats
) -> tuple[Parts, Floats, Floats]:
    """Weighted normal equations: seed parents as blocks, the mean and pollen parents shared."""
    many, width = rows.seeds + 1, rows.pollens + 2
    known = rows.pollen >= 0
    seed, pollen = rows.seed[known], 1 + rows.pollen[known]
    own = _sums(rows.seed, weight, many)
    border = np.zeros((many, width))
    border[:, 0] = own
    np.add.at(border, (seed, pollen), weight[known])
    by_pollen = _sums(pollen, weight[known], width)
    shared = np.diag(by_pollen)
    shared[np.arange(1, width), np.arange(1, width)] += model.pollen_scale / parts[1] ** 2
    shared[0] = shared[:, 0] = by_pollen
    shared[0, 0] = weight.sum() + 1 / model.centre[1] ** 2
    to_shared = _sums(pollen, right[known], width)
    to_shared[0] = right.sum() + model.centre[0] / model.centre[1] ** 2
    own = own + model.seed_scale / parts[0] ** 2
    matrix = Parts(own[:, None, None], border[:, None, :], shared)
    return matrix, _sums(rows.seed, right, many)[:, None], to_shared


def _sums(at: Ints, values: Floats, many: int) -> Floats:
    """Sums by index; without any values they are nought, and still no whole numbers."""
    found: Floats = np.bincount(at, values, many).astype(float)
    return found
