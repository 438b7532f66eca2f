"""What the scores of the whole garden say, held in memory as long as nothing of it changes."""

from __future__ import annotations

import threading
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from statistics import fmean
from typing import TYPE_CHECKING, Any

from breeding.kin import the_pedigree
from evaluation.models import Candidate, Criterion, JudgingVersion, Mark, Rubric
from evaluation.ranking.points import shares
from evaluation.sheets import scale_of
from evaluation.yardstick import Yardstick, yardstick
from garden.models import Garden

if TYPE_CHECKING:
    from breeding.pedigree import Pedigree
    from evaluation.ranking.mixed import Components
    from evaluation.ranking.ranking import Judgements, Unit
    from evaluation.ranking.telling import Effects, Ranking

# The components are estimated anew when the scores have grown or shrunk by this part.
GROWN = 0.10
Place = tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class Standing:
    """One candidate on the garden's scale, in points of 100; `groups` plain means in percent.

    `merit` is predicted, with an interval that holds the truth nine times in ten; `plain` the
    weighted mean of its scores as given, None without any.
    """

    candidate: int
    merit: float
    low: float
    high: float
    error: float
    reliability: float
    plain: float | None
    scores: int
    scorers: int
    seasons: int
    groups: dict[str, float]


@dataclass(frozen=True, slots=True)
class Worth:
    """Breeding value of a plant, in points as a difference from the founders' mean.

    `judged` counts its judged seedlings and itself.
    """

    plant: int
    value: float
    low: float
    high: float
    error: float
    reliability: float
    judged: int


@dataclass(frozen=True, slots=True)
class Effect:
    """What a scorer, a season or a row adds to every score, in points; on how many it rests."""

    value: float
    error: float
    scores: int


@dataclass(frozen=True)
class Merit:
    """What is computed from all scores. Empty standings: nothing is scored yet."""

    key: tuple[Any, ...]
    mean: float = 0.0
    standings: dict[int, Standing] = field(default_factory=dict)
    worths: dict[int, Worth] = field(default_factory=dict)
    scorers: dict[int, Effect] = field(default_factory=dict)
    seasons: dict[int, Effect] = field(default_factory=dict)
    places: dict[Place, Effect] = field(default_factory=dict)
    components: Components | None = None
    heritability: float = 0.0
    repeatability: float = 0.0
    warnings: tuple[str, ...] = ()


_held: Merit | None = None
# Components with the number of scores that they were estimated from.
_components: tuple[Components, int, tuple[str, ...]] | None = None
_lock = threading.Lock()


def forget() -> None:
    """Let everything go that is held; the next question reads all scores again."""
    global _held, _components
    _held = _components = None


def the_merit(garden: Garden | None = None) -> Merit:
    """The merit of every candidate, worked out again only when scores or stock have moved.

    Notes
    -----
    Two queries when nothing moved. Otherwise all marks are read and the model is solved; its
    components are estimated anew only when the number of scores has changed by a tenth.
    """
    global _held
    garden = garden or Garden.get()
    key = (JudgingVersion.now(), garden.stock_version, garden.double_reduction)
    held = _held
    if held is None or held.key != key:
        with _lock:
            held = _held
            if held is None or held.key != key:
                held = _worked_out(key, garden)
                # A slow request for an older version does not push out a newer one.
                if _held is None or _held.key[:2] <= key[:2]:
                    _held = held
    return held


def reweighted(weights: Mapping[str, float], rubric: Rubric) -> dict[int, float]:
    """The merit of every candidate were the criteria of `rubric` weighed so; writes nothing."""
    from evaluation.ranking.ranking import rank

    told = yardstick(weights, rubric)
    now = the_merit()
    if not len(told) or now.components is None:
        return {}
    units, judgements, keys, _ = _laid_out(told)
    try:
        found = rank(judgements, units, the_pedigree().pedigree, components=now.components)
    except ValueError:
        return {}
    return dict(zip(keys, found.merit.tolist(), strict=True))


