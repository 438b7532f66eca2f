"""What the spade is to do, read from looks, scores, decisions and places."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
import time_machine

from breeding.records import put_away
from evaluation.clearing import SEASONS, beds_to_clear, resets, strays
from evaluation.models import Rubric
from evaluation.records import clear_out, decide_at, glance, score, select_seedling
from evaluation.records.candidates import gone_from
from evaluation.spadework import Fate, SpadeRow
from garden.models import Person
from garden.records import change_plant, place_plant, undo
from tests.cast import IN_BLOOM, Cast, act_of, noon

pytestmark = pytest.mark.django_db

NEXT_BLOOM = IN_BLOOM + timedelta(days=365)
LAST = SEASONS[-1]
Look = Callable[..., None]


@pytest.fixture(autouse=True)
def _two_blooms_on() -> Iterator[None]:
    with time_machine.travel(noon(NEXT_BLOOM)):
        yield


@pytest.fixture
def look(owner: Person, cast: Cast) -> Look:
    """look("nothing", 1, 2): what the owner's walk finds at these positions."""

    def looked(found: str, *positions: int, day: date = IN_BLOOM, person: Person = owner) -> None:
        for position in positions:
            glance(act_of(person, day), row=cast.row, position=position, found=found, day=day)

    return looked


def spade(passed: int = 0) -> SpadeRow | None:
    """The cast's one row, if it is listed."""
    return next((row for bed in beds_to_clear(passed) for row in bed.rows), None)


def dug(passed: int = 0) -> tuple[int, ...]:
    row = spade(passed)
    return row.dig if row else ()


def fate(position: int, passed: int = LAST) -> tuple[str, str]:
    """The fate of a position, and what is told of it. Position 12 is discarded to have the row
    listed."""
    row = spade(passed)
    return next((spot.fate.value, spot.told) for spot in row.spots if spot.position == position)


@pytest.fixture
def listed(act, cast: Cast) -> None:
    decide_at(act(), row=cast.row, position=12, verdict="discard")


def test_an_empty_garden__has_nothing_to_dig(bare) -> None:
    assert beds_to_clear(LAST) == []
    assert resets() == []
    assert strays() == []


@pytest.mark.parametrize("passed", SEASONS)
def test_unseen__is_never_dug(cast: Cast, passed: int) -> None:
    assert dug(passed) == ()
    assert beds_to_clear(passed)[0].resting == 1


def test_discarded__is_dug(act, cast: Cast) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="discard")
    assert dug() == (4,)
    assert " · ".join(map(str, spade().line)) == "leave 1–3 · dig 4 · leave 5–12"


def test_discarded__is_left_again_when_the_decision_is_undone(act, cast: Cast) -> None:
    kept = decide_at(act(), row=cast.row, position=4, verdict="discard")
    undo(act(), line=kept.line)
    assert dug() == ()


@pytest.mark.parametrize("verdict", ["keep", "watch", "parent"])
def test_wanted__stays_whatever_was_looked(act, cast: Cast, look, listed, verdict: str) -> None:
    look("nothing", 4)
    look("nothing", 4, day=NEXT_BLOOM)
    decide_at(act(day=NEXT_BLOOM), row=cast.row, position=4, verdict=verdict)
    word = {"keep": "24-001A, keep", "watch": "watch", "parent": "24-001A, use as parent"}[verdict]
    assert fate(4) == ("leave", word)


def test_selected__stays_until_something_else_is_decided(act, cast: Cast, listed) -> None:
    select_seedling(act(), row=cast.row, position=4)
    assert fate(4) == ("leave", "24-001A, selected")
    decide_at(act(), row=cast.row, position=4, verdict="discard")
    assert fate(4) == ("dig", "")


def test_passed_over__needs_its_seasons_of_nothing(cast: Cast, look, listed) -> None:
    look("nothing", 1, 2)
    look("nothing", 2, day=NEXT_BLOOM)
    assert dug(0) == (12,)
    assert dug(1) == (1, 2, 12)
    assert dug(2) == (2, 12)
    assert fate(1, 2) == ("wait", "passed over")


def test_passed_over__two_looks_of_one_season_are_one_season(
    cast: Cast, look, listed, helper_person: Person
) -> None:
    look("nothing", 1)
    look("nothing", 1, person=helper_person)
    assert dug(1) == (1, 12)
    assert dug(2) == (12,)


def test_called__stays_until_somebody_decides(
    cast: Cast, look, listed, helper_person: Person
) -> None:
    look("again", 1, person=helper_person)
    look("nothing", 1)
    look("nothing", 1, day=NEXT_BLOOM)
    assert fate(1) == ("leave", "undecided")


