"""Cups to sow from; pots to count and to line out from."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import F, Q

from breeding.due import pot_count_due
from breeding.models import Pot, SeedCup
from evaluation.bed.flowers import parents
from evaluation.bed.pages import Asked, Page, Row, by_key, cut

# Iris seed comes up in the first two springs, some of it in the third.
SPRINGS = timedelta(days=3 * 366)


def cups(asked: Asked) -> Page:
    """Cups in which seed is left. A query."""
    found = SeedCup.live.filter(closed_on=None, sown__lt=F("seeds"))
    found = found.select_related("cross__seed_parent", "cross__pollen_parent")
    return cut((str(cup.pk), _cup(cup)) for cup in by_key(found, asked))


def _cup(cup: SeedCup) -> Row:
    filled = cup.filled_on.isoformat()
    return {"code": cup.code, "left": cup.left, "filled": filled, **parents(cup.cross)}


def pots(asked: Asked) -> Page:
    """Pots in which something may come up still or stands. A query."""
    found = Pot.live.filter(closed_on=None, sown_on__gt=asked.today - SPRINGS)
    found = found.filter(Q(up__lt=F("seeds")) | Q(up__gt=F("lined_out")))
    found = found.select_related("cup__cross__seed_parent", "cup__cross__pollen_parent")
    return cut((str(pot.pk), _pot(pot, asked)) for pot in by_key(found, asked))


def _pot(pot: Pot, asked: Asked) -> Row:
    calendar = asked.garden.calendar
    count = pot_count_due(calendar, pot, asked.today) if pot.up < pot.seeds else None
    out = calendar.line_out_due(pot.first_up_on) if pot.first_up_on and pot.standing else None
    numbers = {"seeds": pot.seeds, "standing": pot.standing, "lined_out": pot.lined_out}
    days = {"sown": pot.sown_on, "counted": pot.counted_on, "count": count, "out": out}
    told = {name: _told(day) for name, day in days.items()}
    return {"code": pot.code, **parents(pot.cross), **numbers, **told}


def _told(day: date | None) -> str | None:
    return day.isoformat() if day else None
