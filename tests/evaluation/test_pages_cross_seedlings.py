"""The page of a cross from its seedlings' side, and what it counts."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from breeding.records import count_up, harvest, line_out, note_pod, record_pollination, sow
from evaluation.crossview import LEAST_JUDGED, LEAST_SCORED, Outcome, others_of_parents, outcomes
from evaluation.merit import the_merit
from evaluation.models import Rubric
from evaluation.records import decide_at, glance, score, select_seedling
from garden.models import Plant
from tests.cast import COUNTED, HARVESTED, LINED_OUT, LOOKED, SOWN, WORKED, Cast
from tests.pages import links, texts, tree

pytestmark = pytest.mark.django_db


@pytest.fixture
def full() -> Rubric:
    return Rubric.live.get(name="Full hundred")


@pytest.fixture
def judged(act, cast: Cast, full: Rubric) -> None:
    """1 to 6 scored, the first kept, the last discarded; 7 to 10 passed over, 9 called again."""
    for position, form in enumerate((5, 4, 3, 2, 1, 0), start=1):
        score(act(), rubric=full, row=cast.row, position=position, marks={"form": form})
    decide_at(act(), row=cast.row, position=1, verdict="keep")
    decide_at(act(), row=cast.row, position=6, verdict="discard")
    for position in (7, 8, 9, 10):
        found = "again" if position == 9 else "nothing"
        glance(act(), row=cast.row, position=position, found=found)
    glance(act(), row=cast.row, position=11, found="gap")


@pytest.fixture
def sibling(act, cast: Cast):
    """Another cross of the teapot, lined out too."""
    flower = record_pollination(
        act(day=WORKED), seed_parent=cast.postman, pollen_parent=cast.teapot, tag=cast.tags[3]
    ).thing
    note_pod(act(day=LOOKED), pollination=flower, pod_set=True)
    cup = harvest(act(day=HARVESTED), pollination=flower, seeds=20).thing
    pot = sow(act(day=SOWN), cup=cup, seeds=20).thing
    count_up(act(day=COUNTED), pot=pot, standing_now=15)
    line_out(act(day=LINED_OUT), pot=pot, bed=cast.bed, row=2, first=1, seedlings=15)
    flower.cross.refresh_from_db()
    return flower.cross


def address(cast: Cast) -> str:
    return reverse("cross-seedlings", args=[cast.cross.code])


def outcome_of(cast: Cast) -> Outcome:
    return outcomes([cast.cross], the_merit())[0]


def test_it_stands_under_both_parents(owner_client: Client, cast: Cast, judged) -> None:
    page = owner_client.get(address(cast))
    assert texts(page, ".mate .name") == ["Quillon Teapot", "Marzipan Ledger"]
    assert links(owner_client.get(reverse("cross", args=[cast.cross.code])), "a").count(
        address(cast)
    )


def test_it_shows_what_stays_first_and_the_best_first(
    owner_client: Client, cast: Cast, judged
) -> None:
    told = texts(owner_client.get(address(cast)), ".brood li")
    assert [each.split()[0] for each in told][:2] == ["A", "2"]
    assert "24-001A" in told[0]
    assert "Keep" in told[0]
    assert "merit" in told[0]
    merits = [int(each.rpartition(" ")[2]) for each in told[1:5]]
    assert merits == sorted(merits, reverse=True)
    assert "1/9 Undecided" in told[-2]
    assert "1/6 Discard" in told[-1]


def test_it_makes_up_no_flower(owner_client: Client, cast: Cast, judged) -> None:
    page = tree(owner_client.get(address(cast)))
    assert page.cssselect(".brood .flower") == []
    Plant.objects.filter(number="24-001A").update(standards="white", falls="violet")
    page = tree(owner_client.get(address(cast)))
    assert len(page.cssselect(".brood .flower")) == 1


def test_it_names_those_discarded_without_a_score_in_a_line(
    owner_client: Client, act, cast: Cast, judged
) -> None:
    decide_at(act(), row=cast.row, position=12, verdict="discard")
    page = owner_client.get(address(cast))
    assert texts(page, ".brood-bare a") == ["row 1/12"]
    assert not [each for each in texts(page, ".brood li") if "1/12" in each]


def test_outcome__counts_along_the_way(cast: Cast, judged) -> None:
    one = outcome_of(cast)
    counts = (one.cross.lined_out, one.judged, one.called, one.scored, one.kept)
    assert counts == (12, 10, 1, 6, 1)
    assert one.points == pytest.approx([100, 80, 60, 40, 20, 0])
    assert (one.low, one.high, one.mean) == pytest.approx((0, 100, 50))
    # Over n - 1.
    assert one.spread == pytest.approx((sum(d * d for d in (50, 30, 10)) * 2 / 5) ** 0.5)


def test_outcome__the_share_kept_is_of_those_judged(cast: Cast, judged) -> None:
    share = outcome_of(cast).share_kept
    assert (share.count, share.total) == (1, 10)
    # Wilson, 1 of 10, by hand: centre 5.8415/27.683, reach 4.8484/27.683.
    assert (share.low, share.high) == pytest.approx((0.0179, 0.4042), abs=5e-5)


def test_outcome__selected_ones_stay_until_something_else_is_decided(act, cast: Cast) -> None:
    select_seedling(act(), row=cast.row, position=4)
    assert (outcome_of(cast).kept, outcome_of(cast).judged) == (1, 1)
    decide_at(act(), row=cast.row, position=4, verdict="watch")
    assert outcome_of(cast).kept == 0


def test_outcome__two_walks_over_one_seedling_count_once(act, cast: Cast, helper_person) -> None:
    glance(act(), row=cast.row, position=4, found="nothing")
    glance(act(helper_person), row=cast.row, position=4, found="again")
    assert (outcome_of(cast).judged, outcome_of(cast).called) == (1, 1)


def test_outcome__too_few_to_tell(act, cast: Cast, full: Rubric) -> None:
    for position in range(1, LEAST_JUDGED):
        glance(act(), row=cast.row, position=position, found="nothing")
    for position in range(1, LEAST_SCORED):
        score(act(), rubric=full, row=cast.row, position=position, marks={"form": 3})
    one = outcome_of(cast)
    assert one.share_kept is None
    assert not one.enough


def test_it_says_what_came_of_it_with_its_interval(
    owner_client: Client, cast: Cast, judged
) -> None:
    page = owner_client.get(address(cast))
    assert texts(page, ".tally") == [
        "12lined out", "10judged", "1called again", "6scored", "1kept",
    ]  # fmt: skip
    said = texts(page, ".brood-words")
    assert said[0].replace("\u202f", " ").startswith("Kept of those judged: 10 % (1.8 to 40 %)")
    assert "between 0 and 100 points as given, about a mean of 50" in said[1]


def test_it_draws_a_dot_for_every_scored_seedling(owner_client: Client, cast: Cast, judged) -> None:
    page = tree(owner_client.get(address(cast)))
    assert len(page.cssselect("svg.spread circle")) == 6
    assert page.cssselect("svg.spread desc")[0].text_content() == (
        f"{cast.cross}: 6 seedlings from 0 to 100, mean 50."
    )


def test_it_says_too_few_instead_of_a_number(
    owner_client: Client, act, cast: Cast, full: Rubric
) -> None:
    score(act(), rubric=full, row=cast.row, position=1, marks={"form": 3})
    page = owner_client.get(address(cast))
    assert texts(page, ".brood-words") == [
        "1 seedling judged: too few to tell what share is worth keeping."
    ]
    assert "1 scored seedling: too few to tell." in texts(page, "section > .soft")
    assert tree(page).cssselect("svg.spread") == []


def test_it_says_when_nothing_is_judged(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(address(cast))
    said = " ".join(texts(page, ".empty"))
    assert "No seedling of this cross is judged yet." in said
    assert "No other cross of these two is lined out." in said
    assert reverse("row", args=[cast.row.pk]) in links(page, ".empty a")


def test_it_lays_the_parents_other_crosses_beside_it(
    owner_client: Client, act, cast: Cast, judged, full: Rubric, sibling
) -> None:
    row = sibling.rows.get()
    for position in range(1, LEAST_SCORED + 1):
        score(act(), rubric=full, row=row, position=position, marks={"form": 3})
    page = owner_client.get(address(cast))
    rows = texts(page, "tbody tr")
    assert [each.split()[0] for each in rows] == [cast.cross.code, sibling.code]
    cells = texts(page, "tbody tr:last-child td")
    assert cells[0] == "Thistle Postman × Quillon Teapot"
    assert cells[1:6] == ["2024", "15", "5", "5", "0, too few to tell"]
    assert cells[6] == "60 ± 0"
    own = [each.replace("\u202f", " ") for each in texts(page, "tbody tr:first-child td")]
    assert own[5] == "1 of 10: 10 % (1.8 to 40 %)"
    assert len(tree(page).cssselect("svg.spread circle")) == 6 + LEAST_SCORED


def test_it_names_other_crosses_that_nobody_judged(
    owner_client: Client, cast: Cast, judged, sibling
) -> None:
    page = owner_client.get(address(cast))
    assert links(page, ".brood-bare a") == [reverse("cross-seedlings", args=[sibling.code])]
    assert tree(page).cssselect("tbody tr") == []


def test_others__a_bee_pod_shares_no_unknown_parent(act, cast: Cast, sibling) -> None:
    """Two crosses whose pollen parents are unknown share nothing by that."""
    assert others_of_parents(cast.cross) == [sibling]
    assert others_of_parents(cast.bee_cross) == [sibling]


def test_it_asks_as_often_however_many_seedlings(
    owner_client: Client, act, cast: Cast, judged, full: Rubric, django_assert_num_queries
) -> None:
    owner_client.get(address(cast))
    with django_assert_num_queries(12):
        owner_client.get(address(cast))
    for position in (7, 8, 10, 12):
        score(act(), rubric=full, row=cast.row, position=position, marks={"form": 3})
        decide_at(act(), row=cast.row, position=position, verdict="keep")
    the_merit()
    with django_assert_num_queries(12):
        owner_client.get(address(cast))
