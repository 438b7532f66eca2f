"""What the walk in bloom shows, as its address asks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest

from breeding.blooming import the_bloom
from breeding.models import Bloom
from breeding.pages import bloomwalk
from breeding.pages.bloomwords import shift_words
from garden.models import Garden, Placing, Plant
from garden.names import is_key
from garden.verbs import EARLIEST_DAY

ON_A_PAGE = 60
ALL_BEDS = "all"


@dataclass(frozen=True, slots=True)
class Walking:
    """What the address of the walk asks: a bed ('' for what is due now), a day, where to go on."""

    bed: str
    day: date
    today: date
    after: str = ""

    @classmethod
    def asked(cls, request: HttpRequest) -> Walking:
        """As the address says; nonsense is passed over."""
        bed, after = (request.GET.get(name, "") for name in ("bed", "after"))
        today = request.garden.today()
        return cls(
            bed if bed in (ALL_BEDS, bloomwalk.NO_BED) or is_key(bed) else "",
            _day(request.GET.get("on", ""), today),
            today,
            after if is_key(after) else "",
        )

    @property
    def other_day(self) -> bool:
        return self.day != self.today

    @property
    def query(self) -> dict[str, str]:
        """What keeps the walk as it is, in an address."""
        asked = {"bed": self.bed, "on": self.day.isoformat() if self.other_day else "",
                 "after": self.after}  # fmt: skip
        return {name: value for name, value in asked.items() if value}

    @property
    def here(self) -> str:
        """'?bed=3&on=2026-05-20', '' for the walk of today."""
        return f"?{urlencode(self.query)}" if self.query else ""

    def to(self, bed: str, after: str = "") -> str:
        """The address of another bed on the same day."""
        return replace(self, bed=bed, after=after).here or "?"


def _day(text: str, today: date) -> date:
    """A day of the address, not ahead of today."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return today
    return day if EARLIEST_DAY <= day <= today else today


def walk(garden: Garden, asked: Walking) -> dict[str, Any]:
    """The walk as asked. Three queries, and those of the garden's bloom."""
    season = garden.calendar.season(asked.day)
    bloom = the_bloom(garden, asked.day)
    every = bloomwalk.with_expected(bloomwalk.growing(season, asked.day), bloom, season)
    due = bloomwalk.due_now(every, asked.day)
    shown = due if not asked.bed else every if asked.bed == ALL_BEDS else (
        bloomwalk.in_bed(every, asked.bed)
    )  # fmt: skip
    stops, more = _page(shown, asked.after)
    beds = bloomwalk.beds_of(every)
    return {
        "walking": asked,
        "stops": stops,
        "due": len(due),
        **counts(every, asked.day),
        "more": asked.to(asked.bed, more) if more else "",
        "back": asked.to(asked.bed) if asked.after else "",
        "due_way": asked.to(""),
        "bed_ways": _ways(asked, beds, any(not stop.places for stop in every)),
        "bed_name": next((bed.name for bed in beds if str(bed.pk) == asked.bed), ""),
        "shift": shift_words(bloom.flowering.shift(season)) if bloom.noted else "",
        "beginning": None if due else bloomwalk.beginning(every, bloom, season),
        "year": season,
    }


def counts(stops: list[bloomwalk.Stop], day: date) -> dict[str, int]:
    """How many of how many are open on a day, and of how many something is noted then."""
    return {"growing": len(stops), "done": bloomwalk.done_on(stops, day),
            "open": sum(stop.is_open(day) for stop in stops)}  # fmt: skip


def stop_of(garden: Garden, asked: Walking, plant: Plant) -> bloomwalk.Stop:
    """One plant on the day of the walk. Two queries, and those of the garden's bloom."""
    season = garden.calendar.season(asked.day)
    bloom = Bloom.live.filter(plant=plant, season=season).first()
    stop = bloomwalk.Stop(plant, asked.day, places_of(plant), bloom)
    return bloomwalk.with_expected([stop], the_bloom(garden, asked.day), season)[0]


def _page(stops: list[bloomwalk.Stop], after: str) -> tuple[list[bloomwalk.Stop], str]:
    """A page of stops behind the plant of that key, and the key to go on from."""
    keys = [str(stop.plant.pk) for stop in stops]
    start = keys.index(after) + 1 if after in keys else 0
    end = start + ON_A_PAGE
    return stops[start:end], keys[end - 1] if len(keys) > end else ""


def _ways(asked: Walking, beds: list[Any], homeless: bool) -> list[tuple[str, str, bool]]:
    """(title, address, whether it is the one shown) of each bed."""
    known = [(ALL_BEDS, "All beds"), *((str(bed.pk), bed.name) for bed in beds)]
    if homeless:
        known.append((bloomwalk.NO_BED, "No place noted"))
    return [(title, asked.to(key), key == asked.bed) for key, title in known]


def stages_of(bloom: Bloom | None) -> list[tuple[str, str]]:
    """The stages that are not noted yet."""
    noted = {"first": bloom and bloom.first_on, "peak": bloom and bloom.peak_on,
             "last": bloom and bloom.last_on}  # fmt: skip
    return [(key, label) for key, label in Bloom.Stage.choices if not noted[key]]


def asked_of(stop: bloomwalk.Stop, wanted: str) -> dict[str, Any]:
    """The stage whose day is asked for, the question, and what other stages may be meant.

    Empty where a tap means the day on which it is made.
    """
    stages = dict(stages_of(stop.bloom))
    stage = wanted if wanted in stages else stop.asks
    if not stop.late or not stage:
        return {}
    likely = stop.likely(stage)
    told = f"{likely.day} {likely:%b} is the day expected" if likely else ""
    return {
        "stage": stage,
        "hint": f"{told}: put in the one that you know." if told else "",
        "question": bloomwalk.ASKED[Bloom.Stage(stage)],
        "tap": bloomwalk.TAPS[Bloom.Stage(stage)],
        "likely": likely,
        "others": [(key, label) for key, label in stages.items() if key != stage],
    }


def without(bloom: Bloom, stage: str) -> Bloom:
    """The same bloom, not to be kept, without the day of a stage."""
    others = {name: getattr(bloom, name) for key, name in bloomwalk.FIELDS.items() if key != stage}
    return Bloom(season=bloom.season, **others)


def places_of(plant: Plant) -> tuple[Placing, ...]:
    """Where it stands now. One query."""
    here = plant.placings.filter(struck=False, until=None, bed__struck=False)
    return tuple(sorted(here.select_related("bed"), key=bloomwalk.place_key))
