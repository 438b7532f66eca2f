"""Verbs of the beds: line out seedlings, put away what is finished."""

from __future__ import annotations

from datetime import date

from breeding.models import MOST_SEEDLINGS, Pot, Row, SeedCup
from breeding.records.common import count_within, fitting, in_order, no_growth, standing
from garden.models import Bed
from garden.verbs import Act, Refused, plural, verb, written


@verb
def line_out(
    act: Act,
    *,
    pot: Pot,
    bed: Bed,
    row: int,
    first: int,
    seedlings: int,
    note: str = "",
    more_reason: str = "",
    day: date | None = None,
) -> tuple[Row, str]:
    """Set seedlings of a pot singly into a row, from position `first` on."""
    pot = Pot.objects.select_related("cup__cross").get(pk=pot.pk)
    bed = Bed.objects.get(pk=bed.pk)
    day = act.day(day)
    standing(pot, f"Pot {pot}")
    standing(bed, f"{bed}")
    in_order(pot.sown_on, day, "the pot was sown")
    count_within(row, 1, bed.rows, "row", f"Rows of {bed}")
    count_within(seedlings, 1, MOST_SEEDLINGS, "seedlings", "Seedlings lined out")
    count_within(first, 1, bed.positions, "first", f"Positions of {bed}")
    last = first + seedlings - 1
    if last > bed.positions:
        raise Refused(f"A row of {bed} ends at position {bed.positions}, not {last}.", "seedlings")
    # A pot that nobody counted is counted by lining it out; its seeds are the limit then.
    limit = pot.up if pot.counted_on else pot.seeds
    reason = no_growth(
        pot.lined_out + seedlings - limit,
        more_reason,
        f"Pot {pot} has {plural(max(0, limit - pot.lined_out), 'seedling')} to line out, "
        f"not {seedlings}.",
    )
    if reason:
        act.change(pot, lined_out_reason=reason)
    _before_counts(act, pot, day, seedlings, more_reason)
    stretch = Row(
        pot=pot,
        cross=pot.cross,
        bed=bed,
        row=row,
        first=first,
        last=last,
        lined_out_on=day,
        note=fitting(note, 1000, "note"),
    )
    refuse_overlap(stretch)
    act.make(stretch)
    act.mention(pot, pot.cross, bed)
    return stretch, f"Lined out {plural(seedlings, 'seedling')} of pot {pot}: {stretch}"


def _before_counts(act: Act, pot: Pot, day: date, seedlings: int, more_reason: str) -> None:
    """Lined out before a count, these seedlings came up beside those that were counted."""
    rows = list(pot.rows.filter(struck=False))
    counts = pot.counts.filter(struck=False, day__gt=day)
    up = max((count.came_up(rows) + seedlings for count in counts), default=0)
    reason = no_growth(
        up - pot.seeds,
        more_reason,
        f"With those counted later {up} came up in pot {pot}, which got only "
        f"{plural(pot.seeds, 'seed')}.",
    )
    if reason:
        act.change(pot, up_reason=reason)


def refuse_overlap(stretch: Row) -> None:
    """Two seedlings cannot stand on one position at the same time."""
    taken = stretch.overlapping().select_related("cross", "bed").first()
    if taken:
        raise Refused(f"{taken} already holds seedlings of {taken.cross}.", "first")


@verb
def put_away(
    act: Act, *, thing: SeedCup | Pot | Row, reason: str, day: date | None = None
) -> tuple[SeedCup | Pot | Row, str]:
    """Say that a cup, pot or row is finished: given away, thrown out, dug; with the reason."""
    thing = type(thing).objects.get(pk=thing.pk)
    day = act.day(day)
    standing(thing, f"{thing}")
    reason = fitting(reason, 200, "reason")
    if not reason:
        raise Refused("Write why it is put away.", "reason")
    since = {SeedCup: "filled_on", Pot: "sown_on", Row: "lined_out_on"}[type(thing)]
    in_order(getattr(thing, since), day, "it began")
    act.change(thing, closed_on=day, closed_reason=reason)
    act.mention(thing.cross)
    return thing, f"Put away {thing._meta.verbose_name} {thing}: {reason} ({written(day)})"
