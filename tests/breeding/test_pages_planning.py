"""The pages of goals, pairs, sets and planned crosses, whole and as HTMX asks for them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from breeding.models import Goal, Locus, PlannedCross
from breeding.pages import plans
from breeding.pages.plancurve import ticks
from breeding.pages.plans import to_cross_summary
from breeding.pages.planseason import coming_season
from breeding.pages.plantoday import Way, lines_of
from breeding.pages.planwords import kin, pair_limit_words, relations, set_words
from breeding.records import (
    add_goal,
    close_goal,
    drop_planned,
    note_bloom,
    plan_crosses,
    record_pollination,
    store_pollen,
)
from garden.calendar import GardenCalendar
from garden.models import Garden
from garden.records import add_plant, change_plant
from tests.cast import Acts, Cast, noon
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

TODAY = date(2026, 5, 20)
SEASON = 2026
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    plans.forget()
    with time_machine.travel(noon(TODAY)):
        yield
    plans.forget()


@pytest.fixture
def goal(act: Acts, cast: Cast) -> Goal:
    """Pink, of tall bearded irises; two crosses together."""
    return add_goal(
        act(), name="Pink of good form", words="no veins at the haft", wanted=[["t", "pink"]],
        iris_class="TB", crosses=2, set_limit=0.2,
    ).thing  # fmt: skip


@pytest.fixture
def planned(act: Acts, cast: Cast, goal: Goal) -> PlannedCross:
    pairs = [(cast.teapot, cast.guest, 3)]
    plan_crosses(act(), pairs=pairs, season=SEASON, goal=goal)
    return PlannedCross.live.get()


def opens(act: Acts, plant: Any, day: date = TODAY, **over: date) -> None:
    """Note that a plant opened on a day, and maybe that it is over."""
    note_bloom(act(day=day), plant=plant, stage="first")
    if over:
        note_bloom(act(day=over["over"]), plant=plant, stage="last")


def of_pair(response: Any, row: int = 0) -> dict[str, str]:
    """What one line of the table says, by its labels."""
    found = tree(response).cssselect(".plan-pairs tbody tr")[row]
    return {
        cell.get("data-label"): " ".join(cell.text_content().split())
        for cell in found.cssselect("td[data-label]")
    }


# Goals.


def test_goals__list_what_is_wanted_and_how_far_it_is(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    for tag in cast.tags[4:7]:
        pair = {"seed_parent": cast.teapot, "pollen_parent": cast.guest}
        record_pollination(act(), **pair, tag=tag)
    add_goal(act(), name="Old aim")
    close_goal(act(), goal=Goal.live.get(name="Old aim"), reason="given up")
    page = owner_client.get(reverse("goals"))
    [line] = texts(page, "a.line")
    assert line.startswith("Pink of good form pink, tangerine beard no veins at the haft")
    assert "1 planned for 2026, 1 begun, 1 done" in line
    assert tree(page).cssselect("a.line .line-mark svg")
    assert texts(page, "details summary") == ["1 closed goal"]
    assert "given up" in texts(page, ".plan-closed")[0]


def test_goals__empty_garden(owner_client: Client, bare: Garden) -> None:
    assert "No goal is open" in texts(owner_client.get(reverse("goals")), ".empty")[0]


def test_goals__queries_do_not_grow(
    owner_client: Client, act: Acts, planned: PlannedCross, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(7):
        owner_client.get(reverse("goals"))
    for number in range(5):
        add_goal(act(), name=f"Aim {number}", wanted=[["Pl", "plicata"]])
    with django_assert_num_queries(7):
        owner_client.get(reverse("goals"))


def test_goal_new__is_kept_with_its_words_types_traits_and_weights(
    owner_client: Client, bare: Garden
) -> None:
    page = owner_client.get(reverse("goal-new"))
    form = page.context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    sent |= {"name": "Pink", "words": "clear", "wanted_t": "pink", "trait_form": "0.5",
             "crosses": "6", "pair_limit": "1/16", "set_limit": "0,05", "weight_merit": "2",
             "entry": ""}  # fmt: skip
    answer = owner_client.post(reverse("goal-new"), sent)
    goal = Goal.live.get()
    assert answer["Location"].startswith(reverse("goal", args=[goal.pk]))
    assert (goal.wanted, goal.traits) == ([["t", "pink"]], [["form", 0.5]])
    assert (goal.pair_limit, goal.set_limit, goal.crosses) == (0.0625, 0.05, 6)
    assert goal.weights["merit"] == 2.0


def test_goal_new__says_what_numbers_of_kinship_mean(owner_client: Client, bare: Garden) -> None:
    page = owner_client.get(reverse("goal-new"))
    said = dict(zip(texts(page, ".plan-means dt"), texts(page, ".plan-means dd"), strict=True))
    assert said["0.125"] == "full sibs, or parent and seedling"
    assert said["0.03125"] == "first cousins"


def test_goal_new__is_refused_with_sentences(owner_client: Client, bare: Garden) -> None:
    answer = post(owner_client, reverse("goal-new"), name="", crosses="0", pair_limit="2",
                  weight_merit="-1")  # fmt: skip
    assert answer.status_code == 422
    assert texts(answer, "#wrong_name") == ["Give the goal a name."]
    assert texts(answer, "#wrong_crosses") == ["Plan from 1 to 200 crosses."]
    assert texts(answer, "#wrong_weight_merit") == ["A weight lies between 0 and 100."]
    assert not Goal.objects.exists()


def test_goal_change__keeps_what_the_garden_does_not_work_with(
    owner_client: Client, goal: Goal
) -> None:
    Locus.objects.filter(symbol="t").update(used=False)
    page = owner_client.get(reverse("goal-change", args=[goal.pk]))
    form = page.context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() is not None}
    owner_client.post(reverse("goal-change", args=[goal.pk]), sent | {"crosses": "3", "entry": ""})
    goal.refresh_from_db()
    assert (goal.crosses, goal.wanted) == (3, [["t", "pink"]])
    said = texts(owner_client.get(reverse("goal", args=[goal.pk])), ".plan-wanted")[0]
    assert "not worked with at present" in said


def test_goal_close__then_takes_no_more_changes(owner_client: Client, goal: Goal) -> None:
    way = reverse("goal-close", args=[goal.pk])
    assert post(owner_client, way).status_code == 422
    assert post(owner_client, way, reason="reached")["Location"].startswith(reverse("goals"))
    assert owner_client.get(reverse("goal-change", args=[goal.pk])).status_code == 404
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    assert "reached" in texts(page, ".card--next")[0]
    assert tree(page).cssselect("input[name=pair]")
    assert not tree(page).cssselect(".plan-act")


# Pairs.


def test_goal__ranks_the_pairs_of_its_class(owner_client: Client, goal: Goal, cast: Cast) -> None:
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    # Teapot, ledger, oboe and the guest are tall; the oboe is a seedling of the first two.
    assert "6 pairs of 4 candidates." in texts(page, "#plan-table > p")[0]
    assert len(tree(page).cssselect(".plan-pairs tbody tr")) == 6
    scores = [float(each.replace("−", "-")) for each in texts(page, ".plan-score b")]
    assert scores == sorted(scores, reverse=True)
    said = of_pair(page)
    assert said["merit"] == "not known"
    assert " in " in said["wanted"]
    assert said["bloom"] == "not known"
    assert "No bloom was ever noted" in texts(page, "#plan-table > p")[0]


def test_goal__links_each_pair_to_what_it_may_give_and_how_it_is_related(
    owner_client: Client, goal: Goal
) -> None:
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    expect = links(page, ".plan-who a")[0]
    assert expect.startswith(reverse("expect") + "?seed=")
    assert expect.endswith("wanted=t%3Apink")
    assert links(page, ".plan-kin a")[0].startswith(reverse("kin-pair") + "?a=")


def test_goal__a_hypothesis_is_called_one(owner_client: Client, goal: Goal) -> None:
    said = texts(owner_client.get(reverse("goal", args=[goal.pk])), ".plan-wanted li")
    assert said == ["pink, tangerine beard hypothesis t, supported"]
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    rests = [each for each in texts(page, ".plan-rests dd") if "working hypothesis" in each]
    assert len(rests) == 1
    assert Locus.live.get(symbol="t").source in rests[0]


def test_goal__says_when_next_to_nothing_is_known_of_the_copies(
    owner_client: Client, goal: Goal
) -> None:
    said = texts(owner_client.get(reverse("goal", args=[goal.pk])), ".plan-little")
    assert any("rests on next to nothing of" in each for each in said)


def test_goal__pairs_above_the_limit_are_named_and_never_ticked(
    owner_client: Client, act: Acts, goal: Goal
) -> None:
    Goal.objects.filter(pk=goal.pk).update(pair_limit=0.1)
    way = reverse("goal", args=[goal.pk])
    page = owner_client.get(way)
    assert "2 of them nearer than the limit" in texts(page, "#plan-table > p")[0]
    assert len(tree(page).cssselect(".plan-pairs tbody tr")) == 4
    near = owner_client.get(way + "?near=1")
    assert texts(near, ".plan-who .badge") == ["too near", "too near"]
    assert len(tree(near).cssselect("input[name=pair]")) == 4


def test_goal__weights_move_the_order_and_can_be_kept(owner_client: Client, goal: Goal) -> None:
    way = reverse("goal", args=[goal.pk])
    tried = owner_client.get(way + "?w_kinship=4&w_chance=0&w_fertility=0&limit=0.1", headers=HTMX)
    assert not tree(tried).cssselect("html")
    kinships = [float(each) for each in texts(tried, ".plan-kin a")]
    assert kinships == sorted(kinships)
    fields = {
        field.get("name"): field.get("value")
        for field in tree(tried).cssselect(".plan-keep input")
        if field.get("name") != "csrfmiddlewaretoken"
    }
    answer = owner_client.post(reverse("goal-weigh", args=[goal.pk]), fields)
    assert answer["Location"].startswith(way)
    goal.refresh_from_db()
    assert goal.weights == {"merit": 1, "chance": 0, "kinship": 4, "overlap": 0.5, "fertility": 0}
    assert goal.set_limit == 0.1


def test_goal__columns_can_be_hidden(owner_client: Client, goal: Goal) -> None:
    page = owner_client.get(reverse("goal", args=[goal.pk]) + "?asked=1&show=kinship", headers=HTMX)
    assert set(of_pair(page)) == {"score", "kinship"}


@pytest.mark.parametrize(
    "query", ["w_merit=x", "w_merit=-3", "w_merit=nan", "page=-1", "page=999999", "limit=zz",
              "limit=nan", "limit=inf", "show=x&asked=1", "near=7"],
)  # fmt: skip
def test_goal__nonsense_in_the_address_is_passed_over(
    owner_client: Client, goal: Goal, query: str
) -> None:
    assert owner_client.get(f"{reverse('goal', args=[goal.pk])}?{query}").status_code == 200


def test_goal__without_a_pair_says_so(owner_client: Client, act: Acts, goal: Goal) -> None:
    Goal.objects.filter(pk=goal.pk).update(iris_class="SDB")
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    assert texts(page, ".empty")[0].startswith("Only one growing plant is of this class")
    Goal.objects.filter(pk=goal.pk).update(iris_class="AB")
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    assert texts(page, ".empty")[0] == "No growing plant is of this class."
    for name in ("goal-set", "goal-curve"):
        assert owner_client.get(reverse(name, args=[goal.pk])).status_code == 200


def test_goal__wanted_types_that_hide_each_other(
    owner_client: Client, act: Acts, cast: Cast
) -> None:
    wanted = [["V", "none"], ["Pl", "plicata"]]
    goal = add_goal(act(), name="White plicata", wanted=wanted, iris_class="TB").thing
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    assert "no flower shows all of them" in texts(page, ".card--next")[0]
    assert of_pair(page)["wanted"] == "none"


def test_goal__bloom_and_stored_pollen(
    owner_client: Client, act: Acts, cast: Cast, goal: Goal
) -> None:
    for year in (2024, 2025):
        for plant, later in ((cast.teapot, 0), (cast.ledger, 2), (cast.guest, 40)):
            day = date(year, 5, 10) + timedelta(days=later)
            opens(act, plant, day, over=day + timedelta(days=8))
    store_pollen(act(), plant=cast.guest, place="fridge door")
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    rows = {row.cssselect("input[name=pair]")[0].get("value"): row
            for row in tree(page).cssselect(".plan-pairs tbody tr")}  # fmt: skip
    said = {key: " ".join(row.cssselect(".plan-bloom")[0].text_content().split())
            for key, row in rows.items()}  # fmt: skip
    both = {frozenset(map(int, key.split("-"))): bloom for key, bloom in said.items()}
    assert "days together" in both[frozenset((cast.teapot.pk, cast.ledger.pk))]
    with_guest = both[frozenset((cast.teapot.pk, cast.guest.pk))]
    assert with_guest == "pollen in store" or "is over first" in with_guest


def test_goal__queries_do_not_grow_with_the_pairs(
    owner_client: Client, act: Acts, goal: Goal, django_assert_max_num_queries: Any
) -> None:
    way = reverse("goal", args=[goal.pk])
    owner_client.get(way)
    with django_assert_max_num_queries(18) as few:
        owner_client.get(way)
    most = len(few)
    for number in range(8):
        add_plant(act(), number=f"N {number}", iris_class="TB", ploidy=4)
    owner_client.get(way)
    with django_assert_max_num_queries(most):
        page = owner_client.get(way)
    assert "66 pairs of 12 candidates" in texts(page, "#plan-table > p")[0]
    assert links(page, ".turn a") == [f"{way}?page=1"]
    more = owner_client.get(f"{way}?page=4")
    assert len(tree(more).cssselect(".plan-pairs tbody tr")) == 6


def test_goal__of_too_many_plants_says_how_many_are_left_out(
    owner_client: Client, act: Acts, goal: Goal, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("breeding.pages.planground.MOST_CANDIDATES", 3)
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    said = texts(page, "#plan-table > p")[0]
    assert "3 pairs of 3 candidates" in said
    assert "Of 4 growing plants of the class 1 is left out" in said


# The set and the curve.


@pytest.fixture(autouse=True)
def _patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A busy machine finds what an idle one finds."""
    monkeypatch.setattr("breeding.pages.plans.SET_SECONDS", 30.0)
    monkeypatch.setattr("breeding.pages.plans.POINT_SECONDS", 30.0)


