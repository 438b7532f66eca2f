"""What was counted of the stock, brought to the sums: counts by place, what left, what is there.

A placing that tells its increases is a count of the day on which it began.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Count, Q, QuerySet

from garden.increase.spans import Counted, Span, Taken, last_counted, now, spans_of
from garden.models import Bed, GuestNews, Placing, Plant, StockCount, StockTaken
from garden.models.increase import spot_of
from garden.views.beds import by_position

# Counted within so many days: no need to count again on this walk.
FRESH = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where a plant stands or stood, with its last count."""

    key: str
    bed: Bed | None
    position: str
    elsewhere: str
    number: int | None = None
    day: date | None = None

    @property
    def name(self) -> str:
        """The place in words."""
        return f"{self.bed} {self.position}".strip() if self.bed else self.elsewhere

    def fresh(self, today: date) -> bool:
        """Whether it was counted lately."""
        return self.day is not None and today - self.day < FRESH

    @property
    def order(self) -> tuple[str, list[tuple[int, int, str]], str]:
        """As one walks: bed after bed, positions in order, what stands elsewhere last."""
        bed = self.bed.folded if self.bed else "\uffff"
        return bed, by_position(Placing(position=self.position)), self.elsewhere


@dataclass(slots=True)
class Looks:
    """All counts and takings of one plant, as the sums take them."""

    counts: list[Counted] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)

    @property
    def there(self) -> int | None:
        """Fans there now; None without a count."""
        return now(self.counts, self.taken) if self.counts else None

    @property
    def day(self) -> date | None:
        """The newest day of a count."""
        return last_counted(self.counts)

    @property
    def spans(self) -> list[Span]:
        """What grew between counts."""
        return spans_of(self.counts, self.taken)


def looks_at(plants: QuerySet[Plant] | Iterable[int] | None = None) -> dict[int, Looks]:
    """Counts and takings by plant; of all plants that were counted twice or by a count of their
    own when none are named. Four queries."""
    found: dict[int, Looks] = defaultdict(Looks)
    mine = Q() if plants is None else Q(plant__in=plants)
    seen = {
        (plant, spot, day): number
        for plant, spot, day, number in _placed(mine, everybody=plants is None)
    }
    counts = StockCount.live.filter(mine, plant__struck=False)
    for plant, spot, day, number in counts.values_list("plant_id", "spot", "day", "number"):
        seen[plant, spot, day] = number
    for (plant, spot, day), number in seen.items():
        found[plant].counts.append(Counted(spot, day, number))
    fields = ("plant_id", "spot", "day", "number", "before_count", "fate")
    taken = StockTaken.live.filter(mine).values_list(*fields)
    back = GuestNews.live.filter(
        Q() if plants is None else Q(guest__plant__in=plants), returned__gt=0
    ).values_list("guest__plant_id", "day", "returned")
    for plant, spot, day, number, before, fate in taken:
        stays = fate == StockTaken.Fate.LINED_OUT
        found[plant].taken.append(Taken(spot, day, number, before, stays))
    for plant, day, number in back:
        found[plant].taken.append(Taken("", day, -number))
    return dict(found)


def _placed(mine: Q, everybody: bool) -> Iterable[tuple[int, str, date, int]]:
    """Placings that tell increases, as counts; of everybody only those that compare."""
    rows = Placing.live.filter(mine, increases__isnull=False, plant__struck=False)
    if everybody:
        twice = rows.values("plant").annotate(n=Count("pk")).filter(n__gt=1).values("plant")
        counted = StockCount.live.values("plant")
        rows = rows.filter(Q(plant__in=twice) | Q(plant__in=counted))
    fields = ("plant_id", "bed_id", "position", "since", "increases")
    for plant, bed, position, day, number in rows.order_by("since", "pk").values_list(*fields):
        yield plant, spot_of(bed, position), day, number


def spots_of(plants: Iterable[int]) -> dict[int, list[Spot]]:
    """Where plants stand or were counted, in the order of a walk. Two queries.

    A place where nothing was left at the last count, or that the plant has left, is none.
    """
    plants = list(plants)
    known: dict[int, dict[str, Spot]] = defaultdict(dict)
    placings = Placing.live.filter(plant__in=plants, until=None, bed__struck=False)
    for placing in placings.select_related("bed").order_by("since", "pk"):
        key = spot_of(placing.bed_id, placing.position)
        day = placing.since if placing.increases is not None else None
        known[placing.plant_id][key] = Spot(
            key, placing.bed, placing.position, "", placing.increases, day
        )
    counts = StockCount.live.filter(plant__in=plants).select_related("bed")
    for count in counts.order_by("day", "pk"):
        old = known[count.plant_id].get(count.spot)
        if old is None or old.day is None or old.day <= count.day:
            known[count.plant_id][count.spot] = Spot(
                count.spot, count.bed, count.position, count.elsewhere, count.number, count.day
            )
    return {
        plant: sorted((spot for spot in spots.values() if spot.number != 0),
                      key=lambda spot: spot.order)
        for plant, spots in known.items()
    }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stop:
    """One place to be counted on a walk."""

    plant: Plant
    spot: Spot
    done: bool


def own_plants() -> QuerySet[Plant]:
    """Own selected seedlings that grow here, those with a name among them once they are offered."""
    growing = Plant.live.filter(status=Plant.Status.GROWING)
    return growing.filter(Q(kind=Plant.Kind.SEEDLING) | Q(introductions__struck=False)).distinct()


def stops(today: date, every: bool = False, most: int = 400) -> list[Stop]:
    """The places of a counting walk in their order: of own plants, or of every growing plant.
    Three queries."""
    growing = Plant.live.filter(status=Plant.Status.GROWING, placings__struck=False).distinct()
    plants = {plant.pk: plant for plant in (growing if every else own_plants())[:most]}
    found = [
        Stop(plants[pk], spot, spot.fresh(today))
        for pk, spots in spots_of(plants).items() for spot in spots
    ]  # fmt: skip
    return sorted(found, key=lambda stop: (*stop.spot.order, stop.plant.folded))
