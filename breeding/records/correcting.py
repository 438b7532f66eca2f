"""Verbs that correct: what stood there before stays in the journal, with the reason."""

from __future__ import annotations

from typing import Any

from breeding.models import (
    MOST_SEEDLINGS,
    MOST_SEEDS_IN_A_POD,
    Cross,
    Pollination,
    Pot,
    PotCount,
    Row,
    SeedCup,
    Tally,
)
from breeding.records.common import (
    check_parents,
    count_within,
    free_tag,
    in_order,
    printed_tag,
    standing,
    the_cross,
)
from garden.models import Bed, Plant
from garden.models.stock import UNKNOWN
from garden.records.stock import refuse_loop
from garden.verbs import Act, Refused, plural, verb, written

CORRECTABLE: dict[type, tuple[str, ...]] = {
    Cross: ("note",),
    Pollination: (
        "tag", "day", "stigmas", "falls_removed", "note",
        "looked_on", "fail_reason", "harvested_on", "seeds", "cup",
    ),
    SeedCup: ("note", "closed_on", "closed_reason"),
    Pot: ("sown_on", "seeds", "note", "closed_on", "closed_reason"),
    PotCount: ("day", "standing"),
    Row: ("bed", "row", "first", "last", "lined_out_on", "note", "closed_on", "closed_reason"),
}  # fmt: skip
LIMITS: dict[tuple[type, str], tuple[int, int, str]] = {
    (Pollination, "stigmas"): (1, 3, "Stigmas worked"),
    (Pollination, "seeds"): (1, MOST_SEEDS_IN_A_POD, "Seeds in a pod"),
    (Pot, "seeds"): (1, MOST_SEEDLINGS, "Seeds sown"),
    (PotCount, "standing"): (0, MOST_SEEDLINGS, "Seedlings standing"),
}
PLACE = ("bed", "row", "first", "last")
DAYS = ("day", "looked_on", "harvested_on", "sown_on", "lined_out_on", "closed_on")

# (the day on which a thing began, what happened then, days that cannot lie before it)
BEGAN: dict[type, tuple[str, str, tuple[str, ...]]] = {
    Pollination: ("day", "the flower was worked", ("looked_on", "harvested_on")),
    SeedCup: ("filled_on", "the seed was harvested", ("closed_on",)),
    Pot: ("sown_on", "it was sown", ("closed_on",)),
    Row: ("lined_out_on", "it was lined out", ("closed_on",)),
}


@verb
def correct(act: Act, *, thing: Any, reason: str = "", **fields: Any) -> tuple[Any, str]:
    """Correct fields of a recorded thing; the whole thread must still fit afterwards.

    A note where none stood needs no reason: nothing is corrected by it.
    """
    thing = type(thing).objects.get(pk=thing.pk)
    if thing.struck:
        raise Refused("This was struck out; there is nothing to correct.")
    strange = set(fields) - set(CORRECTABLE[type(thing)])
    if strange:
        raise Refused(f"{', '.join(sorted(strange))} cannot be corrected here.")
    _fit(act, thing, fields)
    left = thing.cup if "cup" in fields else None
    if not act.change(thing, **fields):
        raise Refused("Nothing was changed.")
    what = f"{thing._meta.verbose_name} {thing}"
    first_note = act.changed[0]["before"] == {"note": ""}
    act.reason = reason.strip() if first_note else _reason(reason)
    act.mention(thing.root())
    if first_note:
        return thing, f"Note on {what}: {_said(thing.note)}"
    if left and left.pk != thing.cup_id:
        act.mention(left, thing.cup)
        _strike_empty(act, left)
    return thing, f"Corrected {what}: {_difference(thing, act.changed[0])}"


