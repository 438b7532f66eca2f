from __future__ import annotations

import uuid
from datetime import date

import pytest

from breeding.models import Pot, PotCount
from breeding.records import count_up, harvest, line_out, put_away, sow
from garden.models import JournalLine
from garden.records import undo
from tests.cast import COUNTED, LINED_OUT, SOWN
from tests.refusals import refused


@pytest.fixture
def fresh(act, cast) -> Pot:
    """Ten seeds sown in a pot that nobody counted."""
    return sow(act(day=SOWN), cup=cast.cup, seeds=10).thing


def test_sow__keeps_the_pot(act, cast) -> None:
    kept = sow(act(day=SOWN), cup=cast.cup, seeds=8, note=" gritty ")
    pot = kept.thing
    assert (pot.code, pot.seeds, pot.sown_on, pot.note) == ("24-001-1-2", 8, SOWN, "gritty")
    assert kept.line.text == (
        "Sowed 8 seeds from cup 24-001-1 into pot 24-001-1-2 (25 November 2024)"
    )


def test_sow__one_cup_into_several_pots(act, cast) -> None:
    sow(act(), cup=cast.cup, seeds=6)
    sow(act(), cup=cast.cup, seeds=4)
    cast.cup.refresh_from_db()
    cast.cross.refresh_from_db()
    assert (cast.cup.sown, cast.cup.left, cast.cross.sown) == (40, 0, 40)
    assert cast.cup.pots.count() == 3


def test_sow__more_than_there_is_needs_a_reason(act, cast) -> None:
    refused(
        sow, act(), "Cup 24-001-1 holds 10 seeds more, not 11. If it is right, write why",
        "more_reason", cup=cast.cup, seeds=11, more_reason="  ",
    )  # fmt: skip
    pot = sow(act(), cup=cast.cup, seeds=11, more_reason=" found one in the paper ").thing
    cast.cup.refresh_from_db()
    assert (pot.seeds, cast.cup.sown, cast.cup.left) == (11, 41, 0)
    assert cast.cup.sown_reason == "found one in the paper"


def test_sow__a_reason_given_once_is_no_leave_for_later(act, cast) -> None:
    sow(act(), cup=cast.cup, seeds=11, more_reason="found one")
    refused(sow, act(), "holds 0 seeds more", "more_reason", cup=cast.cup, seeds=1)


def test_sow__a_reason_that_nothing_needs_is_not_kept(act, cast) -> None:
    sow(act(), cup=cast.cup, seeds=10, more_reason="just so")
    cast.cup.refresh_from_db()
    assert cast.cup.sown_reason == ""


@pytest.mark.parametrize("seeds", [-1, 0, 20_001, 10**30])
def test_sow__impossible_seeds(act, cast, seeds: int) -> None:
    refused(
        sow, act(), "from 1 to 20000", "seeds", cup=cast.cup, seeds=seeds, more_reason="so it is"
    )


def test_sow__before_the_harvest(act, cast) -> None:
    refused(
        sow, act(), "27 July 2024 is before the seed was harvested on 28 July 2024", "day",
        cup=cast.cup, seeds=1, day=date(2024, 7, 27),
    )  # fmt: skip


def test_sow__cup_put_away(act, cast) -> None:
    put_away(act(), thing=cast.cup, reason="given away")
    refused(sow, act(), "Cup 24-001-1 was put away on 20 May 2026", cup=cast.cup, seeds=1)


def test_sow__struck_cup(act, cast) -> None:
    kept = harvest(act(), pollination=cast.bee_flower, seeds=3)
    undo(act(), line=kept.line)
    refused(sow, act(), "Cup 24-002-1 was struck out", cup=kept.thing, seeds=1)


def test_sow__same_entry(act, cast) -> None:
    entry = uuid.uuid4()
    pot = sow(act(entry=entry), cup=cast.cup, seeds=5).thing
    assert sow(act(entry=entry), cup=cast.cup, seeds=5).thing == pot
    refused(sow, act(entry=entry), "already kept", cup=cast.cup, seeds=6)
    assert Pot.objects.count() == 2


def test_sow__visitor(act, cast, visitor) -> None:
    refused(sow, act(visitor), "Visitors read", cup=cast.cup, seeds=1)


