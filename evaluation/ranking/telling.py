"""What a solved model says of units, parents, scorers, seasons and places."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evaluation.ranking.mixed import Components, Equations, Solution
from evaluation.ranking.reml import Estimate

if TYPE_CHECKING:
    import numpy as np

    from evaluation.ranking.ranking import Judgements

COVERAGE = 0.90


@dataclass(frozen=True)
class Effects:
    """Effects of seasons, scorers or places: by name the value and its standard error, in points.

    Those of seasons are differences from the mean of all seasons.
    """

    names: np.ndarray
    values: np.ndarray
    errors: np.ndarray


@dataclass(frozen=True)
class Worths:
    """Breeding values of the plants of the pedigree, as differences from its founders' mean."""

    plants: list[Hashable]
    values: np.ndarray
    errors: np.ndarray
    reliability: np.ndarray


@dataclass(frozen=True)
class Ranking:
    """What the scores say of each unit, in the order of the units; arrays have shape (units,).

    Attributes
    ----------
    mean : float
        Points of an average seedling in an average season.
    merit : ndarray
        Predicted points: the mean, the additive value, and what is the unit's own.
    error, low, high : ndarray
        Standard error of what sets the unit off from the mean, and the interval about `merit`.
    reliability : ndarray
        Share of the variance of merit that the scores explain, 0–1.
    breeding : ndarray
        Additive values, as differences from the founders' mean.
    judged, scorers, seasons : ndarray of int
        Scores, scorers and seasons of each unit.
    plain : ndarray
        Weighted mean of the scores as given; NaN without any.
    """

    mean: float
    merit: np.ndarray
    error: np.ndarray
    low: np.ndarray
    high: np.ndarray
    reliability: np.ndarray
    breeding: np.ndarray
    judged: np.ndarray
    scorers: np.ndarray
    seasons: np.ndarray
    plain: np.ndarray
    worths: Worths
    of_scorers: Effects
    of_seasons: Effects
    of_places: Effects
    components: Components
    errors_of_components: tuple[float, ...] | None
    heritability: float
    repeatability: float
    warnings: tuple[str, ...]


def reach(coverage: float = COVERAGE) -> float:
    """How many standard errors an interval of that coverage reaches to each side."""
    from scipy.special import ndtri

    return float(ndtri((1 + coverage) / 2))


def told(
    judgements: Judgements,
    equations: Equations,
    solution: Solution,
    found: Estimate | None,
    coverage: float,
    said: list[str],
) -> Ranking:
    """Lay out what a solution says; `said` are warnings that were gathered on the way."""
    import numpy as np

    c, kin = solution.components, equations.family
    additive = kin.rows @ solution.additive
    own = kin.own * c.additive + c.own
    apart = additive + solution.extra
    variance = _error_of_merit(equations, solution)
    mean = float(solution.fixed.mean())
    wide = reach(coverage) * np.sqrt(variance)
    whole = kin.diagonal * c.additive + c.own
    total = c.additive + c.own + sum(c.groups) + c.residual
    judged = np.bincount(judgements.unit, minlength=len(own))
    weight = equations.weight_of_unit
    plain = np.divide(
        equations.sum_of_unit, weight, out=np.full(len(own), np.nan), where=weight > 0
    )
    return Ranking(
        mean=mean,
        merit=mean + apart,
        error=np.sqrt(variance),
        low=mean + apart - wide,
        high=mean + apart + wide,
        reliability=np.clip(1 - variance / whole, 0, 1),
        breeding=additive + np.divide(kin.own * c.additive, own, where=own > 0) * solution.extra,
        judged=judged,
        scorers=_different(judgements.unit, judgements.scorer, len(own)),
        seasons=_different(judgements.unit, judgements.season, len(own)),
        plain=plain,
        worths=_worths(equations, solution),
        of_scorers=_effects(judgements.scorer, equations, solution, 1),
        of_seasons=_seasons(judgements.season, equations, solution),
        of_places=_effects(judgements.place, equations, solution, 2),
        components=c,
        errors_of_components=found.errors if found else None,
        heritability=c.additive / total,
        repeatability=(c.additive + c.own) / total,
        warnings=tuple(said),
    )


def _error_of_merit(equations: Equations, solution: Solution) -> np.ndarray:
    """Prediction error variance of what sets each unit off from the mean."""
    import numpy as np
    from scipy.sparse import csr_array, hstack

    units, before = equations.family.rows.shape[0], equations.parts[-1].start
    wide = hstack([csr_array((units, before)), equations.family.rows]).tocsr()
    at = np.arange(units)
    shrink = csr_array((solution.shrink, (at, at)), shape=(units, units))
    rows = (wide - shrink @ equations.of_unit).tocsr()
    spread = solution.shrink * solution.components.residual
    return spread + equations.errors_of(rows, solution.inverse)


def _different(unit: np.ndarray, names: np.ndarray, units: int) -> np.ndarray:
    import numpy as np

    pairs = np.unique(np.stack([unit, names]), axis=1)
    return np.bincount(pairs[0], minlength=units)


def _worths(equations: Equations, solution: Solution) -> Worths:
    import numpy as np

    part, core = equations.parts[-1], equations.family.core
    variance = np.diag(solution.inverse)[part]
    whole = core.diagonal * solution.components.additive
    return Worths(
        core.keys, solution.additive, np.sqrt(variance), np.clip(1 - variance / whole, 0, 1)
    )


def _effects(names: np.ndarray, equations: Equations, solution: Solution, which: int) -> Effects:
    import numpy as np

    part = equations.parts[which]
    errors = np.sqrt(np.diag(solution.inverse)[part])
    return Effects(np.unique(names), solution.groups[which - 1], errors)


def _seasons(names: np.ndarray, equations: Equations, solution: Solution) -> Effects:
    import numpy as np

    part = equations.parts[0]
    many = len(solution.fixed)
    apart = np.eye(many) - 1 / many
    variance = np.diag(apart @ solution.inverse[part, part] @ apart.T)
    return Effects(np.unique(names), apart @ solution.fixed, np.sqrt(np.maximum(variance, 0)))