@verb
def correct_parents(
    act: Act,
    *,
    pollination: Pollination,
    seed_parent: Plant,
    pollen_parent: Plant | None,
    reason: str,
    pollen_unknown: bool = False,
) -> tuple[Pollination, str]:
    """Move a flower to the cross that it really belongs to, as long as its seed is in no cup."""
    flower = Pollination.objects.select_related("cross", "tag").get(pk=pollination.pk)
    act.reason = _reason(reason)
    if flower.struck:
        raise Refused("This flower was struck out.")
    check_parents(seed_parent, pollen_parent, pollen_unknown)
    if flower.cup_id:
        raise Refused(
            f"The seed of tag {flower.tag} already lies in cup {flower.cup}; "
            "correct the parents of the whole cross instead."
        )
    old = flower.cross
    cross = the_cross(act, flower.day, seed_parent, pollen_parent)
    if cross.pk == old.pk:
        raise Refused("These are the parents that stand there already.")
    act.change(flower, cross=cross)
    # Counted seedlings keep their cross, even when its last flower turns out to be another's.
    if not any(kind.live.filter(cross=old).exists() for kind in (Pollination, Tally)):
        for cup in SeedCup.live.filter(cross=old):
            _strike_empty(act, cup)
        act.change(old, struck=True)
    return flower, f"Tag {flower.tag} moved from {old} to {cross}"


@verb
def correct_cross(
    act: Act,
    *,
    cross: Cross,
    seed_parent: Plant,
    pollen_parent: Plant | None,
    reason: str,
    pollen_unknown: bool = False,
) -> tuple[Cross, str]:
    """Correct the parents of a whole cross; its number, flowers and seed stay together.

    Seedlings selected from it get the same parents, unless theirs were corrected on their own.
    """
    cross = Cross.objects.get(pk=cross.pk)
    act.reason = _reason(reason)
    standing(cross, f"Cross {cross}")
    check_parents(seed_parent, pollen_parent, pollen_unknown)
    twin = Cross.live.filter(
        season=cross.season, seed_parent=seed_parent, pollen_parent=pollen_parent
    ).exclude(pk=cross.pk)
    if found := twin.first():
        raise Refused(f"{found} of this season already has these parents.", "seed_parent")
    selected = list(
        Plant.live.filter(
            seedlings__cross=cross,
            seedlings__struck=False,
            seed_parent=cross.seed_parent_id,
            pollen_parent=cross.pollen_parent_id,
        )
    )
    parents = {"seed_parent": seed_parent, "pollen_parent": pollen_parent}
    if not act.change(cross, **parents, pollen_unknown=pollen_unknown):
        raise Refused("Nothing was changed.")
    for plant in Plant.live.filter(seedlings__cross=cross, seedlings__struck=False):
        for side, parent in parents.items():
            refuse_loop(plant, parent, side)
    for plant in selected:
        act.change(plant, **parents, pollen_parent_text=UNKNOWN if pollen_unknown else "")
    return cross, f"{cross} is {seed_parent} × {pollen_parent or 'unknown'}"


def _reason(text: str) -> str:
    if not text.strip():
        raise Refused("Write why it is corrected.", "reason")
    return text.strip()


def _fit(act: Act, thing: Any, fields: dict[str, Any]) -> None:
    """Refuse what cannot stand there; leave out of `fields` what its own verb tells."""
    for name in DAYS:
        if fields.get(name):
            act.day(fields[name], name)
    _within_limits(thing, fields)
    if isinstance(thing, Pollination):
        _fit_pollination(act, thing, fields)
    if isinstance(thing, Row):
        _fit_row(thing, fields)
    if isinstance(thing, Pot):
        _fit_pot(thing, fields)
    if "closed_on" in CORRECTABLE[type(thing)]:
        _fit_closing(thing, fields)
    if type(thing) in BEGAN:
        first, what, later = BEGAN[type(thing)]
        began = fields.get(first, getattr(thing, first))
        for name in later:
            if day := fields.get(name, getattr(thing, name)):
                in_order(began, day, what, name if name in fields else first)


def _within_limits(thing: Any, fields: dict[str, Any]) -> None:
    for name, value in fields.items():
        limits = LIMITS.get((type(thing), name))
        if limits and value is not None:
            least, most, what = limits
            count_within(value, least, most, name, what)


def _fit_pot(pot: Pot, fields: dict[str, Any]) -> None:
    """Refuse fewer seeds than came up, unless somebody wrote why more did."""
    seeds = fields.get("seeds") or pot.seeds
    if pot.up > seeds and not pot.up_reason:
        raise Refused(
            f"{pot.up} came up in pot {pot}, which got only {plural(seeds, 'seed')}.", "seeds"
        )


