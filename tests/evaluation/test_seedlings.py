from __future__ import annotations

import uuid
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from breeding.records import harvest, line_out, sow
from evaluation.models import Seedling
from evaluation.records import correct_seedling, letter_of, select_seedling
from garden.models import JournalLine, Plant
from garden.records import add_plant, undo
from garden.verbs import Refused
from tests.cast import LINED_OUT
from tests.pages import links, post, texts


def refused(doing, sentence: str, field: str = "", **values) -> None:
    before = (JournalLine.objects.count(), Plant.objects.count(), Seedling.objects.count())
    with pytest.raises(Refused, match=sentence) as error:
        select_seedling(doing, **values)
    assert list(error.value.messages) == [field]
    assert before == (
        JournalLine.objects.count(), Plant.objects.count(), Seedling.objects.count(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("count", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (702, "AAA")]
)
def test_letter_of__like_columns_of_a_sheet(count: int, letter: str) -> None:
    assert letter_of(count) == letter


@given(st.integers(0, 100_000), st.integers(0, 100_000))
def test_letter_of__never_the_same_twice(one: int, other: int) -> None:
    assert (letter_of(one) == letter_of(other)) == (one == other)


def test_select_seedling__becomes_a_plant(act, cast) -> None:
    kept = select_seedling(
        act(), row=cast.row, position=3, reason=" wide falls ", height_cm=88, falls="violet"
    )
    seedling, plant = kept.thing, kept.thing.plant
    assert (seedling.code, seedling.letter, seedling.position) == ("24-001A", "A", 3)
    assert (seedling.reason, seedling.selected_on) == ("wide falls", date(2026, 5, 20))
    assert (plant.kind, plant.label, plant.year, plant.height_cm) == (
        "seedling", "24-001A", 2026, 88,
    )  # fmt: skip
    assert (plant.seed_parent, plant.pollen_parent) == (cast.teapot, cast.ledger)
    assert (plant.iris_class, plant.falls) == ("TB", "violet")
    assert kept.line.text == f"Selected 24-001A at position 3 of {cast.row}"


def test_select_seedling__the_line_speaks_of_row_and_cross(act, cast) -> None:
    kept = select_seedling(act(), row=cast.row, position=3)
    assert set(kept.line.mentions.values_list("kind", flat=True)) == {
        "evaluation.seedling", "evaluation.candidate", "garden.plant",
        "breeding.row", "breeding.cross",
    }  # fmt: skip


def test_select_seedling__letters_go_on_and_are_never_given_again(act, cast) -> None:
    first = select_seedling(act(), row=cast.row, position=3)
    second = select_seedling(act(), row=cast.row, position=9)
    undo(act(), line=first.line)
    third = select_seedling(act(), row=cast.row, position=3)
    assert [kept.thing.letter for kept in (first, second, third)] == ["A", "B", "C"]


def test_select_seedling__of_a_bee_pod(act, cast) -> None:
    cup = harvest(act(day=date(2024, 8, 1)), pollination=cast.bee_flower, seeds=5).thing
    pot = sow(act(day=date(2024, 11, 1)), cup=cup, seeds=5).thing
    row = line_out(act(day=LINED_OUT), pot=pot, bed=cast.bed, row=3, first=1, seedlings=5).thing
    plant = select_seedling(act(), row=row, position=5).thing.plant
    assert (plant.seed_parent, plant.pollen_parent, plant.pollen_parent_text) == (
        cast.postman, None, "unknown",
    )  # fmt: skip
    assert plant.iris_class == ""


@pytest.mark.parametrize("position", [0, -1, 13, 10**30])
def test_select_seedling__no_such_position(act, cast, position: int) -> None:
    refused(
        act(), f"Long Bed, row 1, 1–12 has no position {position}", "position",
        row=cast.row, position=position,
    )  # fmt: skip


def test_select_seedling__taken_already(act, cast) -> None:
    select_seedling(act(), row=cast.row, position=3)
    refused(
        act(), "The seedling at position 3 is 24-001A already", "position",
        row=cast.row, position=3,
    )  # fmt: skip


def test_select_seedling__before_it_can_have_bloomed(act, cast) -> None:
    refused(
        act(), "it cannot have bloomed by 6 November 2025", "day",
        row=cast.row, position=3, day=date(2025, 11, 6),
    )  # fmt: skip
    assert select_seedling(act(), row=cast.row, position=3, day=date(2025, 11, 7)).thing.pk


def test_select_seedling__not_come_yet(act, cast) -> None:
    refused(act(), "has not come yet", "day", row=cast.row, position=3, day=date(2026, 7, 1))


def test_select_seedling__struck_row(act, cast) -> None:
    kept = line_out(act(day=LINED_OUT), pot=cast.pot, bed=cast.bed, row=2, first=1, seedlings=2)
    undo(act(), line=kept.line)
    refused(act(), "This row was struck out", row=kept.thing, position=1)


def test_select_seedling__number_that_a_plant_already_has_is_passed_over(act, cast) -> None:
    add_plant(act(), number="24-001a")
    assert select_seedling(act(), row=cast.row, position=3).thing.code == "24-001B"


def test_select_seedling__colour_out_of_the_list(act, cast) -> None:
    refused(act(), "no word of the colour list", "falls", row=cast.row, position=3, falls="blurple")


def test_correct_seedling__what_stood_there_stays_in_the_journal(act, cast) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing
    values = {"position": 4, "seen": "ruffled", "day": date(2026, 5, 18)}
    kept = correct_seedling(act(), seedling=seedling, reason="misread", **values)
    assert (kept.thing.position, kept.thing.reason) == (4, "ruffled")
    assert (kept.thing.selected_on, kept.thing.code) == (date(2026, 5, 18), "24-001A")
    assert kept.line.reason == "misread"
    assert kept.line.text == (
        "Corrected 24-001A: position 3 → 4, what was seen wide falls → ruffled, "
        "day 2026-05-20 → 2026-05-18"
    )
    assert ("breeding.row", cast.row.pk) in kept.line.mentions.values_list("kind", "thing_id")
    undo(act(), line=kept.line)
    seedling.refresh_from_db()
    assert (seedling.position, seedling.reason) == (3, "wide falls")


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({}, "", "Nothing was changed"),
        ({"reason": " "}, "reason", "Write why it is corrected"),
        ({"position": 13}, "position", "has no position 13"),
        ({"position": 9}, "position", "The seedling at position 9 is 24-001B already"),
        ({"day": date(2025, 7, 1)}, "day", "it cannot have bloomed by 1 July 2025"),
        ({"day": date(2026, 7, 1)}, "day", "has not come yet"),
        ({"seen": "x" * 401}, "seen", "401 letters are too many"),
    ],
)
def test_correct_seedling__refused(act, cast, values, field, sentence) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    select_seedling(act(), row=cast.row, position=9)
    now = {"position": 3, "seen": "", "reason": "misread"}
    with pytest.raises(Refused, match=sentence) as error:
        correct_seedling(act(), seedling=seedling, **now | values)
    assert list(error.value.messages) == [field]


