"""Verbs of bloom: when a plant opens, peaks and is over; pollen put by and used up."""

from __future__ import annotations

from datetime import date
from typing import Any

from breeding.models import Bloom, Pollen
from breeding.pages.bloomdays import weeks_of
from breeding.records.common import fitting
from garden.models import Plant
from garden.verbs import Act, Refused, verb, written

FIELD = {"first": "first_on", "peak": "peak_on", "last": "last_on"}
SAID = {
    "first": "{plant} opened its first flower",
    "peak": "{plant} is at its peak",
    "last": "{plant} is over",
}
IN_WORDS = {"first_on": "first flower", "peak_on": "peak", "last_on": "end of bloom"}
# One bloom of a season is noted: the main one, by which the garden's bloom is reckoned.
OPENS_AGAIN = (
    "Its days here are those of the first bloom: note when that was over, and that it opens again "
    "in the plant’s notes."
)


@verb
def note_bloom(act: Act, *, plant: Plant, stage: str, day: date | None = None) -> tuple[Bloom, str]:
    """Note that a plant opened, is at its peak or is over in this season's bloom."""
    plant = _growing(plant)
    if stage not in FIELD:
        raise Refused("Choose first flower, peak or over.", "stage")
    day = act.day(day)
    season = act.garden.calendar.season(day)
    bloom = Bloom.live.filter(plant=plant, season=season).first()
    noted = getattr(bloom, FIELD[stage]) if bloom else None
    said = SAID[stage].format(plant=plant)
    if noted:
        again = f" {OPENS_AGAIN}" if plant.rebloom and day > noted else ""
        raise Refused(f"{said} on {written(noted)}: that is noted already.{again}", "stage")
    days = {name: getattr(bloom, name) if bloom else None for name in IN_WORDS}
    _in_order({**days, FIELD[stage]: day}, "day")
    _of_one_bloom({**days, FIELD[stage]: day}, plant, "day")
    if bloom is None:
        bloom = act.make(Bloom(plant=plant, season=season, **{FIELD[stage]: day}))
    else:
        act.change(bloom, **{FIELD[stage]: day})
    act.mention(plant)
    return bloom, f"{said} ({written(day)})"


@verb
def correct_bloom(
    act: Act,
    *,
    bloom: Bloom,
    reason: str,
    first_on: date | None = None,
    peak_on: date | None = None,
    last_on: date | None = None,
) -> tuple[Bloom, str]:
    """Correct the days of one season's bloom; at least one of them stays."""
    bloom = Bloom.objects.select_related("plant").get(pk=bloom.pk)
    if bloom.struck:
        raise Refused("This was struck out; there is nothing to correct.")
    act.reason = fitting(reason, 400, "reason")
    if not act.reason:
        raise Refused("Write why it is corrected.", "reason")
    days = {"first_on": first_on, "peak_on": peak_on, "last_on": last_on}
    if not any(days.values()):
        raise Refused("Undo the note instead: one day at least stays.", "first_on")
    for name, day in days.items():
        if day and act.garden.calendar.season(act.day(day, name)) != bloom.season:
            raise Refused(f"{written(day)} is not in the season {bloom.season}.", name)
    _in_order(days, "")
    _of_one_bloom(days, bloom.plant, "last_on" if last_on else "peak_on")
    if not act.change(bloom, **days):
        raise Refused("Nothing was changed.")
    act.mention(bloom.plant)
    return bloom, f"Corrected the bloom of {bloom.plant} in {bloom.season}"


def _in_order(days: dict[str, date | None], field: str) -> None:
    """Refuse a later stage before an earlier one."""
    known = [(name, day) for name, day in days.items() if day]
    for (earlier, before), (later, after) in zip(known, known[1:], strict=False):
        if after < before:
            sentence = f"{IN_WORDS[later]} on {written(after)} is before {IN_WORDS[earlier]}"
            raise Refused(f"The {sentence} on {written(before)}.", field or later)


def _of_one_bloom(days: dict[str, date | None], plant: Plant, field: str) -> None:
    """Refuse days that lie further apart than any iris is open."""
    if not (weeks := weeks_of(days)):
        return
    known = [(day, name) for name, day in days.items() if day]
    (first, before), (last, after) = min(known), max(known)
    sentence = (
        f"From {IN_WORDS[before]} on {written(first)} to {IN_WORDS[after]} on {written(last)} are "
        f"{weeks} weeks: no iris is open so long."
    )
    then = OPENS_AGAIN if plant.rebloom else "Choose the day on which it was; or correct the other."
    raise Refused(f"{sentence} {then}", field)


@verb
def store_pollen(
    act: Act,
    *,
    plant: Plant,
    place: str,
    use_by: date | None = None,
    note: str = "",
    day: date | None = None,
) -> tuple[Pollen, str]:
    """Put pollen of a plant by: where it is, and until when it is thought good."""
    plant = _growing(plant)
    day = act.day(day)
    place = fitting(place, 80, "place")
    if not place:
        raise Refused("Write where it is kept.", "place")
    if use_by and use_by < day:
        raise Refused(f"{written(use_by)} is before it was taken.", "use_by")
    note = fitting(note, 400, "note")
    pollen = act.make(Pollen(plant=plant, taken_on=day, place=place, use_by=use_by, note=note))
    act.mention(plant)
    return pollen, f"Put pollen of {plant} by: {place} ({written(day)})"


@verb
def finish_pollen(
    act: Act, *, pollen: Pollen, reason: str, day: date | None = None
) -> tuple[Pollen, str]:
    """Say that stored pollen is used up, too old or thrown away."""
    pollen = Pollen.objects.select_related("plant").get(pk=pollen.pk)
    if pollen.struck:
        raise Refused("This pollen was struck out.")
    if pollen.ended_on:
        raise Refused(f"It was finished on {written(pollen.ended_on)}: {pollen.ended_reason}.")
    day = act.day(day)
    if day < pollen.taken_on:
        raise Refused(f"It was taken on {written(pollen.taken_on)}.", "day")
    reason = fitting(reason, 200, "reason")
    if not reason:
        raise Refused("Write what became of it.", "reason")
    act.change(pollen, ended_on=day, ended_reason=reason)
    act.mention(pollen.plant)
    return pollen, f"Pollen of {pollen.plant} finished: {reason} ({written(day)})"


def _growing(plant: Any) -> Plant:
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out of the stock.", "plant")
    return plant
