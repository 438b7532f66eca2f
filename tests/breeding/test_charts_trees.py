"""What stands on a chart of ancestors or descendants, before anything is drawn."""

from __future__ import annotations

import pytest

from breeding.charts import ancestors_chart, descendants_chart, web_chart
from breeding.charts.lineage import letter, lineage, meetings
from breeding.charts.model import shallower
from breeding.charts.outline import to_tree
from tests.breeding.pedigree_charts import full, plant

PLANTS = {key: plant(ord(key) - 60) for key in "ABCDEFGHS"}
# S is a full-sib mating: C × D, both from A × B.
SIBS = {"S": ("C", "D"), "C": ("A", "B"), "D": ("A", "B")}


def labels(chart) -> list[str]:
    return [str(place.key or place.plant.label) for place in chart.places]


def test_ancestors_chart__seed_parent_comes_first() -> None:
    chart = ancestors_chart("S", SIBS, PLANTS, 1)
    assert labels(chart) == ["S", "C", "D"]
    assert [edge.role for edge in chart.edges] == ["seed", "pollen"]


@pytest.mark.parametrize("depth", range(1, 11))
def test_ancestors_chart__full_pedigree_has_every_place(depth: int) -> None:
    parents, plants = full(depth)
    chart = ancestors_chart(1, parents, plants, depth)
    assert len(chart.places) == 2 ** (depth + 1) - 1
    assert not any(place.mark or place.more for place in chart.places)
    assert sum(place.share for place in chart.places if place.generation == depth) == 1


def test_ancestors_chart__repeated_ancestor_is_opened_once_and_marked() -> None:
    parents = SIBS | {"A": ("E", "F")}
    chart = ancestors_chart("S", parents, PLANTS, 4)
    first, again = (place for place in chart.places if place.key == "A")
    assert (first.again, again.again) == (None, labels(chart).index("A"))
    assert first.mark == again.mark
    assert labels(chart).count("E") == 1
    assert first.mark.closes


def test_ancestors_chart__shares_of_a_repeated_ancestor_add_up() -> None:
    chart = ancestors_chart("S", SIBS, PLANTS, 4)
    assert {place.key: place.share for place in chart.places} == {
        "S": 1, "C": 0.5, "D": 0.5, "A": 0.5, "B": 0.5,
    }  # fmt: skip


def test_ancestors_chart__given_contributions_win() -> None:
    chart = ancestors_chart("S", SIBS, PLANTS, 4, {"A": 0.4, "B": 0.6})
    assert {place.share for place in chart.places if place.key == "B"} == {0.6}


def test_ancestors_chart__loop_of_an_ancestor_is_not_the_subjects_own() -> None:
    parents = {"H": ("S", "G"), **SIBS}
    chart = ancestors_chart("H", parents, PLANTS, 4)
    marks = {place.mark for place in chart.places if place.mark}
    assert {mark.closes for mark in marks} == {False}
    assert not any(edge.closes for edge in chart.edges)


def test_ancestors_chart__lines_of_a_loop_lead_back_to_the_subject() -> None:
    parents = {"S": ("C", "D"), "C": ("A", "B"), "D": ("A", "E")}
    chart = ancestors_chart("S", parents, PLANTS, 4)
    closing = {labels(chart)[edge.far] for edge in chart.edges if edge.closes}
    assert closing == {"C", "D", "A"}


def test_ancestors_chart__unknown_parents_keep_their_words() -> None:
    chart = ancestors_chart("S", {"S": ("C", "bee"), "C": (None, "D")}, PLANTS, 3)
    unknown = [place.plant.label for place in chart.places if place.kind == "unknown"]
    assert unknown == ["bee", ""]


def test_ancestors_chart__founder_has_no_empty_places() -> None:
    assert labels(ancestors_chart("S", {"S": (None, None)}, PLANTS, 3)) == ["S"]


def test_ancestors_chart__says_that_more_is_on_record() -> None:
    chart = ancestors_chart("S", SIBS, PLANTS, 1)
    assert [place.more for place in chart.places] == [False, True, True]


def test_ancestors_chart__circle_is_cut_and_told() -> None:
    chart = ancestors_chart("S", {"S": ("C", "D"), "C": ("S", "A")}, PLANTS, 8)
    assert labels(chart) == ["S", "C", "D", "S", "A"]
    assert [place.loop for place in chart.places] == [False, False, False, True, False]
    assert PLANTS["S"].label in chart.notes[0]


def test_ancestors_chart__its_own_parent() -> None:
    chart = ancestors_chart("S", {"S": ("S", "S")}, PLANTS, 3)
    assert [place.loop for place in chart.places] == [False, True, True]


