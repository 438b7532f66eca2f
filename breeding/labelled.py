"""What of the stock and the thread gets labels, and what a scan of one leads to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from django.db.models import F, QuerySet
from django.urls import reverse

from breeding.due import pot_count_due
from breeding.labelwords import (
    cross_labels,
    cup_labels,
    flowers_of,
    mates,
    plant_labels,
    plant_lines,
    pot_labels,
    row_labels,
    tag_labels,
)
from breeding.models import Cross, Pot, Row, SeedCup, Tag
from garden.labelling import Kind, register
from garden.labels.codes import PLANT, ROW, key_of, keyed
from garden.models import Garden, Plant
from garden.verbs import plural, written


def _tag_due(tag: Tag, garden: Garden) -> str:
    """A free tag is tied on; a pod is looked at or harvested; its cup comes after it."""
    flower = flowers_of([tag]).get(tag.pk)
    if flower is None:
        return "" if tag.spoiled else f"{reverse('new-cross')}?tag={tag.code}"
    if flower.state == "worked":
        return reverse("look", args=[flower.pk])
    if flower.state == "set":
        return reverse("harvest", args=[flower.pk])
    return reverse("cup", args=[flower.cup.code]) if flower.cup else ""


def _cup_due(cup: SeedCup, garden: Garden) -> str:
    return reverse("sow", args=[cup.code]) if cup.left and not cup.closed_on else ""


def _pot_due(pot: Pot, garden: Garden) -> str:
    """Seedlings that are big enough are lined out; else what comes up is counted."""
    if pot.closed_on:
        return ""
    calendar, today = garden.calendar, garden.today()
    big = pot.standing and pot.first_up_on and calendar.line_out_due(pot.first_up_on) <= today
    count = pot.up < pot.seeds and (not big or pot_count_due(calendar, pot, today) <= today)
    # In the weeks of counting a pot is counted before seedlings are taken out of it.
    if count:
        return reverse("count", args=[pot.code])
    return reverse("line-out", args=[pot.code]) if pot.standing else ""


def _row_due(row: Row, garden: Garden) -> str:
    blooms = garden.calendar.first_bloom_due(row.lined_out_on) <= garden.today()
    return reverse("walk-row", args=[row.pk]) if blooms and not row.closed_on else ""


def _by_code(name: str, all_: Callable[[], QuerySet[Any]]) -> dict[str, Any]:
    """A kind that is called by its own code; `name` is that of its page too."""
    return {
        "key": name,
        "one": name,
        "all": all_,
        "code_of": lambda thing: thing.code,
        "with_codes": lambda codes: all_().filter(code__in=codes),
        "page": lambda thing: reverse(name, args=[thing.code]),
    }


def _by_key(letter: str, name: str, all_: Callable[[], QuerySet[Any]]) -> dict[str, Any]:
    """A kind that is called by its key behind a letter; `name` is that of its page too."""

    def with_codes(codes: Sequence[str]) -> Iterable[Any]:
        keys = [key for code in codes if (key := key_of(code, letter))]
        return all_().filter(pk__in=keys) if keys else []

    return {
        "key": name,
        "one": name,
        "all": all_,
        "code_of": lambda thing: keyed(letter, thing.pk),
        "with_codes": with_codes,
        "page": lambda thing: reverse(name, args=[thing.pk]),
    }


def _plants() -> QuerySet[Plant]:
    return Plant.live.all()


def _crosses() -> QuerySet[Cross]:
    return Cross.live.select_related("seed_parent", "pollen_parent")


def _tags() -> QuerySet[Tag]:
    return Tag.live.filter(batch__struck=False).select_related("batch")


def _cups() -> QuerySet[SeedCup]:
    return SeedCup.live.select_related("cross__seed_parent", "cross__pollen_parent")


def _unsown() -> QuerySet[SeedCup]:
    return _cups().filter(closed_on=None, sown__lt=F("seeds"))


def _pots() -> QuerySet[Pot]:
    return Pot.live.select_related("cup__cross__seed_parent", "cup__cross__pollen_parent")


def _rows() -> QuerySet[Row]:
    return Row.live.select_related("bed", "cross__seed_parent", "cross__pollen_parent")


def _nothing(thing: Any, garden: Garden) -> str:
    return ""


CROSS = Kind(
    **_by_code("cross", _crosses),
    many="crosses",
    arises=False,
    standing=lambda: _crosses().order_by("season", "number"),
    labels=cross_labels,
    told=lambda cross: (mates(cross), f"season {cross.season}"),
    due=_nothing,
)
TAG = Kind(
    **_by_code("tag", _tags),
    many="tags",
    arises=False,
    standing=lambda: _tags().filter(spoiled="").order_by("id"),
    labels=tag_labels,
    told=lambda tag: (f"Tag {tag}", f"made {written(tag.batch.printed_on)}"),
    due=_tag_due,
)
CUP = Kind(
    **_by_code("cup", _cups),
    many="cups",
    arises=True,
    standing=lambda: _unsown().order_by("filled_on", "id"),
    labels=cup_labels,
    told=lambda cup: (mates(cup.cross), f"{plural(cup.left, 'seed')}, {written(cup.filled_on)}"),
    due=_cup_due,
)
POT = Kind(
    **_by_code("pot", _pots),
    many="pots",
    arises=True,
    standing=lambda: _pots().filter(closed_on=None).order_by("sown_on", "id"),
    labels=pot_labels,
    told=lambda pot: (mates(pot.cross), f"sown {written(pot.sown_on)}"),
    due=_pot_due,
)
ROW_OF_SEEDLINGS = Kind(
    **_by_key(ROW, "row", _rows),
    many="rows",
    arises=True,
    standing=lambda: _rows().filter(closed_on=None).order_by("lined_out_on", "id"),
    labels=row_labels,
    told=lambda row: (str(row), mates(row.cross)),
    due=_row_due,
)
PLANT_OF_STOCK = Kind(
    **_by_key(PLANT, "plant", _plants),
    many="plants",
    arises=False,
    standing=lambda: _plants().filter(status=Plant.Status.GROWING).order_by("id"),
    labels=plant_labels,
    told=lambda plant: (plant.label, ", ".join(plant_lines(plant)[:2])),
    due=_nothing,
)


def hand_over() -> None:
    """Tell the garden of all of them; called once when the site starts."""
    register(CROSS, TAG, CUP, POT, ROW_OF_SEEDLINGS, PLANT_OF_STOCK)
