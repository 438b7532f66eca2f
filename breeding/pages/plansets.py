"""What the page of a goal shows of whole sets: what kinship costs, and the crosses chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from django.urls import reverse

from breeding.pages import planwords
from breeding.pages.expectwords import odds
from breeding.pages.planasked import FREE, Asked
from breeding.pages.plancurve import curve_svg
from breeding.pages.planpages import Line, about_columns, lines_of, plan_of, signed
from breeding.pages.plans import USUAL_PARENTS, Plan
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.planning.choosing import Chosen
    from breeding.planning.curve import Point

# What may be chosen besides the points of the curve: as from so many unrelated parents.
PARENTS = (4, 8, 16)
# The address tells six digits.
SAME = 1e-5
MIDDLE_SAID = "balanced"


def chosen_part(garden: Garden, asked: Asked, today: date) -> dict[str, Any]:
    """The crosses chosen together; some seconds the first time. Ten queries at most."""
    plan = plan_of(garden, asked, today)
    context: dict[str, Any] = {"plan": plan, "asked": asked,
                               "year": plan.ground.question.season}  # fmt: skip
    if not plan.possible:
        return context
    context |= {"fewer": plan.many < plan.crosses, "odds_least": odds(plan.least_chance)}
    chosen = plan.chosen()
    lines = lines_of(plan, [plan.pairs.pair(row) for row in chosen.rows])
    lines = [replace(line, filler=filler(plan, chosen, line)) for line in lines]
    words = _kin_words(garden, asked)
    return context | {
        "chosen": chosen,
        "lines": lines,
        "parents": len(chosen.uses),
        "most_used": _most_used(chosen, lines),
        "kinship": planwords.kin(chosen.kinship) if chosen.kinship is not None else "",
        "kinship_words": words(chosen.kinship) if chosen.kinship else "",
        "limit": planwords.kin(plan.limit) if plan.limit < FREE else "",
        "limit_words": middle_words(plan) if plan.set_limit is None else "",
        "least": words(chosen.least) if chosen.least else "",
        "merit": "" if chosen.merit is None else signed(chosen.merit, 1),
        "unmade": sum(line.planned is None for line in lines),
        "more": more_words(chosen),
        **about_columns(plan),
    }


def filler(plan: Plan, chosen: Chosen, line: Line) -> bool:
    """Whether a cross of the set is there for kinship alone: worse than the average pair in all
    else that counts, and a pair of a higher score was left out for it."""
    pairs = plan.pairs
    besides = sum(part for name, part in line.pair.parts.items() if name != "kinship")
    better = ~pairs.excluded & (pairs.score > line.pair.score)
    better[list(chosen.rows)] = False
    return besides < 0 and bool(better.any())


def middle_words(plan: Plan) -> str:
    """Which middle point was chosen, as no limit is set."""
    for many in USUAL_PARENTS:
        if abs(plan.limit - plan.own / many) < SAME:
            return f"Chosen as from {many} unrelated parents, as no limit is set."
    return (
        "Chosen halfway between the least kinship and the highest score, as no limit is set; as "
        f"from {USUAL_PARENTS[-1]} unrelated parents would cost most of the score or cannot be had."
    )


def more_words(chosen: Chosen) -> str:
    """How much better a set may be where the best is not proven."""
    if chosen.proven or not chosen.rows:
        return ""
    more = chosen.bound - chosen.total
    part = more / abs(chosen.total) if chosen.total else 1.0
    return f"at most {max(100 * part, 0.1):.1f}\u202f%" if part < 1 else "by how much is not known"


def _kin_words(garden: Garden, asked: Asked) -> Callable[[float], str]:
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
    at = _current(points, plan.limit)
    for place, row in enumerate(rows):
        row["current"] = place == at
    way = reverse("goal", args=[asked.goal.pk])
    return context | {
        "points": rows,
        "curve": curve_svg(rows),
        "all_proven": all(row["proven"] for row in rows),
        "parents_choices": _choices(plan, points, asked, way),
        "middle_said": MIDDLE_SAID,
        "middle": way + asked.at_limit(None),
        "free": way + asked.at_limit(FREE),
        "no_limit": plan.limit >= FREE,
        "least_words": words(points[0].kinship),
    }


def _choices(plan: Plan, points: Sequence[Point], asked: Asked, way: str) -> list[dict[str, Any]]:
    """Sets as from 4, 8 and 16 unrelated parents; without a link where none was found so low."""
    return [
        {
            "parents": many,
            "href": way + asked.at_limit(plan.own / many)
            if plan.own / many >= points[0].kinship
            else "",
            "current": abs(plan.limit - plan.own / many) < SAME,
        }
        for many in PARENTS
    ]


def _point(point: Point, asked: Asked, plan: Plan, words: str) -> dict[str, Any]:
    # A hair above, so that the same set keeps to it however it is written.
    limit = round(point.kinship + 5e-5, 4)
    score = point.total / max(plan.many, 1) / plan.unit
    return {
        "x": point.kinship,
        "y": score,
        "kinship": planwords.kin(point.kinship),
        "score": signed(score, 1),
        "merit": "" if point.chosen.merit is None else signed(point.chosen.merit, 1),
        "parents": len(point.chosen.uses),
        "words": words,
        "as_from": words.removesuffix(", used alike").replace("unrelated parent", "").rstrip(" s"),
        "proven": point.chosen.proven,
        "href": reverse("goal", args=[asked.goal.pk]) + asked.at_limit(limit),
    }


def _current(points: Sequence[Point], limit: float) -> int:
    """The point of the set that the limit allows; −1 below all of them."""
    within = [at for at, point in enumerate(points) if point.kinship <= limit + 1e-9]
    return within[-1] if within else -1
