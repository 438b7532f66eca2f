"""Components by approximate marginal likelihood, and parents' effects given them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from breeding.fertility.twoway import Model, Peak, Rows, climb
from breeding.flowering.absorbing import Floats, Ints

# A component is half or double the usual one with odds of about two to one against: the standard
# deviation of its logarithm before any count, an assumption.
DOUBT = 0.6
FURTHEST = 2.0
MOST_ROUNDS, FINE = 25, 1e-3
FEW = 5


@dataclass(frozen=True)
class Fitted:
    """A model with its components and its peak."""

    model: Model
    rows: Rows
    parts: tuple[float, float, float]
    peak: Peak

    def predicted(self, seed: Ints | None, pollen: Ints | None) -> tuple[Floats, Floats]:
        """Means and variances, (n, m), of the predictor for seed parents × pollen parents.

        Indices; None stands for one middling parent, whose effect is nought. Rows' own effects are
        not in it.
        """
        found = self.peak.posterior
        width = len(found.mean)
        ones = np.zeros((1, width))
        ones[0, 0] = 1
        if seed is None:
            loads, alone, base = ones, np.zeros(1), found.mean[:1]
        else:
            loads = ones + found.pull[seed, 0]
            alone, base = found.left[seed, 0, 0], found.mean[0] + found.own[seed, 0]
        through = loads @ found.spread
        square = alone + (through * loads).sum(1)
        if pollen is None:
            return base[:, None], square[:, None]
        columns = 1 + pollen
        mean = base[:, None] + found.mean[columns][None, :]
        diagonal = np.diagonal(found.spread)[columns]
        return mean, square[:, None] + 2 * through[:, columns] + diagonal[None, :]

    def one(self, seed: int | None, pollen: int | None) -> tuple[float, float]:
        """The same for one pair."""
        seeds = None if seed is None else np.array([seed])
        mean, variance = self.predicted(seeds, None if pollen is None else np.array([pollen]))
        return float(mean[0, 0]), float(variance[0, 0])

    def scales(self, tail: float) -> tuple[Floats, Floats]:
        """Scales of seed and pollen parents' effects as Student's with `tail` degrees of freedom.

        References
        ----------
        Lange, Little and Taylor 1989, Robust statistical modeling using the t distribution, J. Am.
        Stat. Assoc. 84:881-896: weights found by EM.
        """
        found = self.peak.posterior
        seeds = found.own[:, 0] ** 2 + found.own_spread()[:, 0, 0]
        pollens = found.mean[1:] ** 2 + np.diagonal(found.spread)[1:]
        return (
            (tail + 1) / (tail + seeds / self.parts[0] ** 2),
            (tail + 1) / (tail + pollens / self.parts[1] ** 2),
        )

    def with_own(self, row: int, mean: float, variance: float) -> tuple[float, float]:
        """Mean and variance of a row's whole predictor, its own effect as found from its counts."""
        peak = self.peak
        spread, bend = float(peak.spread[row]), float(peak.bend[row])
        loose = 1 + spread**2 * bend
        return mean + spread * float(peak.own[row]), variance / loose**2 + spread**2 / loose


def tune(model: Model, rows: Rows, start: Peak | None = None) -> Fitted:
    """Components that make the counts likeliest, the usual ones weighing in as DOUBT tells.

    Laplace's approximation of the evidence is climbed by a quasi-Newton search over the logarithms
    of the three components; about thirty peaks are worked out, each from the one before, the
    first from `start`. A spread stays the usual one where there are fewer than FEW things of its
    kind: one pot, or two that are alike, cannot tell how much pots differ.
    """
    from scipy.optimize import minimize

    usual = np.log(np.array(model.usual))
    if not len(rows.seed):
        return Fitted(model, rows, model.usual, climb(model, rows, model.usual))
    last = [climb(model, rows, model.usual, start)]

    def cost(step: Floats) -> float:
        peak = climb(model, rows, _parts(usual + step), last[0], covariance=False)
        last[0] = peak
        return float((step**2).sum() / (2 * DOUBT**2) - peak.evidence)

    found = minimize(
        cost,
        np.zeros(3),
        method="L-BFGS-B",
        bounds=[(-FURTHEST, FURTHEST) if many >= FEW else (0.0, 0.0) for many in _things(rows)],
        options={"maxiter": MOST_ROUNDS, "ftol": FINE * 1e-3, "eps": FINE},
    )
    parts = _parts(usual + found.x)
    return Fitted(model, rows, parts, climb(model, rows, parts, last[0]))


def _things(rows: Rows) -> tuple[int, int, int]:
    """Seed parents, pollen parents (each unknown one may be another), and rows."""
    unknown = int((rows.pollen < 0).sum())
    return rows.seeds, rows.pollens + unknown, len(rows.seed)


def _parts(logs: Floats) -> tuple[float, float, float]:
    one, two, three = np.exp(logs).tolist()
    return one, two, three
