"""The table of candidates as it is read: filters, order, pages, ranks; and the small drawings."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.choosing import (
    Judged,
    Ranking,
    asked_for,
    behind,
    known_word,
    lines_of,
    rank,
    scale_of,
)
from evaluation.comparing import SIDE_BY_SIDE, merit_words, parts_of, sibs_of, times, told_of
from evaluation.forms.choosing import keys_of
from evaluation.meritplot import Dot, interval_bar, merit_svg, undominated
from evaluation.models import Candidate, Rubric
from evaluation.records import decide, decide_at, glance, score, select_seedling
from garden.records import place_plant

LATER = date(2026, 5, 28)


@dataclass(frozen=True)
class Standing:
    """What the table takes of a computed merit."""

    merit: float
    low: float
    high: float
    plain: float | None = 50.0
    reliability: float = 0.6
    groups: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Merit:
    standings: dict[int, Standing]


@pytest.fixture
def full(db: None) -> Rubric:
    return Rubric.live.get(name="Full hundred")


@pytest.fixture
def scored(act, cast, full) -> list[Candidate]:
    """Seedlings at positions 1 to 5, scored on as many days; the last one called on most lately."""
    for position in range(1, 6):
        day = date(2026, 5, 19 + position)
        score(
            act(day=day), rubric=full, row=cast.row, position=position, marks={"form": position - 1}
        )
    return list(Candidate.live.order_by("position"))


def merits(candidates: list[Candidate], *values: float | None) -> dict[int, Standing]:
    """Standings of these merits; intervals widen down the list, plain means run against them."""
    return {
        each.pk: Standing(value, value - 5 * at, value + 5 * at, plain=100 - value)
        for at, (each, value) in enumerate(zip(candidates, values, strict=True), 1)
        if value is not None
    }


def positions(ranking: Ranking) -> list[int | None]:
    found = Candidate.objects.in_bulk(ranking.keys)
    return [found[pk].position for pk in ranking.keys]


def asked(person, **values) -> list[int]:
    """Positions, 0 for a plant of the stock."""
    found = asked_for(values, person).values_list("position", flat=True)
    return sorted(position or 0 for position in found)


@pytest.mark.parametrize(
    ("sort", "back", "order"),
    [
        ("merit", False, [3, 1, 5, 2, 4]),
        ("merit", True, [2, 5, 1, 3, 4]),
        ("plain", False, [2, 5, 1, 3, 4]),
        ("low", False, [1, 3, 5, 2, 4]),
        ("place", False, [1, 2, 3, 4, 5]),
        ("place", True, [5, 4, 3, 2, 1]),
    ],
)
def test_rank__orders_with_the_unknown_last(scored, sort, back, order) -> None:
    standings = merits(scored, 70, 40, 72, None, 60)
    ranking = rank(Candidate.live.all(), standings, sort, back)
    assert positions(ranking) == order
    assert [ranking.rank(each.pk) for each in scored] == [2, 4, 1, None, 3]


def test_rank__without_a_score_there_is_no_plain_mean(scored) -> None:
    standings = merits(scored, 10, 20, 30, 40, 50)
    standings[scored[0].pk] = Standing(10, 0, 20, plain=None)
    for back in (False, True):
        assert positions(rank(Candidate.live.all(), standings, "plain", back))[-1] == 1


def test_rank__equals_share_a_place_and_the_last_seen_stands_first(scored) -> None:
    ranking = rank(Candidate.live.all(), merits(scored, 60, 60, 80, 60, 50), "merit", False)
    assert positions(ranking) == [3, 4, 2, 1, 5]
    assert [ranking.rank(each.pk) for each in scored] == [2, 2, 1, 2, 5]


def test_rank__nothing_computed_puts_the_last_seen_first(scored) -> None:
    assert positions(rank(Candidate.live.all(), {})) == [5, 4, 3, 2, 1]


@pytest.mark.parametrize("sort", ["merit", "plain", "low", "place"])
@pytest.mark.parametrize("back", [False, True])
def test_behind__pages_meet_without_gap_or_repeat(scored, sort, back) -> None:
    ranking = rank(Candidate.live.all(), merits(scored, 60, 60, None, 60, 50), sort, back)
    for at, pk in enumerate(ranking.keys):
        assert behind(ranking, str(pk), sort, back) == at + 1


def test_behind__goes_on_where_a_candidate_stood_that_the_filter_left_out(act, scored) -> None:
    standings = merits(scored, 90, 80, 70, 60, 50)
    decide(act(day=LATER), candidates=[scored[1]], verdict="discard")
    left = rank(asked_for({"verdict": "open"}, act().person), standings)
    assert positions(left)[behind(left, str(scored[1].pk), "merit", False) :] == [3, 4, 5]


@pytest.mark.parametrize("nonsense", ["", "x", "-1", "٣", "9" * 17, "9" * 30])
def test_behind__nonsense_begins_at_the_top(scored, nonsense) -> None:
    assert behind(rank(Candidate.live.all(), {}), nonsense, "merit", False) == 0


def test_asked_for__season_of_scores_or_calls(act, cast, scored, full) -> None:
    glance(act(), row=cast.row, position=8, found="again")
    decide_at(act(), row=cast.row, position=9, verdict="discard")
    me = act().person
    assert asked(me, season="2026") == [1, 2, 3, 4, 5, 8]
    assert asked(me, season="2025") == []
    assert asked(me, season="all") == [1, 2, 3, 4, 5, 8, 9]


def test_asked_for__cross_own_name_or_parent(act, cast, scored, full) -> None:
    score(act(), rubric=full, plant=cast.postman, marks={"form": 1})
    score(act(), rubric=full, plant=cast.oboe, marks={"form": 1})
    me = act().person

    def found(text: str) -> list[str]:
        return sorted(map(str, asked_for({"text": text}, me)))

    assert found("postman") == ["Thistle Postman"]
    assert found("24-001") == [f"24-001 at Long Bed 1/{at}" for at in range(1, 6)]
    assert found("TEAPOT")[-1] == "Oboe for Hannes"
    assert len(found("ledger")) == 6
    assert found("nobody") == []
    assert len(found("%")) == 0


def test_asked_for__verdict_bed_class_mine_least(act, cast, scored, full, helper_person) -> None:
    me = act().person
    decide(act(day=LATER), candidates=scored[:1], verdict="keep")
    decide(act(day=LATER), candidates=scored[1:2], verdict="discard")
    score(act(helper_person), rubric=full, row=cast.row, position=5, marks={"form": 2})
    score(act(helper_person), rubric=full, plant=cast.postman, marks={"form": 1})
    place_plant(act(), plant=cast.postman, bed=cast.bed, position="2")
    stock = Candidate.live.get(plant=cast.postman)
    assert asked(me, verdict="keep") == [1]
    assert asked(me, verdict="none") == [0, 3, 4, 5]
    assert 2 not in asked(me, verdict="open")
    assert stock in asked_for({"bed": cast.bed}, me)
    assert stock in asked_for({"iris_class": "IB"}, me)
    assert asked(me, iris_class="TB") == [1, 2, 3, 4, 5]
    assert asked(me, mine="yes") == [1, 2, 3, 4, 5]
    assert list(asked_for({"mine": "no"}, me)) == [stock]
    assert asked(helper_person, mine="yes", iris_class="TB") == [5]
    assert asked(me, least=2) == [5]


def test_lines__tell_how_often_by_whom_and_when(
    act, cast, scored, full, helper_person, django_assert_num_queries
) -> None:
    score(act(helper_person), rubric=full, row=cast.row, position=2, marks={"form": 5})
    decide(act(day=LATER), candidates=scored[:1], verdict="keep")
    ranking = rank(Candidate.live.all(), merits(scored, 70, 40, 72, None, 60))
    with django_assert_num_queries(4):
        lines = lines_of(ranking.keys, ranking)
        places = [line.place for line in lines]
    assert places == [f"Long Bed 1/{at}" for at in (3, 1, 5, 2, 4)]
    second = next(line for line in lines if line.candidate == scored[1])
    assert (second.judged.scores, len(second.judged.people), second.judged.years) == (2, 2, "2026")
    assert (second.seed, second.pollen) == (cast.teapot, cast.ledger)
    assert (lines[0].known, lines[-1].known) == ("fairly known", "")


def test_line__of_a_plant_with_parents_in_words(act, cast, full) -> None:
    score(act(), rubric=full, plant=cast.semaphore, marks={"form": 1})
    (line,) = lines_of(*_all())
    assert (line.seed, line.pollen, line.place) == ("a plant nobody knows", "", "")


def _all() -> tuple[list[int], Ranking]:
    ranking = rank(Candidate.live.all(), {})
    return ranking.keys, ranking


@pytest.mark.parametrize(
    ("reliability", "word"),
    [(0.9, "well known"), (0.75, "well known"), (0.5, "fairly known"), (0.3, "little known"),
     (0.0, "hardly known")],
)  # fmt: skip
def test_known_word__by_reliability(reliability: float, word: str) -> None:
    assert known_word(reliability) == word


def test_merit_words__as_somebody_would_say_it() -> None:
    judged = Judged(2, {1, 2}, {2026})
    assert merit_words(judged, Standing(74.4, 65.6, 82.2)) == (
        "Judged twice by two people in one season: "
        "merit 74, likely between 66 and 82; fairly known."
    )
    once = Judged(1, {1}, {2025})
    assert merit_words(once, None) == (
        "Judged once by one person in one season; no merit is reckoned from it yet."
    )
    assert merit_words(Judged(), None) == "Not judged yet."
    assert merit_words(Judged(), Standing(60, 40, 80, plain=None)) == (
        "Not judged yet; going by its kin merit 60, likely between 40 and 80."
    )
    assert [times(count) for count in (3, 12)] == ["three times", "12 times"]


def test_told__every_score_is_kept_apart(act, cast, full, helper_person) -> None:
    walk = Rubric.live.get(name="First walk")
    there = {"row": cast.row, "position": 4}
    score(act(), rubric=full, **there, marks={"form": 4, "colour": 2}, stalk="T3 B2")
    score(act(helper_person, date(2026, 5, 21)), rubric=walk, **there, marks={"flower": 5})
    (told,) = told_of([Candidate.live.get().pk], Merit({}))
    assert [sheet.scoring.person.name for sheet in told.sheets] == ["Emil", "Wanda"]
    rows = {row.criterion.key: row for part in parts_of(told) for row in part.rows}
    assert [(cell.said, cell.asked) for cell in rows["form"].cells] == [("", False), ("4", True)]
    assert [(cell.said, cell.asked) for cell in rows["vigour"].cells] == [("", False), ("", True)]
    assert (rows["flower"].cells[0].said, rows["flower"].under) == ("5", "First walk")
    assert (rows["form"].scale, rows["form"].under) == ("0 to 5", "")
    assert [part.title for part in parts_of(told)] == [
        "Plant", "Stalk", "Flower", "Distinctiveness",
    ]  # fmt: skip
    assert [grown.stalk.buds for grown in told.stalks] == [5]
    assert told.groups[2] == ("Flower", pytest.approx((100 + 100 * 10.4 / 17) / 2))


def test_sibs__the_best_of_the_same_cross_without_the_discarded(act, cast, scored) -> None:
    select_seedling(act(), row=cast.row, position=12)
    decide(act(day=LATER), candidates=scored[2:3], verdict="discard")
    standings = merits(scored, 10, 40, 99, None, 60)
    found = Candidate.objects.in_bulk()
    assert [found[pk].position for pk in sibs_of(scored[0], Merit(standings))] == [5, 2, 4]
    assert sibs_of(Candidate(plant=cast.oboe), Merit({})) == []


def test_keys_of__each_once_and_nonsense_passed_over() -> None:
    assert keys_of(["3", "5,3", "x", "-1", "٣", "", "9" * 30, " 7 "], 10) == [3, 5, 7]
    assert keys_of([str(at) for at in range(20)], SIDE_BY_SIDE) == [0, 1, 2, 3, 4, 5]


def test_scale__ends_at_tens_and_has_length() -> None:
    assert scale_of([Standing(50, 43, 61), Standing(70, 60, 88)]) == (40, 90)
    assert scale_of([Standing(50, 50, 50)]) == (50, 60)
    assert scale_of([]) == (0, 100)


def test_interval_bar__lies_where_it_should() -> None:
    bar = interval_bar(60, 50, 80, 40, 90)
    assert [float(x) for x in re.findall(r'<rect x="([\d.]+)"', bar)] == [40, 78]
    assert re.search(r'x="40" y="4" width="120"', bar)
    assert "style=" not in bar
    with pytest.raises(ValueError, match="scale"):
        interval_bar(1, 0, 2, 5, 5)


@given(st.floats(-200, 300), st.floats(0, 60), st.floats(0, 60))
def test_interval_bar__never_leaves_its_scale(value: float, down: float, up: float) -> None:
    bar = interval_bar(value, value - down, value + up, 0, 100)
    for x, wide in re.findall(r'<rect x="([\d.]+)" y="\d" width="([\d.]+)"', bar):
        assert 0 <= float(x) <= 200
        assert float(x) + float(wide) <= 202


POINTS = st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), max_size=25)


@given(POINTS)
def test_undominated__is_what_its_words_say(points: list[tuple[int, int]]) -> None:
    def better(one: tuple[int, int], other: tuple[int, int]) -> bool:
        return one[0] >= other[0] and one[1] >= other[1] and one != other

    told = [not any(better(other, one) for other in points) for one in points]
    assert undominated(points) == told


@given(POINTS)
def test_undominated__falls_from_left_to_right(points: list[tuple[int, int]]) -> None:
    free = sorted(
        {point for point, is_free in zip(points, undominated(points), strict=True) if is_free}
    )
    assert all(one[1] > other[1] for one, other in pairwise(free))


def test_merit_svg__numbers_every_told_dot() -> None:
    dots = [Dot(50, 60, 1, True, None, (50, 70)), Dot(40, 40, 2), Dot(30, 30)]
    svg = merit_svg(dots, "Form, % of full marks", "Merit, points of 100")
    words = re.findall(r"<text[^>]*>([^<]+)</text>", svg)
    assert {"1", "2", "Form, % of full marks", "Merit, points of 100"} <= set(words)
    assert merit_svg([], "a", "b").rstrip().endswith("</svg>")
