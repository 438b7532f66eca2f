"""The sums along the thread, worked out anew for one cross after each change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import F

from breeding.models import BreedingVersion, Cross, Pollination, Pot, PotCount, Row, SeedCup
from garden.models import Fact

STATE = Pollination.State
# (state, seeds, cup, day of harvest)
Flower = tuple[str, int | None, int | None, date | None]


def recount(cross: Cross) -> None:
    """Bring pots, cups and the cross itself up to date, from the seedlings up to the flowers.

    Cost: six queries at most, however long the thread, and one for each pot or cup that differs.
    The facts of one cross are few: they are read plainly and added up here.
    """
    cups = list(SeedCup.live.filter(cross=cross).order_by())
    # In bloom time there are no cups yet, hence no pots: nothing more to ask.
    pots = list(Pot.live.filter(cup__cross=cross).order_by()) if cups else []
    flowers: list[Flower] = list(
        Pollination.live.filter(cross=cross)
        .order_by()
        .values_list("state", "seeds", "cup", "harvested_on")
    )
    if pots:
        _recount_pots(cross, pots)
    _recount_cups(cups, pots, flowers)
    Cross.objects.filter(pk=cross.pk).update(
        flowers=len(flowers),
        pods=sum(state in (STATE.SET, STATE.HARVESTED) for state, *_ in flowers),
        failed=sum(state == STATE.FAILED for state, *_ in flowers),
        seeds=sum(seeds or 0 for _, seeds, *_ in flowers),
        sown=sum(pot.seeds for pot in pots),
        up=sum(pot.up for pot in pots),
        lined_out=sum(pot.lined_out for pot in pots),
    )


def _recount_pots(cross: Cross, pots: Iterable[Pot]) -> None:
    """Seedlings up (with those lined out before), lined out, and the days of counting."""
    all_counts: dict[int, list[PotCount]] = defaultdict(list)
    all_rows: dict[int, list[Row]] = defaultdict(list)
    for count in PotCount.live.filter(pot__cup__cross=cross).order_by():
        all_counts[count.pot_id].append(count)
    for row in Row.live.filter(cross=cross).order_by():
        all_rows[row.pot_id].append(row)
    for pot in pots:
        counts, rows = all_counts[pot.pk], all_rows[pot.pk]
        out = sum(row.seedlings for row in rows)
        seen_up = [count.day for count in counts if count.standing]
        _put(
            pot,
            # A pot that nobody counted is counted by lining it out, never beyond its seeds.
            up=max((count.came_up(rows) for count in counts), default=min(out, pot.seeds)),
            lined_out=out,
            counted_on=max((count.day for count in counts), default=None),
            first_up_on=min([*seen_up, *(row.lined_out_on for row in rows)], default=None),
        )


def _recount_cups(cups: Iterable[SeedCup], pots: Iterable[Pot], flowers: Iterable[Flower]) -> None:
    """Seeds that their pods brought, seeds sown from them, and the day of the first harvest."""
    for cup in cups:
        pods = [(day, seeds) for _, seeds, into, day in flowers if into == cup.pk]
        _put(
            cup,
            seeds=sum(seeds or 0 for _, seeds in pods),
            sown=sum(pot.seeds for pot in pots if pot.cup_id == cup.pk),
            filled_on=min((day for day, _ in pods if day), default=cup.filled_on),
        )


def _put(fact: Fact, **values: Any) -> None:
    """Write what differs; a query only then."""
    differing = {name: value for name, value in values.items() if getattr(fact, name) != value}
    if differing:
        type(fact).objects.filter(pk=fact.pk).update(**differing)
        for name, value in differing.items():
            setattr(fact, name, value)


def version_moved(of: str) -> None:
    """Let sums in memory about 'copies' or 'bloom' know that they are old."""
    if not BreedingVersion.objects.filter(pk=1).update(**{of: F(of) + 1}):
        BreedingVersion.objects.create(pk=1)
