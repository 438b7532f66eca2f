"""Verbs of increase: counting fans, taking out, guests sent to other gardens and what came back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Q

from garden.models import Bed, GuestNews, GuestSent, Plant, StockCount, StockTaken
from garden.models.increase import MOST_FANS, spot_of
from garden.verbs import Act, Refused, plural, verb, written

TOO_MANY = f"Fans are counted from 0 to {MOST_FANS:,}."


@verb
def count_stock(
    act: Act,
    *,
    plant: Plant,
    number: int,
    bed: Bed | None = None,
    position: str = "",
    elsewhere: str = "",
    taken: int = 0,
    fate: str = "",
    note: str = "",
    day: date | None = None,
) -> tuple[StockCount, str]:
    """Count the fans of a plant in one place, with what was taken out there since the last count.

    What was taken is written as of the same day, as gone before the count.
    """
    plant, place = _standing(plant), _place(bed, position, elsewhere)
    day = act.day(day)
    _check_number(number, 0, "number")
    if not spot_of(**place):
        raise Refused("Say where it was counted.", "bed")
    twin = StockCount.live.filter(plant=plant, spot=spot_of(**place), day=day).first()
    if twin:
        raise Refused(f"It was counted there on {written(day)}: {twin.number}. Correct that.")
    count = act.make(StockCount(plant=plant, number=number, day=day, note=note.strip(), **place))
    told = f"Counted {plural(number, 'fan')} of {plant} in {count.place}"
    if taken:
        _take(act, plant, place, taken, fate, day, "taken", before=True)
        told += f", {taken} taken out since"
    act.mention(plant, bed)
    return count, f"{told} ({written(day)})"


@verb
def correct_stock_count(
    act: Act, *, count: StockCount, number: int, day: date, reason: str, note: str = ""
) -> tuple[StockCount, str]:
    """Correct a count: its number, its day, its note."""
    count = StockCount.objects.select_related("plant", "bed").get(pk=count.pk)
    _correctable(act, count, reason)
    _check_number(number, 0, "number")
    day = act.day(day)
    twins = StockCount.live.filter(plant=count.plant, spot=count.spot, day=day)
    if twins.exclude(pk=count.pk).exists():
        raise Refused(f"Another count there is of {written(day)}.", "day")
    if not act.change(count, number=number, day=day, note=note.strip()):
        raise Refused("Nothing was changed.")
    act.mention(count.plant)
    return count, f"Corrected the count of {count.plant} in {count.place}: {number}"


@verb
def take_out(
    act: Act,
    *,
    plant: Plant,
    number: int,
    fate: str,
    bed: Bed | None = None,
    position: str = "",
    elsewhere: str = "",
    note: str = "",
    day: date | None = None,
) -> tuple[StockTaken, str]:
    """Note that fans left a place, and what became of them; without a place where none is known."""
    plant, day = _standing(plant), act.day(day)
    gone = _take(act, plant, _place(bed, position, elsewhere), number, fate, day, "number", note)
    act.mention(plant, bed)
    where = f" from {gone.place}" if gone.spot else ""
    return gone, (
        f"{plural(number, 'fan')} of {plant}{where} {gone.get_fate_display().lower()} "
        f"({written(day)})"
    )


@verb
def correct_taken(
    act: Act, *, gone: StockTaken, number: int, fate: str, day: date, reason: str, note: str = ""
) -> tuple[StockTaken, str]:
    """Correct what was taken out."""
    gone = StockTaken.objects.select_related("plant").get(pk=gone.pk)
    _correctable(act, gone, reason)
    if gone.guest_id:
        raise Refused("These went to another garden: correct that.")
    _check_number(number, 1, "number")
    _check_fate(fate, "fate")
    if not act.change(gone, number=number, fate=fate, day=act.day(day), note=note.strip()):
        raise Refused("Nothing was changed.")
    act.mention(gone.plant)
    return gone, f"Corrected what was taken of {gone.plant}: {gone}"


@verb
def send_guest(
    act: Act,
    *,
    plant: Plant,
    garden_name: str,
    terms: str,
    number: int,
    bed: Bed | None = None,
    position: str = "",
    elsewhere: str = "",
    note: str = "",
    day: date | None = None,
) -> tuple[GuestSent, str]:
    """Send plants to another garden; they count as taken out of their place."""
    plant, day = _standing(plant), act.day(day)
    name = " ".join(garden_name.split())
    if not name:
        raise Refused("Write to which garden it goes.", "garden_name")
    if terms not in GuestSent.Terms.values:
        raise Refused("Choose one of the terms.", "terms")
    _check_number(number, 1, "number")
    guest = act.make(
        GuestSent(plant=plant, garden_name=name, terms=terms, number=number, sent_on=day,
                  note=note.strip())
    )  # fmt: skip
    fate, place = _fate_of(terms), _place(bed, position, elsewhere)
    _take(act, plant, place, number, fate, day, "number", f"to {name}", guest)
    act.mention(plant)
    return guest, f"Sent {number} of {plant} to {name} ({written(day)})"


@verb
def note_guest(
    act: Act,
    *,
    guest: GuestSent,
    report: str = "",
    returned: int = 0,
    ended: bool = False,
    day: date | None = None,
) -> tuple[GuestSent, str]:
    """Note what came back of a guest; `ended` when nothing is open any more."""
    guest = GuestSent.objects.select_related("plant").get(pk=guest.pk)
    if guest.struck:
        raise Refused("This was struck out.")
    day = act.day(day)
    if day < guest.sent_on:
        raise Refused(f"It was sent only on {written(guest.sent_on)}.", "day")
    report, returned = report.strip(), returned or 0
    _check_number(returned, 0, "returned")
    if not (report or returned or ended):
        raise Refused("Write what came back, or that nothing is open.", "report")
    if ended and guest.ended_on:
        raise Refused(f"It was ended on {written(guest.ended_on)}.", "ended")
    if report or returned:
        act.make(GuestNews(guest=guest, day=day, report=report, returned=returned))
    if ended:
        act.change(guest, ended_on=day)
    act.mention(guest.plant)
    parts = [
        f"{returned} came back" if returned else "",
        "a report came" if report else "",
        "nothing is open any more" if ended else "",
    ]
    return guest, f"{guest}: {', '.join(filter(None, parts))} ({written(day)})"


@verb
def correct_guest(
    act: Act,
    *,
    guest: GuestSent,
    garden_name: str,
    terms: str,
    number: int,
    sent_on: date,
    reason: str,
    note: str = "",
) -> tuple[GuestSent, str]:
    """Correct what is written of plants that were sent."""
    guest = GuestSent.objects.select_related("plant").get(pk=guest.pk)
    _correctable(act, guest, reason)
    name = " ".join(garden_name.split())
    if not name:
        raise Refused("Write to which garden it went.", "garden_name")
    if terms not in GuestSent.Terms.values:
        raise Refused("Choose one of the terms.", "terms")
    _check_number(number, 1, "number")
    sent_on = act.day(sent_on, "sent_on")
    first = guest.news.filter(struck=False).order_by("day").first()
    limit = min(filter(None, [first and first.day, guest.ended_on]), default=None)
    if limit and sent_on > limit:
        raise Refused(f"Something came back on {written(limit)}.", "sent_on")
    changed = act.change(
        guest, garden_name=name, terms=terms, number=number, sent_on=sent_on, note=note.strip()
    )
    if not changed:
        raise Refused("Nothing was changed.")
    for gone in guest.taken.filter(struck=False):
        note = f"to {name}"
        act.change(gone, number=number, day=sent_on, fate=_fate_of(terms), note=note)
    act.mention(guest.plant)
    return guest, f"Corrected the guest {guest}"


def _standing(plant: Plant) -> Plant:
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out.", "plant")
    return plant


def _place(bed: Bed | None, position: str, elsewhere: str) -> dict[str, Any]:
    """The fields of a place; a bed goes before words."""
    if bed is not None and Bed.objects.get(pk=bed.pk).struck:
        raise Refused(f"{bed} was struck out.", "bed")
    tidy = " ".join(elsewhere.split())
    return {
        "bed": bed,
        "position": position.strip() if bed else "",
        "elsewhere": "" if bed else tidy,
    }


def _take(
    act: Act, plant: Plant, place: dict[str, Any], number: int, fate: str, day: date, field: str,
    note: str = "", guest: GuestSent | None = None, before: bool | None = None,
) -> StockTaken:  # fmt: skip
    """Write what left a place; a count of that day that stands already was made before."""
    _check_number(number, 1, field)
    _check_fate(fate, "fate")
    if before is None:
        here = Q(spot=spot) if (spot := spot_of(**place)) else Q()
        before = not StockCount.live.filter(here, plant=plant, day=day).exists()
    return act.make(
        StockTaken(plant=plant, number=number, fate=fate, day=day, note=note.strip()[:200],
                   guest=guest, before_count=before, **place)
    )  # fmt: skip


def _fate_of(terms: str) -> str:
    fates = StockTaken.Fate
    return fates.SOLD if terms == GuestSent.Terms.SALE else fates.SENT


def _check_fate(fate: str, field: str) -> None:
    if fate not in StockTaken.Fate.values:
        raise Refused("Say what became of those taken out.", field)


def _check_number(number: int | None, least: int, field: str) -> None:
    if number is None or not least <= number <= MOST_FANS:
        raise Refused(TOO_MANY.replace("from 0", f"from {least}"), field)


def _correctable(act: Act, fact: Any, reason: str) -> None:
    if fact.struck:
        raise Refused("This was struck out; there is nothing to correct.")
    act.reason = reason.strip()
    if not act.reason:
        raise Refused("Write why it is corrected.", "reason")
