"""What labels say: parents in notation, days, places; always with a fixed number of queries."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from breeding.records import print_tags, sow
from evaluation.records import select_seedling
from garden.labelling import gathered, kind, kinds, labels_of
from garden.labelqueue import queue
from garden.labels.codes import keyed, read
from garden.records import add_plant, place_plant
from garden.verbs import Act
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def the_label(key: str, thing: Any) -> Any:
    return kind(key).labels([thing])[0]


def test_plant__tells_visitors_who_bred_it_and_when(cast: Cast, act: Callable[..., Act]) -> None:
    place_plant(act(), plant=cast.oboe, bed=cast.bed, position="7")
    said = the_label("plant", cast.oboe)
    assert said.code == keyed("P", cast.oboe.pk)
    assert said.title == "Oboe for Hannes"
    assert said.parents == "Quillon Teapot × Marzipan Ledger"
    assert said.lines == ("Tall bearded", "2015", "Long Bed 7")
    assert said.flower is None
    assert the_label("plant", cast.teapot).flower["falls"] == "violet"


def test_plant__of_seedlings_writes_their_parents_out(cast: Cast, act: Callable[..., Act]) -> None:
    first = add_plant(
        act(), number="14-031C", kind="seedling", seed_parent=cast.teapot,
        pollen_parent=cast.ledger,
    ).thing  # fmt: skip
    second = add_plant(
        act(), name="Haystack Semaphore", seed_parent=first, pollen_parent_text="unknown"
    ).thing
    said = the_label("plant", second).parents
    assert said == "14-031C: (Quillon Teapot × Marzipan Ledger) × unknown"


def test_plant__with_a_parent_in_words(cast: Cast) -> None:
    assert the_label("plant", cast.semaphore).parents == "a plant nobody knows × unknown"
    assert the_label("plant", cast.guest).parents == ""


def test_thread__is_said_with_its_days_and_counts(cast: Cast) -> None:
    pair = "Quillon Teapot × Marzipan Ledger"
    cup, pot = the_label("cup", cast.cup), the_label("pot", cast.pot)
    row, tag = the_label("row", cast.row), the_label("tag", cast.flower.tag)
    assert (cup.code, cup.title, cup.parents) == ("24-001-1", "", pair)
    assert cup.lines == ("40 seeds", "harvested 28 July 2024")
    assert (pot.code, pot.lines) == ("24-001-1-1", ("sown 25 November 2024", "30 seeds"))
    assert (row.code, row.title) == (keyed("R", cast.row.pk), "Long Bed, row 1, 1–12")
    assert row.lines == ("cross 24-001", "12 seedlings, lined out 10 June 2025")
    assert (tag.code, tag.parents, tag.lines[1]) == (
        cast.flower.tag.code, pair, "worked 1 June 2024",
    )  # fmt: skip


def test_bee_pod__has_an_unknown_pollen_parent(cast: Cast) -> None:
    assert the_label("cross", cast.bee_cross).parents == "Thistle Postman × unknown"


def test_free_tag__says_its_number_alone(cast: Cast) -> None:
    free = cast.sheet.tags.get(code=cast.free_tag)
    said = the_label("tag", free)
    assert (said.code, said.title, said.parents, said.lines) == (cast.free_tag, "", "", ())


def test_seedling__is_known_by_its_number(cast: Cast, act: Callable[..., Act]) -> None:
    seedling = select_seedling(
        act(), row=cast.row, position=3, standards="white", falls="violet"
    ).thing
    said = the_label("seedling", seedling)
    assert (said.code, said.parents) == ("24-001A", "Quillon Teapot × Marzipan Ledger")
    assert said.lines[:2] == ("Long Bed, row 1, 3", "selected 20 May 2026")
    assert said.flower["falls"] == "violet"


def test_code__of_every_kind_is_read_back_and_found(cast: Cast, act: Callable[..., Act]) -> None:
    select_seedling(act(), row=cast.row, position=3)
    seen = set()
    for one in kinds():
        for thing in one.standing()[:3]:
            code = one.code_of(thing)
            assert read(code.lower()) == code
            assert list(one.with_codes([code])) == [thing]
            assert one.labels([thing])[0].code == code
            seen.add(one.key)
    assert seen == {"plant", "cross", "tag", "cup", "pot", "row", "seedling"}


def test_labels_of__keeps_the_order_and_adds_the_address(cast: Cast) -> None:
    wanted = [("row", cast.row.pk), ("plant", cast.oboe.pk), ("cup", cast.cup.pk),
              ("plant", cast.guest.pk), ("pot", 10**9)]  # fmt: skip
    made = labels_of(gathered(wanted), "http://millrace.local:8000")
    assert [read(label.payload) for label in made] == [
        keyed("R", cast.row.pk), keyed("P", cast.oboe.pk), "24-001-1", keyed("P", cast.guest.pk),
    ]  # fmt: skip
    assert made[0].payload.startswith("HTTP://MILLRACE.LOCAL:8000/T/R")


def queries(asked: Callable[[], Any]) -> int:
    with CaptureQueriesContext(
        connection,
    ) as seen:
        asked()
    return len(seen)


def test_labels__cost_the_same_queries_for_few_and_many(
    cast: Cast, act: Callable[..., Act]
) -> None:
    for position in (3, 4):
        select_seedling(act(), row=cast.row, position=position)
    sow(act(), cup=cast.cup, seeds=3)
    print_tags(act(), count=3)
    grew = []
    for one in kinds():
        few, many = list(one.standing()[:1]), list(one.standing()[:50])
        if len(many) > len(few):
            grew.append(one.key)
            costs = [queries(lambda things=things, one=one: one.labels(things))
                     for things in (few, many)]  # fmt: skip
            # A generation more of parents is one query more, not one a plant.
            assert costs[1] - costs[0] <= (1 if one.key == "plant" else 0), one.key
            assert max(costs) <= 5, one.key
    assert {"plant", "cross", "tag", "pot", "seedling"} <= set(grew)


def test_queue__costs_the_same_queries_for_few_and_many(
    cast: Cast, act: Callable[..., Act]
) -> None:
    select_seedling(act(), row=cast.row, position=3)
    before = queries(queue)
    for position in (4, 5, 6):
        select_seedling(act(), row=cast.row, position=position)
    sow(act(), cup=cast.cup, seeds=3)
    assert queries(queue) == before == 8
