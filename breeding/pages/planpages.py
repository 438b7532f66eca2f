"""What the page of a goal shows of its pairs: ranked lines, each with all that is told of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import Q

from breeding import worths
from breeding.models import Cross, PlannedCross
from breeding.pages import planwords
from breeding.pages.expectasked import bar
from breeding.pages.expectwords import odds, percent
from breeding.pages.planasked import ON_A_PAGE, Asked
from breeding.pages.plans import Plan, the_plan
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.planning.pairs import Pair, Pairs
    from breeding.worths import Value


@dataclass(frozen=True, slots=True)
class Line:
    """One pair as it is listed.

    `score` is a mean of the columns; `whole` the merit by all scores where traits count beside it,
    `traits` each of these; `chance` is None where nothing can be told of it, `little` names parents
    of whose copies next to nothing is known; `made` are the seasons in which it was crossed before,
    either way round; `filler` says that in its set it only lowers kinship.
    """

    pair: Pair
    seed: Plant
    pollen: Plant
    score: str
    whole: str
    traits: list[tuple[str, str]]
    chance: dict[str, str] | None
    little: str
    bloom: str
    advice: str
    planned: PlannedCross | None
    made: list[int]
    filler: bool = False

    @property
    def key(self) -> str:
        """'12-15', as the form sends it."""
        return f"{self.seed.pk}-{self.pollen.pk}"

    @property
    def merit(self) -> str:
        """'+3.4' points; '' where it is not known."""
        return "" if self.pair.merit is None else signed(self.pair.merit, 1)

    @property
    def kinship(self) -> str:
        return planwords.kin(self.pair.kinship)

    @property
    def pods(self) -> str:
        return percent(self.pair.fertility or 0)

    @property
    def other_way(self) -> str:
        return percent(self.pair.other_way or 0)


def signed(number: float, digits: int) -> str:
    """'+1.9', '−0.4'."""
    said = f"{number:+.{digits}f}".replace("-", "−")
    return said if said.strip("+−0.") else said.lstrip("+−")


def plan_of(garden: Garden, asked: Asked, today: date) -> Plan:
    """The plan under the weights and the limit that are asked for."""
    return the_plan(garden, asked.goal, today, weights=dict(asked.weights), set_limit=asked.limit)


def lines_of(plan: Plan, pairs: Sequence[Pair]) -> list[Line]:
    """Pairs with their plants and all that is told of them. Three queries."""
    keys = {key for pair in pairs for key in (int(pair.seed), int(pair.pollen))}
    plants = Plant.live.in_bulk(keys)
    planned = _planned(plan, keys)
    made = _made(keys)
    return [
        _line(plan, pair, plants, planned, made)
        for pair in pairs
        if int(pair.seed) in plants and int(pair.pollen) in plants
    ]


def _planned(plan: Plan, keys: Iterable[int]) -> dict[frozenset[int], PlannedCross]:
    found = PlannedCross.live.filter(
        season=plan.ground.question.season, dropped_on=None, seed_parent__in=keys,
        pollen_parent__in=keys,
    )  # fmt: skip
    return {frozenset((each.seed_parent_id, each.pollen_parent_id)): each for each in found}


def _made(keys: Iterable[int]) -> dict[frozenset[int], list[int]]:
    """Seasons in which two plants were crossed, by the two."""
    found: dict[frozenset[int], list[int]] = defaultdict(list)
    crosses = Cross.live.filter(Q(seed_parent__in=keys) & Q(pollen_parent__in=keys), flowers__gt=0)
    columns = ("seed_parent", "pollen_parent", "season")
    for seed, pollen, season in crosses.order_by("season").values_list(*columns):
        seasons = found[frozenset((seed, pollen))]
        if season not in seasons:
            seasons.append(season)
    return found


def _line(
    plan: Plan,
    pair: Pair,
    plants: dict[int, Plant],
    planned: dict[frozenset[int], PlannedCross],
    made: dict[frozenset[int], list[int]],
) -> Line:
    seed, pollen = plants[int(pair.seed)], plants[int(pair.pollen)]
    both = frozenset((seed.pk, pollen.pk))
    chance, little = _chance(plan, seed, pollen)
    bloom, advice = _bloom(plan, seed, pollen)
    values, traits = plan.ground.sources.values, plan.ground.question.traits
    whole = _mean(values.merit, seed, pollen)[0] if traits else ""
    cells = [_mean(values.traits.get(key, {}), seed, pollen) for key, _ in traits]
    score = signed(pair.score / plan.unit, 1)
    return Line(
        pair, seed, pollen, score, whole, cells, chance, little, bloom, advice,
        planned.get(both), made.get(both, []),
    )  # fmt: skip


def _mean(values: dict[int, Value], seed: Plant, pollen: Plant) -> tuple[str, str]:
    """('+3.4', '1.2'): mean of the parents' values and its error; '' where one is not known."""
    one, other = values.get(seed.pk), values.get(pollen.pk)
    if one is None or other is None:
        return "", ""
    error = (one.error**2 + other.error**2) ** 0.5 / 2
    return signed((one.value + other.value) / 2, 1), f"{error:.1f}"


