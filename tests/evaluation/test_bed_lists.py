"""The lists that a phone takes into the beds: what they hold, how large they are, when they are
the same."""

from __future__ import annotations

import gzip
import json
import random
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.models import Goal, Pollination, SeedCup
from breeding.records import add_goal, note_bloom, plan_crosses, record_pollination
from evaluation.bed.lists import LISTS
from evaluation.bed.pages import MOST_BYTES, Asked, Page, behind, cut
from evaluation.records import glance
from garden.models import Garden, Person, Plant
from garden.records import add_plant, change_plant
from tests.cast import IN_BLOOM, Acts, Cast, Stock, noon

pytestmark = pytest.mark.django_db
ON_THE_WIRE = 15_000


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        yield


def asked(client: Client, name: str, after: str = "", mark: str = "") -> Any:
    headers = {"If-None-Match": mark} if mark else {}
    return client.get(reverse("bed-list", args=[name]), {"after": after}, headers=headers)


def rows(client: Client, name: str) -> list[dict[str, Any]]:
    """The whole list, page after page, as a phone gathers it."""
    found, after = [], ""
    while after is not None:
        told = asked(client, name, after).json()
        assert told["name"] == name
        found += told["rows"]
        after = told["more"]
    return found


def test_plants__come_with_what_letters_are_looked_for_in(owner_client: Client, cast: Cast) -> None:
    found = {row["pk"]: row for row in rows(owner_client, "plants")}
    assert found[cast.teapot.pk] == {
        "pk": cast.teapot.pk, "name": "Quillon Teapot", "words": "TB · 1998 · white and violet",
        "code": False,
    }  # fmt: skip
    assert found[cast.guest.pk]["name"] == "Q 17-3"
    assert len(found) == Plant.live.count()