def test_set__is_asked_for_after_the_table_and_works_without_script(
    owner_client: Client, goal: Goal
) -> None:
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    way = reverse("goal-set", args=[goal.pk])
    [lazy] = tree(page).cssselect(f"[hx-get='{way}']")
    assert lazy.cssselect("a")[0].get("href") == way
    whole, part = owner_client.get(way), owner_client.get(way, headers=HTMX)
    assert texts(whole, "h1") == ["2 crosses chosen together"]
    assert not tree(part).cssselect("h1")
    for answer in (whole, part):
        assert len(tree(answer).cssselect(".plan-pairs tbody tr")) == 2
        assert "No better set of these pairs" in texts(answer, ".plan-sum > p")[0]
        assert float(texts(answer, ".tally b")[1]) <= 0.2
    assert len(tree(whole).cssselect("input[name=pair][checked]")) == 2


def test_set__a_limit_that_no_set_keeps(owner_client: Client, goal: Goal) -> None:
    page = owner_client.get(reverse("goal-set", args=[goal.pk]) + "?limit=0.001")
    said = texts(page, ".card--next")[0]
    assert "0.0010 or less" in said
    assert "The least" in said


@pytest.fixture
def sibs(act: Acts, cast: Cast) -> None:
    """Six seedlings of two pairs, so that there is something to give up."""
    for number, parents in enumerate([(cast.teapot, cast.ledger), (cast.oboe, cast.guest)] * 3):
        seed, pollen = parents
        add_plant(act(), number=f"N {number}", iris_class="TB", ploidy=4, seed_parent=seed,
                  pollen_parent=pollen)  # fmt: skip