def criterion_values(keys: Iterable[str], candidates: Iterable[int]) -> dict[int, dict[str, float]]:
    """Of each candidate the mean share of full marks, 0–1, by criterion: over all its scores."""
    wanted = set(candidates)
    criteria = {each.pk: each for each in Criterion.objects.filter(key__in=list(keys))}
    marks = Mark.live.filter(criterion__in=list(criteria), scoring__struck=False)
    given: dict[int, list[tuple[int, float]]] = defaultdict(list)
    for candidate, criterion, value in marks.values_list(
        "scoring__candidate", "criterion", "value"
    ):
        if candidate in wanted:
            given[criterion].append((candidate, value))
    found: dict[int, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for criterion, told in given.items():
        each = criteria[criterion]
        worth = shares([scale_of(each)], [[value] for _, value in told])[:, 0].tolist()
        for (candidate, _), share in zip(told, worth, strict=True):
            found[candidate][each.key].append(share)
    return {
        candidate: {key: fmean(values) for key, values in by_key.items()}
        for candidate, by_key in found.items()
    }


def _worked_out(key: tuple[Any, ...], garden: Garden) -> Merit:
    told = yardstick()
    if not len(told):
        return Merit(key)
    units, judgements, keys, places = _laid_out(told)
    pedigree = the_pedigree(garden).pedigree
    try:
        found, warnings = _ranked(judgements, units, pedigree)
    except ValueError as error:
        # Rather no ranking, with the reason, than no page.
        return Merit(key, warnings=(str(error),))
    return Merit(
        key,
        mean=found.mean,
        standings=_standings(keys, found, told),
        worths=_worths(units, found),
        scorers=_effects(found.of_scorers, judgements.scorer.tolist()),
        seasons=_effects(found.of_seasons, judgements.season.tolist()),
        places={
            places[at]: effect
            for at, effect in _effects(found.of_places, judgements.place.tolist()).items()
        },
        components=found.components,
        heritability=found.heritability,
        repeatability=found.repeatability,
        warnings=warnings,
    )


def _ranked(
    judgements: Judgements, units: list[Unit], pedigree: Pedigree
) -> tuple[Ranking, tuple[str, ...]]:
    """The ranking, with components held or estimated anew, and what is to be said of them."""
    from evaluation.ranking.ranking import rank

    global _components
    known, many = _components, len(judgements.value)
    if known and abs(many - known[1]) <= GROWN * known[1]:
        return rank(judgements, units, pedigree, components=known[0]), known[2]
    found = rank(judgements, units, pedigree)
    _components = (found.components, many, found.warnings)
    return found, found.warnings


def _laid_out(told: Yardstick) -> tuple[list[Unit], Judgements, list[int], list[Place]]:
    """Candidates as units, their scores as arrays, the candidates' keys, and the places. A query.

    Candidates that nobody scored are predicted from their relatives.
    """
    import numpy as np

    from evaluation.ranking.ranking import Judgements, Unit

    columns = ("pk", "plant", "row__cross__seed_parent", "row__cross__pollen_parent")
    units = [Unit(*row) for row in Candidate.live.order_by("pk").values_list(*columns)]
    seat = {unit.key: at for at, unit in enumerate(units)}
    places = sorted(set(told.places), key=lambda place: (place[0] or 0, place[1] or 0))
    at_place = {place: at for at, place in enumerate(places)}
    # A seedling may be struck out between the two readings.
    there = np.array([key in seat for key in told.candidate.tolist()], dtype=bool)
    stood = [place for place, known in zip(told.places, there, strict=True) if known]
    judgements = Judgements(
        told.percent[there],
        np.array([seat[key] for key in told.candidate[there].tolist()], dtype=np.int64),
        told.person[there],
        told.season[there],
        np.array([at_place[place] for place in stood], dtype=np.int64),
        told.weight[there],
    )
    return units, judgements, list(seat), places


def _standings(keys: list[int], found: Ranking, told: Yardstick) -> dict[int, Standing]:
    groups = _groups(told)
    columns = zip(
        keys, found.merit.tolist(), found.low.tolist(), found.high.tolist(), found.error.tolist(),
        found.reliability.tolist(), found.plain.tolist(), found.judged.tolist(),
        found.scorers.tolist(), found.seasons.tolist(), strict=True,
    )  # fmt: skip
    return {
        key: Standing(
            key, merit, low, high, error, sure, plain if judged else None, judged, scorers,
            seasons, groups.get(key, {}),
        )
        for key, merit, low, high, error, sure, plain, judged, scorers, seasons in columns
    }  # fmt: skip


def _groups(told: Yardstick) -> dict[int, dict[str, float]]:
    """Of each candidate the plain mean of each group that was judged, in percent."""
    sums: dict[int, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for key, row in zip(told.candidate.tolist(), told.group_percent.tolist(), strict=True):
        for group, percent in zip(told.groups, row, strict=True):
            if percent == percent:
                sums[key][group].append(percent)
    return {
        key: {group: fmean(values) for group, values in by_group.items()}
        for key, by_group in sums.items()
    }


def _worths(units: list[Unit], found: Ranking) -> dict[int, Worth]:
    from evaluation.ranking.telling import reach

    judged: Counter[Any] = Counter()
    for unit, many in zip(units, found.judged.tolist(), strict=True):
        if many:
            # A selfed plant is one parent, named twice.
            judged.update({unit.plant, *unit.parents} - {None})
    worths, wide = found.worths, reach()
    columns = zip(
        worths.plants, worths.values.tolist(), worths.errors.tolist(),
        worths.reliability.tolist(), strict=True,
    )  # fmt: skip
    return {
        int(plant): Worth(
            int(plant), value, value - wide * error, value + wide * error, error, sure,
            judged[plant],
        )
        for plant, value, error, sure in columns
    }  # fmt: skip


def _effects(effects: Effects, of: list[int]) -> dict[int, Effect]:
    counts = Counter(of)
    columns = (effects.names.tolist(), effects.values.tolist(), effects.errors.tolist())
    return {
        name: Effect(value, error, counts[name])
        for name, value, error in zip(*columns, strict=True)
    }
