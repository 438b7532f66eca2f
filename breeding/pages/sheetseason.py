"""What the report of a season shows, gathered from the record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import Count, Q, Sum

from breeding.models import Cross, Pollination
from breeding.pages.sheetwords import parents_of, pollen_of, recipe_of
from breeding.paper.seasonplots import MOST_SEASONS, Day
from breeding.paper.seasonreport import Counts, CrossLine, ParentLine, Season, Selected, total
from garden.verbs import written

SUMS = ("flowers", "pods", "failed", "seeds", "sown", "up", "lined_out")
SET = (Pollination.State.SET, Pollination.State.HARVESTED)


def season_of(year: int) -> Season:
    """A season with the two before it. Five queries."""
    crosses = Cross.live.filter(season=year).select_related("seed_parent", "pollen_parent")
    chosen = Count("seedlings", filter=Q(seedlings__struck=False))
    found = list(crosses.annotate(selected=chosen).order_by("number"))
    if not found:
        return Season(year, (), ())
    counts = {
        cross.pk: Counts(*(getattr(cross, name) for name in SUMS), cross.selected)
        for cross in found
    }
    lines = [CrossLine(cross.code, parents_of(cross), counts[cross.pk]) for cross in found]
    seeds = [(cross.seed_parent.label, counts[cross.pk]) for cross in found]
    pollens = [(pollen_of(cross), counts[cross.pk]) for cross in found]
    return Season(
        year,
        tuple(lines),
        tuple(_funnels(year)),
        tuple(_days(year)),
        (("Seed parents", _parents(seeds)), ("Pollen parents", _parents(pollens))),
        tuple(_selected(year)),
    )


def _funnels(year: int) -> list[tuple[int, Counts]]:
    """The sums of the season and of those before, the oldest first. Two queries."""
    seasons = (year - MOST_SEASONS + 1, year)
    found = Cross.live.filter(season__range=seasons).order_by("season").values("season")
    selected = _seedlings().filter(cross__season__range=seasons, cross__struck=False)
    counts: dict[int, int] = dict(
        selected.order_by().values_list("cross__season").annotate(many=Count("pk"))
    )
    rows = found.annotate(**{f"{name}_sum": Sum(name) for name in SUMS})
    return [
        (
            row["season"],
            Counts(*(row[f"{name}_sum"] or 0 for name in SUMS), counts.get(row["season"], 0)),
        )
        for row in rows
    ]


def _days(year: int) -> list[Day]:
    """Flowers by the day on which they were worked. A query."""
    worked = Pollination.live.filter(cross__season=year, cross__struck=False).order_by("day")
    rows = worked.values("day").annotate(
        flowers=Count("pk"),
        pods=Count("pk", filter=Q(state__in=SET)),
        failed=Count("pk", filter=Q(state=Pollination.State.FAILED)),
    )
    return [Day(row["day"], row["flowers"], row["pods"], row["failed"]) for row in rows]


def _parents(crosses: Iterable[tuple[str, Counts]]) -> tuple[ParentLine, ...]:
    """Sums by parent, those with most flowers first."""
    of: dict[str, list[Counts]] = defaultdict(list)
    for name, counts in crosses:
        of[name].append(counts)
    found = [ParentLine(name, len(some), total(some)) for name, some in of.items()]
    return tuple(sorted(found, key=lambda each: (-each.counts.flowers, each.name)))


def _seedlings() -> Any:
    """Selected seedlings that stand; judging knows them, the cross that they came from too."""
    return Cross._meta.get_field("seedlings").related_model.live


def _selected(year: int) -> list[Selected]:
    """A query."""
    found: Sequence[Any] = (
        _seedlings()
        .filter(cross__season=year, cross__struck=False)
        .select_related("plant", "cross__seed_parent", "cross__pollen_parent")
        .order_by("cross__number", "pk")
    )
    return [
        Selected(
            each.code,
            parents_of(each.cross),
            written(each.selected_on),
            each.reason,
            each.plant.name,
            recipe_of(each.plant),
        )
        for each in found
    ]
