"""A day of judging in the bed with the garden out of reach: walks, scores, bloom, photos; then the
record says what the ordinary pages would have made of it."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import expect

from breeding.models import Bloom
from evaluation.models import Candidate, CandidatePhoto, Mark, Scoring
from garden.models import Garden, JournalLine, Photo
from tests.browser.bedside import (
    PHOTO,
    answer,
    away,
    back,
    chip,
    go,
    looks,
    score,
    stands_at,
    waits,
    walk,
)
from tests.browser.conftest import DESK
from tests.browser.conftest import PHONE as PHONE_SIZE
from tests.browser.test_access import LEAST, SMALL_TARGETS, found_on
from tests.cast import Cast
from tests.pages import post

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANSWERS = (
    ("Nothing", "nothing", ""), ("Look again", "again", "tall and late"), ("Gap", "gap", ""),
    ("Dead", "dead", "slug"), ("Nothing", "nothing", ""), ("Look again", "again", ""),
    ("Nothing", "nothing", ""), ("Nothing", "nothing", "pale"), ("Dead", "dead", ""),
    ("Nothing", "nothing", ""),
)  # fmt: skip


def test_day_of_judging_out_of_reach__is_in_the_record_as_by_the_pages(
    judging: Any, cast: Cast, owner: Any, helper_person: Any, helper_client: Client
) -> None:
    before, today = JournalLine.objects.count(), Garden.get().today()
    away(judging)
    walk(judging, cast.row, 1)
    for position, (name, _, note) in enumerate(ANSWERS, start=1):
        stands_at(judging, position)
        answer(judging, name, note)
    stands_at(judging, 11)
    score(judging, cast.row, 2)
    stands_at(judging, 11)
    go(judging, "bloom")
    for name in ("Quillon Teapot", "Marzipan Ledger"):
        judging.get_by_role("button", name=f"Peak: {name}").tap()
        stop = judging.locator(".bloom-stop", has_text=name)
        expect(stop).to_contain_text("✓ peak")
        expect(stop).to_contain_text("on this phone")
    go(judging, "photo")
    judging.get_by_role("textbox", name="Plant").fill("quil")
    judging.get_by_role("button", name="Quillon Teapot").tap()
    judging.locator("[data-photo]").set_input_files(PHOTO)
    expect(judging.locator("[data-preview]")).to_be_visible()
    judging.get_by_label("What it shows").fill("by the gate")
    judging.get_by_role("button", name="Keep the photo").tap()
    expect(judging.locator("#bed-kept")).to_contain_text("by the gate")
    assert waits(judging) == ["Look-over"] * 10 + ["Score", "Bloom", "Bloom", "Photo"]
    assert JournalLine.objects.count() == before

    # The same by the ordinary page, by somebody else.
    said = [(at, found, note, today, False) for at, (_, found, note) in enumerate(ANSWERS, 1)]
    page = reverse("walk-row", args=[cast.row.pk])
    for at, found, note, _, _ in said:
        post(helper_client, page, position=at, found=found, note=note)
    assert JournalLine.objects.count() == before + 10
    back(judging)
    lines = JournalLine.objects.order_by("pk")[before + 10 :]
    assert len(lines) == 14
    assert [line.happened_at for line in lines] == sorted(line.happened_at for line in lines)
    assert looks(owner) == said
    assert looks(helper_person) == said
    scoring = Scoring.live.get()
    assert (scoring.stalk, scoring.note, scoring.day) == ("T3 B2 B2 B2", "ruffled", today)
    assert dict(Mark.live.values_list("criterion__key", "value")) == {
        "form": 4, "buds": 9, "branching": 3
    }  # fmt: skip
    assert Candidate.live.get(position=2).verdict == "watch"
    assert CandidatePhoto.live.count() == 1
    peaks = Bloom.live.filter(plant__in=[cast.teapot, cast.ledger]).values_list(
        "peak_on", flat=True
    )
    assert list(peaks) == [today, today]
    photo = Photo.live.get(plant=cast.teapot)
    assert (photo.caption, photo.width) == ("by the gate", 900)


def test_take_back__of_a_look_and_of_bloom_leaves_nothing(judging: Any, cast: Cast) -> None:
    away(judging)
    walk(judging, cast.row, 1)
    answer(judging, "Gap")
    stands_at(judging, 2)
    judging.get_by_role("button", name="Take back").tap()
    stands_at(judging, 1)
    go(judging, "bloom")
    judging.get_by_role("button", name="Peak: Quillon Teapot").tap()
    judging.get_by_role("button", name="Take back: Quillon Teapot").tap()
    expect(judging.get_by_role("button", name="Peak: Quillon Teapot")).to_be_visible()
    assert waits(judging) == []


def test_score__that_waits_is_told_and_keeps_its_marks_under_another_sheet(
    judging: Any, cast: Cast
) -> None:
    away(judging)
    score(judging, cast.row, 3)
    go(judging, "score")
    judging.get_by_label("Position").fill("3")
    judging.get_by_role("button", name="Score it").first.tap()
    expect(judging.locator(".bed-waits")).to_contain_text("it waits on this phone")
    expect(judging.locator(".bed-waits")).to_contain_text("Full hundred")
    chip(judging, "Form", "5")
    judging.get_by_role("button", name="First walk").tap()
    expect(judging.get_by_role("group", name="Form", exact=True)).to_have_count(0)
    judging.get_by_role("button", name="Full hundred").tap()
    form = judging.get_by_role("group", name="Form", exact=True)
    expect(form.get_by_role("radio", name="5")).to_be_checked()
    judging.get_by_label("Note").fill("once more")
    judging.get_by_role("button", name="Keep this score").tap()
    stands_at(judging, 1)
    back(judging)
    assert sorted(Scoring.live.values_list("note", flat=True)) == ["once more", "ruffled"]
    given = Mark.live.filter(criterion__key="form").order_by("scoring")
    assert list(given.values_list("value", flat=True)) == [4, 5]


def test_position__that_the_row_has_not_is_told(judging: Any, cast: Cast) -> None:
    away(judging)
    go(judging, "score")
    judging.get_by_label("Position").fill("40")
    judging.get_by_role("button", name="Score it").first.tap()
    expect(judging.locator(".field--bad .err")).to_have_text("This row has the positions 1 to 12.")


@pytest.mark.parametrize("size", [PHONE_SIZE, DESK], ids=["phone", "desk"])
def test_pages_of_judging__pass_axe_and_have_large_targets(
    judging: Any, cast: Cast, size: dict[str, int]
) -> None:
    judging.set_viewport_size(size)
    away(judging)
    walk(judging, cast.row, 1)
    answer(judging, "Look again")
    found = []
    pages = ("walk", f"walk/{cast.row.pk}", "bloom", "score", f"score/row/{cast.row.pk}/1", "photo",
             f"photo/{cast.teapot.pk}", f"score/plant/{cast.teapot.pk}")  # fmt: skip
    for address in pages:
        go(judging, address)
        judging.wait_for_timeout(250)
        found += found_on(judging, address, size["width"])
        if size == PHONE_SIZE:
            found += [f"{address}: {small}" for small in judging.evaluate(SMALL_TARGETS, LEAST)]
    assert found == []


def test_score__of_nothing_is_told_at_once(judging: Any, cast: Cast) -> None:
    away(judging)
    go(judging, f"score/plant/{cast.teapot.pk}")
    keep = judging.get_by_role("button", name="Keep this score")
    keep.tap()
    wrong = judging.locator(".field--bad .err")
    expect(wrong).to_have_text("Give at least one mark, or write a note.")
    judging.get_by_label("Note").fill("ruffled")
    judging.get_by_label("Why").fill("for its ruffles")
    keep.tap()
    expect(wrong).to_have_text("Choose the decision that this is the reason for.")
    assert waits(judging) == []