def test_scored__stays_until_somebody_decides(act, cast: Cast, look, listed) -> None:
    look("nothing", 1)
    score(act(), rubric=Rubric.live.get(name="Full hundred"), row=cast.row, position=1,
          marks={"form": 1})  # fmt: skip
    assert fate(1, 1) == ("leave", "undecided")


def test_gone__is_not_listed(act, cast: Cast, look, listed) -> None:
    look("gap", 1)
    look("dead", 2)
    clear_out(act(), row=cast.row, positions=[3, 12])
    decide_at(act(), row=cast.row, position=4, verdict="discard")
    row = spade()
    assert row.dig == (4,)
    assert row.of(Fate.GONE) == (1, 2, 3, 12)
    assert set(row.of(Fate.GONE)) == gone_from(cast.row)


def test_gone__comes_back_when_a_later_look_finds_it(cast: Cast, look, listed) -> None:
    look("gap", 1)
    look("nothing", 1, day=NEXT_BLOOM)
    assert fate(1) == ("wait", "passed over")
    assert gone_from(cast.row) == set()


def test_moved__is_neither_dug_nor_left(act, cast: Cast, listed) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    plant = resets()[0].seedling.plant
    place_plant(act(), plant=plant, bed=cast.bed, position="20")
    row = spade()
    assert row.moved == (4,)
    assert 4 not in (*row.dig, *row.stays)


def test_row__is_listed_when_nothing_but_what_was_moved_is_left(act, cast: Cast) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    place_plant(act(), plant=resets()[0].seedling.plant, bed=cast.bed, position="20")
    clear_out(act(), row=cast.row, positions=[at for at in range(1, 13) if at != 4])
    assert spade().empty
    put_away(act(), thing=cast.row, reason="dug over")
    assert spade() is None


@pytest.mark.parametrize("passed", SEASONS)
def test_beds__queries_do_not_grow(
    act, cast: Cast, look, listed, passed: int, django_assert_num_queries
) -> None:
    look("nothing", 1, 2, 3)
    for position in (5, 6):
        decide_at(act(), row=cast.row, position=position, verdict="keep")
    with django_assert_num_queries(6):
        beds_to_clear(passed)


def test_strays__are_discarded_plants_that_were_moved(act, cast: Cast) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    plant = resets()[0].seedling.plant
    place_plant(act(), plant=plant, bed=cast.bed, position="20")
    assert strays() == []
    decide_at(act(), plant=plant, verdict="discard")
    assert [(each.label, each.place) for each in strays()] == [("24-001A", "Long Bed 20")]
    assert dug() == ()


def test_resets__what_is_kept_stands_there_until_it_is_moved(act, cast: Cast) -> None:
    decide_at(act(), row=cast.row, position=4, verdict="keep")
    decide_at(act(), row=cast.row, position=2, verdict="parent")
    decide_at(act(), row=cast.row, position=3, verdict="watch")
    decide_at(act(), row=cast.row, position=5, verdict="discard")
    found = resets()
    assert [(str(each.seedling), each.seedling.position, each.verdict) for each in found] == [
        ("24-001B", 2, "Use as parent"),
        ("24-001A", 4, "Keep"),
    ]
    assert found[0].decided_on == IN_BLOOM
    place_plant(act(), plant=found[0].seedling.plant, bed=cast.bed, position="20")
    assert [str(each.seedling) for each in resets()] == ["24-001A"]


def test_resets__selected_ones_wait_as_long_as_nothing_is_decided(act, cast: Cast) -> None:
    select_seedling(act(), row=cast.row, position=4)
    assert [each.verdict for each in resets()] == ["Selected"]
    decide_at(act(), row=cast.row, position=4, verdict="watch")
    assert resets() == []


def test_resets__tell_the_newest_count_of_increases(act, cast: Cast) -> None:
    full = Rubric.live.get(name="Full hundred")
    for day, count in ((NEXT_BLOOM, 5), (IN_BLOOM, 2)):
        score(act(day=day), rubric=full, row=cast.row, position=4, marks={"increase": count},
              verdict="keep" if day == NEXT_BLOOM else "", day=day)  # fmt: skip
    assert [(each.increases, each.counted_on) for each in resets()] == [(5, NEXT_BLOOM)]


def test_resets__leave_out_what_died_and_what_was_lost(act, cast: Cast, look) -> None:
    for position in (4, 5):
        decide_at(act(), row=cast.row, position=position, verdict="keep")
    look("dead", 4, day=NEXT_BLOOM)
    assert [each.seedling.position for each in resets()] == [5]
    change_plant(act(), plant=resets()[0].seedling.plant, status="lost")
    assert resets() == []


def test_resets__queries_do_not_grow(act, cast: Cast, django_assert_num_queries) -> None:
    for position in range(1, 8):
        decide_at(act(), row=cast.row, position=position, verdict="keep")
    with django_assert_num_queries(8):
        assert len(resets()) == 7
