"""Plants whose bloom matters now: open, or expected to change about today."""

from __future__ import annotations

from breeding.blooming import the_bloom
from breeding.models import Bloom
from breeding.pages.bloomwalk import FIELDS, Stop, growing, with_expected
from evaluation.bed.pages import Asked, Page, Row, cut


def bloom(asked: Asked) -> Page:
    """In the order in which they stand. Three queries, and those of the garden's bloom."""
    today, season = asked.today, asked.garden.calendar.season(asked.today)
    every = growing(season, today)
    stops = with_expected(every, the_bloom(asked.garden, today), season)
    # Behind its place among all of them: what was noted meanwhile may be near no more.
    keys = [str(stop.plant.pk) for stop in stops]
    start = keys.index(asked.after) + 1 if asked.after in keys else 0
    near = [stop for stop in stops[start:] if stop.due(today) or stop.is_open(today)]
    return cut((str(stop.plant.pk), _stop(stop)) for stop in near)


def _stop(stop: Stop) -> Row:
    """`stage` is what one tap notes next, `also` the peak where the opening may be missed, `asks`
    a question where the day is not the one of the tap."""
    noted = {name: getattr(stop.bloom, name, None) for name in FIELDS.values()}
    return {
        "pk": stop.plant.pk,
        "name": str(stop.plant),
        "bed": stop.places[0].bed.name if stop.places else "",
        "place": "; ".join(map(str, stop.places)),
        "stage": stop.asks if stop.late else stop.stage,
        "tap": stop.tap,
        "also": Bloom.Stage.PEAK.value if stop.peaks else "",
        "asks": stop.question if stop.late else "",
        "expected": stop.expected.isoformat() if stop.expected else "",
        **{name: day.isoformat() for name, day in noted.items() if day},
    }
