"""The verb of the look-over: what is found at one position of a row."""

from __future__ import annotations

from datetime import date, timedelta

from breeding.models import Row
from breeding.records.common import fitting
from evaluation.models import Glance, LookOver
from evaluation.records.candidates import candidate_at, check_position, row_as_it_stands
from garden.models import Person
from garden.verbs import Act, Refused, verb

# A walk that was left is taken up again within so many days of its last look.
TAKEN_UP_WITHIN = timedelta(days=3)


@verb
def glance(
    act: Act,
    *,
    row: Row,
    position: int,
    found: str,
    note: str = "",
    backward: bool = False,
    anew: bool = False,
    day: date | None = None,
) -> tuple[Glance, str]:
    """Note what a walk found at one position: nothing, look again, gap or dead.

    The walk is this person's open one of the row, taken up where it was left; `anew` begins
    another. Said once more of the same position, the newer word counts and the older one stays
    readable in the journal.
    """
    row, day = row_as_it_stands(row), act.day(day)
    if found not in Glance.Found.values:
        raise Refused("Say what you found.", "found")
    check_position(row, position, day, blooming=found not in Glance.ABSENT)
    walk = None if anew else open_walk(act.person, row, day)
    if walk is None:
        season = act.garden.calendar.season(day)
        walk = act.make(
            LookOver(row=row, person=act.person, season=season, began_on=day, backward=backward)
        )
    # Made first, so that the sums of the candidate count this look.
    if found == Glance.Found.AGAIN:
        candidate_at(act, row, position, day)
    note = fitting(note, 200, "note")
    look = Glance.live.filter(look_over=walk, position=position).first()
    if look is None:
        look = act.make(Glance(look_over=walk, position=position, found=found, day=day, note=note))
    else:
        act.change(look, found=found, note=note or look.note, day=day)
    act.mention(row)
    told = f": {note}" if note else ""
    return look, f"{look.get_found_display()} at position {position} of {row}{told}"


def open_walk(person: Person, row: Row, day: date) -> LookOver | None:
    """The walk along a row that a person may take up on a day; None when there is none.

    Two queries.
    """
    newest = LookOver.live.filter(person=person, row=row).order_by("-id").first()
    if newest is None:
        return None
    last = newest.glances.filter(struck=False).order_by("-id").values_list("day", flat=True).first()
    return newest if is_open(newest, last, day) else None


def is_open(walk: LookOver, last: date | None, day: date) -> bool:
    """Whether a walk, whose `last` look was on that day, may be taken up on a day."""
    return abs(day - (last or walk.began_on)) <= TAKEN_UP_WITHIN
