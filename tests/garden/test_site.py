from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError

from breeding.records import put_away
from garden.models import Bed, Garden
from garden.models.site import check_month_day
from garden.records import add_bed, change_bed, change_garden, undo
from garden.verbs import Refused


def test_garden__made_when_missing(db) -> None:
    assert Garden.get().pk == 1
    assert Garden.get() == Garden.objects.get()


def test_garden__today_is_that_of_its_zone(garden_row) -> None:
    garden_row.time_zone = "Pacific/Auckland"
    with time_machine.travel(datetime(2026, 5, 20, 13, tzinfo=UTC), tick=False):
        assert garden_row.today() == date(2026, 5, 21)


def test_check_month_day__nonsense() -> None:
    check_month_day("11-25")
    with pytest.raises(ValidationError, match="month-day"):
        check_month_day("25-11")


def test_change_garden__settings(act, bare) -> None:
    kept = change_garden(act(), name="Mill Garden", inches=True, sow_on="10-20", pod_ripe_days=60)
    garden = Garden.objects.get()
    assert (garden.name, garden.inches, garden.sow_on) == ("Mill Garden", True, "10-20")
    assert garden.calendar.pod_ripe_due(date(2024, 6, 1)) == date(2024, 7, 31)
    assert kept.line.changed[0]["before"]["sow_on"] == "11-25"


def test_change_garden__hemisphere_takes_the_yearly_days_along(act, bare) -> None:
    change_garden(act(), hemisphere="S")
    garden = Garden.objects.get()
    assert (garden.sow_on, garden.count_from, garden.bloom_from) == ("05-25", "09-25", "11-10")


def test_change_garden__days_chosen_with_the_hemisphere_stay(act, bare) -> None:
    change_garden(act(), hemisphere="S", sow_on="06-01", count_from="09-01", bloom_from="10-20")
    assert Garden.objects.get().sow_on == "06-01"


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"time_zone": "Europe/Nowhere"}, "time_zone", "Choose a time zone"),
        ({"pod_check_days": 0}, "pod_check_days", "from 1 to 400"),
        ({"bloom_days": 401}, "bloom_days", "from 1 to 400"),
        ({"pod_ripe_days": 18}, "pod_ripe_days", "A pod ripens after"),
        ({"pod_check_days": 56}, "pod_ripe_days", "A pod ripens after"),
        ({"sow_on": "25-11"}, "sow_on", "month-day"),
        ({"hemisphere": "W"}, "hemisphere", "not a valid choice"),
        ({"name": ""}, "name", "Give the garden a name"),
        ({"next_tag": 1}, "", "next_tag is no setting"),
        ({"name": "Garden at the Mill Race"}, "", "Nothing was changed"),
    ],
)
def test_change_garden__refused(act, bare, fields: dict, field: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence) as refused:
        change_garden(act(), **fields)
    assert list(refused.value.messages) == [field]


def test_change_garden__owner_only(act, helper_person) -> None:
    with pytest.raises(Refused, match="Only the owner"):
        change_garden(act(helper_person), name="Emil's")


def test_change_garden__undone(act, bare) -> None:
    line = change_garden(act(), hemisphere="S").line
    undo(act(), line=line)
    garden = Garden.objects.get()
    assert (garden.hemisphere, garden.sow_on) == ("N", "11-25")


def test_add_bed__laid_out(act, bare) -> None:
    bed = add_bed(act(), name="  Short   Bed ", rows=2, positions=8, note="sandy").thing
    assert (bed.name, bed.rows, bed.positions, bed.note) == ("Short Bed", 2, 8, "sandy")


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({"name": " "}, "name", "Give the bed a name"),
        ({"name": "'"}, "name", "Give the bed a name"),
        ({"name": "LONG  bed"}, "name", "already a bed called LONG bed"),
        ({"rows": 0}, "rows", "from 1 to 500 rows"),
        ({"rows": 501}, "rows", "from 1 to 500 rows"),
        ({"positions": 0}, "positions", "from 1 to 5000"),
        ({"positions": 5001}, "positions", "from 1 to 5000"),
    ],
)
def test_add_bed__refused(act, stock, values: dict, field: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence) as refused:
        add_bed(act(), **{"name": "Short Bed"} | values)
    assert list(refused.value.messages) == [field]
    assert Bed.objects.count() == 1


def size(bed: Bed, **values: object) -> dict:
    return {"bed": bed, "name": bed.name, "rows": 4, "positions": 30, "note": "", **values}


def test_change_bed__renamed_and_resized(act, stock) -> None:
    kept = change_bed(act(), **size(stock.bed, name="Longer Bed", positions=40))
    assert (kept.thing.name, kept.thing.folded, kept.thing.positions) == (
        "Longer Bed", "longer bed", 40,
    )  # fmt: skip
    assert kept.line.changed[0]["before"] == {"name": "Long Bed", "positions": 30}


def test_change_bed__nothing_changed(act, stock) -> None:
    with pytest.raises(Refused, match="Nothing was changed"):
        change_bed(act(), **size(stock.bed))


def test_change_bed__name_of_another(act, stock) -> None:
    add_bed(act(), name="Short Bed")
    with pytest.raises(Refused, match="already a bed called Short Bed"):
        change_bed(act(), **size(stock.bed, name="Short Bed"))


def test_change_bed__seedlings_keep_their_place(act, cast) -> None:
    with pytest.raises(Refused, match="Seedlings stand at position 12") as refused:
        change_bed(act(), **size(cast.bed, positions=11))
    assert list(refused.value.messages) == ["positions"]
    assert change_bed(act(), **size(cast.bed, rows=1, positions=12)).thing.positions == 12


def test_change_bed__row_in_use(act, cast) -> None:
    cast.row.__class__.objects.update(row=3)
    with pytest.raises(Refused, match="Seedlings stand in row 3") as refused:
        change_bed(act(), **size(cast.bed, rows=2))
    assert list(refused.value.messages) == ["rows"]


def test_change_bed__free_once_the_row_is_put_away(act, cast) -> None:
    put_away(act(), thing=cast.row, reason="dug")
    assert change_bed(act(), **size(cast.bed, positions=3)).thing.positions == 3


def test_change_bed__undo_keeps_seedlings_in_the_bed(act, cast) -> None:
    put = put_away(act(), thing=cast.row, reason="dug").line
    change_bed(act(), **size(cast.bed, positions=3))
    with pytest.raises(Refused, match="lies outside the bed"):
        undo(act(), line=put)


def test_change_bed__struck(act, stock) -> None:
    kept = add_bed(act(), name="Short Bed")
    undo(act(), line=kept.line)
    with pytest.raises(Refused, match="Short Bed was struck out"):
        change_bed(act(), **size(kept.thing))
