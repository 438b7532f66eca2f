"""The small garden of the tests, told as a story. All names are invented.

Wanda owns the Garden at the Mill Race; Emil helps her and writes things down; Odile only looks.
Six irises stand there. In bloom 2024 Wanda put pollen of 'Marzipan Ledger' on two flowers of
'Quillon Teapot': the one set a pod, the other dried up. A bee was quicker than she was on
'Thistle Postman', and nobody has looked at that flower since. The pod gave 40 seeds into a cup;
30 of them went into a pot in November, 18 had come up by April, and in June 2025 she lined out
12 of those in the first row of the Long Bed. They bloom in May 2026.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from breeding.models import Cross, Pollination, Pot, Row, SeedCup, Tag, TagBatch
from breeding.records import (
    count_up,
    harvest,
    line_out,
    note_pod,
    print_tags,
    record_pollination,
    sow,
)
from garden.models import Bed, Garden, Person, Plant
from garden.records import add_bed, add_plant
from garden.verbs import Act

PASSWORD = "the mill race runs again"
ZONE = "Europe/Berlin"
PRINTED = date(2024, 5, 20)
WORKED = date(2024, 6, 1)
LOOKED = date(2024, 6, 20)
HARVESTED = date(2024, 7, 28)
SOWN = date(2024, 11, 25)
COUNTED = date(2025, 4, 10)
LINED_OUT = date(2025, 6, 10)
IN_BLOOM = date(2026, 5, 20)

Acts = Callable[..., Act]


def noon(day: date) -> datetime:
    """Noon of that day in the garden."""
    return datetime.combine(day, time(12), ZoneInfo(ZONE))


def act_of(person: Person, day: date = IN_BLOOM, **more: Any) -> Act:
    """An act of `person` at noon of `day`."""
    return Act(person=person, happened_at=noon(day), garden=Garden.get(), **more)


def lay_out_garden() -> Garden:
    """The garden's own row."""
    return Garden.objects.update_or_create(
        pk=1, defaults={"name": "Garden at the Mill Race", "time_zone": ZONE}
    )[0]


@dataclass
class Stock:
    """Six irises, one bed and a sheet of twelve tags; no flower worked yet."""

    teapot: Plant
    ledger: Plant
    postman: Plant
    oboe: Plant
    semaphore: Plant
    guest: Plant
    bed: Bed
    sheet: TagBatch
    tags: list[str]


@dataclass
class Cast(Stock):
    """The stock and the thread from two flowers to one row, and a bee pod beside it."""

    cross: Cross
    flower: Pollination
    failed: Pollination
    bee_cross: Cross
    bee_flower: Pollination
    cup: SeedCup
    pot: Pot
    row: Row

    @property
    def free_tag(self) -> str:
        """A tag that hangs nowhere."""
        return self.tags[-1]


def plant_the_stock(owner: Person) -> Stock:
    """What stood in the garden before bloom."""

    def plant(**fields: Any) -> Plant:
        return add_plant(act_of(owner, PRINTED), **fields).thing

    tall = {"iris_class": "TB", "ploidy": 4}
    teapot = plant(
        name="Quillon Teapot", standards="white", falls="violet", beard="yellow", year=1998, **tall
    )
    ledger = plant(name="Marzipan Ledger", standards="yellow", falls="yellow", year=2004, **tall)
    postman = plant(name="Thistle Postman", iris_class="IB", ploidy=4)
    oboe = plant(
        name="Oboe for Hannes", seed_parent=teapot, pollen_parent=ledger, year=2015, **tall
    )
    semaphore = plant(
        name="Moss Semaphore", iris_class="SDB", seed_parent_text="a plant nobody knows"
    )
    guest = plant(number="Q 17-3", kind="guest", **tall)
    bed = add_bed(act_of(owner, PRINTED), name="Long Bed", rows=4, positions=30).thing
    sheet = print_tags(act_of(owner, PRINTED), count=12).thing
    tags = list(Tag.objects.filter(batch=sheet).values_list("code", flat=True))
    return Stock(teapot, ledger, postman, oboe, semaphore, guest, bed, sheet, tags)


def tell_the_story(owner: Person, stock: Stock) -> Cast:
    """Everything from the first flower to the lined-out row."""
    pair = {"seed_parent": stock.teapot, "pollen_parent": stock.ledger}
    flower = record_pollination(act_of(owner, WORKED), **pair, tag=stock.tags[0]).thing
    failed = record_pollination(act_of(owner, WORKED), **pair, tag=stock.tags[1]).thing
    bee_flower = record_pollination(
        act_of(owner, date(2024, 6, 3)),
        seed_parent=stock.postman,
        pollen_parent=None,
        pollen_unknown=True,
        tag=stock.tags[2],
    ).thing
    note_pod(act_of(owner, LOOKED), pollination=flower, pod_set=True)
    note_pod(act_of(owner, LOOKED), pollination=failed, pod_set=False, reason="dried up")
    cup = harvest(act_of(owner, HARVESTED), pollination=flower, seeds=40).thing
    pot = sow(act_of(owner, SOWN), cup=cup, seeds=30).thing
    count_up(act_of(owner, COUNTED), pot=pot, standing_now=18)
    row = line_out(
        act_of(owner, LINED_OUT), pot=pot, bed=stock.bed, row=1, first=1, seedlings=12
    ).thing
    for thing in (flower, failed, bee_flower, cup, pot):
        thing.refresh_from_db()
    return Cast(
        **vars(stock),
        cross=Cross.objects.get(pk=flower.cross_id),
        flower=flower,
        failed=failed,
        bee_cross=bee_flower.cross,
        bee_flower=bee_flower,
        cup=cup,
        pot=pot,
        row=row,
    )
