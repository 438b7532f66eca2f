"""Which components the data can tell, what is taken where they cannot, and what is said of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evaluation.ranking.mixed import Components

if TYPE_CHECKING:
    import numpy as np

    from evaluation.ranking.kin import Unit
    from evaluation.ranking.ranking import Judgements

# Shares of the variance of one score within a season. Assumptions, not measured: common practice
# holds a third of what is seen for inherited, and one pair of eyes for no better than the rest.
USUAL = {"additive": 0.30, "own": 0.15, "scorer": 0.10, "place": 0.05, "residual": 0.40}
LEAST_UNITS, LEAST_FAMILIES = 30, 5
LEAST_REPEATED, LEAST_SHARED = 10, 10
LEAST_SCORERS, LEAST_PLACES = 3, 5
# Standard deviation of points between scores of one season, an assumption; it weighs as much as so
# many scores.
USUAL_SPREAD, BESIDE = 10.0, 5


@dataclass(frozen=True)
class Judging:
    """What there is to estimate from, in counts.

    `families` have two judged units or more; `repeated` units two scores or more, `shared` two
    scorers or more.
    """

    units: int
    families: int
    repeated: int
    shared: int
    scorers: int
    places: int


def count(judgements: Judgements, units: list[Unit]) -> Judging:
    """Count what there is to estimate from."""
    judged = Counter(judgements.unit.tolist())
    seen = {*zip(judgements.unit.tolist(), judgements.scorer.tolist(), strict=True)}
    by_scorers = Counter(unit for unit, _ in seen)
    families = Counter(units[at].parents for at in judged if units[at].parents != (None, None))
    return Judging(
        units=len(judged),
        families=sum(many > 1 for many in families.values()),
        repeated=sum(many > 1 for many in judged.values()),
        shared=sum(many > 1 for many in by_scorers.values()),
        scorers=len({scorer for _, scorer in seen}),
        places=len(set(judgements.place.tolist())),
    )


def usual(values: np.ndarray, season: np.ndarray) -> Components:
    """The usual shares of the variance within seasons."""
    import numpy as np

    _, index = np.unique(season, return_inverse=True)
    means = np.bincount(index, values) / np.maximum(np.bincount(index), 1)
    free = len(values) - len(means)
    seen = float(((values - means[index]) ** 2).sum())
    # Few scores, or equal ones, do not make anybody sure: a usual spread stands beside them.
    spread = (BESIDE * USUAL_SPREAD**2 + seen) / (BESIDE + free)
    share = {name: part * spread for name, part in USUAL.items()}
    return Components(
        share["additive"], share["own"], (share["scorer"], share["place"]), share["residual"]
    )


def can_be_told(there: Judging) -> tuple[bool, bool, bool, bool]:
    """Whether additive, own, scorer and place may be estimated; the residual goes along."""
    enough = there.units >= LEAST_UNITS and there.families >= LEAST_FAMILIES
    return (
        enough,
        enough and there.repeated >= LEAST_REPEATED,
        enough and there.scorers >= LEAST_SCORERS and there.shared >= LEAST_SHARED,
        enough and there.places >= LEAST_PLACES,
    )


def warnings(there: Judging) -> list[str]:
    """What was taken for granted and why, in sentences."""
    additive, own, scorer, place = can_be_told(there)
    if not additive:
        return [
            f"{_many(there.units, 'seedling')} judged, of {_many(there.families, 'cross', 'es')} "
            f"with two or more: from {LEAST_UNITS} seedlings of {LEAST_FAMILIES} such crosses on "
            "it is estimated how much is inherited. Until then the usual shares are taken."
        ]
    said = []
    if not own:
        said.append(
            f"Only {_many(there.repeated, 'seedling')} scored more than once: how steady a "
            "seedling is cannot be told from chance yet, and the usual share is taken."
        )
    if not scorer:
        said.append(
            f"{_many(there.scorers, 'scorer')}, {_many(there.shared, 'seedling')} seen by two or "
            f"more: with {LEAST_SCORERS} scorers and {LEAST_SHARED} such seedlings it is estimated "
            "how much scorers differ. Until then the usual share is taken."
        )
    if not place:
        said.append(
            f"{_many(there.places, 'row')} judged: from {LEAST_PLACES} rows on it is estimated "
            "how much rows differ. Until then the usual share is taken."
        )
    return said


def _many(count: int, word: str, ending: str = "s") -> str:
    return f"{count} {word}{'' if count == 1 else ending}"