def test_curve__points_choose_a_limit_and_the_current_one_is_marked(
    owner_client: Client, goal: Goal, sibs: None
) -> None:
    way = reverse("goal-curve", args=[goal.pk])
    page = owner_client.get(way, headers=HTMX)
    points = links(page, ".plan-points a")
    assert len(points) > 1
    assert links(page, "svg.plan-curve a") == points
    assert all(each.startswith(reverse("goal", args=[goal.pk])) for each in points)
    kinships = [float(each) for each in texts(page, ".plan-points a")]
    assert kinships == sorted(kinships)
    assert len(tree(page).cssselect("svg a[aria-current]")) == 1
    # The set under the limit of the first point is the set of that point.
    chosen = owner_client.get(points[0].replace(f"/{goal.pk}/", f"/{goal.pk}/set/", 1))
    assert float(texts(chosen, ".tally b")[1]) <= kinships[0] + 1e-4
    free = owner_client.get(way + "?limit=none", headers=HTMX)
    [current] = tree(free).cssselect("tr.plan-current a")
    assert current.text == texts(free, ".plan-points a")[-1]


def test_ticks__are_round_and_few() -> None:
    assert ticks(0.0, 10.0) == [0, 2, 4, 6, 8, 10]
    assert ticks(-1.1, 1.1, most=4) == [-1, 0, 1]
    assert ticks(3.0, 3.0) == [3.0]


