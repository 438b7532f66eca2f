"""What the map of a bed shows, gathered from the record."""

from __future__ import annotations

from collections import defaultdict

from django.db.models import Prefetch

from breeding.models import Row
from breeding.pages.sheetwords import parents_of, recipe_of
from breeding.paper.bedplan import Bed as Plan
from breeding.paper.bedplan import CrossHere, Standing, Stretch, place_of
from garden.models import Bed, Placing
from garden.verbs import written


def bed_plan(bed: Bed) -> Plan:
    """A bed with what stands in it. Three queries."""
    rows = standing_rows(bed)
    plants, elsewhere = _plants(bed)
    return Plan(
        name=bed.name,
        rows=bed.rows,
        positions=bed.positions,
        note=bed.note,
        plants=tuple(plants),
        stretches=tuple(
            Stretch(
                row.row, row.first, row.last, row.cross.code,
                tuple((each.position, each.letter) for each in row.lettered),
            )
            for row in rows
        ),
        elsewhere=tuple(elsewhere),
        crosses=tuple(_crosses(rows)),
    )  # fmt: skip


def standing_rows(bed: Bed) -> list[Row]:
    """Seedlings standing in a bed, in order, each with its selected ones. Two queries."""
    selected = Row._meta.get_field("seedlings_selected").related_model
    lettered = selected.live.only("row", "position", "letter").order_by("position")
    rows = Row.live.filter(bed=bed, closed_on=None).order_by("row", "first")
    rows = rows.select_related("cross__seed_parent", "cross__pollen_parent")
    return list(rows.prefetch_related(Prefetch("seedlings_selected", lettered, to_attr="lettered")))


def _plants(bed: Bed) -> tuple[list[Standing], list[tuple[str, str]]]:
    placings = Placing.live.filter(bed=bed, until=None, plant__struck=False)
    found, elsewhere = [], []
    for placing in placings.select_related("plant").order_by("position", "pk"):
        place = place_of(placing.position, bed.rows, bed.positions)
        if place:
            plant = placing.plant
            found.append(Standing(*place, plant.label, recipe_of(plant), not plant.name))
        else:
            elsewhere.append((placing.position, placing.plant.label))
    return found, elsewhere


def _crosses(rows: list[Row]) -> list[CrossHere]:
    """The crosses of the bed by number, each with all its stretches."""
    by_cross: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        by_cross[row.cross_id].append(row)
    found = sorted(by_cross.values(), key=lambda some: (some[0].cross.season, some[0].cross.number))
    return [
        CrossHere(
            some[0].cross.code,
            parents_of(some[0].cross),
            ", ".join(dict.fromkeys(written(row.lined_out_on) for row in some)),
            sum(row.seedlings for row in some),
            "; ".join(_where(some)),
        )
        for some in found
    ]


def _where(rows: list[Row]) -> list[str]:
    """'2: 1–8, 10–31' for each row of the bed."""
    at: dict[int, list[str]] = defaultdict(list)
    for row in rows:
        at[row.row].append(f"{row.first}–{row.last}" if row.last > row.first else f"{row.first}")
    return [f"{row}: {', '.join(some)}" for row, some in at.items()]
