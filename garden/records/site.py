"""Verbs about the garden as a place: its calendar and its beds."""

from __future__ import annotations

import zoneinfo
from typing import Any

from garden.models import Bed, Garden, JournalLine, fold, tidy
from garden.models.site import MOST_DOUBLE_REDUCTION, YEARLY
from garden.records.people import owner_only
from garden.verbs import Act, Refused, plural, verb

# What may be set, and how a sentence calls it.
SETTABLE = {
    "name": "its name",
    "hemisphere": "the hemisphere",
    "time_zone": "the time zone",
    "inches": "the unit of heights",
    "pod_check_days": "when pods are looked at",
    "pod_ripe_days": "when pods crack",
    "recount_days": "when pots are counted again",
    "line_out_days": "when seedlings are lined out",
    "bloom_days": "how long irises bloom",
    "sow_on": "the day of sowing",
    "count_from": "the first day of counting",
    "bloom_from": "the first day of bloom",
    "double_reduction": "double reduction",
}


@verb
def change_garden(act: Act, **fields: Any) -> tuple[Garden, str]:
    """Change the garden's name, place and calendar.

    When only the hemisphere changes, the yearly days move by half a year with it.
    """
    owner_only(act)
    garden = Garden.objects.get(pk=act.garden.pk)
    strange = set(fields) - set(SETTABLE)
    if strange:
        raise Refused(f"{', '.join(sorted(strange))} is no setting of the garden.")
    if fields.get("time_zone", garden.time_zone) not in zoneinfo.available_timezones():
        raise Refused("Choose a time zone of the list.", "time_zone")
    _check_numbers(fields)
    ripe = fields.get("pod_ripe_days", garden.pod_ripe_days)
    if ripe <= fields.get("pod_check_days", garden.pod_check_days):
        raise Refused("A pod ripens after the day on which one looks at it.", "pod_ripe_days")
    if "name" in fields:
        fields["name"] = tidy(fields["name"])
        if not fields["name"]:
            raise Refused("Give the garden a name.", "name")
    hemisphere = fields.get("hemisphere", garden.hemisphere)
    if hemisphere != garden.hemisphere:
        _refuse_other_seasons()
    if all(fields.get(name, getattr(garden, name)) == getattr(garden, name) for name in YEARLY):
        mirrored = garden.calendar.mirrored(hemisphere)
        fields |= {name: str(getattr(mirrored, name)) for name in YEARLY}
    if not act.change(garden, **fields):
        raise Refused("Nothing was changed.")
    changed = ", ".join(SETTABLE[name] for name in act.changed[-1]["after"])
    return garden, f"Changed the garden's settings: {changed}"


def _refuse_other_seasons() -> None:
    """Days of bloom are kept under the seasons of one hemisphere. A query."""
    if JournalLine.objects.filter(verb="note_bloom", undone_by=None).exists():
        sentence = "Bloom was noted under the seasons of this hemisphere: undo those notes first."
        raise Refused(sentence, "hemisphere")


def _check_numbers(fields: dict[str, Any]) -> None:
    for name in ("pod_check_days", "pod_ripe_days", "recount_days", "line_out_days", "bloom_days"):
        if not 1 <= fields.get(name, 1) <= 400:
            raise Refused("Write a number of days from 1 to 400.", name)
    # Asked this way round, so that what is no number is refused too.
    if not 0 <= fields.get("double_reduction", 0) <= MOST_DOUBLE_REDUCTION:
        raise Refused("Double reduction lies between 0 and 1/6.", "double_reduction")


def _free_bed_name(name: str, but: Bed | None = None) -> str:
    name = tidy(name)
    if not fold(name):
        raise Refused("Give the bed a name.", "name")
    taken = Bed.live.filter(folded=fold(name))
    if but is not None:
        taken = taken.exclude(pk=but.pk)
    if taken.exists():
        raise Refused(f"There is already a bed called {name}.", "name")
    return name


@verb
def add_bed(
    act: Act, *, name: str, rows: int = 1, positions: int = 40, note: str = ""
) -> tuple[Bed, str]:
    """Lay out a bed with numbered rows of numbered positions."""
    _possible_size(rows, positions)
    bed = act.make(Bed(name=_free_bed_name(name), rows=rows, positions=positions, note=note))
    return bed, f"Laid out {bed}: {plural(rows, 'row')} of {plural(positions, 'position')}"


@verb
def change_bed(
    act: Act, *, bed: Bed, name: str, rows: int, positions: int, note: str = ""
) -> tuple[Bed, str]:
    """Rename or resize a bed; seedlings standing in it must still find their place."""
    bed = Bed.objects.get(pk=bed.pk)
    if bed.struck:
        raise Refused(f"{bed} was struck out.")
    _possible_size(rows, positions)
    if not act.change(
        bed, name=_free_bed_name(name, bed), rows=rows, positions=positions, note=note
    ):
        raise Refused("Nothing was changed.")
    return bed, f"Changed {bed}: {plural(rows, 'row')} of {plural(positions, 'position')}"


def _possible_size(rows: int, positions: int) -> None:
    if not 1 <= rows <= 500:
        raise Refused("A bed has from 1 to 500 rows.", "rows")
    if not 1 <= positions <= 5000:
        raise Refused("A row has from 1 to 5000 positions.", "positions")