# Planning.


def test_plan_pairs__proposes_flowers_and_plans(
    owner_client: Client, goal: Goal, cast: Cast
) -> None:
    one, other = f"{cast.teapot.pk}-{cast.ledger.pk}", f"{cast.oboe.pk}-{cast.guest.pk}"
    way = reverse("plan-pairs", args=[goal.pk]) + f"?pair={one}&pair={other}&pair=x&pair=1-1"
    page = owner_client.get(way)
    fields = tree(page).cssselect(".plan-taken input.inp--num")
    assert len(fields) == 2
    assert all(2 <= int(field.get("value")) <= 12 for field in fields)
    said = texts(page, ".plan-taken")[0]
    assert said.count("No number up to 2,000 makes 95 %;") == 2
    assert "if it can at all (" in said
    slot = one.replace("-", "_")
    answer = post(owner_client, way, **{f"take_{slot}": "on", f"flowers_{slot}": "5",
                                        "note": "early"})  # fmt: skip
    assert answer["Location"].startswith(reverse("goal", args=[goal.pk]))
    planned = PlannedCross.live.get()
    assert (planned.seed_parent, planned.flowers, planned.note) == (cast.teapot, 5, "early")
    assert (planned.season, planned.goal) == (SEASON, goal)
    badges = texts(owner_client.get(reverse("goal", args=[goal.pk])), ".plan-who .badge")
    assert badges == ["planned, 5 flowers"]