def test_plants__fold_is_told_where_small_letters_are_not_enough(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    accented = add_plant(act(), name="Déjeuner “Łąka”", number="K 4").thing
    found = {row["pk"]: row.get("fold") for row in rows(owner_client, "plants")}
    assert found[accented.pk] == "dejeuner laka\nk 4"
    assert found[stock.teapot.pk] is None


def test_tags__tell_the_flowers_of_the_season_that_are_done(
    owner_client: Client, cast: Cast
) -> None:
    with time_machine.travel(noon(date(2024, 8, 1)), tick=False):
        done = {row["tag"]: row for row in rows(owner_client, "tags") if "tag" in row}
    assert set(done) == {cast.flower.tag.code, cast.failed.tag.code}
    told = done[cast.failed.tag.code]
    assert (told["state"], told["day"], told["cross"]) == ("failed", "2024-06-01", cast.cross.code)
    assert (told["seed_pk"], told["pollen_pk"]) == (cast.teapot.pk, cast.ledger.pk)


def test_pods__are_the_open_flowers_with_their_due_day(owner_client: Client, cast: Cast) -> None:
    with time_machine.travel(noon(date(2024, 8, 1)), tick=False):
        (bee,) = rows(owner_client, "pods")
    due = date(2024, 6, 3) + timedelta(days=Garden.get().pod_check_days)
    assert (bee["tag"], bee["due"]) == (cast.bee_flower.tag.code, due.isoformat())
    assert bee["state"] == "worked"
    assert "pollen" not in bee
    assert "cups" not in bee


def test_pods__offer_the_cups_of_their_cross(owner_client: Client, cast: Cast, act: Acts) -> None:
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    record_pollination(act(), **pair, tag=cast.free_tag)
    flower = Pollination.live.latest("pk")
    cup = SeedCup.objects.create(
        cross=flower.cross, number=7, code="26-001-7", filled_on=IN_BLOOM, seeds=12
    )
    (told,) = (row for row in rows(owner_client, "pods") if row["tag"] == cast.free_tag)
    assert told["cups"] == [[cup.pk, cup.code, 12]]


def test_cups_and_pots__tell_what_is_left(owner_client: Client, cast: Cast) -> None:
    (cup,) = rows(owner_client, "cups")
    assert (cup["code"], cup["left"], cup["seed"]) == (cast.cup.code, 10, "Quillon Teapot")
    (pot,) = rows(owner_client, "pots")
    assert (pot["code"], pot["standing"], pot["lined_out"]) == (cast.pot.code, 6, 12)
    assert pot["counted"] == "2025-04-10"


def test_beds__say_where_lining_out_goes_on(owner_client: Client, cast: Cast) -> None:
    (bed,) = rows(owner_client, "beds")
    assert (bed["name"], bed["next"], bed["last"]) == ("Long Bed", [1, 13], True)


def test_plan__has_what_can_be_crossed_now(owner_client: Client, cast: Cast, act: Acts) -> None:
    add_goal(act(), name="Taller yellows")
    pairs = [(cast.teapot, cast.ledger, 3)]
    plan_crosses(act(), goal=Goal.live.get(), season=IN_BLOOM.year, pairs=pairs)
    for plant in (cast.teapot, cast.ledger):
        note_bloom(act(), plant=plant, stage="first")
    (line,) = rows(owner_client, "plan")
    assert (line["seed"], line["pollen_pk"], line["way"]) == (
        "Quillon Teapot", cast.ledger.pk, "OPEN"
    )  # fmt: skip
    assert (line["worked"], line["flowers"], line["goal"]) == (0, 3, "Taller yellows")


def test_bloom__has_the_open_plants_with_their_next_stage(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    note_bloom(act(day=IN_BLOOM - timedelta(days=3)), plant=cast.teapot, stage="first")
    told = {row["pk"]: row for row in rows(owner_client, "bloom")}
    assert told[cast.teapot.pk]["stage"] == "peak"
    assert told[cast.teapot.pk]["first_on"] == "2026-05-17"


@pytest.mark.parametrize("name", LISTS)
def test_lists__cost_no_more_queries_when_they_grow(
    owner_client: Client, cast: Cast, act: Acts, name: str
) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert asked(owner_client, name).status_code == 200
        return len(seen)

    queries()  # what is held in memory is read once
    before = queries()
    for number in range(4):
        plant = add_plant(act(), name=f"Later one {number}").thing
        pair = {"seed_parent": plant, "pollen_parent": cast.ledger}
        record_pollination(act(), **pair, tag=cast.tags[3 + number])
        glance(act(), row=cast.row, position=1 + number, found="again")
        note_bloom(act(), plant=plant, stage="first")
    queries()
    assert queries() <= before + 1
    assert queries() <= 24


def test_lists__are_the_same_as_long_as_nothing_was_written(
    owner_client: Client, cast: Cast
) -> None:
    first = asked(owner_client, "plants")
    with CaptureQueriesContext(connection) as seen:
        again = asked(owner_client, "plants", mark=first.headers["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert not any("garden_plant" in query["sql"] for query in seen)


def test_lists__stay_the_same_when_something_else_was_written(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    first = asked(owner_client, "plants")
    record_pollination(act(), seed_parent=cast.teapot, pollen_parent=cast.ledger, tag=cast.free_tag)
    again = asked(owner_client, "plants", mark=first.headers["ETag"])
    assert again.status_code == 304
    assert again.headers["ETag"] != first.headers["ETag"]
    changed = asked(owner_client, "pods", mark=first.headers["ETag"])
    assert changed.status_code == 200


def test_lists__are_others_once_they_changed(owner_client: Client, cast: Cast, act: Acts) -> None:
    first = asked(owner_client, "plants")
    change_plant(act(), plant=cast.teapot, name="Quillon Coffeepot")
    again = asked(owner_client, "plants", mark=first.headers["ETag"])
    assert again.status_code == 200
    assert "Quillon Coffeepot" in again.content.decode()


def test_lists__of_another_day_or_person_are_asked_anew(
    owner_client: Client, helper_client: Client, cast: Cast, act: Acts
) -> None:
    glance(act(), row=cast.row, position=1, found="nothing")
    mark = asked(owner_client, "rows").headers["ETag"]
    assert asked(helper_client, "rows", mark=mark).status_code == 200
    # Walks are taken up again within some days: after a month there is another one to begin.
    with time_machine.travel(noon(IN_BLOOM + timedelta(days=30)), tick=False):
        assert asked(owner_client, "rows", mark=mark).status_code == 200


@pytest.mark.parametrize("name", LISTS)
def test_lists__are_for_those_who_record(
    client: Client, visitor_client: Client, cast: Cast, name: str
) -> None:
    assert asked(visitor_client, name).status_code == 403
    stranger = asked(client, name)
    assert stranger.status_code == 302
    assert stranger.url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("after", ["x", "-1", "1.5", "9" * 40])
def test_lists__refuse_nonsense(owner_client: Client, cast: Cast, after: str) -> None:
    assert asked(owner_client, "plants", after).status_code == 404
    assert asked(owner_client, "nothing").status_code == 404


def test_large_stock__comes_in_answers_that_a_thin_line_carries(
    owner_client: Client, stock: Stock
) -> None:
    letters = random.Random(7)
    names = ["".join(letters.choices("abcdefghijklmnoprstuwåéłø", k=18)) for _ in range(1200)]
    Plant.objects.bulk_create(
        Plant(name=name.title(), folded=name, iris_class="TB", year=2000 + at % 20, falls="violet")
        for at, name in enumerate(names)
    )
    after, answers = "", 0
    while after is not None:
        answer = owner_client.get(
            reverse("bed-list", args=["plants"]),
            {"after": after},
            headers={"Accept-Encoding": "gzip"},
        )
        assert answer.headers["Content-Encoding"] == "gzip"
        assert len(answer.content) <= ON_THE_WIRE
        after, answers = json.loads(gzip.decompress(answer.content))["more"], answers + 1
    assert answers >= 3
    assert len({row["pk"] for row in rows(owner_client, "plants")}) == Plant.live.count()


def test_cut__takes_at_least_one_row_and_no_empty_values() -> None:
    far = {"name": "x" * (MOST_BYTES + 1), "note": "", "left": 0}
    page = cut([("1", far), ("2", {"name": "y"})])
    assert page == Page([{"name": far["name"], "left": 0}], "1")


def test_behind__goes_on_after_the_key() -> None:
    told = [(str(at), {"at": at}) for at in range(1, 5)]
    someone = Asked(Garden(), Person(), IN_BLOOM, "2")
    assert behind(told, someone).rows == [{"at": 3}, {"at": 4}]
    assert behind(told, Asked(Garden(), Person(), IN_BLOOM, "9")) == Page([], None)