@pytest.mark.parametrize(
    ("subject", "parents", "depth", "said"),
    [
        ("X", {}, 3, "'X'"),
        ("S", {"S": (77, "C")}, 3, "77"),
        ("S", {}, -1, "depth"),
    ],
)
def test_ancestors_chart__refuses_what_cannot_be(subject, parents, depth, said) -> None:
    with pytest.raises(ValueError, match=said):
        ancestors_chart(subject, parents, PLANTS, depth)


def test_meetings__self_meets_in_its_parent() -> None:
    line = lineage(["A"], {}, PLANTS, 2)
    assert meetings(line, "A", "A") == {"A"}


def test_meetings__backcross_meets_in_the_parent_and_no_farther() -> None:
    parents = {"S": ("C", "A"), "C": ("A", "B"), "A": ("E", "F")}
    line = lineage(["S"], parents, PLANTS, 5)
    assert meetings(line, "C", "A") == {"A"}


def test_meetings__half_sibs_behind_full_sibs() -> None:
    parents = {**SIBS, "A": ("E", "F"), "B": ("E", "G")}
    line = lineage(["S"], parents, PLANTS, 5)
    assert meetings(line, "C", "D") == {"A", "B", "E"}


def test_letter__runs_on_after_z() -> None:
    assert [letter(at) for at in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


def test_descendants_chart__tells_role_and_mate() -> None:
    children = {"A": ["C", "D"], "C": ["S"], "D": ["S"]}
    chart = descendants_chart("A", children, PLANTS, 3, SIBS)
    assert labels(chart) == ["A", "C", "D", "S", "S"]
    assert [edge.role for edge in chart.edges] == ["seed", "seed", "seed", "pollen"]
    assert chart.places[1].plant.small == f"× {PLANTS['B'].label}"
    assert chart.places[4].plant.small == f"{PLANTS['C'].label} ×"
    assert chart.places[4].again == 3


def test_descendants_chart__circle_is_cut() -> None:
    chart = descendants_chart("A", {"A": ["C"], "C": ["A"]}, PLANTS, 9)
    assert [place.loop for place in chart.places] == [False, False, True]


def test_descendants_chart__refuses_an_unknown_child() -> None:
    with pytest.raises(ValueError, match="'X'"):
        descendants_chart("A", {"A": ["X"]}, PLANTS, 2)


def test_web_chart__each_ancestor_once_behind_all_its_children() -> None:
    parents = {"C": ("A", "B"), "D": ("A", "C"), "A": ("E", "F")}
    chart = web_chart("C", "D", parents, PLANTS, 5)
    keys = [place.key for place in chart.places]
    assert sorted(keys[1:]) == list("ABCDEF")
    for edge in chart.edges:
        assert chart.places[edge.near].generation < chart.places[edge.far].generation


def test_web_chart__rings_stand_where_both_sides_meet() -> None:
    parents = {**SIBS, "A": ("E", "F")}
    chart = web_chart("C", "D", parents, PLANTS, 5)
    assert {place.key for place in chart.places if place.mark} == {"A", "B"}


def test_web_chart__circle_is_cut_and_told() -> None:
    chart = web_chart("C", "D", {"C": ("A", "B"), "A": ("C", "E")}, PLANTS, 5)
    names = labels(chart)
    assert [(names[edge.near], names[edge.far]) for edge in chart.edges if edge.cut] == [("A", "C")]
    assert PLANTS["A"].label in chart.notes[0]


def test_shallower__keeps_the_inner_generations() -> None:
    parents, plants = full(4)
    chart = shallower(ancestors_chart(1, parents, plants, 4), 2)
    assert len(chart.places) == 7
    assert [place.more for place in chart.places] == [False] * 3 + [True] * 4
    assert chart.cut_after == 2


def test_to_tree__nests_the_same_places() -> None:
    parents, plants = full(3)
    root = to_tree(ancestors_chart(1, parents, plants, 3))
    assert [branch.plant.label for branch in root.branches] == [plants[2].label, plants[3].label]
    assert root.branches[1].branches[0].role == "seed"
    assert root.branches[1].branches[0].branches[1].plant == plants[13]


def test_to_tree__web_lists_a_branch_once() -> None:
    root = to_tree(web_chart("C", "D", {**SIBS, "A": ("E", "F")}, PLANTS, 5))
    one, other = root.branches
    pair = [one.branches[0], other.branches[0]]
    assert sorted(len(branch.branches) for branch in pair) == [0, 2]
    assert [branch.again for branch in pair if not branch.branches] == [pair[0].number]