def test_count_up__keeps_the_count(act, fresh) -> None:
    kept = count_up(act(day=COUNTED), pot=fresh, standing_now=4)
    pot = kept.thing
    assert (pot.up, pot.standing, pot.first_up_on, pot.counted_on) == (4, 4, COUNTED, COUNTED)
    count = PotCount.objects.get(pot=pot)
    assert (count.standing, count.newest_row, count.day) == (4, 0, COUNTED)
    assert kept.line.text == "Pot 24-001-1-2: 4 seedlings standing (10 April 2025)"


def test_count_up__nothing_up_yet(act, fresh) -> None:
    pot = count_up(act(day=COUNTED), pot=fresh, standing_now=0).thing
    assert (pot.up, pot.first_up_on, pot.counted_on) == (0, None, COUNTED)


def test_count_up__most_that_stood_is_what_came_up(act, cast, fresh) -> None:
    count_up(act(day=COUNTED), pot=fresh, standing_now=7)
    pot = count_up(act(), pot=fresh, standing_now=5, day=date(2025, 5, 1)).thing
    cast.cross.refresh_from_db()
    assert (pot.up, pot.counted_on, cast.cross.up) == (7, date(2025, 5, 1), 18 + 7)


def test_count_up__those_lined_out_before_are_added(act, cast) -> None:
    pot = count_up(act(), pot=cast.pot, standing_now=9).thing
    assert (pot.up, pot.lined_out, pot.standing) == (21, 12, 9)


def test_count_up__a_row_that_is_undone_is_no_longer_added(act, cast) -> None:
    count_up(act(), pot=cast.pot, standing_now=9)
    undo(act(), line=JournalLine.objects.get(verb="line_out"))
    pot = Pot.objects.get(pk=cast.pot.pk)
    assert (pot.up, pot.lined_out, pot.standing) == (18, 0, 18)


def test_count_up__those_lined_out_later_are_not(act, cast) -> None:
    pot = count_up(act(), pot=cast.pot, standing_now=20, day=date(2025, 5, 1)).thing
    assert (pot.up, pot.standing) == (20, 8)


def test_count_up__more_than_sown_needs_a_reason(act, cast) -> None:
    refused(
        count_up, act(), "Only 30 seeds went into pot 24-001-1-1", "more_reason",
        pot=cast.pot, standing_now=19,
    )  # fmt: skip
    pot = count_up(act(), pot=cast.pot, standing_now=19, more_reason="one seed, two plants").thing
    assert (pot.up, pot.up_reason) == (31, "one seed, two plants")


def test_count_up__fewer_than_were_lined_out(act, cast, fresh) -> None:
    line_out(act(), pot=fresh, bed=cast.bed, row=3, first=1, seedlings=6, day=LINED_OUT)
    refused(
        count_up, act(), "6 seedlings lined out of pot 24-001-1-2: 5 cannot be all",
        "standing_now", pot=fresh, standing_now=5, day=COUNTED,
    )  # fmt: skip
    assert count_up(act(), pot=fresh, standing_now=6, day=COUNTED).thing.up == 6


@pytest.mark.parametrize("standing", [-1, 20_001, 10**30])
def test_count_up__impossible_counts(act, cast, standing: int) -> None:
    refused(
        count_up, act(), "from 0 to 20000", "standing_now",
        pot=cast.pot, standing_now=standing, more_reason="so it is",
    )  # fmt: skip


def test_count_up__before_the_sowing(act, cast) -> None:
    refused(
        count_up, act(), "before it was sown on 25 November 2024", "day",
        pot=cast.pot, standing_now=1, day=date(2024, 11, 24),
    )  # fmt: skip


def test_count_up__pot_put_away(act, cast) -> None:
    put_away(act(), thing=cast.pot, reason="empty")
    refused(count_up, act(), "Pot 24-001-1-1 was put away", pot=cast.pot, standing_now=1)


def test_count_up__struck_pot(act, cast, fresh) -> None:
    undo(act(), line=JournalLine.objects.first())
    refused(count_up, act(), "Pot 24-001-1-2 was struck out", pot=fresh, standing_now=1)


def test_count_up__same_entry_counts_once(act, cast) -> None:
    entry = uuid.uuid4()
    count_up(act(entry=entry), pot=cast.pot, standing_now=6)
    assert count_up(act(entry=entry), pot=cast.pot, standing_now=6).again
    refused(count_up, act(entry=entry), "already kept", pot=cast.pot, standing_now=7)
    assert PotCount.objects.count() == 2
