"""Pages of plans: sets balanced by themselves, crosses too unlikely left out, what is kept."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding import worths
from breeding.models import Goal, PlannedCross
from breeding.pages import plans
from breeding.pages.planasked import Asked
from breeding.pages.planflowers import flowers_words
from breeding.pages.planforms import LeastField
from breeding.pages.plans import Plan, the_plan
from breeding.pages.plansets import more_words
from breeding.pages.planwords import set_limit_words
from breeding.records import add_goal, note_bloom, plan_crosses
from breeding.worths import Value, Values
from garden.models import Garden
from garden.records import add_plant, place_plant
from tests.cast import Acts, Cast, noon
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

TODAY = date(2026, 5, 20)
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _in_bloom(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr("breeding.pages.plans.SET_SECONDS", 30.0)
    monkeypatch.setattr("breeding.pages.plans.POINT_SECONDS", 30.0)
    plans.forget()
    with time_machine.travel(noon(TODAY)):
        yield
    plans.forget()


@pytest.fixture
def goal(act: Acts, cast: Cast) -> Goal:
    """Tall bearded irises, four crosses, no limit; six seedlings of two pairs stand there too."""
    for number, parents in enumerate([(cast.teapot, cast.ledger), (cast.oboe, cast.guest)] * 3):
        seed, pollen = parents
        add_plant(act(), number=f"N {number}", iris_class="TB", ploidy=4, seed_parent=seed,
                  pollen_parent=pollen)  # fmt: skip
    return add_goal(act(), name="Tall", iris_class="TB", crosses=4).thing


def plan_for(goal: Goal, **asked: Any) -> Plan:
    return the_plan(Garden.get(), goal, TODAY, **asked)


# A middle point by itself.


def test_set__without_a_limit_is_a_middle_point(owner_client: Client, goal: Goal) -> None:
    plan = plan_for(goal)
    points = plan.curve()
    low, high = points[0].kinship, points[-1].kinship
    assert low < high
    assert low <= plan.limit <= high
    assert plan.chosen().kinship <= plan.limit + 1e-9
    page = owner_client.get(reverse("goal-set", args=[goal.pk]))
    assert "as no limit is set" in texts(page, ".plan-sum > p")[0]
    curve = owner_client.get(reverse("goal-curve", args=[goal.pk]))
    assert texts(curve, ".plan-parents a[aria-current]") == ["balanced"]


@pytest.mark.parametrize(
    ("own", "low", "high", "limit"),
    [(0.25, 0.0, 0.06, 0.03125), (0.25, 0.02, 0.15, 0.0625), (0.25, 0.06, 0.16, 0.11)],
    ids=["eight parents", "four parents", "halfway"],
)
def test_limit__eight_parents_then_four_then_halfway(
    monkeypatch: pytest.MonkeyPatch, own: float, low: float, high: float, limit: float
) -> None:
    ends = [SimpleNamespace(kinship=kinship) for kinship in (low, high)]
    monkeypatch.setattr(Plan, "curve", lambda self: ends)
    plan = Plan(None, {}, 0.125, None, 8, 0.0, own)  # type: ignore[arg-type]
    assert plan.limit == pytest.approx(limit)


def test_goal__the_curve_stands_before_the_set(owner_client: Client, goal: Goal) -> None:
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    asked = [each.get("hx-get") for each in tree(page).cssselect(".plan-set [hx-get]")]
    assert asked == [reverse(name, args=[goal.pk]) for name in ("goal-curve", "goal-set")]


def test_curve__offers_sets_as_from_so_many_parents(owner_client: Client, goal: Goal) -> None:
    way = reverse("goal-curve", args=[goal.pk])
    page = owner_client.get(way)
    offered = dict(zip(texts(page, ".plan-parents a"), links(page, ".plan-parents a"),
                       strict=True))  # fmt: skip
    least = plan_for(goal).curve()[0].kinship
    for many in (4, 8, 16):
        name = f"as from {many} unrelated parents"
        assert (name in offered) == (0.25 / many >= least)
        assert (name in offered) != (f"as from {many} cannot be had" in texts(page, "main")[0])
    assert offered["no limit"].endswith("?limit=none#chosen")
    free = owner_client.get(way + "?limit=none")
    assert texts(free, ".plan-parents a[aria-current]") == ["no limit"]


def test_asked__a_limit_none_and_the_middle_are_told_apart(goal: Goal) -> None:
    from django.http import QueryDict

    goal.set_limit = 0.05
    for told, limit in (("", 0.05), ("limit=none", 1.0), ("limit=middle", None)):
        asked = Asked.of(QueryDict(told), goal)
        assert asked.limit == limit
        assert asked.query() == (f"?{told}" if told else "")
    assert set_limit_words(None, "TB", 0).startswith("balanced")
    assert set_limit_words(1.0, "TB", 0) == "no limit of kinship"
    assert "as from 5 unrelated parents" in set_limit_words(0.05, "TB", 0)


def test_set__says_which_crosses_only_lower_kinship(owner_client: Client, goal: Goal) -> None:
    tight = plan_for(goal).curve()[0].kinship + 1e-4
    page = owner_client.get(reverse("goal-set", args=[goal.pk]) + f"?limit={tight:.6g}")
    free = owner_client.get(reverse("goal-set", args=[goal.pk]) + "?limit=none")
    assert "only lowers kinship" not in texts(free, ".badge")
    plan = plan_for(goal, set_limit=float(f"{tight:.6g}"))
    pairs, rows = plan.pairs, list(plan.chosen().rows)
    besides = pairs.score - pairs.parts["kinship"]
    best_left = max(score for row, score in enumerate(pairs.score)
                    if row not in rows and not pairs.excluded[row])  # fmt: skip
    fillers = [row for row in rows if besides[row] < 0 and pairs.score[row] < best_left]
    assert texts(page, ".badge").count("only lowers kinship") == len(fillers)


def test_more_words__in_parts_of_the_sum() -> None:
    def said(total: float, bound: float) -> str:
        return more_words(SimpleNamespace(proven=False, rows=(1,), total=total, bound=bound))  # type: ignore[arg-type]

    assert said(50.0, 51.0) == "at most 2.0\u202f%"
    assert said(0.0, 1.0) == "by how much is not known"


# Crosses that hardly can give what is wanted.


def wants_pink(goal: Goal, least: float, crosses: int = 2) -> None:
    Goal.objects.filter(pk=goal.pk).update(
        wanted=[["t", "pink"]], least_chance=least, crosses=crosses
    )


def test_set__leaves_out_what_hardly_gives_the_wanted_types(
    owner_client: Client, goal: Goal
) -> None:
    wants_pink(goal, 0.0)
    goal.refresh_from_db()
    chances = sorted(plan_for(goal).pairs.columns["chance"].tolist())
    least = chances[-3]
    wants_pink(goal, least, crosses=30)
    goal.refresh_from_db()
    plan = plan_for(goal)
    assert plan.worthy < 30
    assert plan.many == plan.worthy
    page = owner_client.get(reverse("goal-set", args=[goal.pk]))
    assert len(tree(page).cssselect(".plan-pairs tbody tr")) == plan.worthy
    assert f"{plan.worthy} instead of 30" in texts(page, ".card--next")[0]
    listed = owner_client.get(reverse("goal", args=[goal.pk]) + "?near=1")
    assert texts(listed, ".plan-who .badge")[-1] == "hardly as wanted"
    assert "of the wanted types" in texts(listed, "#plan-table > p")[0]
    assert len(tree(listed).cssselect("input[name=pair]")) == 15


def test_set__without_any_pair_that_is_worth_it(owner_client: Client, goal: Goal) -> None:
    wants_pink(goal, 1.0)
    page = owner_client.get(reverse("goal-set", args=[goal.pk]))
    assert texts(page, ".card--next") == ["There is no pair that may be crossed."]
    assert owner_client.get(reverse("goal-curve", args=[goal.pk])).status_code == 200
    assert texts(owner_client.get(reverse("goal", args=[goal.pk])), ".empty")[0].startswith(
        "No pair"
    )


def test_goal_new__takes_a_least_chance(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("goal-new"))
    assert tree(page).cssselect("input[name=least_chance]")[0].get("value") == "1/200"
    form = page.context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    for told, kept in (("1/50", 0.02), ("", 0.0)):
        owner_client.post(reverse("goal-new"), sent | {
            "name": f"Pink {told}", "least_chance": told, "pair_limit": "1/8", "entry": "",
        })  # fmt: skip
        assert Goal.live.get(name=f"Pink {told}".strip()).least_chance == kept
    assert LeastField().prepare_value(0.3) == "3/10"


# Columns, and what is kept.


@pytest.fixture
def judged(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """Merit of two plants below the founders, branching of one of them."""
    merit = {cast.teapot.pk: Value(-4.0, 1.0, 0.5), cast.ledger.pk: Value(-2.0, 1.0, 0.5)}
    traits = {"branching": {cast.teapot.pk: Value(3.0, 2.0, 0.5), cast.ledger.pk: Value(1, 2, 0.5)}}
    held = Values(merit, traits, {"branching": 2.0})
    monkeypatch.setattr(worths, "values", lambda garden, traits=None: held)
    monkeypatch.setattr(worths, "traits", lambda: [("branching", "Branching")])


def test_goal__every_trait_has_a_column(
    owner_client: Client, goal: Goal, cast: Cast, judged: None
) -> None:
    Goal.objects.filter(pk=goal.pk).update(traits=[["branching", 1.0]])
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    assert "Branching" in texts(page, ".plan-pairs th.plan-trait")
    cells = {key: [" ".join(cell.text_content().split()) for cell in row.cssselect(".plan-trait")]
             for row in tree(page).cssselect(".plan-pairs tbody tr")
             for key in [frozenset(map(int, row.cssselect("input")[0].get("value").split("-")))]
             }  # fmt: skip
    assert cells[frozenset((cast.teapot.pk, cast.ledger.pk))] == ["+2.0 ± 1.4"]
    assert any(each.endswith("scores −3.0") for each in texts(page, ".plan-merit"))


def test_goal__says_why_merit_is_below_nothing(
    owner_client: Client, goal: Goal, judged: None
) -> None:
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    said = " ".join(texts(page, "#plan-table p.soft"))
    assert "Merit counts from the mean of the founders: of these pairs from −3.0 to −3.0" in said
    assert "all stand below them" in said


def test_score__has_one_decimal_and_hardly_moves_with_a_weight(
    owner_client: Client, goal: Goal
) -> None:
    way = reverse("goal", args=[goal.pk])
    for query in ("", "?w_kinship=4"):
        scores = texts(owner_client.get(way + query), ".plan-score b")
        assert all(len(each.partition(".")[2]) == 1 for each in scores)
    plan = plan_for(goal, weights={**plans.USUAL_WEIGHTS, "kinship": 4.0})
    assert plan.unit == pytest.approx(4.5)


def test_planning__keeps_what_was_tried_out(owner_client: Client, goal: Goal, cast: Cast) -> None:
    tried = "?w_kinship=4&limit=none"
    page = owner_client.get(reverse("goal", args=[goal.pk]) + tried)
    form = "form[action$='/plan/'] input[type=hidden]"
    hidden = {each.get("name"): each.get("value") for each in tree(page).cssselect(form)}
    assert hidden == {"w_kinship": "4", "limit": "none"}
    one = f"{cast.teapot.pk}-{cast.ledger.pk}"
    way = reverse("plan-pairs", args=[goal.pk]) + f"{tried}&pair={one}"
    slot = one.replace("-", "_")
    answer = post(owner_client, way, **{f"take_{slot}": "on", f"flowers_{slot}": "5"})
    assert "w_kinship=4&limit=none" in answer["Location"]
    assert "Tried out, not kept" in texts(owner_client.get(answer["Location"]), ".plan-keep p")[0]


@pytest.mark.parametrize(
    ("sure", "given", "beyond", "said"),
    [
        (1, 1, True, "1 flower for 95\u202f% sure."),
        (8, 6, True, "8 flowers for 95\u202f% sure."),
        (None, 498, True,
         "No number up to 2,000 makes 95\u202f%; 498 flowers if it can at all (22\u202f%)."),
        (None, None, True,
         "No number up to 2,000 makes 95\u202f%; more than 2,000 if it can at all (22\u202f%)."),
        (None, None, False, "No number up to 2,000 makes 95\u202f%."),
    ],
)  # fmt: skip
def test_flowers__are_told_as_of_the_cross(
    sure: int | None, given: int | None, beyond: bool, said: str
) -> None:
    flowers = SimpleNamespace(
        probability=0.95, sure=sure, given_possible=given, possible=0.22, beyond=beyond
    )
    assert flowers_words(flowers) == said  # type: ignore[arg-type]


# To cross on another day.


@pytest.fixture
def planned(act: Acts, cast: Cast) -> PlannedCross:
    """The guest opens long before the ledger lines, which want its pollen."""
    for year in (2023, 2024, 2025):
        for plant, later in ((cast.guest, 0), (cast.teapot, 5), (cast.ledger, 26)):
            day = date(year, 5, 18) + timedelta(days=later)
            note_bloom(act(day=day), plant=plant, stage="first")
            note_bloom(act(day=day + timedelta(days=8)), plant=plant, stage="last")
    pairs = [(cast.teapot, cast.guest, 3), (cast.ledger, cast.guest, 3)]
    plan_crosses(act(), pairs=pairs, season=2026)
    return PlannedCross.live.first()


def test_to_cross__of_a_day_ahead_goes_by_what_is_expected(
    owner_client: Client, planned: PlannedCross, cast: Cast
) -> None:
    page = owner_client.get(reverse("to-cross") + "?on=2026-05-25")
    assert texts(page, "h1") == ["To cross on 25 May 2026"]
    heads = texts(page, "h2")
    assert heads[:2] == ["Pollen to put by 1", "Both probably open 1"]
    assert not tree(page).cssselect(".plan-stop > .btn")
    late = owner_client.get(reverse("to-cross") + "?on=2026-06-15")
    assert "Q 17-3 will be over, and none of its pollen is in store" in " ".join(
        texts(late, ".plan-stop")
    )


def test_to_cross__of_a_day_past_goes_by_what_was_noted(
    owner_client: Client, act: Acts, planned: PlannedCross, cast: Cast
) -> None:
    for plant in (cast.teapot, cast.guest):
        note_bloom(act(day=TODAY - timedelta(days=4)), plant=plant, stage="first")
        note_bloom(act(day=TODAY - timedelta(days=1)), plant=plant, stage="last")
    assert "Both open 1" not in texts(owner_client.get(reverse("to-cross")), "h2")
    day = TODAY - timedelta(days=3)
    page = owner_client.get(reverse("to-cross") + f"?on={day}")
    assert "Both open 1" in texts(page, "h2")
    before = owner_client.get(reverse("to-cross") + f"?on={day - timedelta(days=3)}")
    assert "Both open 1" not in texts(before, "h2")


@pytest.mark.parametrize("told", ["x", "2026-02-31", "0001-01-01", "9999-12-31", ""])
def test_to_cross__nonsense_for_a_day_is_today(
    owner_client: Client, planned: PlannedCross, told: str
) -> None:
    page = owner_client.get(reverse("to-cross") + f"?on={told}")
    assert texts(page, "h1") == ["To cross today"]


def test_to_cross__says_where_they_stand_and_whose_pollen_to_put_by(
    owner_client: Client, act: Acts, planned: PlannedCross, cast: Cast
) -> None:
    place_plant(act(), plant=cast.guest, bed=cast.bed, position="3-7")
    page = owner_client.get(reverse("to-cross"))
    put_by = texts(page, "section[aria-labelledby=put-by] li")
    assert len(put_by) == 1
    assert put_by[0].startswith(f"Q 17-3 {cast.bed} 3-7 opens about")
    assert "for Marzipan Ledger (opens about" in put_by[0]
    assert any(f"pollen from {cast.bed} 3-7" in each for each in texts(page, ".plan-stands"))
