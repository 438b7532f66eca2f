"""A season at a glance: the funnel from flowers worked to seedlings lined out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Case, Count, F, Sum, When

from breeding.models import Cross

STEPS = (
    ("flowers", "Flowers worked"),
    ("pods", "Pods set"),
    ("seeds", "Seeds harvested"),
    ("sown", "Seeds sown"),
    ("up", "Seedlings up"),
    ("lined_out", "Lined out"),
)


@dataclass(frozen=True)
class Funnel:
    """Sums along the thread for some crosses."""

    crosses: int
    flowers: int
    pods: int
    failed: int
    seeds: int
    sown: int
    up: int
    lined_out: int

    @property
    def steps(self) -> list[tuple[str, str, int]]:
        """(field, title, count) along the thread."""
        return [(name, title, getattr(self, name)) for name, title in STEPS]

    @property
    def looked_at(self) -> int:
        """Flowers of which it is known whether they set a pod."""
        return self.pods + self.failed


# Named apart from the columns they sum up.
SUMS = {f"{name}_sum": Sum(name) for name in (*(name for name, _ in STEPS), "failed")}


def _funnel(sums: dict[str, int | None]) -> Funnel:
    return Funnel(**{name.removesuffix("_sum"): value or 0 for name, value in sums.items()})


def funnel(season: int) -> Funnel:
    """The whole season. One query over its crosses."""
    return _funnel(Cross.live.filter(season=season).aggregate(crosses=Count("pk"), **SUMS))


def by_parent(season: int, side: str, most: int = 50) -> Iterable[dict]:
    """Sums by seed or pollen parent, the parent with most flowers first. One query."""
    parent = f"{side}_parent"
    name = Case(
        When(**{f"{parent}__name": ""}, then=F(f"{parent}__number")), default=F(f"{parent}__name")
    )
    return (
        Cross.live.filter(season=season, **{f"{parent}__isnull": False})
        .values(plant_id=F(f"{parent}_id"), plant_name=name)
        .annotate(
            crosses=Count("pk"),
            flower_sum=Sum("flowers"),
            pod_sum=Sum("pods"),
            failed_sum=Sum("failed"),
            seed_sum=Sum("seeds"),
            up_sum=Sum("up"),
            out_sum=Sum("lined_out"),
        )
        .order_by("-flower_sum", "plant_name")[:most]
    )


def seasons(before: int | None = None, most: int = 10) -> list[tuple[int, Funnel]]:
    """Seasons with crosses and their funnels, the newest first.

    From the newest season before `before` on, `most` years at a time: two queries, over the
    crosses of these years alone.
    """
    known = Cross.live.filter(season__lt=before) if before else Cross.live.all()
    newest = known.order_by("-season").values_list("season", flat=True).first()
    if newest is None:
        return []
    found = known.filter(season__gt=newest - most).order_by("-season").values("season")
    return [
        (sums.pop("season"), _funnel(sums)) for sums in found.annotate(crosses=Count("pk"), **SUMS)
    ]
