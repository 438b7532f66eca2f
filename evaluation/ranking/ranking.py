"""Seedlings seen in different years by different eyes, laid on one scale. The front door."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.pedigree import Pedigree
from evaluation.ranking.components import can_be_told, count, usual, warnings
from evaluation.ranking.kin import Family, Unit, family
from evaluation.ranking.mixed import Components, Equations, NotSolvable
from evaluation.ranking.reml import Estimate, estimate
from evaluation.ranking.telling import COVERAGE, Ranking, told

if TYPE_CHECKING:
    import numpy as np

# From so many units on, components are estimated from whole crosses drawn until there are so many.
MOST_ESTIMATED = 4_000
SEED = 26


@dataclass(frozen=True)
class Judgements:
    """n scores as parallel arrays, shape (n,).

    `value` in points; `unit` the place of its unit in the list of units; `scorer`, `season` and
    `place` whole numbers that name them; `weight` how much of a full score it is, more than 0.
    """

    value: np.ndarray
    unit: np.ndarray
    scorer: np.ndarray
    season: np.ndarray
    place: np.ndarray
    weight: np.ndarray


def rank(
    judgements: Judgements,
    units: Sequence[Unit],
    pedigree: Pedigree,
    components: Components | None = None,
    coverage: float = COVERAGE,
) -> Ranking:
    """Predict the merit of every unit, with the effects of season, scorer and place taken out.

    Parameters
    ----------
    judgements : Judgements
    units : sequence of Unit
        What is judged, and what else is to be predicted from its relatives.
    pedigree : Pedigree
    components : Components, optional
        Taken as they are; by default estimated (REML) as far as the data allow.
    coverage : float
        Of the intervals, 0–1.

    Raises
    ------
    NotSolvable
        A ValueError; without any score, or when something in them is no number.

    Notes
    -----
    One solution is a Cholesky factor of (seasons + scorers + places + plants of the pedigree),
    and grows linearly with the scores. An estimate takes some twenty of them, from at most
    MOST_ESTIMATED units. The intervals take the components as known.

    References
    ----------
    .. [1] Henderson 1984, Applications of Linear Models in Animal Breeding, Guelph (from memory).
    .. [2] Mrode 2014, Linear Models for the Prediction of Animal Breeding Values, 3rd ed.
    """
    _check(judgements, len(units), coverage)
    units = list(units)
    kin = family(units, pedigree)
    there = count(judgements, units)
    said = warnings(there) if components is None else []
    found: Estimate | None = None
    if components is None:
        components = usual(judgements.value, judgements.season)
        free = can_be_told(there)
        if any(free) and judgements.value.std() > 0:
            found, more = _estimated(judgements, units, pedigree, kin, components, free)
            components, said = found.components, [*said, *more]
    equations = _equations(judgements, kin)
    solution = equations.solve(components)
    return told(judgements, equations, solution, found, coverage, said)


def _check(judgements: Judgements, units: int, coverage: float) -> None:
    import numpy as np

    if not len(judgements.value):
        raise NotSolvable("Nothing is scored yet.")
    if not np.isfinite(judgements.value).all():
        raise NotSolvable("A score is no number.")
    if not (np.isfinite(judgements.weight).all() and (judgements.weight > 0).all()):
        raise NotSolvable("Every score weighs something.")
    if judgements.unit.min() < 0 or judgements.unit.max() >= units:
        raise NotSolvable("A score is of none of the units.")
    if not 0 < coverage < 1:
        raise NotSolvable("The coverage of an interval lies between 0 and 1.")


def _equations(judgements: Judgements, kin: Family) -> Equations:
    return Equations(
        judgements.value,
        judgements.weight,
        judgements.unit,
        _design(judgements.season),
        [_design(judgements.scorer), _design(judgements.place)],
        kin,
    )


def _design(names: np.ndarray) -> object:
    """Which of the names each score has, sparse, shape (n, names)."""
    import numpy as np
    from scipy.sparse import csr_array

    known, index = np.unique(names, return_inverse=True)
    n = len(names)
    return csr_array((np.ones(n), (np.arange(n), index)), shape=(n, len(known)))


def _estimated(
    judgements: Judgements,
    units: list[Unit],
    pedigree: Pedigree,
    kin: Family,
    start: Components,
    free: tuple[bool, ...],
) -> tuple[Estimate, list[str]]:
    """The components, from all units or from whole crosses of some, and what is to be said."""
    import numpy as np

    said = []
    if len(units) > MOST_ESTIMATED:
        chosen = _some(units, judgements)
        seat = np.full(len(units), -1)
        seat[chosen] = np.arange(len(chosen))
        kept = seat[judgements.unit] >= 0
        judgements = Judgements(*(getattr(judgements, name)[kept] for name in _NAMES))
        judgements = Judgements(
            judgements.value, seat[judgements.unit], *(getattr(judgements, n) for n in _NAMES[2:])
        )
        kin = family([units[at] for at in chosen], pedigree)
        said.append(
            f"How much is inherited is estimated from {len(chosen)} of {len(units)} seedlings, "
            "whole crosses drawn by lot."
        )
    found = estimate(_equations(judgements, kin), start, free)
    if not found.converged:
        said.append("The estimate of the components did not settle: take the intervals as a guess.")
    names = ("what is inherited", "what else is the seedling's own", "scorers", "rows", "the rest")
    edge = [
        name for name, error, loose in zip(names, found.errors, found.free, strict=True)
        if loose and error != error
    ]  # fmt: skip
    if edge:
        said.append(f"The scores show next to no difference by {' and '.join(edge)}.")
    return found, said


_NAMES = ("value", "unit", "scorer", "season", "place", "weight")


def _some(units: list[Unit], judgements: Judgements) -> np.ndarray:
    """Whole crosses, drawn by a fixed lot, until there are enough judged units; ascending."""
    import numpy as np

    crosses: dict[Hashable, list[int]] = {}
    for at in np.unique(judgements.unit).tolist():
        crosses.setdefault(units[at].parents, []).append(at)
    groups = list(crosses.values())
    chosen: list[int] = []
    for which in np.random.default_rng(SEED).permutation(len(groups)).tolist():
        if len(chosen) >= MOST_ESTIMATED:
            break
        chosen += groups[which]
    return np.array(sorted(chosen))
