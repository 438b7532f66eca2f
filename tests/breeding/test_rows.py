from __future__ import annotations

import uuid
from datetime import date

import pytest

from breeding.models import Row
from breeding.records import line_out, put_away, sow
from garden.records import add_bed, undo
from tests.cast import LINED_OUT, SOWN
from tests.refusals import refused


@pytest.fixture
def six(cast) -> dict:
    """The six seedlings left in the pot, into the second row."""
    return {"pot": cast.pot, "bed": cast.bed, "row": 2, "first": 5, "seedlings": 6}


def test_line_out__keeps_the_row(act, cast, six) -> None:
    kept = line_out(act(day=LINED_OUT), **six, note=" damp ")
    row = kept.thing
    assert (row.first, row.last, row.seedlings, row.lined_out_on, row.note) == (
        5, 10, 6, LINED_OUT, "damp",
    )  # fmt: skip
    assert row.cross == cast.cross
    assert kept.line.text == ("Lined out 6 seedlings of pot 24-001-1-1: Long Bed, row 2, 5–10")
    cast.pot.refresh_from_db()
    cast.cross.refresh_from_db()
    assert (cast.pot.lined_out, cast.pot.standing, cast.cross.lined_out) == (18, 0, 18)


def test_line_out__one_pot_into_several_rows(act, cast, six) -> None:
    line_out(act(), **six | {"seedlings": 2})
    line_out(act(), **six | {"seedlings": 4, "row": 3})
    assert [row.seedlings for row in cast.pot.rows.order_by("row")] == [12, 2, 4]


def test_line_out__one_seedling(act, six) -> None:
    row = line_out(act(), **six | {"seedlings": 1}).thing
    assert str(row) == "Long Bed, row 2, 5"
    assert row.holds(5)
    assert not row.holds(6)


def test_line_out__more_than_came_up_needs_a_reason(act, cast, six) -> None:
    refused(
        line_out, act(), "Pot 24-001-1-1 has 6 seedlings to line out, not 7", "more_reason",
        **six | {"seedlings": 7},
    )  # fmt: skip
    line_out(act(), **six | {"seedlings": 7}, more_reason="a late one")
    cast.pot.refresh_from_db()
    assert (cast.pot.lined_out, cast.pot.standing) == (19, 0)
    assert cast.pot.lined_out_reason == "a late one"


def test_line_out__a_pot_nobody_counted_is_counted_by_it(act, cast, six) -> None:
    pot = sow(act(day=SOWN), cup=cast.cup, seeds=8).thing
    line_out(act(day=LINED_OUT), **six | {"pot": pot})
    pot.refresh_from_db()
    assert (pot.up, pot.lined_out, pot.counted_on, pot.first_up_on) == (6, 6, None, LINED_OUT)
    refused(
        line_out, act(), "has 2 seedlings to line out, not 3", "more_reason",
        **six | {"pot": pot, "row": 3, "seedlings": 3},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({"row": 0}, "row", "Rows of Long Bed must be from 1 to 4"),
        ({"row": 5}, "row", "Rows of Long Bed must be from 1 to 4"),
        ({"first": 0}, "first", "Positions of Long Bed must be from 1 to 30"),
        ({"first": 31}, "first", "Positions of Long Bed must be from 1 to 30"),
        ({"first": 26}, "seedlings", "A row of Long Bed ends at position 30, not 31"),
        ({"seedlings": 0}, "seedlings", "from 1 to 20000"),
        ({"seedlings": 10**30}, "seedlings", "from 1 to 20000"),
        ({"row": 1, "first": 12}, "first", "1–12 already holds seedlings of 24-001"),
        ({"day": date(2024, 11, 24)}, "day", "before the pot was sown"),
        ({"day": date(2026, 6, 20)}, "day", "has not come yet"),
    ],
)
def test_line_out__refused(act, six, values: dict, field: str, sentence: str) -> None:
    refused(line_out, act(), sentence, field, **six | values)


def test_line_out__up_to_the_last_position(act, six) -> None:
    assert line_out(act(), **six | {"first": 25}).thing.last == 30


def test_line_out__right_behind_another(act, six) -> None:
    assert line_out(act(), **six | {"row": 1, "first": 13}).thing.first == 13


def test_line_out__where_a_row_was_dug(act, cast, six) -> None:
    put_away(act(), thing=cast.row, reason="dug", day=date(2026, 5, 1))
    place = six | {"row": 1, "first": 1}
    refused(line_out, act(), "already holds", "first", **place, day=date(2026, 4, 30))
    assert line_out(act(), **place, day=date(2026, 5, 1)).thing.row == 1


def test_line_out__pot_put_away(act, cast, six) -> None:
    put_away(act(), thing=cast.pot, reason="empty")
    refused(line_out, act(), "Pot 24-001-1-1 was put away", **six)


def test_line_out__struck_bed(act, six) -> None:
    kept = add_bed(act(), name="Short Bed")
    undo(act(), line=kept.line)
    refused(line_out, act(), "Short Bed was struck out", **six | {"bed": kept.thing, "row": 1})


def test_line_out__struck_pot(act, cast, six) -> None:
    sown = sow(act(), cup=cast.cup, seeds=1)
    undo(act(), line=sown.line)
    refused(line_out, act(), "was struck out", **six | {"pot": sown.thing})


def test_line_out__same_entry(act, six) -> None:
    entry = uuid.uuid4()
    row = line_out(act(entry=entry), **six).thing
    assert line_out(act(entry=entry), **six).thing == row
    refused(line_out, act(entry=entry), "already kept", **six | {"first": 6})
    assert Row.objects.count() == 2


def test_line_out__visitor(act, six, visitor) -> None:
    refused(line_out, act(visitor), "Visitors read", **six)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("cup", "Put away cup 24-001-1: given away (20 May 2026)"),
        ("pot", "Put away pot 24-001-1-1: given away (20 May 2026)"),
        ("row", "Put away row Long Bed, row 1, 1–12: given away (20 May 2026)"),
    ],
)
def test_put_away__with_its_reason(act, cast, name: str, told: str) -> None:
    kept = put_away(act(), thing=getattr(cast, name), reason=" given away ")
    assert (kept.thing.closed_on, kept.thing.closed_reason) == (date(2026, 5, 20), "given away")
    assert kept.line.text == told


@pytest.mark.parametrize("name", ["cup", "pot", "row"])
def test_put_away__refused(act, cast, name: str) -> None:
    thing = getattr(cast, name)
    refused(put_away, act(), "Write why it is put away", "reason", thing=thing, reason=" ")
    refused(
        put_away, act(), "before it began", "day", thing=thing, reason="x", day=date(2024, 7, 1)
    )
    put_away(act(), thing=thing, reason="given away")
    refused(put_away, act(), "was put away on 20 May 2026", thing=thing, reason="again")
