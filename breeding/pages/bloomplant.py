"""One plant: its bloom in all years, who is open with it, and how it sets."""

from __future__ import annotations

from datetime import date
from typing import Any

from breeding.blooming import GardenBloom, the_bloom
from breeding.models import Bloom, Pollen
from breeding.pages.bloomjars import told
from breeding.pages.bloomplot import Axis, axis_svg, bar_svg
from breeding.pages.bloomseason import Row, beside, row_of, rows_of
from breeding.pages.bloomwalk import Stop, with_expected
from breeding.pages.fertilepages import of_plant
from garden.models import Garden, Plant


def plant(garden: Garden, thing: Plant) -> dict[str, Any]:
    """Four queries, and those of the garden's bloom and fertility."""
    today = garden.today()
    held = the_bloom(garden, today)
    season = held.calendar.season(today)
    blooms = list(Bloom.live.filter(plant=thing).order_by("-season"))
    jars = Pollen.live.filter(plant=thing, ended_on=None)
    context: dict[str, Any] = {"plant": thing, "blooms": blooms, "jars": told(jars, today),
                               "season": season}  # fmt: skip
    now = next((bloom for bloom in blooms if bloom.season == season), None)
    [context["stop"]] = with_expected([Stop(thing, today, bloom=now)], held, season)
    context |= of_plant(thing)
    if not held.noted:
        return context
    ahead = season if now or _coming(held, thing, season, today) else season + 1
    spans = held.spans([thing.pk], ahead)
    rows = [_row(held, thing, bloom) for bloom in blooms]
    if not any(row.bloom.season == ahead for row in rows):
        rows.insert(0, row_of(thing, None, spans[thing.pk], held, ahead))
    place = held.flowering.place(thing.pk)
    return (
        context
        | _among(held, thing, ahead, today)
        | {
            "place": place,
            "usual": tuple(
                held.date_of(season, day) for day in (place.first, place.peak, place.last)
            ),
            "usual_between": tuple(held.date_of(season, day) for day in (place.low, place.high)),
            "ahead": ahead,
            "rows": _drawn(held, rows),
        }
    )


def _among(held: GardenBloom, thing: Plant, year: int, today: date) -> dict[str, Any]:
    """How it meets the others of that season; nothing for a plant that is not among them."""
    rows = rows_of(held, year, today)
    chosen = next((row for row in rows if row.plant == thing), None)
    if chosen is None:
        return {}
    return {"year": year, "chosen": chosen, **beside(held, chosen, rows, year)}


def _coming(held: GardenBloom, thing: Plant, season: int, today: date) -> bool:
    """Whether its bloom of this season may still come."""
    last = held.spans([thing.pk], season)[thing.pk].last_high
    return held.date_of(season, last) >= today


def _row(held: GardenBloom, thing: Plant, bloom: Bloom) -> Row:
    span = held.spans([thing.pk], bloom.season)[thing.pk]
    return row_of(thing, bloom, span, held, bloom.season)


def _drawn(held: GardenBloom, rows: list[Row]) -> dict[str, Any]:
    """Years one below the other on one axis of days."""
    years = [held.calendar.season(row.first) for row in rows]
    axis = Axis.around([row.bar for row in rows], held.calendar.season_starts(years[0]))
    drawn = [(year, row, bar_svg(row.bar, axis)) for year, row in zip(years, rows, strict=True)]
    return {"axis": axis_svg(axis), "years": drawn}
