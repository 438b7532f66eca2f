"""The sums along the thread, worked out anew for one cross after each change."""

from __future__ import annotations

from django.db.models import Count, F, Max, Min, Q, Sum

from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup

STATE = Pollination.State


def _zero(values: dict) -> dict:
    return {name: value or 0 for name, value in values.items()}


def recount_pot(pot: Pot) -> None:
    """Seedlings up (with those lined out before), lined out, and the days of counting."""
    counts = PotCount.live.filter(pot=pot).aggregate(
        up=Max(F("standing") + F("lined_out_before")),
        counted_on=Max("day"),
        first_up_on=Min("day", filter=Q(standing__gt=0)),
    )
    out = Row.live.filter(pot=pot).aggregate(
        seedlings=Sum(F("last") - F("first") + 1), day=Min("lined_out_on")
    )
    lined_out = out["seedlings"] or 0
    # A pot that nobody counted is counted by lining it out, never beyond the seeds sown in it.
    up = counts["up"] if counts["counted_on"] else min(lined_out, pot.seeds)
    first = [day for day in (counts["first_up_on"], out["day"]) if day]
    Pot.objects.filter(pk=pot.pk).update(
        up=up or 0,
        lined_out=lined_out,
        counted_on=counts["counted_on"],
        first_up_on=min(first, default=None),
    )


def recount_cup(cup: SeedCup) -> None:
    """Seeds that its pods brought, seeds sown from it, and the day of the first harvest."""
    pods = Pollination.live.filter(cup=cup).aggregate(seeds=Sum("seeds"), first=Min("harvested_on"))
    sown = Pot.live.filter(cup=cup).aggregate(sown=Sum("seeds"))
    SeedCup.objects.filter(pk=cup.pk).update(
        seeds=pods["seeds"] or 0,
        sown=sown["sown"] or 0,
        filled_on=pods["first"] or cup.filled_on,
    )


def recount(cross: Cross) -> None:
    """Bring pots, cups and the cross itself up to date, from the seedlings up to the flowers.

    Cost: a few queries for each cup and pot of this one cross.
    """
    for pot in Pot.live.filter(cup__cross=cross):
        recount_pot(pot)
    for cup in SeedCup.live.filter(cross=cross):
        recount_cup(cup)
    flowers = Pollination.live.filter(cross=cross).aggregate(
        flowers=Count("pk"),
        pods=Count("pk", filter=Q(state__in=[STATE.SET, STATE.HARVESTED])),
        failed=Count("pk", filter=Q(state=STATE.FAILED)),
        seeds=Sum("seeds"),
    )
    pots = Pot.live.filter(cup__cross=cross).aggregate(
        sown=Sum("seeds"), up=Sum("up"), lined_out=Sum("lined_out")
    )
    Cross.objects.filter(pk=cross.pk).update(**_zero(flowers), **_zero(pots))