def test_plan_pairs__refusals(owner_client: Client, goal: Goal, planned: PlannedCross) -> None:
    seed, pollen = planned.seed_parent_id, planned.pollen_parent_id
    way = f"{reverse('plan-pairs', args=[goal.pk])}?pair={seed}-{pollen}"
    slot = f"{seed}_{pollen}"
    answer = post(owner_client, way)
    assert (answer.status_code, texts(answer, ".errors li")) == (422, ["Tick at least one pair."])
    answer = post(owner_client, way, **{f"take_{slot}": "on", f"flowers_{slot}": ""})
    assert texts(answer, f"#wrong_flowers_{slot}") == ["Write a number."]
    answer = post(owner_client, way, **{f"take_{slot}": "on", f"flowers_{slot}": "4"})
    assert texts(answer, ".errors li") == ["These crosses are planned already."]
    nothing = owner_client.get(reverse("plan-pairs", args=[goal.pk]))
    assert "No pair is ticked" in texts(nothing, ".empty")[0]


def test_planned__is_changed_and_dropped(owner_client: Client, planned: PlannedCross) -> None:
    way = reverse("planned-change", args=[planned.pk])
    assert post(owner_client, way, flowers="0").status_code == 422
    post(owner_client, way, flowers="9", note="two stalks")
    planned.refresh_from_db()
    assert (planned.flowers, planned.note) == (9, "two stalks")
    drop = reverse("planned-drop", args=[planned.pk])
    assert post(owner_client, drop, reason="").status_code == 422
    answer = post(owner_client, drop, reason="virus")
    assert answer["Location"].startswith(reverse("to-cross"))
    assert owner_client.get(way).status_code == 404


