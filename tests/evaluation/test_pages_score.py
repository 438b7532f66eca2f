"""Pages of scoring: chips and the counted stalk, what was typed stays, one's own corrected."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from breeding.models import Row
from evaluation.forms.scoring import chips_of
from evaluation.models import Candidate, Criterion, Decision, Glance, Mark, Rubric, Scoring
from evaluation.records import glance, score, write_rubric
from garden.models import JournalLine, Person, Photo
from tests.cast import Acts, Cast
from tests.pages import links, post, texts, tree
from tests.photos import drawn, encoded, upload

pytestmark = pytest.mark.django_db
MARKS = {
    "vigour": 4, "foliage": 5, "increase": 7, "strength": 3, "form": 5, "colour": 0,
    "substance": 4, "novelty": 1,
}  # fmt: skip
SENT = {f"mark_{key}": str(value) for key, value in MARKS.items()} | {"stalk": "T3 B2 B2 S1"}


@pytest.fixture
def full(db: None) -> Rubric:
    return Rubric.live.get(purpose="full", replaced_by=None)


@pytest.fixture
def short(db: None) -> Rubric:
    return Rubric.live.get(purpose="walk", replaced_by=None)


@pytest.fixture
def address(cast: Cast) -> str:
    return reverse("score-seedling", args=[cast.row.pk, 4])


@pytest.fixture
def given(act: Acts, cast: Cast, full: Rubric) -> Callable:
    """given(person): a score of the fourth seedling that somebody gave."""

    def by(person: Person | None = None, row: Row | None = None) -> Scoring:
        return score(
            act(person), rubric=full, row=row or cast.row, position=4,
            marks=MARKS, stalk="T3 B2 B2 S1", note="late",
        ).thing  # fmt: skip

    return by


def marks_of(scoring: Scoring) -> dict[str, float]:
    return dict(Mark.live.filter(scoring=scoring).values_list("criterion__key", "value"))


def chips(page: Any, key: str) -> list[str]:
    found = tree(page).cssselect(f"input[type=radio][name=mark_{key}]")
    return [each.get("value") for each in found]


def chosen(page: Any, name: str) -> list[str]:
    return [each.get("value") for each in tree(page).cssselect(f"input[name={name}][checked]")]


def rubric_shown(page: Any) -> list[str]:
    return texts(page, ".score-rubrics [aria-current]")


def test_score__full_rubric_in_its_groups(owner_client: Client, address: str, full: Rubric) -> None:
    page = owner_client.get(f"{address}?rubric={full.pk}")
    assert page.status_code == 200
    assert texts(page, "form.score section.marks h2")[:4] == [
        "Plant", "Stalk", "Flower", "Distinctiveness",
    ]  # fmt: skip
    assert chips(page, "form") == ["0", "1", "2", "3", "4", "5", ""]
    # One that increases more than full marks ask for is counted as it is.
    assert chips(page, "increase") == ["0", "1", "2", "3", "4", "5", "6", "7", ""]
    assert chips(page, "novelty") == ["0", "1", "2", ""]
    assert "Broad falls, standards that stand up and hold" in texts(page, "#hint_mark_form")[0]
    assert tree(page).cssselect("[data-stalk] [data-stalk-picture] svg")
    counted = Criterion.live.filter(rubric=full).exclude(counted="")
    folded = " ".join(texts(page, "details.fold > summary"))
    assert counted.count() == 2
    assert all(f"{each}: counted on the stalk" in folded for each in counted)


def test_score__full_keeps_every_mark_and_counts_the_stalk(
    owner_client: Client, address: str, full: Rubric
) -> None:
    answer = post(owner_client, f"{address}?rubric={full.pk}", **SENT, note="late", verdict="watch",
                  reason="once more next year")  # fmt: skip
    scoring, candidate = Scoring.live.get(), Candidate.live.get()
    assert answer.status_code == 303
    assert answer["Location"].partition("?")[0] == reverse("candidate", args=[candidate.pk])
    assert marks_of(scoring) == MARKS | {"branching": 3, "buds": 8}
    assert (scoring.rubric, scoring.stalk, scoring.note) == (full, "T3 B2 B2 S1", "late")
    assert (candidate.verdict, Decision.live.get().reason) == ("watch", "once more next year")
    line = JournalLine.objects.latest("pk")
    page = owner_client.get(answer["Location"])
    actions = [form.get("action") for form in tree(page).cssselect("form")]
    assert reverse("undo", args=[line.pk]) in actions


def test_score__what_is_not_judged_is_not_kept(
    owner_client: Client, address: str, full: Rubric
) -> None:
    sent = {"mark_form": "0", "mark_colour": "", "mark_buds": "9"}
    assert post(owner_client, f"{address}?rubric={full.pk}", **sent).status_code == 303
    assert marks_of(Scoring.live.get()) == {"form": 0, "buds": 9}


def test_score__from_the_walk_it_goes_on_walking(
    owner_client: Client, cast: Cast, address: str, short: Rubric
) -> None:
    walk = reverse("walk-row", args=[cast.row.pk])
    post(owner_client, walk, position="3", found="nothing")
    page = owner_client.get(f"{address}?walk=1")
    assert rubric_shown(page) == [str(short)]
    action = tree(page).cssselect("form.score")[0].get("action")
    assert "walk=1" in action
    answer = post(owner_client, f"{address}{action}", mark_flower="4")
    assert answer["Location"].partition("?")[0] == walk
    # What was scored was looked at.
    assert texts(owner_client.get(answer["Location"]), ".walk-at") == ["Position 5"]
    assert not Glance.live.filter(position=4).exists()


def test_score__opens_with_the_rubric_used_last(
    owner_client: Client, act: Acts, cast: Cast, address: str, full: Rubric, short: Rubric
) -> None:
    assert rubric_shown(owner_client.get(address)) == [str(full)]
    score(act(), rubric=short, row=cast.row, position=1, marks={"flower": 4})
    page = owner_client.get(address)
    assert rubric_shown(page) == [str(short)]
    others = tree(page).cssselect(".score-rubrics button")
    assert f"?rubric={full.pk}" in [each.get("formaction") for each in others]
    assert rubric_shown(owner_client.get(f"{address}?rubric={full.pk}")) == [str(full)]


def test_score__another_rubric_takes_along_what_was_given(
    owner_client: Client, address: str, full: Rubric, short: Rubric
) -> None:
    given = {"_other": "1", "mark_flower": "4", "mark_novelty": "2", "note": "wide falls"}
    page = owner_client.post(f"{address}?rubric={full.pk}", given)
    assert page.status_code == 200
    assert rubric_shown(page) == [str(full)]
    assert chosen(page, "mark_novelty") == ["2"]
    assert "wide falls" in page.content.decode()
    # What the other rubric alone asks for waits unseen, and comes back with it.
    assert [each.get("value") for each in tree(page).cssselect("[type=hidden][name=mark_flower]")]
    assert not Scoring.objects.exists()


@pytest.mark.parametrize("rubric", ["0", "x", "-1", "9" * 30, "٣", "\x00", "🌷"])
def test_score__nonsense_for_a_rubric_opens_the_usual_one(
    owner_client: Client, address: str, full: Rubric, rubric: str
) -> None:
    assert rubric_shown(owner_client.get(address, {"rubric": rubric})) == [str(full)]


@pytest.mark.parametrize(("wrong", "field"), [
    ({"stalk": "T3 B9 Q1"}, "stalk"),
    ({"mark_form": "9"}, "mark_form"),
    ({"mark_buds": "many"}, "mark_buds"),
    ({"mark_buds": "-1"}, "mark_buds"),
    ({"note": "x" * 1001}, "note"),
    ({"verdict": "perhaps"}, "verdict"),
    ({"day": "1999-05-20"}, "day"),
])  # fmt: skip
def test_score__refused_keeps_what_was_typed(
    owner_client: Client, address: str, full: Rubric, wrong: dict, field: str
) -> None:
    typed = {"stalk": "T3 B2", "mark_vigour": "4", "mark_novelty": "1", "note": "late"} | wrong
    answer = post(owner_client, f"{address}?rubric={full.pk}", **typed)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert (chosen(answer, "mark_vigour"), chosen(answer, "mark_novelty")) == (["4"], ["1"])
    page = tree(answer)
    assert page.cssselect("[name=stalk]")[0].get("value") == typed["stalk"]
    assert page.cssselect("[name=note]")[0].value.strip() == typed["note"]
    assert texts(answer, ".errors[role=alert] li")
    assert not Scoring.objects.exists()
    assert not Candidate.objects.exists()


def test_score__nothing_at_all_is_no_score(
    owner_client: Client, address: str, full: Rubric
) -> None:
    answer = post(owner_client, f"{address}?rubric={full.pk}")
    assert answer.status_code == 422
    assert "Give at least one mark" in texts(answer, ".errors li")[0]


def test_score__keeps_a_photo_of_the_seedling(
    owner_client: Client, address: str, full: Rubric
) -> None:
    sent = {"mark_form": "5", "photo": upload(encoded(drawn()))}
    assert post(owner_client, f"{address}?rubric={full.pk}", **sent).status_code == 303
    assert Photo.live.count() == 1


def test_score__a_bad_photo_is_refused_and_the_marks_stay(
    owner_client: Client, address: str, full: Rubric
) -> None:
    sent = {"mark_form": "5", "photo": upload(b"no picture at all")}
    answer = post(owner_client, f"{address}?rubric={full.pk}", **sent)
    assert (answer.status_code, chosen(answer, "mark_form")) == (422, ["5"])
    assert "photo" in answer.context["form"].errors
    assert not Scoring.objects.exists()


def test_score__of_somebody_else_is_named_and_its_marks_are_not(
    owner_client: Client, helper_person: Person, given: Callable, address: str
) -> None:
    given(helper_person)
    page = owner_client.get(address)
    assert chosen(page, "mark_form") == [""]
    assert tree(page).cssselect("[name=stalk]")[0].get("value", "") == ""
    assert any("Scored this season: Emil on" in text for text in texts(page, "p.soft"))
    assert not [link for link in links(page) if link.startswith("/scores/")]


def test_score__of_one_s_own_may_be_corrected_from_the_form(
    owner_client: Client, given: Callable, address: str
) -> None:
    own = reverse("score-correct", args=[given().pk])
    assert own in links(owner_client.get(address))


def test_score__two_phones_lose_nothing(
    owner_client: Client, helper_client: Client, address: str, full: Rubric
) -> None:
    for client, form in ((owner_client, "5"), (helper_client, "1")):
        post(client, f"{address}?rubric={full.pk}", mark_form=form)
    told = Scoring.live.order_by("pk").values_list("person__name", flat=True)
    assert list(told) == ["Wanda", "Emil"]
    assert [marks_of(each) for each in Scoring.live.order_by("pk")] == [{"form": 5}, {"form": 1}]
    assert Candidate.live.get().scores == 2


def test_score__double_tap_counts_once(owner_client: Client, address: str, full: Rubric) -> None:
    sent = {"entry": "6b1f0f6e-5a0c-4e55-9d2b-0e8f5d1f8a11", "mark_form": "5"}
    first, again = (owner_client.post(f"{address}?rubric={full.pk}", sent) for _ in range(2))
    assert first["Location"] == again["Location"]
    assert Scoring.objects.count() == 1


def test_score__of_a_plant_of_the_stock(owner_client: Client, cast: Cast, full: Rubric) -> None:
    address = reverse("score-plant", args=[cast.teapot.pk])
    assert "Quillon Teapot" in texts(owner_client.get(address), "h1")[0]
    answer = post(owner_client, f"{address}?rubric={full.pk}", mark_form="5")
    candidate = Candidate.live.get()
    assert (answer.status_code, candidate.plant, candidate.row) == (303, cast.teapot, None)


def test_correct__one_s_own_stands_filled_in(owner_client: Client, given: Callable) -> None:
    scoring = given()
    address = reverse("score-correct", args=[scoring.pk])
    page = owner_client.get(address)
    assert {key: chosen(page, f"mark_{key}") for key in MARKS} == {
        key: [str(value)] for key, value in MARKS.items()
    }
    assert tree(page).cssselect("[name=stalk]")[0].get("value") == "T3 B2 B2 S1"
    sent = SENT | {"mark_form": "2", "note": "late", "reason": "two rows mixed up"}
    assert post(owner_client, address, **sent).status_code == 303
    assert marks_of(scoring) == MARKS | {"form": 2, "branching": 3, "buds": 8}
    assert JournalLine.objects.latest("pk").reason == "two rows mixed up"


def test_correct__a_mark_that_no_chip_offers_is_not_lost(
    owner_client: Client, act: Acts, cast: Cast, full: Rubric
) -> None:
    marks = {"form": 4, "increase": 11}
    scoring = score(act(), rubric=full, row=cast.row, position=5, marks=marks).thing
    address = reverse("score-correct", args=[scoring.pk])
    page = owner_client.get(address)
    assert chips(page, "increase")[-2:] == ["11", ""]
    assert chosen(page, "mark_increase") == ["11"]
    sent = {"mark_increase": "11", "mark_form": "3", "reason": "second look"}
    assert post(owner_client, address, **sent).status_code == 303
    assert marks_of(scoring) == {"form": 3, "increase": 11}
    (changed,) = JournalLine.objects.latest("pk").changed
    assert (changed["before"], changed["after"]) == ({"value": 4.0}, {"value": 3.0})


def test_correct__asks_why(owner_client: Client, given: Callable) -> None:
    scoring = given()
    address = reverse("score-correct", args=[scoring.pk])
    answer = post(owner_client, address, **SENT | {"mark_form": "2"})
    assert (answer.status_code, chosen(answer, "mark_form")) == (422, ["2"])
    assert "reason" in answer.context["form"].errors
    assert marks_of(scoring)["form"] == 5


def test_correct__nobody_changes_somebody_else_s(
    owner_client: Client, helper_person: Person, given: Callable
) -> None:
    scoring = given(helper_person)
    address = reverse("score-correct", args=[scoring.pk])
    before = marks_of(scoring)
    answer = post(owner_client, address, **SENT | {"mark_form": "2", "reason": "too good"})
    assert answer.status_code == 422
    assert "nobody else changes it" in texts(answer, ".errors")[0]
    assert marks_of(scoring) == before


def test_correct__of_somebody_else_is_read_only(
    owner_client: Client, helper_person: Person, given: Callable
) -> None:
    page = owner_client.get(reverse("score-correct", args=[given(helper_person).pk]), follow=True)
    assert not tree(page).cssselect("form.score")


def test_visitor__opens_no_score(
    visitor_client: Client, given: Callable, cast: Cast, address: str
) -> None:
    plant = reverse("score-plant", args=[cast.teapot.pk])
    for page in (address, plant, reverse("score-correct", args=[given().pk])):
        assert visitor_client.get(page).status_code == 403
        assert post(visitor_client, page, mark_form="1").status_code == 403
    assert Scoring.live.count() == 1


@pytest.mark.parametrize("position", ["0", "13", "99999999999999999999"])
def test_score__of_a_position_that_the_row_has_not(
    owner_client: Client, cast: Cast, full: Rubric, position: str
) -> None:
    address = f"/rows/{cast.row.pk}/{position}/score/"
    answer = post(owner_client, f"{address}?rubric={full.pk}", mark_form="5")
    assert answer.status_code == owner_client.get(address).status_code == 404
    assert not Candidate.objects.exists()


def test_score__of_a_called_one_clears_it_from_the_waiting(
    owner_client: Client, act: Acts, cast: Cast, address: str, full: Rubric
) -> None:
    glance(act(day=act().garden.today()), row=cast.row, position=4, found="again")
    assert address in links(owner_client.get(reverse("judging")))
    post(owner_client, f"{address}?rubric={full.pk}", mark_form="5")
    assert address not in links(owner_client.get(reverse("judging")))


def test_chips__count_and_measure_by_their_scale() -> None:
    count = Criterion(scale="count", least=0, full=3)
    assert [word for _, word in chips_of(count)] == ["0", "1", "2", "3", "4", "5+"]
    assert chips_of(Criterion(scale="count", least=0, full=40)) == []
    assert chips_of(Criterion(scale="measure", least=0, full=9)) == []
    assert chips_of(Criterion(scale="yes_no", least=0, full=1)) == [("1", "yes"), ("0", "no")]
    falling = Criterion(scale="points", least=5, full=1)
    assert [value for value, _ in chips_of(falling)] == ["1", "2", "3", "4", "5"]


def test_score__measures_with_their_unit_and_a_comma(
    owner_client: Client, act: Acts, address: str
) -> None:
    height = {
        "key": "height", "title": "Height", "group": "stalk", "scale": "measure", "weight": 10,
        "least": 40, "full": 100, "unit": "cm", "full_words": "Tall",
    }  # fmt: skip
    kept = write_rubric(act(), name="Tall ones", purpose="full", criteria=[height])
    here = f"{address}?rubric={kept.thing.pk}"
    page = owner_client.get(here)
    assert tree(page).cssselect("[name=mark_height]")[0].get("inputmode") == "decimal"
    assert any(text.startswith("Height in cm") for text in texts(page, "label"))
    for wrong in ("tall", "nan", "1e9", "-4"):
        refused = post(owner_client, here, mark_height=wrong)
        assert (refused.status_code, bool(texts(refused, "#wrong_mark_height"))) == (422, True)
    post(owner_client, here, mark_height="96,5")
    assert marks_of(Scoring.live.get()) == {"height": 96.5}


def test_score__a_reason_without_its_decision_is_not_lost(
    owner_client: Client, address: str, full: Rubric
) -> None:
    sent = {"mark_form": "4", "stalk": "T3 X2", "reason": "once more"}
    answer = post(owner_client, f"{address}?rubric={full.pk}", **sent)
    # Both faults are told at once.
    assert texts(answer, "#id_verdict .err") == ["Choose the decision that this is the reason for."]
    assert "“X2” is no socket" in texts(answer, "#wrong_stalk")[0]
    assert tree(answer).cssselect("[name=reason]")[0].get("value") == "once more"
