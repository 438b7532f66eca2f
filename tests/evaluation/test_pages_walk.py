"""The walk on the page: one entry a tap, small answers, the place kept; and the home of judging."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.models import Row
from breeding.records import line_out
from evaluation.models import Candidate, Glance, LookOver, Rubric
from evaluation.records import glance, score, select_seedling
from garden.models import Person
from tests.cast import IN_BLOOM, LINED_OUT, Acts, Cast, noon
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db
# What the issue allows, and what a phone at the far end of the garden deserves.
MOST_BYTES, WANTED_BYTES = 15_000, 8_000
HX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        yield


@pytest.fixture
def walk(cast: Cast) -> str:
    return reverse("walk-row", args=[cast.row.pk])


@pytest.fixture
def second(act: Acts, cast: Cast) -> Row:
    place = {"bed": cast.bed, "row": 1, "first": 15, "seedlings": 3}
    return line_out(act(day=LINED_OUT), pot=cast.pot, **place).thing


def at(page: Any) -> str:
    """The position that the page stands at; '' at the end."""
    return "".join(texts(page, ".walk-at")).removeprefix("Position ")


def tap(client: Client, walk: str, page: Any, found: str, **more: Any) -> Any:
    """Tap an answer on the page as its script would send it."""
    form = tree(page).cssselect("form.walk-form")[0]
    assert form.get("hx-post") == form.get("action")
    hidden = form.cssselect("input[type=hidden]")
    sent = {field.get("name"): field.get("value") or "" for field in hidden}
    return client.post(form.get("action"), sent | {"found": found} | more, headers=HX)


def found() -> list[tuple[int, str]]:
    return list(Glance.live.order_by("id").values_list("position", "found"))


def test_walk__one_tap_notes_and_moves_on(owner_client: Client, walk: str) -> None:
    page = owner_client.get(walk)
    assert (at(page), texts(page, ".walk-where .keep")) == ("1", ["1 of 12"])
    for position, word in ((1, "nothing"), (2, "again"), (3, "gap"), (4, "dead")):
        assert at(page) == str(position)
        page = tap(owner_client, walk, page, word)
        assert page.status_code == 200
    assert (at(page), texts(page, ".walk-where .keep")) == ("5", ["5 of 12"])
    assert found() == [(1, "nothing"), (2, "again"), (3, "gap"), (4, "dead")]
    assert Candidate.live.get().position == 2


@pytest.mark.parametrize("word", ["nothing", "again", "gap", "dead"])
def test_answer__is_the_changed_part_alone_and_small(
    owner_client: Client, act: Acts, cast: Cast, walk: str, word: str
) -> None:
    scored_by_many(act, cast, 2)
    answer = tap(owner_client, walk, owner_client.get(walk), word, note="x" * 200)
    assert [each.get("id") for each in tree(answer).xpath("//*[@id='walk']")] == ["walk"]
    assert not tree(answer).cssselect("nav, head, link, script")
    assert len(answer.content) < WANTED_BYTES < MOST_BYTES
    assert answer["HX-Replace-Url"] == walk


def scored_by_many(act: Acts, cast: Cast, position: int) -> None:
    """Much that is known of one position."""
    rubric = Rubric.live.get(purpose="walk", replaced_by=None)
    for name in ("Benno", "Cäcilie", "Dorkas", "Eginhard"):
        person = Person.objects.create_user(name, role="helper")
        glance(act(person), row=cast.row, position=position, found="again", note="w" * 200)
        score(act(person), rubric=rubric, row=cast.row, position=position, marks={"flower": 3})


def test_answer__refused_is_small_and_keeps_the_note(owner_client: Client, walk: str) -> None:
    page = owner_client.get(walk)
    answer = tap(owner_client, walk, page, "nothing", note="n" * 201)
    assert answer.status_code == 422
    assert at(answer) == "1"
    assert texts(answer, "#wrong_note") == ["At most 200 letters; these are 201."]
    assert tree(answer).cssselect("input[name=note]")[0].get("value") == "n" * 201
    assert tree(answer).cssselect("details:has(input[name=note])")[0].get("open") is not None
    assert len(answer.content) < MOST_BYTES
    assert not Glance.objects.exists()


def test_answer__offers_the_way_back_and_the_score(
    owner_client: Client, cast: Cast, walk: str
) -> None:
    page = tap(owner_client, walk, owner_client.get(walk), "again", note="red haft")
    assert texts(page, ".walk-kept p") == ["✓ 1: look again, red haft"]
    score_it = reverse("score-seedling", args=[cast.row.pk, 1]) + "?walk=1"
    assert score_it in links(page, ".walk-kept a")
    (form,) = tree(page).cssselect(".walk-kept form")
    taken_back = owner_client.post(
        form.get("action"), {"entry": str(uuid.uuid4())}, headers={"Referer": f"http://testserver{walk}"}
    )  # fmt: skip
    assert at(owner_client.get(taken_back["Location"])) == "1"
    assert found() == []
    nothing = tap(owner_client, walk, owner_client.get(walk), "nothing")
    assert links(nothing, ".walk-kept a") == []


def test_tap__doubled_counts_once_and_said_anew_changes(owner_client: Client, walk: str) -> None:
    page = owner_client.get(walk)
    first, second = (tap(owner_client, walk, page, "again") for _ in range(2))
    assert (at(first), at(second), found()) == ("2", "2", [(1, "again")])
    other = tap(owner_client, walk, page, "nothing")
    assert (other.status_code, found()) == (422, [(1, "again")])
    page = owner_client.get(f"{walk}?at=1")
    assert texts(page, ".walk-known b") == ["Noted on this walk: look again"]
    assert at(tap(owner_client, walk, page, "nothing")) == "2"
    assert found() == [(1, "nothing")]


def test_two_phones__of_one_person_walk_together(owner_client: Client, walk: str) -> None:
    mine, other = owner_client.get(walk), owner_client.get(walk)
    tap(owner_client, walk, mine, "nothing")
    assert at(tap(owner_client, walk, other, "gap")) == "2"
    assert (found(), LookOver.live.count()) == ([(1, "gap")], 1)


def test_place__is_kept_and_any_other_is_open(owner_client: Client, walk: str) -> None:
    page = owner_client.get(f"{walk}?at=7")
    assert at(page) == "7"
    page = tap(owner_client, walk, page, "nothing")
    assert (at(page), at(owner_client.get(walk))) == ("8", "8")
    with time_machine.travel(noon(IN_BLOOM + timedelta(days=2))):
        assert at(owner_client.get(walk)) == "8"
    with time_machine.travel(noon(IN_BLOOM + timedelta(days=20))):
        assert at(owner_client.get(walk)) == "1"
    back = next(link for link in links(page, ".walk-ways a") if "at=" in link)
    assert at(owner_client.get(back, headers=HX)) == "7"
    assert at(owner_client.get(f"{walk}?anew=1")) == "1"
    assert at(owner_client.get(f"{walk}?after=10")) == "11"


@pytest.mark.parametrize(
    "asked", ["?at=0", "?at=13", "?at=½", "?at=9999999999", "?after=x", "?at="]
)
def test_place__nonsense_is_passed_over(owner_client: Client, walk: str, asked: str) -> None:
    assert at(owner_client.get(walk + asked)) == "1"


def test_walk__begins_at_the_far_end(owner_client: Client, walk: str) -> None:
    page = owner_client.get(f"{walk}?backward=1")
    assert (at(page), texts(page, ".walk-where .keep")) == ("12", ["1 of 12"])
    page = tap(owner_client, walk, page, "nothing")
    assert (at(page), LookOver.live.get().backward) == ("11", True)
    assert page["HX-Replace-Url"] == f"{walk}?backward=1"
    assert at(owner_client.get(walk)) == "11"


def test_walk__anew_begins_another(owner_client: Client, walk: str) -> None:
    tap(owner_client, walk, owner_client.get(walk), "nothing")
    page = tap(owner_client, walk, owner_client.get(f"{walk}?anew=1"), "again")
    assert (at(page), LookOver.live.count()) == ("2", 2)
    assert at(tap(owner_client, walk, page, "nothing")) == "3"
    assert LookOver.live.count() == 2


def test_walk__tells_what_is_known_and_passes_over_gaps(
    owner_client: Client, helper_person: Person, act: Acts, cast: Cast, walk: str
) -> None:
    helper = act(helper_person)
    glance(helper, row=cast.row, position=2, found="gap")
    for position, word, note in ((1, "again", "red haft"), (3, "again", "")):
        by = act(helper_person)
        glance(by, row=cast.row, position=position, found=word, note=note)
    select_seedling(act(), row=cast.row, position=3, reason="ruffled")
    page = owner_client.get(walk)
    assert texts(page, ".walk-known li") == ["2026: look again, Emil: red haft"]
    assert texts(page, ".walk-head svg title") == []
    assert len(tree(page).cssselect(".walk-head svg")) == 2
    assert texts(page, ".walk-cross .parents") == ["Quillon Teapot × Marzipan Ledger"]
    page = tap(owner_client, walk, page, "nothing")
    assert (at(page), texts(page, ".walk-letter")) == ("3", ["Seedling 24-001A"])
    assert "Passed over 2: nothing stands there." in texts(page, ".walk-card p")


def test_walk__leads_on_to_the_next_stretch_and_tells_at_the_end(
    owner_client: Client, act: Acts, cast: Cast, second: Row, walk: str
) -> None:
    for position in range(1, 12):
        found = "again" if position == 4 else "nothing"
        glance(act(), row=cast.row, position=position, found=found)
    page = tap(owner_client, walk, owner_client.get(walk), "gap")
    assert at(page) == "15"
    onward = reverse("walk-row", args=[second.pk])
    assert page["HX-Replace-Url"] == onward
    for word in ("nothing", "again", "dead"):
        page = tap(owner_client, onward, page, word)
    assert at(page) == ""
    assert texts(page, ".walk-end .facts div") == ["Nothing11", "Look again2", "Gap1", "Dead1"]
    assert texts(page, ".walk-end p")[0] == "15 positions in 1 minute."
    assert links(page, ".walk-called a") == [
        reverse("score-seedling", args=[row.pk, position]) + "?walk=1"
        for row, position in ((cast.row, 4), (second, 16))
    ]
    # Opened once more, the row says the same.
    assert texts(owner_client.get(walk), ".walk-end h2") == ["Walked to the end"]


def test_walk__of_a_row_without_a_living_plant(
    owner_client: Client, act: Acts, cast: Cast, second: Row, helper_person: Person
) -> None:
    for position in (15, 16, 17):
        glance(act(helper_person), row=second, position=position, found="gap")
    page = owner_client.get(reverse("walk-row", args=[second.pk]))
    assert texts(page, ".walk-end h2") == ["Nothing stands here any more"]


def test_without_script__each_answer_leads_back_to_the_walk(
    owner_client: Client, walk: str
) -> None:
    answer = post(owner_client, walk, position=1, found="nothing", follow=False)
    assert (answer.status_code, answer["Location"].partition("?kept=")[0]) == (303, walk)
    page = owner_client.get(answer["Location"])
    assert at(page) == "2"
    assert texts(page, ".kept button") == ["Undo Nothing at position 1 of Long Bed, row 1, 1–12"]


def test_walk__too_young_to_bloom_takes_gaps_alone(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    place = {"bed": cast.bed, "row": 2, "first": 1, "seedlings": 3}
    young = line_out(act(day=date(2026, 5, 1)), pot=cast.pot, **place).thing
    walk = reverse("walk-row", args=[young.pk])
    page = owner_client.get(walk)
    enabled = [
        each.get("value") for each in tree(page).cssselect("button[name=found]:not([disabled])")
    ]
    assert enabled == ["gap", "dead"]
    assert not [link for link in links(page, ".walk-ways a") if "score" in link]
    refused = tap(owner_client, walk, page, "again")
    assert refused.status_code == 422
    assert "it cannot have bloomed" in texts(refused, "#wrong_day")[0]
    assert at(tap(owner_client, walk, page, "gap")) == "2"


def test_walk__asks_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    owner_client.get(walk)
    counts = []
    for _ in range(3):
        with CaptureQueriesContext(connection) as asked:
            tap(owner_client, walk, owner_client.get(walk), "nothing")
        counts.append(len(asked))
        for position in range(3, 9):
            glance(act(), row=cast.row, position=position, found="nothing")
    # The first look begins the walk.
    assert counts[1] == counts[2] <= 45


def test_walk__visitors_read_the_row_instead(visitor_client: Client, cast: Cast, walk: str) -> None:
    assert visitor_client.get(walk).status_code == 403
    assert visitor_client.post(walk, {"position": 1, "found": "gap"}).status_code == 403
    row = reverse("row", args=[cast.row.pk])
    assert visitor_client.get(reverse("row-at", args=[cast.row.pk, 3]))["Location"] == row
    assert row in links(visitor_client.get(reverse("judging")), ".lines a")
    assert not Glance.objects.exists()


def test_today__leads_into_the_walk(
    owner_client: Client, visitor_client: Client, cast: Cast, walk: str
) -> None:
    assert walk in links(owner_client.get(reverse("today")), ".due .line")
    assert walk not in links(visitor_client.get(reverse("today")))
    row = owner_client.get(reverse("row", args=[cast.row.pk]))
    assert links(row, ".act .btn--main") == [walk]
    assert reverse("select-seedling", args=[cast.row.pk]) in links(row, ".act a")


def test_row__before_its_bloom_is_not_walked(owner_client: Client, cast: Cast, walk: str) -> None:
    with time_machine.travel(noon(date(2025, 8, 1))):
        page = owner_client.get(reverse("row", args=[cast.row.pk]))
    assert walk not in links(page)


def test_judging__rows_called_ones_and_ways(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    glance(act(), row=cast.row, position=4, found="again")
    glance(act(), row=cast.row, position=1, found="nothing")
    page = owner_client.get(reverse("judging"))
    assert links(page, ".lines a.line")[0] == walk
    assert "2 of 12 looked at, 1 called" in texts(page, ".lines .small")[0]
    assert links(page, ".again .btn") == [reverse("score-seedling", args=[cast.row.pk, 4])]
    assert reverse("candidates") in links(page, "#desk ~ ul a")
    assert "page" in [way.get("aria-current") for way in tree(page).cssselect(".way")]


def test_judging__out_of_season(owner_client: Client, cast: Cast) -> None:
    with time_machine.travel(noon(date(2026, 11, 2))):
        page = owner_client.get(reverse("judging"))
    told = texts(page, ".empty")[0]
    assert told.startswith("No row is expected to bloom. Bloom is looked for from 10 May 2027 on.")


def test_row_at__leads_to_the_candidate_or_the_walk(
    owner_client: Client, act: Acts, cast: Cast, walk: str
) -> None:
    here = reverse("row-at", args=[cast.row.pk, 4])
    assert owner_client.get(here)["Location"] == f"{walk}?at=4"
    glance(act(), row=cast.row, position=4, found="again")
    candidate = reverse("candidate", args=[Candidate.live.get().pk])
    assert owner_client.get(here)["Location"] == candidate
