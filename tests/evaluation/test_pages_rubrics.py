"""Pages of rubrics: read by everybody, written by the owner, with what a weight would change."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from evaluation.forms.criteria import key_for
from evaluation.models import Criterion, Rubric
from evaluation.previewing import preview, spearman
from evaluation.records import revise_rubric, score
from tests.cast import Cast
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

Acts = Callable[..., Any]
LIST, NEW = reverse("rubrics"), reverse("rubric-new")
MOST_BYTES = 15_000


@pytest.fixture
def full(bare: object) -> Rubric:
    return Rubric.live.get(name="Full hundred")


@pytest.fixture
def scored(act: Acts, cast: Cast) -> Rubric:
    """Three seedlings: position 1 has the form, 2 the stalk, 3 neither."""
    full = Rubric.live.get(name="Full hundred")
    for at, form, stalk in ((1, 5, "T1 B1"), (2, 2, "T3 B3 B3 S2"), (3, 1, "T1")):
        score(act(), rubric=full, row=cast.row, position=at, marks={"form": form}, stalk=stalk)
    return full


def at(name: str, rubric: Rubric) -> str:
    return reverse(name, args=[rubric.pk])


def everything() -> list[Any]:
    return [
        list(model._default_manager.order_by("pk").values_list())
        for app in ("garden", "evaluation")
        for model in apps.get_app_config(app).get_models()
    ]


def sent_of(client: Client, address: str) -> dict[str, str]:
    """The form of a page as it would be sent untouched."""
    form = client.get(address).context["form"]
    return {each.html_name: str(each.value() or "") for each in form if each.name != "entry"}


def test_list__groups_weights_and_source(visitor_client: Client, full: Rubric) -> None:
    page = visitor_client.get(LIST)
    assert texts(page, "h2") == ["First walk", "Full hundred"]
    assert "Distinctiveness 10" in texts(page, ".rubric-key li")
    assert "Handbook for Judges" in texts(page, ".card .small")[1]
    assert len(tree(page).cssselect(".card svg.bar rect")) == 8
    assert at("rubric-change", full) not in links(page)


def test_page__one_version_whole(helper_client: Client, full: Rubric) -> None:
    page = helper_client.get(at("rubric", full))
    assert texts(page, "section .h2 h2") == ["Plant", "Stalk", "Flower", "Distinctiveness"]
    assert texts(page, "section .h2 b") == ["30", "35", "25", "10"]
    rows = texts(page, ".rubric-criteria li")
    assert "Ten buds or more" in rows[4]
    assert "buds of the stalk): 3 earns nothing, 10 earns all 13" in rows[4]
    assert "Never seen 100 %" in rows[-1]


def test_page__tells_what_it_replaces_and_how_many_scores_stand_under_it(
    owner_client: Client, act: Acts, scored: Rubric
) -> None:
    new = revise_rubric(act(), rubric=scored, weights={"buds": 20}, reason="weeks").thing
    old_page, new_page = (owner_client.get(at("rubric", each)) for each in (scored, new))
    assert "3 scores given under it" in texts(old_page, ".rubric-head")[0]
    assert "No score is given under it yet" in texts(new_page, ".rubric-head")[0]
    assert at("rubric", new) in links(old_page, ".card--next a")
    assert at("rubric", scored) in links(new_page, ".rubric-head a")
    assert at("rubric-change", scored) not in links(old_page)


def test_change__an_old_version_leads_on_to_the_newest(
    owner_client: Client, act: Acts, full: Rubric
) -> None:
    new = revise_rubric(act(), rubric=full, weights={"buds": 20}, reason="weeks").thing
    assert owner_client.get(at("rubric-change", full))["Location"] == at("rubric-change", new)


@pytest.mark.parametrize("name", ["rubric-change", "rubric-preview"])
def test_change__is_the_owners(helper_client: Client, full: Rubric, name: str) -> None:
    assert helper_client.get(at(name, full)).status_code == 403
    assert helper_client.post(at(name, full), {"weight_buds": "1"}).status_code == 403


def test_change__untouched_changes_nothing(owner_client: Client, full: Rubric) -> None:
    sent = sent_of(owner_client, at("rubric-change", full))
    answer = post(owner_client, at("rubric-change", full), **sent | {"reason": "no change"})
    assert answer.status_code == 422
    assert texts(answer, ".errors li") == ["Nothing was changed."]


def test_change__needs_a_reason(owner_client: Client, full: Rubric) -> None:
    sent = sent_of(owner_client, at("rubric-change", full)) | {"weight_buds": "20"}
    answer = post(owner_client, at("rubric-change", full), **sent)
    assert answer.status_code == 422
    assert texts(answer, "#wrong_reason") == ["Write why it is changed."]
    assert Rubric.live.count() == 2


def test_change__writes_the_next_version(owner_client: Client, full: Rubric) -> None:
    address = at("rubric-change", full)
    more = {"weight_buds": "20,5", "full_buds": "12", "full_words_form": "Wide", "gone_foliage":
            "on", "title_new1": "Haft marks", "weight_new1": "4", "group_new1": "flower",
            "scale_new1": "choice", "choices_new1": "Striped = 0\nClean = 100",
            "full_words_new1": "Clean to the beard", "reason": "buds are weeks"}  # fmt: skip
    answer = post(owner_client, address, **sent_of(owner_client, address) | more)
    new = Rubric.live.get(name=full.name, version=2)
    assert answer.status_code == 303
    assert answer["Location"].startswith(at("rubric", new))
    there = {each.key: each for each in Criterion.live.filter(rubric=new)}
    before = set(Criterion.live.filter(rubric=full).values_list("key", flat=True))
    assert set(there) == before - {"foliage"} | {"haft_marks"}
    assert (there["buds"].weight, there["buds"].full, there["form"].full_words) == (
        20.5,
        12,
        "Wide",
    )
    assert there["haft_marks"].choices == [["Striped", 0.0], ["Clean", 1.0]]
    assert Criterion.live.get(rubric=full, key="buds").full == 10


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"weight_buds": "many"}, "weight_buds"),
        ({"weight_buds": "-1"}, "weight_buds"),
        ({"full_buds": "3"}, "full_buds"),
        ({"least_buds": ""}, "least_buds"),
        ({"scale_form": "choice"}, "choices_form"),
        ({"choices_novelty": "Never seen = a lot\nOften = 0"}, "choices_novelty"),
        ({"choices_novelty": "Seen = 0\nseen = 100"}, "choices_novelty"),
        ({"counted_form": "buds"}, "counted_form"),
        ({"title_form": ""}, "title_form"),
    ],
)
def test_change__a_sentence_at_the_field(
    owner_client: Client, full: Rubric, more: dict[str, str], field: str
) -> None:
    address = at("rubric-change", full)
    sent = sent_of(owner_client, address) | {"reason": "try"} | more
    answer = post(owner_client, address, **sent)
    assert answer.status_code == 422
    assert len(texts(answer, f"#wrong_{field}")) == 1
    assert list(answer.context["form"].errors) == [field]


def test_criterion__comes_with_the_button_for_the_next(owner_client: Client, full: Rubric) -> None:
    part = owner_client.get(reverse("rubric-criterion") + "?add=3")
    assert len(tree(part).cssselect("[name=title_new3]")) == 1
    assert links(part, "#rubric-more") == ["?add=4"]
    assert len(part.content) < MOST_BYTES
    whole = owner_client.get(at("rubric-change", full) + "?add=3")
    assert len(tree(whole).cssselect("[name=title_new3]")) == 1


@pytest.mark.parametrize("number", ["", "x", "-1", "٣", "1" * 40])
def test_criterion__nonsense_is_not_found(bare, owner_client: Client, number: str) -> None:
    assert owner_client.get(reverse("rubric-criterion"), {"add": number}).status_code == 404


def test_preview__shows_places_won_and_lost_and_writes_nothing(
    owner_client: Client, scored: Rubric
) -> None:
    before = everything()
    sent = sent_of(owner_client, at("rubric-change", scored))
    first = owner_client.get(at("rubric-change", scored))
    assert texts(first, ".rubric-tab tbody th") == ["24-001 · 2", "24-001 · 1", "24-001 · 3"]
    light = {"weight_buds": "1", "weight_branching": "0", "weight_form": "90"}
    answer = owner_client.post(at("rubric-preview", scored), sent | light)
    assert texts(answer, ".rubric-tab tbody th") == ["24-001 · 1", "24-001 · 2", "24-001 · 3"]
    assert texts(answer, ".rubric-place") == ["↑ up 1 from 2", "↓ down 1 from 1", "= stays"]
    assert "24-001 · 2 falls from 1 to 2" in texts(answer, ".rubric-says")[0]
    assert "rank correlation 0.50" in answer.content.decode()
    assert texts(answer, "#sum-flower") == ["106"]
    assert len(answer.content) < MOST_BYTES
    assert everything() == before


def test_preview__of_weights_as_they_stand_moves_nobody(scored: Rubric) -> None:
    now = {each.key: each.weight for each in Criterion.live.filter(rubric=scored)}
    told = preview(scored, now)
    assert told.still
    assert told.correlation == pytest.approx(1)
    assert [each.merit for each in told.moved] == pytest.approx(
        [each.merit_before for each in told.moved]
    )


def test_preview__another_rubric_s_weights_move_nothing(owner_client: Client, scored) -> None:
    walk = Rubric.live.get(name="First walk")
    sent = sent_of(owner_client, at("rubric-change", walk)) | {"weight_flower": "90"}
    answer = owner_client.post(at("rubric-preview", walk), sent)
    assert texts(answer, ".rubric-says") == ["The first 3 keep their places."]
    assert "No score of 2026 was given by First walk" in answer.content.decode()


def test_preview__a_weight_that_is_no_number_is_told(owner_client: Client, scored: Rubric) -> None:
    sent = sent_of(owner_client, at("rubric-change", scored)) | {"weight_buds": "½"}
    answer = owner_client.post(at("rubric-preview", scored), sent)
    assert texts(answer, ".errors p") == ["Buds: Write a number."]
    assert texts(answer, ".rubric-tab") == []


def test_preview__no_weight_at_all_is_told(owner_client: Client, scored: Rubric) -> None:
    sent = sent_of(owner_client, at("rubric-change", scored))
    nothing = {name: "0" for name in sent if name.startswith("weight_")}
    answer = owner_client.post(at("rubric-preview", scored), sent | nothing)
    assert len(texts(answer, ".errors p")) >= 1
    assert answer.status_code == 200


def test_preview__nothing_scored_yet(owner_client: Client, full: Rubric) -> None:
    page = owner_client.get(at("rubric-change", full))
    assert "no ranking that could change" in texts(page, "#rubric-preview")[0]


def test_preview__asks_no_more_for_more_candidates(
    owner_client: Client, act: Acts, cast: Cast, scored: Rubric
) -> None:
    def queries(weight: str) -> int:
        sent = sent_of(owner_client, at("rubric-change", scored)) | {"weight_buds": weight}
        with CaptureQueriesContext(connection) as asked:
            owner_client.post(at("rubric-preview", scored), sent)
        return len(asked)

    few = queries("20")
    for position in range(4, 12):
        score(act(), rubric=scored, row=cast.row, position=position, marks={"form": 3})
    assert queries("21") <= few


def test_new__begins_as_a_copy_and_keeps_the_keys(owner_client: Client, full: Rubric) -> None:
    address = f"{NEW}?from={full.pk}"
    sent = sent_of(owner_client, address) | {"name": "For dwarfs", "weight_buds": "5"}
    answer = post(owner_client, address, **sent)
    made = Rubric.live.get(name="For dwarfs")
    assert answer["Location"].startswith(at("rubric", made))
    there = dict(Criterion.live.filter(rubric=made).values_list("key", "weight"))
    before = dict(Criterion.live.filter(rubric=full).values_list("key", "weight"))
    assert there == {**before, "buds": 5}
    assert made.version == 1


def test_new__a_name_that_is_taken_is_said_at_the_name(owner_client: Client, full: Rubric) -> None:
    sent = sent_of(owner_client, NEW) | {"name": "Full hundred"}
    answer = post(owner_client, NEW, **sent)
    assert answer.status_code == 422
    assert "already" in texts(answer, "#wrong_name")[0]


def test_key_for__a_slug_that_is_free() -> None:
    assert key_for("Haft marks!", set()) == "haft_marks"
    assert key_for("Haft marks", {"haft_marks", "haft_marks_2"}) == "haft_marks_3"
    assert key_for("???", set()) == "criterion"
    assert len(key_for("x" * 60, {"x" * 30})) <= 30


def test_spearman__of_orders() -> None:
    assert spearman([1, 2, 3, 4], [10, 20, 30, 40]) == pytest.approx(1)
    assert spearman([1, 2, 3, 4], [4, 3, 2, 1]) == pytest.approx(-1)
    # Ranks 1 2 3 4 5 against 2 1 4 3 5: 1 − 6·4 / (5·24).
    assert spearman([1, 2, 3, 4, 5], [2, 1, 4, 3, 5]) == pytest.approx(0.8)
    assert spearman([1, 1], [2, 3]) != spearman([1, 1], [2, 3])
