"""Verbs from pod to pot: harvest, sow, count what has come up."""

from __future__ import annotations

from datetime import date

from django.db.models import Max

from breeding.models import (
    MOST_SEEDLINGS,
    MOST_SEEDS_IN_A_POD,
    Cross,
    Pollination,
    Pot,
    PotCount,
    SeedCup,
)
from breeding.records.common import count_within, fitting, in_order, no_growth, standing
from garden.verbs import Act, Refused, plural, verb, written


def next_number(manager: object, **of: object) -> int:
    """One more than the highest number given so far, struck out or not."""
    return (manager.filter(**of).aggregate(last=Max("number"))["last"] or 0) + 1


def new_cup(act: Act, cross: Cross, day: date) -> SeedCup:
    """The next cup of a cross."""
    number = next_number(SeedCup.objects, cross=cross)
    return act.make(
        SeedCup(cross=cross, number=number, code=f"{cross.code}-{number}", filled_on=day)
    )


@verb
def harvest(
    act: Act,
    *,
    pollination: Pollination,
    seeds: int,
    cup: SeedCup | None = None,
    day: date | None = None,
) -> tuple[SeedCup, str]:
    """Harvest one pod, count its seed and put it into a new cup or one that stands open."""
    pod = Pollination.objects.select_related("cross", "tag").get(pk=pollination.pk)
    day = act.day(day)
    standing(pod, "This flower")
    if pod.state == Pollination.State.HARVESTED:
        raise Refused(f"The pod of tag {pod.tag} is already harvested.")
    if pod.state == Pollination.State.FAILED:
        raise Refused(f"Tag {pod.tag} is noted as failed: {pod.fail_reason}. Correct that first.")
    in_order(pod.day, day, "the flower was worked")
    in_order(pod.looked_on, day, "somebody looked at the pod")
    if seeds == 0:
        raise Refused("A pod without seed is noted as failed: empty.", "seeds")
    count_within(seeds, 1, MOST_SEEDS_IN_A_POD, "seeds", "Seeds in a pod")
    if cup is not None:
        cup = SeedCup.objects.get(pk=cup.pk)
        if cup.cross_id != pod.cross_id:
            raise Refused(f"Cup {cup} holds seed of another cross.", "cup")
        standing(cup, f"Cup {cup}")
    else:
        cup = new_cup(act, pod.cross, day)
    act.change(pod, state=Pollination.State.HARVESTED, harvested_on=day, seeds=seeds, cup=cup)
    act.mention(cup, pod.cross, pod.tag)
    return cup, f"Harvested tag {pod.tag}: {plural(seeds, 'seed')} into cup {cup} ({written(day)})"


@verb
def sow(
    act: Act,
    *,
    cup: SeedCup,
    seeds: int,
    note: str = "",
    more_reason: str = "",
    day: date | None = None,
) -> tuple[Pot, str]:
    """Sow seed of a cup into a pot; a cup may fill several pots."""
    cup = SeedCup.objects.select_related("cross").get(pk=cup.pk)
    day = act.day(day)
    standing(cup, f"Cup {cup}")
    if not cup.seeds:
        raise Refused(f"Cup {cup} holds no seed.")
    in_order(cup.filled_on, day, "the seed was harvested")
    count_within(seeds, 1, MOST_SEEDLINGS, "seeds", "Seeds sown")
    reason = no_growth(
        cup.sown + seeds - cup.seeds,
        more_reason,
        f"Cup {cup} holds {plural(cup.left, 'seed')} more, not {seeds}.",
    )
    if reason:
        act.change(cup, sown_reason=reason)
    number = next_number(Pot.objects, cup=cup)
    pot = act.make(
        Pot(
            cup=cup,
            number=number,
            code=f"{cup.code}-{number}",
            sown_on=day,
            seeds=seeds,
            note=fitting(note, 1000, "note"),
        )
    )
    act.mention(cup, cup.cross)
    return pot, f"Sowed {plural(seeds, 'seed')} from cup {cup} into pot {pot} ({written(day)})"


@verb
def count_up(
    act: Act, *, pot: Pot, standing_now: int, more_reason: str = "", day: date | None = None
) -> tuple[Pot, str]:
    """Count the seedlings standing in a pot on one day; those lined out before are added."""
    pot = Pot.objects.select_related("cup__cross").get(pk=pot.pk)
    day = act.day(day)
    standing(pot, f"Pot {pot}")
    in_order(pot.sown_on, day, "it was sown")
    count_within(standing_now, 0, MOST_SEEDLINGS, "standing_now", "Seedlings standing")
    rows = list(pot.rows.filter(struck=False))
    count = PotCount(
        pot=pot,
        day=day,
        standing=standing_now,
        newest_row=max((row.pk for row in rows), default=0),
    )
    up = count.came_up(rows)
    reason = no_growth(
        up - pot.seeds,
        more_reason,
        f"Only {plural(pot.seeds, 'seed')} went into pot {pot}.",
    )
    if reason:
        act.change(pot, up_reason=reason)
    most = max(pot.up if pot.counted_on else 0, up)
    if pot.lined_out > most and not pot.lined_out_reason:
        raise Refused(
            f"{plural(pot.lined_out, 'seedling')} lined out of pot {pot}: "
            f"{most} cannot be all that came up.",
            "standing_now",
        )
    act.make(count)
    act.mention(pot, pot.cross)
    return pot, f"Pot {pot}: {plural(standing_now, 'seedling')} standing ({written(day)})"