def _chance(plan: Plan, seed: Plant, pollen: Plant) -> tuple[dict[str, str] | None, str]:
    """The chance of the wanted types, and whose copies are next to unknown."""
    wanted = plan.ground.wanted
    mixture = wanted.mixture(seed.pk, pollen.pk) if wanted else None
    if wanted is None or mixture is None:
        return None, ""
    bare = [each for each in (seed, pollen) if not wanted.hidden and wanted.little(each.pk)]
    return bar(mixture.chance()), " and ".join(map(str, bare))


def _bloom(plan: Plan, seed: Plant, pollen: Plant) -> tuple[str, str]:
    """How the two meet in bloom, and what is to be done about it; '' where nothing is known."""
    sources, season = plan.ground.sources, plan.ground.question.season
    if pollen.pk in sources.stored:
        return "pollen in store", ""
    if not sources.bloom.noted:
        return "", ""
    meeting = sources.bloom.flowering.overlap(seed.pk, pollen.pk, season)
    return planwords.meeting_words(meeting, str(seed), str(pollen))


def table(garden: Garden, asked: Asked, today: date) -> dict[str, Any]:
    """The ranked pairs, a page of them. Nine queries at most when nothing moved."""
    plan = plan_of(garden, asked, today)
    ground = plan.ground
    context = {"plan": plan, "asked": asked, "year": ground.question.season,
               "growing": ground.growing, "kept": len(ground.keys),
               "left_out": ground.growing - len(ground.keys)}  # fmt: skip
    if not plan.possible:
        return context
    pairs = plan.pairs
    ranked = plan.ranked(asked.first, ON_A_PAGE + 1, asked.near)
    near, unlikely = int(pairs.near.sum()), int((pairs.unlikely & ~pairs.near).sum())
    lines = lines_of(plan, ranked[:ON_A_PAGE])
    return context | {
        "lines": lines,
        "merit_words": merit_words(pairs, lines),
        "more": asked.at_page(asked.page + 1) if len(ranked) > ON_A_PAGE else "",
        "back": (asked.query() or "?") if asked.page else "",
        "total": len(pairs),
        "near": near,
        "unlikely": unlikely,
        "least": odds(plan.least_chance),
        "unjudged": sum(plant not in ground.index for plant in ground.keys),
        "noted": ground.sources.bloom.noted,
        **about_columns(plan),
    }


def merit_words(pairs: Pairs, lines: Sequence[Line]) -> str:
    """From where merit is counted, and why those on top may be below it."""
    import numpy as np

    merits = pairs.columns["merit"][~pairs.excluded]
    merits = merits[~np.isnan(merits)]
    if not len(merits):
        return ""
    low, high = signed(float(merits.min()), 1), signed(float(merits.max()), 1)
    said = f"Merit counts from the mean of the founders: of these pairs from {low} to {high}"
    told = [line.pair.merit for line in lines if line.pair.merit is not None]
    if merits.max() < 0:
        return f"{said}, so that all stand below them."
    if told and max(told) < 0:
        return f"{said}; those shown here stand where they do for what counts beside it."
    return f"{said}."


def about_columns(plan: Plan) -> dict[str, Any]:
    """What the table has besides the usual columns. A query where single traits count."""
    titles = dict(worths.traits()) if plan.ground.question.traits else {}
    return {
        "trait_columns": [titles.get(key, key) for key, _ in plan.ground.question.traits],
        **_about_wanted(plan),
    }


def _about_wanted(plan: Plan) -> dict[str, Any]:
    wanted = plan.ground.wanted
    told = [f"{symbol}:{key}" for symbol, key in wanted.wanted] if wanted else []
    return {
        "wanted_told": wanted is not None,
        "hidden_wanted": bool(wanted and wanted.hidden),
        "asked_wanted": ",".join(told),
        "methods": list(dict.fromkeys(wanted.methods)) if wanted else [],
    }