def test_seedling_page__it_tells_the_whole_way_and_what_comes_next(
    act, cast, owner_client: Client
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing
    page = owner_client.get(reverse("seedling", args=[seedling.code]))
    assert texts(page, ".mate .name") == ["Quillon Teapot", "Marzipan Ledger"]
    assert texts(page, ".life-step b") == [
        "1 flower worked", "1 pod set", "40 seeds from 1 pod", "30 seeds sown",
        "18 seedlings standing", "12 seedlings lined out", "1 seedling selected",
    ]  # fmt: skip
    assert "Describe its flower" in texts(page, ".card--next p")[0]


def test_seedling_page__it_is_corrected(act, cast, owner_client: Client) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing
    address = reverse("seedling-correct", args=[seedling.code])
    assert address in links(owner_client.get(reverse("seedling", args=[seedling.code])))
    form = owner_client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    assert post(owner_client, address, **sent).status_code == 422
    answer = post(owner_client, address, follow=True, **sent | {"position": 5, "reason": "misread"})
    assert any("position 3 → 5" in line for line in texts(answer, ".journal p"))


def test_select_seedling__same_entry(act, cast, helper_person) -> None:
    entry = uuid.uuid4()
    first = select_seedling(act(entry=entry), row=cast.row, position=3)
    assert select_seedling(act(entry=entry), row=cast.row, position=3).thing == first.thing
    refused(act(entry=entry), "already kept", row=cast.row, position=4)
    refused(act(helper_person, entry=entry), "already kept", row=cast.row, position=3)


def test_select_seedling__visitor(act, cast, visitor) -> None:
    refused(act(visitor), "Visitors read", row=cast.row, position=3)
