"""The chart of a season: who blooms when, who is open together, whose pollen must be stored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q

from breeding.blooming import GardenBloom, Meeting, Span, the_bloom
from breeding.models import Bloom
from breeding.pages.bloomdays import believed, weeks_of
from breeding.pages.bloomplot import Axis, Bar, axis_svg, bar_svg, chart_key
from breeding.pages.bloomwords import chance, shift_words
from garden.models import Garden, IrisClass, Plant
from garden.names import is_key

# A bloom that was expected and not noted is shown for so long after its end.
MISSED = timedelta(days=7)
MOST_TOLD = 12
LIKELY = 0.5
CLASSES = [*IrisClass.values, ""]
COLUMNS = ("first_on", "peak_on", "last_on")


@dataclass(frozen=True, slots=True)
class Row:
    """One plant of the chart: its notes, what is expected, and the bar of both."""

    plant: Plant
    bloom: Bloom | None
    span: Span
    first: date
    last: date
    between: tuple[date, date] | None
    bar: Bar
    svg: str = ""

    @property
    def too_long(self) -> int:
        """The weeks of a bloom noted over more of them than any iris is open; else 0."""
        return weeks_of({name: getattr(self.bloom, name, None) for name in COLUMNS})


@dataclass(frozen=True, slots=True)
class Mate:
    """Another plant beside the chosen one: chances of being open together and one after another."""

    plant: Plant
    meeting: Meeting
    days: float = 0.0

    def __getitem__(self, what: str) -> str:
        """The chance of 'together', 'before' or 'after', in words."""
        return chance(getattr(self.meeting, what))


def row_of(plant: Plant, bloom: Bloom | None, span: Span, held: GardenBloom, year: int) -> Row:
    """The plant's line, not drawn yet."""
    days = believed({name: getattr(bloom, name, None) for name in COLUMNS})
    noted = [held.day_of(day) for day in days.values() if day]
    first_noted, peak_noted, last_noted = map(bool, days.values())
    bar = Bar(
        span.first,
        held.day_of(days["peak_on"]) if days["peak_on"] else span.peak,
        span.last,
        (min(noted), max(noted)) if noted else None,
        peak_noted,
        # Where only a later stage is noted, the interval may not reach beyond it.
        None if first_noted else (span.low, min([span.high, *noted])),
        # Of a bloom not begun yet, both intervals would only cover each other.
        None if last_noted or not noted else (max([span.last_low, *noted]), span.last_high),
    )
    between = None if noted else (held.date_of(year, span.low), held.date_of(year, span.high))
    return Row(plant, bloom, span, held.date_of(year, span.first), held.date_of(year, span.last),
               between, bar)  # fmt: skip


def rows_of(held: GardenBloom, year: int, today: date) -> list[Row]:
    """Plants noted in that season, and those that may bloom in it still; by first day. Two
    queries."""
    blooms = {bloom.plant_id: bloom for bloom in Bloom.live.filter(season=year)}
    wanted = Q(pk__in=blooms)
    if year >= held.calendar.season(today):
        wanted |= Q(status=Plant.Status.GROWING)
    plants = {plant.pk: plant for plant in Plant.live.filter(wanted).order_by("folded")}
    spans = held.spans(list(plants), year)
    rows = [row_of(plants[key], blooms.get(key), span, held, year) for key, span in spans.items()]
    shown = [row for row in rows if row.bloom or row.last >= today - MISSED]
    return sorted(shown, key=lambda row: (row.span.first, row.plant.folded))


def season(garden: Garden, year: int, picked: str, today: date) -> dict[str, Any]:
    """What the page of a season shows. Two queries, and those of the garden's bloom."""
    held = the_bloom(garden, today)
    rows = rows_of(held, year, today)
    this_year = held.calendar.season(today)
    chosen = next((row for row in rows if str(row.plant.pk) == picked and is_key(picked)), None)
    return {
        "year": year,
        "before": year - 1,
        "after": year + 1 if year <= this_year else 0,
        "rows": rows,
        "groups": _groups(rows, held, year, today),
        "noted": sum(row.bloom is not None for row in rows),
        "shift": shift_words(held.flowering.shift(year)) if held.noted else "",
        "told": held.flowering.told if held.noted else (),
        "key": chart_key(),
        "chosen": chosen,
        **(beside(held, chosen, rows, year) if chosen else {}),
    }


def _groups(rows: Sequence[Row], held: GardenBloom, year: int, today: date) -> list[dict[str, Any]]:
    """Classes in their order, each with its axis and its rows drawn."""
    if not rows:
        return []
    axis = Axis.around([row.bar for row in rows], held.calendar.season_starts(year))
    now = (today - axis.start).days
    names, groups = dict(IrisClass.choices), []
    for key in CLASSES:
        own = [(row, bar_svg(row.bar, axis, now)) for row in rows if row.plant.iris_class == key]
        if own:
            title = names.get(key, "No class recorded")
            groups.append({"key": key or "other", "title": title, "axis": axis_svg(axis),
                           "rows": own})  # fmt: skip
    return groups


def beside(held: GardenBloom, chosen: Row, rows: Sequence[Row], year: int) -> dict[str, Any]:
    """Who is open together with the chosen plant, and who is over before or begins after."""
    others = {row.plant.pk: row.plant for row in rows if row is not chosen}
    found = held.meetings(chosen.plant.pk, list(others), year)
    mates = [Mate(others[key], meeting) for key, meeting in found.items()]
    together = _by(mates, "together")
    told = [
        Mate(mate.plant, mate.meeting,
             held.flowering.overlap(chosen.plant.pk, mate.plant.pk, year).days)
        for mate in together[:MOST_TOLD]
    ]  # fmt: skip
    return {
        "together": sorted(told, key=lambda mate: -mate.days),
        "meet": len(together),
        "others": len(others),
        "earlier": _by(mates, "after")[:MOST_TOLD],
        "later": _by(mates, "before")[:MOST_TOLD],
    }


def _by(mates: Sequence[Mate], what: str) -> list[Mate]:
    """Those of which it is likelier than not, the likeliest first."""
    likely = [mate for mate in mates if getattr(mate.meeting, what) >= LIKELY]
    return sorted(likely, key=lambda mate: (-getattr(mate.meeting, what), mate.plant.folded))
