"""What the page of a goal shows: its pairs in ranked lines, and the crosses chosen together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import Q
from django.urls import reverse

from breeding import planwords
from breeding.expectasked import bar
from breeding.expectwords import percent
from breeding.models import Cross, PlannedCross
from breeding.planasked import ON_A_PAGE, Asked
from breeding.plancurve import curve_svg
from breeding.plans import Plan, the_plan
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.planning.choosing import Chosen
    from breeding.planning.curve import Point
    from breeding.planning.pairs import Pair


@dataclass(frozen=True, slots=True)
class Line:
    """One pair as it is listed.

    `chance` is None where nothing can be told of it, `little` names parents of whose copies next
    to nothing is known; `made` are the seasons in which it was crossed before, either way round.
    """

    pair: Pair
    seed: Plant
    pollen: Plant
    chance: dict[str, str] | None
    little: str
    bloom: str
    advice: str
    planned: PlannedCross | None
    made: list[int]

    @property
    def key(self) -> str:
        """'12-15', as the form sends it."""
        return f"{self.seed.pk}-{self.pollen.pk}"

    @property
    def score(self) -> str:
        return signed(self.pair.score, 2)

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
    return Line(
        pair, seed, pollen, chance, little, bloom, advice, planned.get(both), made.get(both, [])
    )


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
    near = int(pairs.excluded.sum())
    return context | {
        "lines": lines_of(plan, ranked[:ON_A_PAGE]),
        "more": asked.at_page(asked.page + 1) if len(ranked) > ON_A_PAGE else "",
        "back": (asked.query() or "?") if asked.page else "",
        "total": len(pairs),
        "near": near,
        "allowed": len(pairs) - near,
        "unjudged": sum(plant not in ground.index for plant in ground.keys),
        "noted": ground.sources.bloom.noted,
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


def chosen_part(garden: Garden, asked: Asked, today: date) -> dict[str, Any]:
    """The crosses chosen together; some seconds the first time. Nine queries at most."""
    plan = plan_of(garden, asked, today)
    context: dict[str, Any] = {"plan": plan, "asked": asked,
                               "year": plan.ground.question.season}  # fmt: skip
    if not plan.possible:
        return context
    chosen = plan.chosen()
    lines = lines_of(plan, [plan.pairs.pair(row) for row in chosen.rows])
    words = _kin_words(garden, asked)
    return context | {
        "chosen": chosen,
        "lines": lines,
        "parents": len(chosen.uses),
        "most_used": _most_used(chosen, lines),
        "kinship": planwords.kin(chosen.kinship) if chosen.kinship is not None else "",
        "kinship_words": words(chosen.kinship) if chosen.kinship else "",
        "limit": planwords.kin(asked.limit) if asked.limit is not None else "",
        "least": planwords.kin(chosen.least) if chosen.least is not None else "",
        "merit": "" if chosen.merit is None else signed(chosen.merit, 1),
        "unmade": sum(line.planned is None for line in lines),
        **_about_wanted(plan),
    }


def _kin_words(garden: Garden, asked: Asked) -> Any:
    iris_class, double = asked.goal.iris_class, garden.double_reduction
    return lambda kinship: planwords.set_words(kinship, iris_class, double)


def _most_used(chosen: Chosen, lines: Sequence[Line]) -> list[tuple[Plant, int]]:
    """Parents of more than one cross, the most used first."""
    plants = {plant.pk: plant for line in lines for plant in (line.seed, line.pollen)}
    return [(plants[int(key)], uses) for key, uses in chosen.uses.items()
            if uses > 1 and int(key) in plants]  # fmt: skip


def curve_part(garden: Garden, asked: Asked, today: date) -> dict[str, Any]:
    """What a lower kinship costs; some seconds the first time. Six queries at most."""
    plan = plan_of(garden, asked, today)
    context: dict[str, Any] = {"plan": plan, "asked": asked}
    points = plan.curve() if plan.possible else []
    if not points:
        return context
    words = _kin_words(garden, asked)
    rows = [_point(point, asked, plan, words(point.kinship)) for point in points]
    at = _current(points, asked.limit)
    for place, row in enumerate(rows):
        row["current"] = place == at
    return context | {
        "points": rows,
        "curve": curve_svg(rows),
        "all_proven": all(row["proven"] for row in rows),
        "free": reverse("goal", args=[asked.goal.pk]) + asked.at_limit(None),
    }


def _point(point: Point, asked: Asked, plan: Plan, words: str) -> dict[str, Any]:
    # A hair above, so that the same set keeps to it however it is written.
    limit = round(point.kinship + 5e-5, 4)
    return {
        "x": point.kinship,
        "y": point.total / plan.crosses,
        "kinship": planwords.kin(point.kinship),
        "score": f"{point.total / plan.crosses:.2f}",
        "merit": "" if point.chosen.merit is None else signed(point.chosen.merit, 1),
        "parents": len(point.chosen.uses),
        "words": words,
        "proven": point.chosen.proven,
        "href": reverse("goal", args=[asked.goal.pk]) + asked.at_limit(limit),
    }


def _current(points: Sequence[Point], limit: float | None) -> int:
    """The point of the set that the limit allows; −1 below all of them."""
    if limit is None:
        return len(points) - 1
    within = [at for at, point in enumerate(points) if point.kinship <= limit + 1e-9]
    return within[-1] if within else -1
