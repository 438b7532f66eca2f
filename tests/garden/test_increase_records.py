"""Counting fans, taking out, guests: the verbs, undo, and the rules below them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from garden.guestbook import outstanding, told
from garden.increasing import looks_at, spots_of, stops
from garden.models import GuestNews, GuestSent, Introduction, JournalLine, StockCount, StockTaken
from garden.records import (
    correct_guest,
    correct_placing,
    correct_stock_count,
    correct_taken,
    count_stock,
    introduce,
    note_guest,
    place_plant,
    send_guest,
    strike_plant,
    take_out,
    undo,
)
from garden.verbs import Refused
from tests.cast import IN_BLOOM, Stock

pytestmark = pytest.mark.django_db

LATE = date(2025, 8, 20)
YEAR = timedelta(days=365)


def counted(act: Callable[..., Any], stock: Stock, number: int, day: date, **more: Any) -> Any:
    values = {"plant": stock.teapot, "bed": stock.bed, "position": "4"} | more
    return count_stock(act(day=day), number=number, **values)


def test_count__is_kept_with_its_place_and_its_sentence(act: Any, stock: Stock) -> None:
    kept = counted(act, stock, 12, LATE, note="  crowded ")
    assert (kept.thing.number, kept.thing.place, kept.thing.note) == (12, "Long Bed 4", "crowded")
    assert kept.line.text == "Counted 12 fans of Quillon Teapot in Long Bed 4 (20 August 2025)"


def test_count__one_a_place_and_day(act: Any, stock: Stock) -> None:
    counted(act, stock, 12, LATE)
    with pytest.raises(Refused, match="It was counted there on 20 August 2025: 12"):
        counted(act, stock, 13, LATE, position=" 4 ")
    counted(act, stock, 3, LATE, position="5")
    counted(act, stock, 2, LATE, bed=None, position="", elsewhere="Potted")
    with pytest.raises(Refused, match="counted there"):
        counted(act, stock, 2, LATE, bed=None, position="", elsewhere="potted")


def test_count__what_was_taken_is_written_along(act: Any, stock: Stock) -> None:
    line = counted(act, stock, 5, LATE, taken=7, fate="sold").line
    gone = StockTaken.live.get()
    assert (gone.number, gone.fate, gone.day, gone.place) == (7, "sold", LATE, "Long Bed 4")
    assert "7 taken out since" in line.text
    undo(act(), line=line)
    assert not StockTaken.live.exists()
    assert not StockCount.live.exists()


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"number": -1}, "number"),
        ({"number": 100_001}, "number"),
        ({"taken": 3}, "fate"),
        ({"taken": 3, "fate": "eaten"}, "fate"),
        ({"taken": -3, "fate": "sold"}, "taken"),
        ({"bed": None}, "bed"),
        ({"day": IN_BLOOM + timedelta(days=900)}, "day"),
    ],
)
def test_count__refuses_what_cannot_be(
    act: Any, stock: Stock, values: dict[str, Any], field: str
) -> None:
    whole = {"plant": stock.teapot, "number": 4, "bed": stock.bed} | values
    with pytest.raises(Refused) as refused:
        count_stock(act(), **whole)
    assert list(refused.value.messages) == [field]
    assert not StockCount.objects.exists()


def test_count__is_corrected_with_a_reason(act: Any, stock: Stock) -> None:
    count = counted(act, stock, 12, LATE).thing
    counted(act, stock, 9, LATE - YEAR)
    with pytest.raises(Refused, match="why"):
        correct_stock_count(act(), count=count, number=11, day=LATE, reason=" ")
    with pytest.raises(Refused, match="Nothing was changed"):
        correct_stock_count(act(), count=count, number=12, day=LATE, reason="because")
    with pytest.raises(Refused, match="Another count"):
        correct_stock_count(act(), count=count, number=12, day=LATE - YEAR, reason="because")
    line = correct_stock_count(act(), count=count, number=11, day=LATE, reason="miscounted").line
    assert StockCount.objects.get(pk=count.pk).number == 11
    undo(act(), line=line)
    assert StockCount.objects.get(pk=count.pk).number == 12


def test_count__the_same_entry_twice_counts_once(act: Any, stock: Stock) -> None:
    one = act(day=LATE)
    values = {"plant": stock.teapot, "number": 4, "bed": stock.bed}
    first = count_stock(one, **values)
    again = count_stock(act(day=LATE, entry=one.entry), **values)
    assert again.again
    assert again.thing == first.thing
    assert StockCount.objects.count() == 1


def test_database__holds_one_count_a_place_and_day(act: Any, stock: Stock) -> None:
    count = counted(act, stock, 12, LATE).thing
    with pytest.raises(IntegrityError), transaction.atomic():
        StockCount.objects.create(
            plant=stock.teapot, bed=stock.bed, position="4", day=LATE, number=3
        )
    count.struck = True
    count.save()
    StockCount.objects.create(plant=stock.teapot, bed=stock.bed, position="4", day=LATE, number=3)


@pytest.mark.parametrize(
    ("model", "values"),
    [
        (StockCount, {"number": 3, "day": LATE}),
        (StockCount, {"number": 100_001, "day": LATE, "elsewhere": "potted"}),
        (StockTaken, {"number": 0, "day": LATE, "fate": "sold"}),
        (GuestSent, {"number": 0, "garden_name": "x", "terms": "test", "sent_on": LATE}),
        (GuestSent, {"number": 1, "garden_name": "", "terms": "test", "sent_on": LATE}),
        (
            GuestSent,
            {"number": 1, "garden_name": "x", "terms": "test", "sent_on": LATE,
             "ended_on": LATE - YEAR},
        ),
        (Introduction, {"year": 1800}),
        (Introduction, {"year": 2026, "price": 3}),
        (Introduction, {"year": 2026, "price": -3, "currency": "EUR"}),
    ],
)  # fmt: skip
def test_database__refuses_what_no_form_may_write(
    stock: Stock, model: Any, values: dict[str, Any]
) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.create(plant=stock.teapot, **values)


def test_database__refuses_news_that_tell_nothing(act: Any, stock: Stock) -> None:
    guest = sent(act, stock).thing
    with pytest.raises(IntegrityError), transaction.atomic():
        GuestNews.objects.create(guest=guest, day=LATE)


def test_take__on_the_day_of_a_count_is_after_it_when_it_comes_after_it(
    act: Any, stock: Stock
) -> None:
    day = IN_BLOOM
    place = {"bed": stock.bed, "position": "4"}
    first = take_out(act(), plant=stock.teapot, number=2, fate="sold", day=day, **place).thing
    count_stock(act(), plant=stock.teapot, number=10, day=day, taken=3, fate="given", **place)
    then = take_out(act(), plant=stock.teapot, number=4, fate="sold", day=day, **place).thing
    loose = take_out(act(), plant=stock.teapot, number=1, fate="sold", day=day).thing
    assert [one.before_count for one in (first, then, loose)] == [True, False, False]
    assert looks_at([stock.teapot.pk])[stock.teapot.pk].there == 5


def test_place__that_was_misread_takes_its_counts_along(act: Any, stock: Stock) -> None:
    placed = place_plant(act(), plant=stock.teapot, bed=stock.bed, position="4", increases=3).thing
    later = IN_BLOOM + timedelta(days=30)
    at = act(day=later)
    place = {"bed": stock.bed, "position": "4"}
    count_stock(at, plant=stock.teapot, number=10, day=later, **place)
    correct_placing(act(day=later), placing=placed, bed=stock.bed, position="9",
                    since=placed.since, increases=3, reason="misread")  # fmt: skip
    assert StockCount.live.get().position == "9"
    (spot,) = spots_of([stock.teapot.pk])[stock.teapot.pk]
    assert (spot.position, spot.number) == ("9", 10)
    assert looks_at([stock.teapot.pk])[stock.teapot.pk].there == 10


def test_take__without_a_place_where_none_is_known(act: Any, stock: Stock) -> None:
    kept = take_out(act(day=LATE), plant=stock.teapot, number=1, fate="lost")
    assert kept.line.text == "1 fan of Quillon Teapot lost (20 August 2025)"
    gone = kept.thing
    line = correct_taken(act(), gone=gone, number=2, fate="given", day=LATE, reason="to Emil").line
    assert StockTaken.objects.get(pk=gone.pk).fate == "given"
    undo(act(), line=line)
    assert StockTaken.objects.get(pk=gone.pk).number == 1


def sent(act: Any, stock: Stock, **more: Any) -> Any:
    values = {"plant": stock.teapot, "garden_name": " The  Reed Garden", "terms": "test",
              "number": 3, "bed": stock.bed, "position": "4"}  # fmt: skip
    return send_guest(act(day=LATE), **values | more)


def test_guest__counts_as_taken_and_goes_with_its_undo(act: Any, stock: Stock) -> None:
    kept = sent(act, stock)
    assert kept.thing.garden_name == "The Reed Garden"
    gone = StockTaken.live.get()
    assert (gone.number, gone.fate, gone.guest) == (3, "sent", kept.thing)
    with pytest.raises(Refused, match="went to another garden"):
        correct_taken(act(), gone=gone, number=2, fate="lost", day=LATE, reason="x")
    undo(act(), line=kept.line)
    assert not GuestSent.live.exists()
    assert not StockTaken.live.exists()


def test_guest__sold_ones_count_as_sold(act: Any, stock: Stock) -> None:
    sent(act, stock, terms="sale")
    assert StockTaken.live.get().fate == "sold"


def test_guest__a_correction_goes_through_to_what_was_taken(act: Any, stock: Stock) -> None:
    guest = sent(act, stock).thing
    values = {"garden_name": "Reed House", "terms": "sale", "number": 2, "reason": "as billed"}
    line = correct_guest(act(), guest=guest, sent_on=LATE - timedelta(days=1), **values).line
    gone = StockTaken.live.get()
    assert (gone.number, gone.fate, gone.note) == (2, "sold", "to Reed House")
    assert gone.day == LATE - timedelta(days=1)
    undo(act(), line=line)
    assert StockTaken.live.get().number == 3


def test_guest__what_is_awaited(act: Any, stock: Stock) -> None:
    guest = sent(act, stock).thing
    assert outstanding(guest, []) == ("a report", "3 of 3 plants")
    note_guest(act(), guest=guest, report="bloomed well", returned=1)
    assert told(guest, IN_BLOOM).open == ("2 of 3 plants",)
    note_guest(act(), guest=guest, returned=2)
    assert told(guest, IN_BLOOM).open == ()
    trade = sent(act, stock, terms="trade").thing
    assert told(trade, IN_BLOOM).open == ("what comes for it",)
    note_guest(act(), guest=trade, report="two rhizomes of theirs came")
    assert told(trade, IN_BLOOM).open == ()
    assert told(sent(act, stock, terms="sale").thing, IN_BLOOM).open == ()


def test_guest__ended_has_nothing_open_until_that_is_undone(act: Any, stock: Stock) -> None:
    guest = sent(act, stock).thing
    line = note_guest(act(), guest=guest, ended=True).line
    guest.refresh_from_db()
    assert told(guest, IN_BLOOM).open == ()
    with pytest.raises(Refused, match="It was ended"):
        note_guest(act(), guest=guest, ended=True)
    undo(act(), line=line)
    guest.refresh_from_db()
    assert told(guest, IN_BLOOM).open


def test_guest__is_not_undone_while_news_hang_on_it(act: Any, stock: Stock) -> None:
    kept = sent(act, stock)
    note_guest(act(), guest=kept.thing, report="well")
    with pytest.raises(Refused, match="hangs on it"):
        undo(act(), line=kept.line)
    assert StockTaken.live.count() == 1


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({}, "report"),
        ({"returned": -1}, "returned"),
        ({"report": "x", "day": LATE - timedelta(days=1)}, "day"),
    ],
)
def test_news__refuse_what_cannot_be(
    act: Any, stock: Stock, values: dict[str, Any], field: str
) -> None:
    guest = sent(act, stock).thing
    with pytest.raises(Refused) as refused:
        note_guest(act(), guest=guest, **values)
    assert list(refused.value.messages) == [field]


def test_looks__a_placing_with_increases_is_a_count(act: Any, stock: Stock) -> None:
    place_plant(act(day=LATE - YEAR), plant=stock.teapot, bed=stock.bed, position="4", increases=3)
    counted(act, stock, 8, LATE, taken=1, fate="given")
    looks = looks_at([stock.teapot.pk])[stock.teapot.pk]
    (span,) = looks.spans
    assert (span.start, span.end, span.taken) == (3, 8, 1)
    assert (looks.there, looks.day) == (8, LATE)
    assert looks_at()[stock.teapot.pk].spans == [span]


def test_looks__a_count_of_that_day_goes_before_the_placing(act: Any, stock: Stock) -> None:
    place_plant(act(day=LATE), plant=stock.teapot, bed=stock.bed, position="4", increases=3)
    counted(act, stock, 5, LATE)
    assert looks_at([stock.teapot.pk])[stock.teapot.pk].there == 5


def test_looks__what_came_back_stands_here_again(act: Any, stock: Stock) -> None:
    counted(act, stock, 8, LATE)
    guest = sent(act, stock).thing
    StockTaken.objects.update(day=LATE + timedelta(days=1))
    assert looks_at([stock.teapot.pk])[stock.teapot.pk].there == 5
    note_guest(act(), guest=guest, returned=2)
    assert looks_at([stock.teapot.pk])[stock.teapot.pk].there == 7


def test_looks__of_everybody_take_few_queries(
    act: Any, stock: Stock, django_assert_num_queries: Any
) -> None:
    for plant in (stock.teapot, stock.ledger, stock.oboe):
        for number, day in ((3, LATE - YEAR), (7, LATE)):
            count_stock(act(day=day), plant=plant, number=number, bed=stock.bed, position="1")
    with django_assert_num_queries(4):
        assert len(looks_at()) == 3


def test_spots__where_it_stands_and_was_counted(act: Any, stock: Stock) -> None:
    place_plant(act(day=LATE - YEAR), plant=stock.teapot, bed=stock.bed, position="10")
    counted(act, stock, 8, LATE)
    counted(act, stock, 0, LATE, position="3")
    counted(act, stock, 2, LATE, bed=None, elsewhere="potted")
    names = [(spot.name, spot.number) for spot in spots_of([stock.teapot.pk])[stock.teapot.pk]]
    assert names == [("Long Bed 4", 8), ("Long Bed 10", None), ("potted", 2)]


def test_stops__own_seedlings_and_what_is_offered(act: Any, stock: Stock) -> None:
    from garden.records import add_plant

    own = add_plant(act(), number="24-001A", kind="seedling", seed_parent=stock.teapot,
                    pollen_parent=stock.ledger).thing  # fmt: skip
    for plant, position in ((stock.teapot, "1"), (stock.oboe, "2"), (own, "3")):
        place_plant(act(), plant=plant, bed=stock.bed, position=position)
    introduce(act(), plant=stock.oboe, year=2026)
    assert [stop.plant for stop in stops(IN_BLOOM)] == [stock.oboe, own]
    assert [stop.plant for stop in stops(IN_BLOOM, every=True)] == [stock.teapot, stock.oboe, own]
    count_stock(act(), plant=own, number=2, bed=stock.bed, position="3")
    assert [stop.done for stop in stops(IN_BLOOM)] == [False, True]


def test_plant__with_counts_is_not_struck_out(act: Any, stock: Stock) -> None:
    counted(act, stock, 5, LATE, plant=stock.guest)
    with pytest.raises(Refused, match="count of 5 in Long Bed 4 on 2025-08-20 hangs on it"):
        strike_plant(act(), plant=stock.guest, reason="x")


def test_journal__speaks_of_the_plant(act: Any, stock: Stock) -> None:
    lines = [
        counted(act, stock, 5, LATE).line,
        sent(act, stock).line,
        take_out(act(), plant=stock.teapot, number=1, fate="lost").line,
    ]
    spoken = JournalLine.objects.filter(
        mentions__kind="garden.plant", mentions__thing_id=stock.teapot.pk
    )
    assert {line.pk for line in lines} <= set(spoken.values_list("pk", flat=True))
