"""Variance components estimated by restricted maximum likelihood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evaluation.ranking.mixed import Components, Equations, Solution

if TYPE_CHECKING:
    import numpy as np

MOST_STEPS = 30
# A component is at its edge beneath this share of all variance.
EDGE = 1e-3
LOW, HIGH = 2e-4, 20.0
STEP = 0.05


@dataclass(frozen=True)
class Estimate:
    """Components, the standard error of each free one (NaN at its edge), and how it went.

    The order is additive, own, groups …, residual, in `free` and in `errors`.
    """

    components: Components
    errors: tuple[float, ...]
    free: tuple[bool, ...]
    converged: bool
    steps: int


def estimate(equations: Equations, start: Components, free: Sequence[bool]) -> Estimate:
    """REML from `start`; a component that is not `free` keeps its ratio to the residual.

    Notes
    -----
    Quasi-Newton on the logarithms (never negative), with the exact gradient from the expected
    squares of the effects, as in expectation–maximisation. Standard errors from the curvature at
    the end. Each step costs one solution.

    References
    ----------
    .. [1] Patterson & Thompson 1971, Biometrika 58:545–554.
    .. [2] Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39:1–38 (from memory).
    """
    import numpy as np
    from scipy.optimize import minimize

    begin = np.log(flat(start))
    free = (*free, True)
    loose = np.flatnonzero(free)
    held = np.setdiff1d(np.arange(len(begin)), loose)
    ratios = begin[held] - begin[-1]

    def whole(logs: np.ndarray) -> np.ndarray:
        full = np.empty(len(begin))
        full[loose] = logs
        full[held] = ratios + logs[-1]
        return full

    def climb(logs: np.ndarray) -> tuple[float, np.ndarray]:
        components = unflat(np.exp(whole(logs)))
        solution = equations.solve(components)
        slope = gradient(equations, solution)
        slope[-1] += slope[held].sum()
        return solution.minus_two_log, slope[loose]

    total = float(np.exp(begin).sum())
    bounds = [(np.log(LOW * total), np.log(HIGH * total))] * len(loose)
    found = minimize(
        climb, begin[loose], jac=True, method="L-BFGS-B", bounds=bounds,
        options={"maxiter": MOST_STEPS, "maxfun": 2 * MOST_STEPS, "ftol": 1e-7, "gtol": 0.02},
    )  # fmt: skip
    values = np.exp(whole(found.x))
    inside = values[loose] > EDGE * values.sum()
    errors = np.full(len(begin), np.nan)
    errors[loose] = _errors(climb, found.x, inside) * values[loose]
    return Estimate(
        unflat(values), tuple(errors.tolist()), tuple(free), bool(found.success), int(found.nit)
    )


def flat(components: Components) -> list[float]:
    """Additive, own, groups …, residual in one list."""
    return [components.additive, components.own, *components.groups, components.residual]


def unflat(values: Sequence[float]) -> Components:
    """The components of such a list."""
    additive, own, *groups, residual = (float(value) for value in values)
    return Components(additive, own, tuple(groups), residual)


def gradient(equations: Equations, solution: Solution) -> np.ndarray:
    """Slope of −2 log-likelihood along the logarithm of each component, in the order of `flat`.

    n − E(sum of squares) / σ² for each set of n effects, given the scores.
    """
    import numpy as np

    e, parts, c = equations, equations.parts, solution.components
    own_parts = e.family.own * c.additive + c.own
    spread = solution.shrink * c.residual + solution.shrink**2 * e.errors_of(
        e.of_unit, solution.inverse
    )
    squared = solution.extra**2 + spread
    mendelian = e.family.own * c.additive / own_parts
    # Of the square of the own part, what is Mendelian and what is permanent.
    leaf = e.family.own > 0
    between = c.additive * c.own / own_parts
    of_leaves = mendelian[leaf] ** 2 * squared[leaf] / e.family.own[leaf] + between[leaf]
    of_own = (1 - mendelian) ** 2 * squared + e.family.own * between
    core = solution.inverse[parts[-1], parts[-1]]
    quadratic = solution.additive @ (e.inverse_a @ solution.additive)
    trace_a = float(e.inverse_a.multiply(core).sum())
    slopes = [
        len(core) + leaf.sum() - (quadratic + trace_a + of_leaves.sum()) / c.additive,
        len(own_parts) - of_own.sum() / c.own,
    ]
    known = trace_a / c.additive + (spread / own_parts).sum()
    for part, effects, variance in zip(parts[1:-1], solution.groups, c.groups, strict=True):
        trace = float(np.trace(solution.inverse[part, part]))
        slopes.append(len(effects) - (effects @ effects + trace) / variance)
        known += trace / variance
    theta = np.concatenate([solution.fixed, *solution.groups, solution.additive])
    rest = e.values - e.design @ theta - solution.extra[e.unit]
    told = e.weights @ rest**2 + c.residual * (len(theta) + len(own_parts) - known)
    slopes.append(len(e.values) - told / c.residual)
    return np.array(slopes)


def _errors(climb: object, at: np.ndarray, inside: np.ndarray) -> np.ndarray:
    """Standard errors of the logarithms of the components that are not at their edge."""
    import numpy as np

    errors = np.full(len(at), np.nan)
    where = np.flatnonzero(inside)
    curve = np.empty((len(where), len(where)))
    for row, which in enumerate(where):
        there = [at.copy(), at.copy()]
        there[0][which] += STEP
        there[1][which] -= STEP
        up, down = (climb(logs)[1] for logs in there)
        curve[row] = (up - down)[where] / (2 * STEP)
    try:
        # −2 log-likelihood curves twice as much as the log-likelihood.
        covariance = 2 * np.linalg.inv((curve + curve.T) / 2)
    except np.linalg.LinAlgError:
        return errors
    diagonal = np.diag(covariance)
    errors[where] = np.where(diagonal > 0, np.sqrt(np.maximum(diagonal, 0)), np.nan)
    return errors
