"""The verbs of choosing among seedlings."""

from __future__ import annotations

import string
from datetime import date
from typing import Any

from breeding.models import Cross, Row
from breeding.records.common import fitting
from evaluation.models import Candidate, Seedling
from evaluation.records.candidates import candidate_at, check_position, row_as_it_stands
from evaluation.records.naming import follow, name_candidate
from garden.models import Plant, fold
from garden.models.stock import UNKNOWN
from garden.records.stock import new_plant
from garden.verbs import Act, Refused, verb


def letter_of(count: int) -> str:
    """The letter of the seedling number `count` (from 0): A … Z, then AA, AB …"""
    letters = ""
    count += 1
    while count:
        count, rest = divmod(count - 1, 26)
        letters = string.ascii_uppercase[rest] + letters
    return letters


def _next_letter(cross: Cross) -> str:
    """The next letter of a cross; one whose number the stock already knows is passed over."""
    count = Seedling.objects.filter(cross=cross).count()
    while (
        Plant.live.filter(folded=fold(f"{cross.code}{letter_of(count)}")).exists()
        or Seedling.objects.filter(cross=cross, letter=letter_of(count)).exists()
    ):
        count += 1
    return letter_of(count)


@verb
def select_seedling(
    act: Act,
    *,
    row: Row,
    position: int,
    reason: str = "",
    day: date | None = None,
    **appearance: Any,
) -> tuple[Seedling, str]:
    """Select the seedling at one position: it gets its letter and becomes a plant of the stock.

    `appearance` holds fields of `Plant` (colours, height, season, notes); parents, class and
    number follow from the thread.
    """
    row, day = row_as_it_stands(row), act.day(day)
    _check_place(row, position, day)
    # Known to the judging from now on, under its letter.
    candidate = candidate_at(act, row, position, day)
    seedling = _lettered(act, candidate, reason, day, **appearance)
    act.mention(row, row.cross)
    return seedling, f"Selected {seedling} at position {position} of {row}"


def give_letter(act: Act, candidate: Candidate, reason: str, day: date) -> Seedling:
    """Select a candidate of a row within another verb: the same rules, no line of its own."""
    row = row_as_it_stands(candidate.row)
    _check_place(row, candidate.position, day)
    act.mention(row.cross)
    return _lettered(act, candidate, reason, day)


def _lettered(
    act: Act, candidate: Candidate, reason: str, day: date, **appearance: Any
) -> Seedling:
    """The candidate with its letter, and the plant that it becomes with its parents."""
    row = row_as_it_stands(candidate.row)
    cross = row.cross
    letter = _next_letter(cross)
    code = f"{cross.code}{letter}"
    plant = act.make(new_plant(_plant_fields(act, cross, code, day) | appearance))
    seedling = act.make(
        Seedling(
            cross=cross,
            row=row,
            position=candidate.position,
            letter=letter,
            code=code,
            selected_on=day,
            reason=fitting(reason, 400, "reason"),
            plant=plant,
        )
    )
    name_candidate(act, candidate, plant)
    return seedling


@verb
def correct_seedling(
    act: Act, *, seedling: Seedling, position: int, seen: str, reason: str, day: date | None = None
) -> tuple[Seedling, str]:
    """Correct where a selected seedling stands, what was `seen` in it, and the day of the choice.

    Its letter, its cross and the plant that it became stay; `reason` says why it is corrected.
    """
    seedling = Seedling.objects.select_related("row__bed").get(pk=seedling.pk)
    if seedling.struck:
        raise Refused(f"{seedling} was struck out.")
    if not reason.strip():
        raise Refused("Write why it is corrected.", "reason")
    act.reason = fitting(reason, 400, "reason")
    day = act.day(day) if day else seedling.selected_on
    _check_place(seedling.row, position, day, seedling)
    seen = fitting(seen, 400, "seen")
    if not act.change(seedling, position=position, reason=seen, selected_on=day):
        raise Refused("Nothing was changed.")
    change = act.changed[0]
    if "position" in change["after"]:
        follow(act, seedling)
    act.mention(seedling.row, seedling.cross, seedling.plant)
    names = {"position": "position", "reason": "what was seen", "selected_on": "day"}
    told = ", ".join(
        f"{names[name]} {before or 'nothing'} → {change['after'][name] or 'nothing'}"
        for name, before in change["before"].items()
    )
    return seedling, f"Corrected {seedling}: {told}"


def _check_place(row: Row, position: int, day: date, own: Seedling | None = None) -> None:
    """Refuse a position that the row has not, that is taken, or a day on which none bloomed."""
    check_position(row, position, day)
    others = Seedling.live.filter(row=row, position=position)
    if taken := others.exclude(pk=own.pk if own else None).first():
        raise Refused(f"The seedling at position {position} is {taken} already.", "position")


def _plant_fields(act: Act, cross: Any, code: str, day: date) -> dict[str, Any]:
    same_class = cross.pollen_parent and (
        cross.seed_parent.iris_class == cross.pollen_parent.iris_class
    )
    return {
        "kind": Plant.Kind.SEEDLING,
        "number": code,
        "year": act.garden.calendar.season(day),
        "iris_class": cross.seed_parent.iris_class if same_class else "",
        "seed_parent": cross.seed_parent,
        "pollen_parent": cross.pollen_parent,
        "pollen_parent_text": UNKNOWN if cross.pollen_unknown else "",
    }
