"""The print queue: it fills as things arise, empties by printing, and every step can be undone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breeding.records import harvest, line_out, put_away, sow
from evaluation.models import Candidate
from evaluation.records import decide, select_seedling
from garden.labelling import kind
from garden.labelqueue import queue
from garden.labelsheets import next_place, papers, shift_of, things_of, usual_paper
from garden.models import Fact, Labelled, LabelRun
from garden.records import (
    add_label_sheet,
    change_label_sheet,
    fix_label_address,
    need_no_label,
    place_plant,
    print_labels,
    shift_sheet,
    strike_label_sheet,
    undo,
)
from garden.verbs import Act, Refused
from tests.cast import IN_BLOOM, Cast, Stock

pytestmark = pytest.mark.django_db
SHEET = "a4-24-70x36"
STAKES = {
    "title": "Stakes, 4 of 190 × 60 mm", "roll": False, "label_width": 190.0, "label_height": 60.0,
    "columns": 1, "rows": 4, "page_width": 210.0, "page_height": 297.0, "left": 10.0, "top": 20.0,
    "gap_x": 0.0, "gap_y": 5.0,
}  # fmt: skip


def waits() -> list[str]:
    return [line.named for group in queue() for line in group.lines]


def name_of(thing: Fact) -> tuple[str, int]:
    return thing._meta.model_name.replace("seedcup", "cup"), thing.pk


def text_of(thing: Fact) -> str:
    return "{}.{}".format(*name_of(thing))


def test_queue__is_empty_before_anything_arose(stock: Stock) -> None:
    assert queue() == []


def test_queue__holds_what_arose(cast: Cast) -> None:
    assert waits() == [text_of(cast.cup), text_of(cast.pot), text_of(cast.row)]


def test_queue__grows_with_cups_pots_rows_and_selections(
    cast: Cast, act: Callable[..., Act]
) -> None:
    pod = cast.bee_flower
    cup = harvest(act(), pollination=pod, seeds=9).thing
    pot = sow(act(), cup=cup, seeds=4).thing
    row = line_out(act(), pot=cast.pot, bed=cast.bed, row=2, first=1, seedlings=2).thing
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    things = [cast.cup, cup, cast.pot, pot, cast.row, row, seedling]
    assert waits() == [text_of(thing) for thing in things]


def test_queue__forgets_what_was_put_away_or_thrown_away(
    cast: Cast, act: Callable[..., Act]
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    assert text_of(seedling) in waits()
    judged = Candidate.live.get(plant=seedling.plant)
    decide(act(), candidates=[judged], verdict="discard", reason="rots")
    put_away(act(), thing=cast.cup, reason="given away")
    assert waits() == [text_of(cast.pot), text_of(cast.row)]


def test_printing__empties_the_queue_and_undo_fills_it(cast: Cast, act: Callable[..., Act]) -> None:
    before = waits()
    things = [name_of(cast.cup), name_of(cast.row)]
    kept = print_labels(act(), things=things, sheet=SHEET, start=5, copies=2, address="http://x")
    assert kept.line.text == f"Printed 4 labels: cup {cast.cup}, row {cast.row}"
    assert waits() == [text_of(cast.pot)]
    run = kept.thing
    assert (run.person, run.day, run.printed) == (act().person, IN_BLOOM, 4)
    assert things_of(run) == things
    assert {(m.kind, m.thing_id) for m in kept.line.mentions.all()} >= {
        (thing.record_kind, thing.pk) for thing in (cast.cup, cast.row)
    }
    undo(act(), line=kept.line)
    assert waits() == before
    assert not LabelRun.live.exists()
    assert not Labelled.live.exists()


def test_printing__many_is_undone_as_a_list(
    cast: Cast, act: Callable[..., Act], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("garden.records.undoing.MANY", 5)
    plants = [("plant", plant.pk) for plant in (cast.teapot, cast.ledger, cast.postman)]
    tags = [("tag", tag.pk) for tag in cast.sheet.tags.all()]
    things = [name_of(cast.row), *plants, *tags]
    kept = print_labels(act(), things=things, sheet=SHEET)
    assert kept.thing.count == len(things) == 16
    assert text_of(cast.row) not in waits()
    undo(act(), line=kept.line)
    assert text_of(cast.row) in waits()
    assert not LabelRun.live.exists()


def test_no_label_needed__empties_the_queue_and_undo_fills_it(
    cast: Cast, act: Callable[..., Act]
) -> None:
    before = waits()
    kept = need_no_label(act(), things=[name_of(cast.pot), name_of(cast.pot)])
    assert kept.line.text == f"No label needed: pot {cast.pot}"
    assert waits() == [text_of(cast.cup), text_of(cast.row)]
    undo(act(), line=kept.line)
    assert waits() == before


def test_printing__again_is_possible(cast: Cast, act: Callable[..., Act]) -> None:
    first = print_labels(act(), things=[name_of(cast.pot)], sheet=SHEET)
    print_labels(act(), things=[name_of(cast.pot)], sheet=SHEET)
    undo(act(), line=first.line)
    # The second one still stands.
    assert text_of(cast.pot) not in waits()


def test_next_place__goes_on_behind_the_last_label(cast: Cast, act: Callable[..., Act]) -> None:
    paper = papers()[SHEET]
    assert next_place(paper) == 1
    print_labels(act(), things=[name_of(cast.pot)], sheet=SHEET, start=22, copies=2)
    assert next_place(paper) == 24
    last = print_labels(act(), things=[name_of(cast.cup)], sheet=SHEET, start=24, copies=3)
    assert next_place(paper) == 3
    assert next_place(papers()["a4-65-38-1x21-2"]) == 1
    assert usual_paper(papers()).key == SHEET
    undo(act(), line=last.line)
    assert next_place(paper) == 24


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(runs=st.lists(st.tuples(st.integers(1, 24), st.integers(1, 50)), min_size=1, max_size=4))
def test_next_place__is_always_a_place_of_the_sheet(
    cast: Cast, act: Callable[..., Act], runs: list[tuple[int, int]]
) -> None:
    paper = papers()[SHEET]
    for start, copies in runs:
        print_labels(act(), things=[name_of(cast.pot)], sheet=SHEET, start=start, copies=copies)
        assert next_place(paper) == 1 + (start - 1 + copies) % 24


@pytest.mark.parametrize(
    ("field", "wrong"),
    [
        ("sheet", {"sheet": "nothing"}),
        ("sheet", {"sheet": "own-7"}),
        ("start", {"start": 0}),
        ("start", {"start": 25}),
        ("copies", {"copies": 0}),
        ("copies", {"copies": 51}),
        ("", {"things": []}),
        ("", {"things": [("pot", 10**9)]}),
    ],
)
def test_printing__refuses_what_cannot_be(
    cast: Cast, act: Callable[..., Act], field: str, wrong: dict[str, Any]
) -> None:
    asked = {"things": [name_of(cast.pot)], "sheet": SHEET} | wrong
    with pytest.raises(Refused) as refused:
        print_labels(act(), **asked)
    assert list(refused.value.messages) == [field]
    assert not LabelRun.objects.exists()


def test_printing__is_not_for_visitors(cast: Cast, act: Callable[..., Act], visitor: Any) -> None:
    with pytest.raises(Refused):
        print_labels(act(visitor), things=[name_of(cast.pot)], sheet=SHEET)


def test_own_sheet__is_kept_changed_and_struck_out(cast: Cast, act: Callable[..., Act]) -> None:
    own = add_label_sheet(act(), **STAKES).thing
    assert next(iter(papers().values())).sheet == own.sheet
    assert own.sheet.check() == []
    change_label_sheet(act(), sheet=own, **STAKES | {"top": 22.5})
    own.refresh_from_db()
    assert own.top == 22.5
    kept = print_labels(act(), things=[name_of(cast.row)], sheet=own.key, start=3)
    # What was printed on it is printed again as it was.
    with pytest.raises(Refused, match="only its name may change"):
        change_label_sheet(act(), sheet=own, **STAKES | {"top": 23.5})
    change_label_sheet(act(), sheet=own, **STAKES | {"top": 22.5, "title": "Stakes by the gate"})
    gone = strike_label_sheet(act(), sheet=own)
    assert own.key not in papers()
    assert things_of(kept.thing) == [name_of(cast.row)]
    undo(act(), line=gone.line)
    assert own.key in papers()


def test_own_roll__is_a_page_of_one_label(bare: Any, act: Callable[..., Act]) -> None:
    own = add_label_sheet(act(), **STAKES | {"title": "Roll", "roll": True}).thing
    assert own.sheet.places == 1
    assert (own.page_width, own.page_height, own.left, own.gap_y) == (190, 60, 0, 0)


@pytest.mark.parametrize(
    ("field", "wrong"),
    [
        ("title", {"title": " "}),
        ("columns", {"columns": 0}),
        ("rows", {"rows": 61}),
        ("gap_y", {"gap_y": -1.0}),
        ("left", {"left": float("nan")}),
        ("page_width", {"page_width": float("inf")}),
        ("label_width", {"left": 30.0}),
        ("label_height", {"rows": 6}),
    ],
)
def test_own_sheet__refuses_what_cannot_be(
    bare: Any, act: Callable[..., Act], field: str, wrong: dict[str, Any]
) -> None:
    with pytest.raises(Refused) as refused:
        add_label_sheet(act(), **STAKES | wrong)
    assert list(refused.value.messages) == [field]


def test_own_sheet__has_a_name_of_its_own(bare: Any, act: Callable[..., Act]) -> None:
    add_label_sheet(act(), **STAKES)
    with pytest.raises(Refused, match="already"):
        add_label_sheet(act(), **STAKES)


def test_shift__is_kept_by_sheet_and_undone(bare: Any, act: Callable[..., Act]) -> None:
    shift_sheet(act(), sheet=SHEET, right=1.204, down=-0.5)
    kept = shift_sheet(act(), sheet=SHEET, right=2.0, down=0.0)
    assert shift_of(SHEET) == (2.0, 0.0)
    assert shift_of("a4-8-105x74") == (0.0, 0.0)
    undo(act(), line=kept.line)
    assert shift_of(SHEET) == (1.2, -0.5)
    with pytest.raises(Refused):
        shift_sheet(act(), sheet=SHEET, right=float("nan"), down=0.0)


@pytest.mark.parametrize(
    "wrong", ["millrace.local", "ftp://x", "http://a b", "http://x/plants", "http://½"]
)
def test_address__refuses_what_is_none(bare: Any, act: Callable[..., Act], wrong: str) -> None:
    with pytest.raises(Refused) as refused:
        fix_label_address(act(), address=wrong)
    assert list(refused.value.messages) == ["address"]


def test_address__is_for_the_owner_to_fix(
    bare: Any, act: Callable[..., Act], helper_person: Any
) -> None:
    with pytest.raises(Refused, match="owner"):
        fix_label_address(act(helper_person), address="http://millrace.local:8000")
    kept = fix_label_address(act(), address=" HTTP://Millrace.local:8000/ ")
    assert kept.thing.address == "http://millrace.local:8000"
    assert fix_label_address(act(), address="").thing.address == ""


def test_label__of_a_moved_seedling_tells_where_it_stands_now(
    cast: Cast, act: Callable[..., Act]
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    one = kind("seedling")
    assert one.labels([seedling])[0].lines[0] == "Long Bed, row 1, 3"
    place_plant(act(), plant=seedling.plant, bed=cast.bed, position="9")
    assert one.labels([seedling])[0].lines[0] == "Long Bed 9"