def _fit_row(row: Row, fields: dict[str, Any]) -> None:
    """Refuse positions that no bed has; whether they are free is seen along the thread."""
    if not any(name in fields and fields[name] != getattr(row, name) for name in PLACE):
        return
    bed = Bed.objects.get(pk=(fields.get("bed") or row.bed).pk)
    standing(bed, f"{bed}")
    number, first, last = (
        getattr(row, name) if fields.get(name) is None else fields[name]
        for name in ("row", "first", "last")
    )
    count_within(number, 1, bed.rows, "row", f"Rows of {bed}")
    count_within(first, 1, bed.positions, "first", f"Positions of {bed}")
    count_within(last, first, bed.positions, "last", "The last position")


def _fit_pollination(act: Act, flower: Pollination, fields: dict[str, Any]) -> None:
    """Look up the new tag and refuse what does not go with the flower's state."""
    if isinstance(fields.get("tag"), str):
        tag = printed_tag(fields["tag"])
        fields["tag"] = tag if tag == flower.tag else free_tag(tag.code)
    day = fields.get("day")
    moved = day and day != flower.day
    if moved and act.garden.calendar.season(day) != flower.cross.season:
        raise Refused(f"{written(day)} is not in season {flower.cross.season}.", "day")
    # What has not happened yet is told by its own verb; what has happened cannot be emptied.
    for name in ("looked_on", "seeds", "harvested_on", "cup"):
        if name in fields and (getattr(flower, name) is None) != (fields[name] is None):
            fields.pop(name)
    if fields.get("cup"):
        _fit_cup(flower, fields["cup"])
    if flower.state != Pollination.State.FAILED:
        fields.pop("fail_reason", None)
    elif not fields.get("fail_reason", flower.fail_reason).strip():
        raise Refused("Say how it failed.", "fail_reason")


def _fit_cup(pod: Pollination, cup: SeedCup) -> None:
    """Refuse a cup that the pod cannot have been put into."""
    cup = SeedCup.objects.get(pk=cup.pk)
    if cup.cross_id != pod.cross_id:
        raise Refused(f"Cup {cup} holds seed of another cross.", "cup")
    if cup.pk != pod.cup_id:
        standing(cup, f"Cup {cup}")


def _strike_empty(act: Act, cup: SeedCup) -> None:
    """Strike out a cup that its only pod has left; one with pots is refused along the thread."""
    cup = SeedCup.objects.get(pk=cup.pk)
    if not (Pollination.live.filter(cup=cup).exists() or Pot.live.filter(cup=cup).exists()):
        act.change(cup, struck=True)


def _fit_closing(thing: SeedCup | Pot | Row, fields: dict[str, Any]) -> None:
    """Day and reason of putting away stand together; both emptied, the thing is open again."""
    closing = {name: fields[name] for name in ("closed_on", "closed_reason") if name in fields}
    if thing.closed_on is None:
        # Putting away is told by its own verb.
        for name in closing:
            fields.pop(name)
        return
    reason = closing.get("closed_reason", thing.closed_reason).strip()
    if closing.get("closed_on", thing.closed_on) is None:
        if reason:
            raise Refused("Empty the reason as well, and it is open again.", "closed_reason")
    elif not reason:
        raise Refused("Write why it is put away.", "closed_reason")


def _difference(thing: Any, change: dict[str, Any]) -> str:
    """'seeds 23 → 32, day 2026-06-03 → 2026-06-04'."""
    return (
        ", ".join(
            f"{thing._meta.get_field(name).verbose_name} "
            f"{_told(thing, name, before)} → {_told(thing, name, change['after'][name])}"
            for name, before in change["before"].items()
            if name != "tag"
        )
        or "another tag"
    )


def _told(thing: Any, name: str, value: Any) -> str:
    """A kept value as people say it: a cup or bed by its name."""
    field = thing._meta.get_field(name)
    if field.is_relation and value is not None:
        return str(field.related_model.objects.get(pk=value))
    return _said(value)


def _said(value: Any) -> str:
    return "nothing" if value in ("", None) else str(value)[:60]
