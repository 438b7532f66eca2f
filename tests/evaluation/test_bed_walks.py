"""The lists of judging that a phone takes into the beds: rows with a person's walk, score sheets,
and the forms of the page that belong to them."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from lxml import html

from breeding.models import Row
from breeding.records import line_out, note_bloom
from evaluation.bed.pages import Asked
from evaluation.bed.rows import rows as rows_list
from evaluation.forms.scoring import ScoreForm
from evaluation.models import Candidate, Glance, LookOver, Rubric
from evaluation.records import clear_out, decide, glance, score, select_seedling
from evaluation.walking import the_walk
from garden.models import Garden, Person
from garden.records import add_bed, place_plant
from tests.cast import IN_BLOOM, LINED_OUT, Acts, Cast, noon
from tests.pages import tree

pytestmark = pytest.mark.django_db
ON_THE_WIRE = 15_000


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        yield


def whole(client: Client, name: str) -> list[dict[str, Any]]:
    """The whole list, each answer small enough on its way."""
    found, after = [], ""
    while after is not None:
        answer = client.get(
            reverse("bed-list", args=[name]),
            {"after": after},
            headers={"Accept-Encoding": "gzip"},
        )
        assert len(answer.content) <= ON_THE_WIRE
        packed = answer.headers.get("Content-Encoding") == "gzip"
        told = json.loads(gzip.decompress(answer.content) if packed else answer.content)
        found += told["rows"]
        after = told["more"]
    return found


def the_row(client: Client, row: Row) -> dict[str, Any]:
    return next(one for one in whole(client, "rows") if one["pk"] == row.pk)


@pytest.fixture
def second(act: Acts, cast: Cast) -> Row:
    """Another stretch of the same row of the bed."""
    place = {"bed": cast.bed, "row": 1, "first": 15, "seedlings": 3}
    return line_out(act(day=LINED_OUT), pot=cast.pot, **place).thing


def test_row__tells_where_it_stands_and_of_which_cross(owner_client: Client, cast: Cast) -> None:
    told = the_row(owner_client, cast.row)
    assert (told["bed"], told["row"], told["first"], told["last"]) == ("Long Bed", 1, 1, 12)
    assert (told["seed"], told["pollen"]) == ("Quillon Teapot", "Marzipan Ledger")
    assert (told["cross"], told["blooms"], told["due"]) == (cast.cross.code, "2025-11-07", True)
    assert told["signs"] == "." * 12
    assert "on" not in told


def test_row__has_ones_own_walk_with_a_sign_a_position(
    owner_client: Client, helper_client: Client, helper_person: Person, cast: Cast, act: Acts
) -> None:
    for position, found in ((1, "nothing"), (2, "again"), (3, "gap"), (5, "dead")):
        glance(
            act(), row=cast.row, position=position, found=found, note="tall" * (found == "again")
        )
    glance(act(person=helper_person), row=cast.row, position=7, found="again")
    told = the_row(owner_client, cast.row)
    assert told["signs"] == "nag.d......."
    assert (told["at"], told["on"], told["notes"]) == (5, IN_BLOOM.isoformat(), {"2": "tall"})
    theirs = the_row(helper_client, cast.row)
    assert theirs["signs"] == "..x.x.a....."
    assert theirs["known"]["2"] == ["", "2026: look again, Wanda: tall"]


@pytest.mark.parametrize("backward", [False, True])
def test_row__signs_tell_the_next_position_as_the_walk_does(
    owner_client: Client, owner: Person, cast: Cast, act: Acts, backward: bool
) -> None:
    first = 12 if backward else 1
    glance(act(), row=cast.row, position=first, found="again", backward=backward)
    clear_out(act(), row=cast.row, positions=[2, 3])
    told = the_row(owner_client, cast.row)
    left = [at + 1 for at, sign in enumerate(told["signs"]) if sign == "."]
    walk = the_walk(owner, cast.row, IN_BLOOM)
    assert told["backward"] is backward
    assert (left[-1] if backward else left[0]) == walk.next_after()
    assert [at for at, sign in enumerate(told["signs"], 1) if sign == "x"] == sorted(walk.gone)


def test_row__scored_since_the_walk_began_counts_as_walked(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    glance(act(), row=cast.row, position=1, found="nothing")
    score(act(), rubric=Rubric.live.first(), marks={}, note="fine", row=cast.row, position=2)
    assert the_row(owner_client, cast.row)["signs"] == "ns.........."


def test_row__tells_letter_decision_scores_and_looks(
    owner_client: Client, helper_person: Person, cast: Cast, act: Acts
) -> None:
    before = IN_BLOOM - timedelta(days=8)
    for note in ("first", "second", "third"):
        glance(
            act(person=helper_person, day=before),
            row=cast.row,
            position=4,
            found="again",
            note=note,
        )
        LookOver.objects.update(began_on=before - timedelta(days=60))
        Glance.objects.update(day=before - timedelta(days=30))
    selected = select_seedling(act(), row=cast.row, position=4).thing
    score(act(), rubric=Rubric.live.first(), marks={}, note="fine", row=cast.row, position=4)
    decide(act(), candidates=[Candidate.live.get(position=4)], verdict="watch")
    told = the_row(owner_client, cast.row)["known"]["4"]
    assert told[:3] == [selected.code, "Watch, decided 20 May 2026", "Scored: Wanda 2026"]
    assert [line.rpartition(" ")[2] for line in told[3:]] == ["third", "second"]


def test_walk__that_was_left_long_ago_is_not_taken_up(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    glance(act(), row=cast.row, position=1, found="again", note="tall")
    with time_machine.travel(noon(IN_BLOOM + timedelta(days=4)), tick=False):
        told = the_row(owner_client, cast.row)
    assert (told["signs"], told["looked"]) == ("." * 12, 1)
    assert "on" not in told
    assert told["known"]["1"] == ["", "2026: look again, Wanda: tall"]


def test_rows__hold_the_further_stretches_of_a_row_of_the_bed(
    owner_client: Client, cast: Cast, act: Acts, second: Row
) -> None:
    far = add_bed(act(), name="Far Bed").thing
    many_rows(cast, 1, 2)
    Row.objects.filter(row=2).update(bed=far, row=1)
    Row.objects.exclude(pk=cast.row.pk).update(lined_out_on=date(2022, 6, 1))
    told = {one["pk"]: one["due"] for one in whole(owner_client, "rows")}
    assert told == {cast.row.pk: True, second.pk: False}


def test_rows__out_of_season_are_those_whose_walk_is_open(
    owner_client: Client, helper_client: Client, cast: Cast, act: Acts
) -> None:
    autumn = date(2026, 10, 1)
    with time_machine.travel(noon(autumn), tick=False):
        glance(act(day=autumn), row=cast.row, position=2, found="dead")
        (told,) = whole(owner_client, "rows")
        assert (told["due"], told["signs"]) == (False, ".d..........")
        assert whole(helper_client, "rows") == []


def many_rows(cast: Cast, rows: int, length: int) -> None:
    """Rows lined out beside each other; `length` positions in each."""
    Row.objects.bulk_create(
        Row(pot=cast.pot, cross=cast.cross, bed=cast.bed, row=2 + at, first=1, last=length,
            lined_out_on=LINED_OUT) for at in range(rows)
    )  # fmt: skip


def test_rows__of_200000_positions_come_in_small_answers(owner_client: Client, cast: Cast) -> None:
    many_rows(cast, 2000, 100)
    told = whole(owner_client, "rows")
    assert len(told) == 2001
    assert sum(len(one["signs"]) for one in told) == 200_012
    assert len({one["pk"] for one in told}) == 2001


def test_rows__cost_the_same_queries_however_many(
    garden_row: Garden, owner: Person, cast: Cast, act: Acts
) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            rows_list(Asked(garden_row, owner, IN_BLOOM))
        return len(seen)

    glance(act(), row=cast.row, position=1, found="again")
    before = queries()
    many_rows(cast, 30, 10)
    for row in Row.live.filter(row__gte=20):
        glance(act(), row=row, position=1, found="again", note="fine")
    assert queries() == before
    assert before <= 18


def test_row__of_very_many_told_positions_still_fits(
    owner_client: Client, helper_person: Person, cast: Cast, act: Acts
) -> None:
    many_rows(cast, 1, 3000)
    row = Row.live.get(row=2)
    walk = act(person=helper_person).make(
        LookOver(row=row, person=helper_person, season=2026, began_on=IN_BLOOM)
    )
    seen = {"look_over": walk, "found": "again", "day": IN_BLOOM}
    Glance.objects.bulk_create(
        Glance(position=at, note=f"{at * 7919 % 9973}" * 9, **seen) for at in range(1, 3001)
    )
    told = the_row(owner_client, row)
    assert len(told["signs"]) == 3000


# Score sheets


def test_rubrics__are_the_very_fields_of_the_score_page(owner_client: Client, cast: Cast) -> None:
    given = {one["pk"]: one for one in whole(owner_client, "rubrics")}
    current = Rubric.live.filter(replaced_by=None)
    assert set(given) == {rubric.pk for rubric in current}
    for rubric in current:
        address = reverse("score-seedling", args=[cast.row.pk, 3])
        page = tree(owner_client.get(address, {"rubric": rubric.pk})).get_element_by_id("score")
        marks = html.fromstring(f"<div>{given[rubric.pk]['html']}</div>")
        assert named(marks) == {one for one in named(page) if one[0].startswith(("mark_", "stalk"))}
        assert given[rubric.pk]["name"] == str(rubric)


def named(form: html.HtmlElement) -> set[tuple[str, str]]:
    """(name, value) of chips, (name, '') of what is typed."""
    fields = form.cssselect("input[name], textarea[name], select[name]")
    return {
        (field.get("name"), field.get("value") if field.get("type") == "radio" else "")
        for field in fields
    }


def template(client: Client, name: str) -> html.HtmlElement:
    return tree(client.get(reverse("in-bed"))).get_element_by_id(name)


def test_forms__of_the_page_carry_what_the_ordinary_pages_post(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    """Names, choices and what is hidden; the token comes with the sending."""

    def same(shape: str, address: str, form: str, **more: Any) -> None:
        there = tree(owner_client.get(address, more)).cssselect(form)[0]
        ours = template(owner_client, shape)
        buttons = "button[name]"
        assert {one.get("value") for one in there.cssselect(buttons)} <= {
            one.get("value") for one in ours.cssselect(buttons)
        }
        names = {name for name, _ in named(there)} - {"csrfmiddlewaretoken"}
        assert names <= {name for name, _ in named(ours)} | MARKS

    rubric = Rubric.live.filter(replaced_by=None).first()
    MARKS = {name for name in ScoreForm(rubric=rubric).fields if name.startswith("mark_")}
    MARKS |= {"stalk"}
    glance(act(), row=cast.row, position=12, found="nothing", backward=True)
    same("bed-walk", reverse("walk-row", args=[cast.row.pk]), "form.walk-form", anew=1, backward=1)
    same(
        "bed-score",
        reverse("score-seedling", args=[cast.row.pk, 2]),
        "form#score",
        rubric=rubric.pk,
    )
    same("bed-photo", reverse("photo-new", args=[cast.teapot.pk]), "form.form")


# Bloom


def test_bloom__names_the_bed_and_goes_on_behind_what_was_noted_meanwhile(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    plants = (cast.teapot, cast.ledger, cast.postman)
    for at, plant in enumerate(plants):
        place_plant(act(), plant=plant, bed=cast.bed, position=f"1-{at + 1}")
        note_bloom(act(day=IN_BLOOM - timedelta(days=3)), plant=plant, stage="first")
    told = whole(owner_client, "bloom")
    assert [one["pk"] for one in told][:3] == [plant.pk for plant in plants]
    assert {one.get("bed") for one in told[:3]} == {"Long Bed"}
    note_bloom(act(), plant=cast.teapot, stage="last")
    with time_machine.travel(noon(IN_BLOOM + timedelta(days=1)), tick=False):
        behind = owner_client.get(reverse("bed-list", args=["bloom"]), {"after": cast.teapot.pk})
    assert [one["pk"] for one in behind.json()["rows"]][:2] == [cast.ledger.pk, cast.postman.pk]