# To cross today.


def groups(client: Client) -> dict[str, list[str]]:
    """Headings of the list with the pairs under them."""
    page = tree(client.get(reverse("to-cross")))
    return {
        " ".join(section.cssselect("h2")[0].text_content().split()): [
            " ".join(each.text_content().split()) for each in section.cssselect(".plan-stop")
        ]
        for section in page.cssselect("section")
    }


def test_to_cross__both_open(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    opens(act, cast.teapot)
    opens(act, cast.guest)
    page = owner_client.get(reverse("to-cross"))
    assert texts(page, "h2") == ["Both open 1"]
    assert "0 of 3 flowers worked" in texts(page, ".plan-stop")[0]
    new = f"{reverse('new-cross')}?seed={cast.teapot.pk}&pollen={cast.guest.pk}"
    assert links(page, ".plan-stop > a.btn--main") == [new]
    assert to_cross_summary(Garden.get(), TODAY) == {"ready": 1, "stored": 0}


def test_to_cross__flowers_of_both_directions_are_counted_apart(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    opens(act, cast.teapot)
    opens(act, cast.guest)
    pair, turned = (cast.teapot, cast.guest), (cast.guest, cast.teapot)
    for seed, pollen, tag in ((*pair, 4), (*pair, 5), (*turned, 6)):
        record_pollination(act(), seed_parent=seed, pollen_parent=pollen, tag=cast.tags[tag])
    page = owner_client.get(reverse("to-cross"))
    assert "2 of 3 flowers worked, and 1 the other way round" in texts(page, ".plan-stop")[0]
    record_pollination(act(), seed_parent=cast.teapot, pollen_parent=cast.guest, tag=cast.tags[7])
    page = owner_client.get(reverse("to-cross"))
    assert not tree(page).cssselect(".plan-stop")
    assert texts(page, "details summary") == ["1 done", "Another day"]
    assert texts(page, ".plan-closed") == ["Quillon Teapot × Q 17-3 3 of 3 flowers"]
    assert to_cross_summary(Garden.get(), TODAY) is None


def test_to_cross__pollen_parent_over(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    opens(act, cast.teapot)
    opens(act, cast.guest, TODAY - timedelta(days=9), over=TODAY - timedelta(days=1))
    [(heading, [said])] = groups(owner_client).items()
    assert heading == "Not as things stand 1"
    assert "Q 17-3 is over, and none of its pollen is in store" in said
    store_pollen(act(), plant=cast.guest, place="the fridge door")
    [(heading, [said])] = groups(owner_client).items()
    assert heading == "With stored pollen 1"
    assert "Q 17-3 is over: stored pollen in the fridge door" in said
    assert to_cross_summary(Garden.get(), TODAY) == {"ready": 1, "stored": 1}


def test_to_cross__seed_parent_over_but_its_pollen_is_in_store(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    opens(act, cast.teapot, TODAY - timedelta(days=9), over=TODAY - timedelta(days=1))
    store_pollen(act(), plant=cast.teapot, place="freezer")
    [(heading, [said])] = groups(owner_client).items()
    assert heading == "Not as things stand 1"
    assert "the other way round it can be made" in said


def test_to_cross__what_opens_soon_with_its_day_and_what_is_to_be_kept(
    owner_client: Client, act: Acts, cast: Cast, goal: Goal
) -> None:
    for year in (2023, 2024, 2025):
        for plant, later in ((cast.guest, 0), (cast.teapot, 5), (cast.ledger, 26)):
            day = date(year, 5, 18) + timedelta(days=later)
            opens(act, plant, day, over=day + timedelta(days=8))
    opens(act, cast.guest, TODAY - timedelta(days=2))
    pairs = [(cast.teapot, cast.guest, 3), (cast.ledger, cast.guest, 3)]
    plan_crosses(act(), pairs=pairs, season=SEASON, goal=goal)
    found = groups(owner_client)
    assert list(found) == ["Pollen to put by 1", "Soon 1", "Later 1"]
    assert "Q 17-3" in found["Pollen to put by 1"][0]
    assert "for Marzipan Ledger (opens about" in found["Pollen to put by 1"][0]
    assert "Q 17-3 is open; Quillon Teapot opens about" in found["Soon 1"][0]
    assert "and will probably be over: keep its pollen" in found["Later 1"][0]
    page = owner_client.get(reverse("to-cross"))
    keep = f"{reverse('pollen-new')}?plant={cast.guest.pk}"
    assert links(page, ".plan-stop > a.btn") == [keep, keep]


def test_to_cross__outside_bloom_says_when_it_begins(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    with time_machine.travel(noon(date(2026, 3, 1))):
        owner_client.force_login(planned_by := act().person)
        said = texts(owner_client.get(reverse("to-cross")), "main > p")[0]
        assert "Bloom begins here about 10 May 2026 by the garden’s calendar" in said
        assert planned_by.may_record
    for plant, later in ((cast.guest, 0), (cast.teapot, 5)):
        day = date(2025, 5, 18) + timedelta(days=later)
        opens(act, plant, day, over=day + timedelta(days=8))
    with time_machine.travel(noon(date(2026, 3, 1))):
        said = texts(owner_client.get(reverse("to-cross")), "main > p")[0]
    assert said.startswith("Nothing can be crossed yet: bloom of these parents begins about")
    assert said.endswith("May 2026, with Q 17-3.")


def test_to_cross__nothing_planned(owner_client: Client, bare: Garden) -> None:
    page = owner_client.get(reverse("to-cross"))
    assert texts(page, "main > p")[0] == "Nothing is planned for 2026."
    assert to_cross_summary(Garden.get(), TODAY) is None


def test_to_cross__dropped_and_gone_plants_are_left_out(
    act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    opens(act, cast.teapot)
    opens(act, cast.guest)
    _, [line] = lines_of(Garden.get(), TODAY)
    assert line.way is Way.OPEN
    drop_planned(act(), planned=planned, reason="virus")
    assert lines_of(Garden.get(), TODAY)[1] == []
    assert to_cross_summary(Garden.get(), TODAY) is None


def test_summary__few_queries_and_no_sums(
    act: Acts, cast: Cast, planned: PlannedCross, django_assert_num_queries: Any
) -> None:
    opens(act, cast.teapot)
    opens(act, cast.guest)
    garden = Garden.get()
    with django_assert_num_queries(4):
        assert to_cross_summary(garden, TODAY)


def test_to_cross__queries_do_not_grow(
    owner_client: Client, act: Acts, cast: Cast, planned: PlannedCross,
    django_assert_max_num_queries: Any,
) -> None:  # fmt: skip
    way = reverse("to-cross")
    owner_client.get(way)
    with django_assert_max_num_queries(12) as few:
        owner_client.get(way)
    most = len(few)
    pairs = [(cast.ledger, cast.guest, 2), (cast.oboe, cast.ledger, 2), (cast.guest, cast.oboe, 2)]
    plan_crosses(act(), pairs=pairs, season=SEASON)
    with django_assert_max_num_queries(most):
        owner_client.get(way)


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (None, []),
        ({"ready": 1, "stored": 0}, ["1 planned cross can be made today"]),
        ({"ready": 7, "stored": 2}, ["7 planned crosses can be made today, 2 with stored pollen"]),
    ],
)
def test_line_of_today__is_a_link_or_nothing(told: dict[str, int] | None, said: list[str]) -> None:
    text = render_to_string("breeding/_to_cross_line.html", {"to_cross": told})
    line = HttpResponse(f"<main>{text}</main>")
    assert texts(line, "a") == said
    assert links(line) == [reverse("to-cross")] * len(said)


# Who may.


def test_visitors__read_and_write_nothing(
    visitor_client: Client, act: Acts, cast: Cast, planned: PlannedCross
) -> None:
    opens(act, cast.teapot)
    opens(act, cast.guest)
    goal = [planned.goal_id]
    for name, args in (("goals", []), ("goal", goal), ("goal-set", goal), ("to-cross", [])):
        page = visitor_client.get(reverse(name, args=args))
        assert page.status_code == 200
        assert not tree(page).cssselect("main .act, main input[name=pair], main form[method=post]")
    writing = ("goal-change", "goal-weigh", "goal-close", "plan-pairs")
    forms = [("goal-new", []), *((name, goal) for name in writing),
             *((name, [planned.pk]) for name in ("planned-change", "planned-drop"))]  # fmt: skip
    for name, args in forms:
        assert visitor_client.get(reverse(name, args=args)).status_code == 403
        assert visitor_client.post(reverse(name, args=args)).status_code == 403


# Words and seasons.


def test_coming_season__is_this_one_until_bloom_is_over() -> None:
    north, south = GardenCalendar(), GardenCalendar().mirrored("S")
    told = [coming_season(north, date(2026, month, day))
            for month, day in ((1, 1), (5, 20), (6, 19), (6, 20), (12, 31))]  # fmt: skip
    assert told == [2026, 2026, 2026, 2027, 2027]
    assert coming_season(south, date(2026, 11, 20)) == 2026
    assert coming_season(south, date(2027, 2, 1)) == 2027


def test_kinship__in_words() -> None:
    assert [kin(number) for number in (0.125, 0.0078125, 0.0612849, 0.0, 1e-6, 0.25)] == [
        "0.125", "0.0078125", "0.0613", "0", "0", "0.25"]  # fmt: skip
    assert dict(relations("TB", 0.0))[0.125] == "full sibs, or parent and seedling"
    assert dict(relations("MTB", 0.0))[0.25] == "full sibs, or parent and seedling"
    assert pair_limit_words(0.125, "TB", 0.0) == "as near as full sibs, or parent and seedling"
    assert pair_limit_words(0.1, "TB", 0.0).startswith("as near as half sibs")
    assert set_words(0.05, "TB", 0.0) == "as from 5 unrelated parents, used alike"


def test_plan__leaves_out_plants_that_are_gone(
    act: Acts, cast: Cast, goal: Goal, owner_client: Client
) -> None:
    change_plant(act(), plant=cast.guest, status="given")
    page = owner_client.get(reverse("goal", args=[goal.pk]))
    assert "3 pairs of 3 candidates" in texts(page, "#plan-table > p")[0]
