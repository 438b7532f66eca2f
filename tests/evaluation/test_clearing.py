"""What the spade takes and what it leaves, position by position."""

from __future__ import annotations

from datetime import date

import pytest
import time_machine

from evaluation.clearing import beds_to_clear, resets, spade_rows, strays
from evaluation.models import Candidate
from evaluation.records import clear_out, decide_at, glance, select_seedling
from evaluation.spadework import Fate
from garden.records import place_plant
from garden.verbs import Refused

pytestmark = pytest.mark.django_db
NEXT_BLOOM = date(2027, 5, 20)
PEOPLE = {"discard": Fate.DIG, "watch": Fate.LEAVE, "keep": Fate.LEAVE, "parent": Fate.LEAVE}


def fates(row, passed: int = 0) -> dict[int, Fate]:
    return {spot.position: spot.fate for spot in spade_rows([row], passed)[0].spots}


@pytest.mark.parametrize(("verdict", "fate"), PEOPLE.items())
def test_fate__follows_the_decision(act, cast, verdict: str, fate: Fate) -> None:
    decide_at(act(), row=cast.row, position=4, verdict=verdict)
    assert fates(cast.row)[4] == fate


def test_fate__what_nobody_looked_at_is_never_dug(cast) -> None:
    assert set(fates(cast.row, passed=1).values()) == {Fate.WAIT}


def test_fate__nothing_is_dug_when_asked_for_and_after_so_many_seasons(act, cast) -> None:
    glance(act(), row=cast.row, position=4, found="nothing")
    assert fates(cast.row)[4] != Fate.DIG
    assert fates(cast.row, passed=1)[4] == Fate.DIG
    assert fates(cast.row, passed=2)[4] != Fate.DIG
    with time_machine.travel(NEXT_BLOOM, tick=False):
        glance(act(day=NEXT_BLOOM), row=cast.row, position=4, found="nothing", anew=True)
    assert fates(cast.row, passed=2)[4] == Fate.DIG


def test_fate__called_once_it_stays(act, cast, helper_person) -> None:
    glance(act(), row=cast.row, position=4, found="nothing")
    glance(act(helper_person), row=cast.row, position=4, found="again")
    assert fates(cast.row, passed=1)[4] != Fate.DIG


def test_fate__gaps_and_what_was_dug_are_gone(act, cast) -> None:
    glance(act(), row=cast.row, position=4, found="gap")
    decide_at(act(), row=cast.row, position=5, verdict="discard")
    clear_out(act(), row=cast.row, positions=[5])
    assert [fates(cast.row)[at] for at in (4, 5)] == [Fate.GONE, Fate.GONE]


def test_fate__a_selected_one_stays_until_it_is_moved(act, cast) -> None:
    plant = select_seedling(act(), row=cast.row, position=4).thing.plant
    assert fates(cast.row, passed=1)[4] == Fate.LEAVE
    with pytest.raises(Refused, match="is to stay"):
        clear_out(act(), row=cast.row, positions=[3, 4])
    place_plant(act(), plant=plant, bed=cast.bed, position="B 2")
    assert fates(cast.row)[4] == Fate.MOVED
    clear_out(act(), row=cast.row, positions=[4])


def test_line__reads_in_the_order_of_the_row(act, cast) -> None:
    for position in (1, 2, 3, 5):
        decide_at(act(), row=cast.row, position=position, verdict="discard")
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    row = spade_rows([cast.row], 0)[0]
    told = [str(chunk) for chunk in row.line]
    assert told[:3] == ["dig 1–3", "LEAVE 4 (24-001A, keep)", "dig 5"]
    assert row.dig_text == "1–3, 5"


def test_beds__queries_do_not_grow(act, cast, django_assert_max_num_queries) -> None:
    for position in range(1, 10):
        decide_at(act(), row=cast.row, position=position, verdict="discard")
    with django_assert_max_num_queries(10):
        assert beds_to_clear(1)[0].dig == 9


def test_resets__kept_ones_until_they_have_a_place(act, cast) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    decide_at(act(), row=cast.row, position=5, verdict="watch")
    assert [each.seedling.code for each in resets()] == ["24-001A"]
    place_plant(act(), plant=resets()[0].seedling.plant, bed=cast.bed, position="B 2")
    assert resets() == []


def test_strays__discarded_after_the_move(act, cast) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    plant = Candidate.live.get(position=4).plant
    place_plant(act(), plant=plant, bed=cast.bed, position="B 2")
    decide_at(act(), plant=plant, verdict="discard")
    assert [stray.label for stray in strays()] == ["24-001A"]
