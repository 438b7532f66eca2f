"""Labels of selected seedlings: what they say, and what a scan of one leads to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

from django.db.models import QuerySet
from django.urls import reverse

from breeding.labelwords import flower_of, label, mates, plant_lines, standing_in
from evaluation.models import Candidate, Seedling
from garden.labelling import Kind, register
from garden.models import Garden, Placing, Plant
from garden.verbs import written

if TYPE_CHECKING:
    from garden.labels import Label


def _seedlings() -> QuerySet[Seedling]:
    return Seedling.live.select_related(
        "plant", "row__bed", "cross__seed_parent", "cross__pollen_parent"
    )


def _standing() -> QuerySet[Seedling]:
    """Those that grow here and are not to be thrown away, the first selected first."""
    found = _seedlings().filter(plant__struck=False, plant__status=Plant.Status.GROWING)
    gone = Candidate.live.filter(verdict=Candidate.Verdict.DISCARD, plant__isnull=False)
    return found.exclude(plant__in=gone.values("plant")).order_by("selected_on", "id")


def _labels(seedlings: Sequence[Seedling]) -> list[Label]:
    """A query: where those stand that were moved out of their row."""
    moved = standing_in(one.plant for one in seedlings)
    return [
        label(
            one.code,
            one.plant.name,
            parents=mates(one.cross),
            lines=(
                moved.get(one.plant_id) or f"{one.row.bed}, row {one.row.row}, {one.position}",
                f"selected {written(one.selected_on)}",
                *plant_lines(one.plant)[:1],
            ),
            flower=flower_of(one.plant),
        )
        for one in seedlings
    ]


def _due(seedling: Seedling, garden: Garden) -> str:
    """In bloom it is scored, where it stands now. A query."""
    calendar, today = garden.calendar, garden.today()
    opened = calendar.bloom_from.on_or_before(today)
    if today > opened + timedelta(days=calendar.bloom_days):
        return ""
    moved = Placing.live.filter(plant=seedling.plant_id, until=None).exists()
    if moved or seedling.row.closed_on or seedling.row.struck:
        return reverse("score-plant", args=[seedling.plant_id])
    return reverse("score-seedling", args=[seedling.row_id, seedling.position])


SEEDLING = Kind(
    key="seedling",
    one="seedling",
    many="seedlings",
    arises=True,
    all=_seedlings,
    standing=_standing,
    code_of=lambda seedling: seedling.code,
    with_codes=lambda codes: _seedlings().filter(code__in=codes),
    labels=_labels,
    told=lambda seedling: (mates(seedling.cross), f"selected {written(seedling.selected_on)}"),
    page=lambda seedling: reverse("seedling", args=[seedling.code]),
    due=_due,
)


def hand_over() -> None:
    """Tell the garden of them; called once when the site starts."""
    register(SEEDLING)
