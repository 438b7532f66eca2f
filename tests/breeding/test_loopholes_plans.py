"""Ways round the rules of copies, counts, bloom and plans that somebody found."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding.fertile import the_fertility
from breeding.heredity import the_copies
from breeding.models import Bloom, Locus, PlannedCross, Tally, TypeCount
from breeding.pages import plans
from breeding.pages.expectwork import living
from breeding.pages.plans import to_cross_summary
from breeding.pages.plantoday import lines_of
from breeding.records import (
    add_goal,
    add_locus,
    change_locus,
    correct,
    correct_cross,
    correct_parents,
    count_types,
    count_up,
    drop_planned,
    harvest,
    note_bloom,
    note_pod,
    note_type,
    plan_crosses,
    record_pollination,
    sow,
    store_pollen,
)
from garden.models import Garden
from garden.records import change_garden, change_plant, undo
from garden.verbs import Refused
from tests.cast import SOWN, Acts, Cast, noon
from tests.pages import post, texts

pytestmark = pytest.mark.django_db

TODAY = date(2026, 5, 20)
HTMX = {"HX-Request": "true"}
SPOTS: dict[str, Any] = {
    "symbol": "Sp", "name": "spots", "alleles": ["Sp", "sp"], "counted": "Sp",
    "types": [
        {"key": "spotted", "name": "spotted", "needs": {"Sp": 1}},
        {"key": "clean", "name": "clean"},
    ],
    "source": "own guess", "confidence": "supposed",
}  # fmt: skip


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    plans.forget()
    with time_machine.travel(noon(TODAY)):
        yield
    plans.forget()


@pytest.fixture
def tangerine(db: None) -> Locus:
    return Locus.live.get(symbol="t")


def as_sent(page: Any) -> dict[str, str]:
    """The form of a page as a browser would send it, with an entry of its own."""
    told = {field.html_name: field.value() for field in page.context["form"]}
    sent = {name: "" if value is None else str(value) for name, value in told.items()}
    return sent | {"entry": str(uuid.uuid4())}


# Crosses corrected under what was counted.


def test_correct_cross__moves_what_was_counted_in_memory(
    act: Acts, cast: Cast, tangerine: Locus
) -> None:
    count_types(act(), cross=cast.cross, locus=tangerine, counts={"pink": 3})
    the_copies()
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.guest}
    kept = correct_cross(act(), cross=cast.cross, **pair, reason="tags mixed up")
    assert the_copies().tallies[0].parents == (cast.teapot.pk, cast.guest.pk)
    undo(act(), line=kept.line)
    assert the_copies().tallies[0].parents == (cast.teapot.pk, cast.ledger.pk)


def test_correct_parents__does_not_strike_a_cross_with_counted_seedlings(
    act: Acts, cast: Cast, tangerine: Locus
) -> None:
    count_types(act(), cross=cast.bee_cross, locus=tangerine, counts={"pink": 3})
    pair = {"seed_parent": cast.guest, "pollen_parent": cast.teapot}
    with suppress(Refused):
        correct_parents(act(), pollination=cast.bee_flower, **pair, reason="other tag")
    assert not Tally.live.filter(cross__struck=True).exists()
    assert len(the_copies().tallies) == 1


def test_correct_row__is_not_held_by_a_count_that_was_replaced(
    act: Acts, cast: Cast, tangerine: Locus
) -> None:
    before = act(day=TODAY - timedelta(days=2))
    count_types(before, cross=cast.cross, locus=tangerine, counts={"pink": 3, "not-pink": 9})
    count_types(act(), cross=cast.cross, row=cast.row, locus=tangerine, counts={"not-pink": 10})
    correct(act(), thing=cast.row, last=11, reason="one label too many")
    cast.cross.refresh_from_db()
    assert cast.cross.lined_out == 11


# Forms that somebody opened before another changed what they speak of.


def test_count_types__of_a_locus_whose_types_changed_places_meanwhile(
    owner_client: Client, act: Acts, cast: Cast, tangerine: Locus
) -> None:
    address = reverse("count-types", args=[cast.cross.code])
    form = owner_client.get(f"{address}?locus=t").context["form"]
    pink = next(name for name, key in form.keys.items() if key == "pink")
    other, of_pink = tangerine.types
    turned = [{**of_pink, "needs": {"t": 4}}, {**other, "needs": {}}]
    change_locus(act(), locus=tangerine, types=turned, reason="pink first")
    post(owner_client, address, **{pink: "5", "locus": "t", "row": str(cast.row.pk)})
    seen = dict(TypeCount.live.values_list("type", "count"))
    assert seen.get("not-pink", 0) == 0


def test_goal_change__keeps_what_is_wanted_when_a_locus_was_set_aside_meanwhile(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    goal = add_goal(act(), name="Pink", wanted=[["t", "pink"]]).thing
    address = reverse("goal-change", args=[goal.pk])
    sent = as_sent(owner_client.get(address))
    change_locus(act(), locus=Locus.live.get(symbol="V"), used=False, reason="not now")
    owner_client.post(address, sent | {"words": "of good form"})
    goal.refresh_from_db()
    assert goal.wanted == [["t", "pink"]]


# Goals that want what there is no more.


def test_goal_change__of_a_locus_that_was_undone(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    line = add_locus(act(), **SPOTS).line
    goal = add_goal(act(), name="Spots", wanted=[["Sp", "spotted"]]).thing
    undo(act(), line=line)
    address = reverse("goal-change", args=[goal.pk])
    answer = owner_client.post(address, as_sent(owner_client.get(address)) | {"words": "many"})
    assert answer.status_code == 303, texts(answer, ".errors")


def test_goal_change__of_a_type_dropped_from_a_locus_set_aside(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    locus = Locus.live.get(symbol="Ae")
    goal = add_goal(act(), name="Deep", wanted=[["Ae", locus.types[0]["key"]]]).thing
    change_locus(act(), locus=locus, used=False, types=locus.types[1:], reason="simpler")
    address = reverse("goal-change", args=[goal.pk])
    answer = owner_client.post(address, as_sent(owner_client.get(address)) | {"words": "dark"})
    assert answer.status_code == 303, texts(answer, ".errors")


# Parts of pages where there is nothing to show.


def test_goal__table_alone_without_a_pair(owner_client: Client, act: Acts, cast: Cast) -> None:
    goal = add_goal(act(), name="Arils", iris_class="AB").thing
    answer = owner_client.get(reverse("goal", args=[goal.pk]), headers=HTMX)
    assert answer.status_code == 200


def test_came__part_alone_of_a_cross_without_counts(owner_client: Client, cast: Cast) -> None:
    answer = owner_client.get(reverse("came", args=[cast.cross.code]), headers=HTMX)
    assert answer.status_code == 200


# Names that mean something to the program.


def test_note_type__at_a_locus_called_line(owner_client: Client, act: Acts, cast: Cast) -> None:
    add_locus(act(), **SPOTS | {"symbol": "line"})
    address = reverse("note-type", args=[cast.teapot.pk, "line"])
    assert post(owner_client, address, type="spotted").status_code == 303


def test_locus_change__takes_another_type_beside_one_called_new1(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    first = {"key": "new1", "name": "new1", "needs": {"Sp": 2}}
    add_locus(act(), **SPOTS | {"types": [first, SPOTS["types"][1]]})
    page = owner_client.get(f"{reverse('locus-change', args=['Sp'])}?add=1")
    assert [part.new for part in page.context["form"].parts].count(True) == 1


# What is held in memory of pods, seeds and seedlings.


def test_fertility__learns_that_nothing_came_up(act: Acts, cast: Cast) -> None:
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=10).thing
    before = len(the_fertility().sowings)
    count_up(act(), pot=pot, standing_now=0)
    assert len(the_fertility().sowings) == before + 1


def test_fertility__learns_of_seeds_moved_between_two_pods(act: Acts, cast: Cast) -> None:
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    late = TODAY + timedelta(days=60)
    pods = [record_pollination(act(), **pair, tag=tag).thing for tag in cast.tags[4:6]]
    with time_machine.travel(noon(late)):
        for pod, seeds in zip(pods, (10, 30), strict=True):
            note_pod(act(day=late), pollination=pod, pod_set=True)
            harvest(act(day=late), pollination=pod, seeds=seeds)
        the_fertility()
        for pod in pods:
            correct(act(day=late), thing=pod, seeds=20, reason="counted together")
        assert sorted(each.seeds for each in the_fertility().yields) == [20, 20, 40]


# Plants that are gone, seasons over new year.


@pytest.mark.parametrize("stored", [False, True])
def test_to_cross__not_with_a_plant_that_was_lost(act: Acts, cast: Cast, stored: bool) -> None:
    plan_crosses(act(), pairs=[(cast.teapot, cast.guest, 3)], season=2026)
    lost = cast.teapot if stored else cast.guest
    for plant in (cast.teapot, cast.guest):
        note_bloom(act(), plant=plant, stage="first")
    if stored:
        store_pollen(act(), plant=cast.guest, place="fridge")
    change_plant(act(), plant=lost, status="lost")
    assert not any(line.ready for line in lines_of(Garden.get(), TODAY)[1])
    assert to_cross_summary(Garden.get(), TODAY) is None


def test_living__counts_what_bloomed_after_new_year_in_the_south(
    act: Acts, cast: Cast, tangerine: Locus
) -> None:
    change_garden(act(), hemisphere="S")
    day = date(2027, 1, 5)
    with time_machine.travel(noon(day)):
        counts = {"pink": 3, "not-pink": 5}
        seen = {"cross": cast.cross, "row": cast.row, "locus": tangerine, "counts": counts}
        count_types(act(day=day), **seen)
    assert living(2026).seen.lots == 0
    assert living(2027).seen.lots == 1


def test_change_garden__seasons_of_bloom_go_with_the_hemisphere(act: Acts, cast: Cast) -> None:
    note_bloom(act(), plant=cast.teapot, stage="first")
    try:
        change_garden(act(), hemisphere="S")
    except Refused:
        return
    bloom = Bloom.live.get()
    assert Garden.get().calendar.season(TODAY) == bloom.season


# Sentences.


def test_undo__of_what_was_done_anew_is_refused_in_words(
    act: Acts, cast: Cast, tangerine: Locus
) -> None:
    plan = {"pairs": [(cast.teapot, cast.guest, 3)], "season": 2026}
    plan_crosses(act(), **plan)
    dropped = drop_planned(act(), planned=PlannedCross.live.get(), reason="no").line
    plan_crosses(act(), **plan)
    opened = {"plant": cast.teapot, "stage": "first"}
    bloom = undo(act(), line=note_bloom(act(), **opened).line).line
    note_bloom(act(), **opened)
    seen = {"plant": cast.teapot, "locus": tangerine, "type": "pink"}
    reading = undo(act(), line=note_type(act(), **seen).line).line
    note_type(act(), **seen)
    for line in (dropped, bloom, reading):
        with pytest.raises(Refused) as refused:
            undo(act(), line=line)
        assert "breeding " not in str(refused.value)


@pytest.mark.parametrize("key", ["pink", "not-pink"])
def test_expect__calls_what_rests_on_a_hypothesis_neither_sure_nor_impossible(
    owner_client: Client, act: Acts, cast: Cast, tangerine: Locus, key: str
) -> None:
    for plant in (cast.teapot, cast.ledger):
        note_type(act(), plant=plant, locus=tangerine, type="pink")
    asked = {"seed": cast.teapot.pk, "pollen": cast.ledger.pk, "worked": 1, "wanted": f"t:{key}"}
    page = owner_client.get(reverse("expect"), asked)
    assert "hypothes" in page.context["verdict"].lower()
