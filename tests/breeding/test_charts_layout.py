"""Where things stand: no node on another, everything inside, lines where they belong."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.charts import Chart, ancestors_chart, descendants_chart, web_chart
from breeding.charts.layout_tree import tidy
from breeding.charts.layout_web import heights, layered
from breeding.charts.measure import ems, fitted
from breeding.charts.scene import Scene, scene
from breeding.charts.sheet import STYLES
from breeding.charts.style import LEAST, SCREEN
from tests.breeding.pedigree_charts import full, pedigrees, plant


def overlapping(laid: Scene) -> list[tuple[int, int]]:
    """Pairs of places whose boxes share more than a hair."""
    found = []
    for one, two in combinations(laid.spots, 2):
        (l1, t1, r1, b1), (l2, t2, r2, b2) = one.box, two.box
        if min(r1, r2) - max(l1, l2) > 0.01 and min(b1, b2) - max(t1, t2) > 0.01:
            found.append((one.index, two.index))
    return found


def outside(laid: Scene) -> list[int]:
    return [
        spot.index
        for spot in laid.spots
        if min(spot.box) < 0 or spot.box[2] > laid.width or spot.box[3] > laid.height
    ]


def check(chart: Chart) -> None:
    for style in (SCREEN, STYLES[0], STYLES[-1]):
        laid = scene(chart, style)
        assert overlapping(laid) == []
        assert outside(laid) == []
        assert min(words.size for spot in laid.spots for words in spot.words) >= LEAST


@settings(max_examples=40, deadline=None)
@given(pedigrees(), st.integers(0, 10))
def test_scene__ancestors_never_stand_on_each_other(pedigree, depth) -> None:
    check(ancestors_chart(0, *pedigree, depth))


@settings(max_examples=40, deadline=None)
@given(pedigrees(), st.integers(0, 10))
def test_scene__web_never_stands_on_itself(pedigree, depth) -> None:
    parents, plants = pedigree
    check(web_chart(0, len(plants) - 1, parents, plants, depth))


@settings(max_examples=25, deadline=None)
@given(pedigrees(), st.integers(0, 6))
def test_scene__descendants_never_stand_on_each_other(pedigree, depth) -> None:
    parents, plants = pedigree
    children: dict = {}
    for child, pair in parents.items():
        for parent in dict.fromkeys(pair):
            children.setdefault(parent, []).append(child)
    check(descendants_chart(len(plants) - 1, children, plants, depth, parents))


@pytest.mark.parametrize("depth", range(1, 9))
def test_scene__full_pedigree_of_any_depth(depth: int) -> None:
    parents, plants = full(depth)
    laid = scene(ancestors_chart(1, parents, plants, depth))
    assert overlapping(laid) == []
    assert outside(laid) == []


def test_scene__seed_parent_stands_above_and_right() -> None:
    parents, plants = full(2)
    spots = scene(ancestors_chart(1, parents, plants, 2)).spots
    centres = [(spot.box[0], (spot.box[1] + spot.box[3]) / 2) for spot in spots]
    assert centres[1][1] < centres[2][1]
    assert centres[0][0] < centres[1][0] == centres[2][0] < centres[3][0]


def test_scene__web_has_the_seed_parent_above() -> None:
    plants = {key: plant(key) for key in range(6)}
    parents = {0: (2, 3), 1: (2, 4), 4: (2, 5)}
    spots = scene(web_chart(1, 0, parents, plants)).spots
    tops = {spot.place.key: spot.box[1] for spot in spots}
    assert tops[1] < tops[0]


def test_scene__heavier_lines_for_larger_shares() -> None:
    parents, plants = full(3)
    strokes = scene(ancestors_chart(1, parents, plants, 3)).strokes
    widths = [stroke.width for stroke in strokes]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 2 * widths[-1]


def test_scene__loop_lines_are_in_beard_orange() -> None:
    plants = {key: plant(key) for key in range(4)}
    chart = ancestors_chart(0, {0: (1, 2), 1: (3, "unknown"), 2: (3, None)}, plants, 3)
    inks = [stroke.ink for stroke in scene(chart).strokes if not stroke.dash]
    assert inks.count("#c4650a") == 4
    dashed = [stroke for stroke in scene(chart).strokes if stroke.dash]
    assert len(dashed) == 2


def test_scene__web_tells_parents_apart_without_colour() -> None:
    plants = {key: plant(key) for key in range(4)}
    laid = scene(web_chart(0, 1, {0: (2, 3)}, plants))
    dashes = {stroke.ink: bool(stroke.dash) for stroke in laid.strokes}
    assert dashes["#47207c"] is False
    assert dashes["#1d4c2b"] is True


def test_scene__self_has_two_lines_apart() -> None:
    plants = {0: plant(0)}
    lines = scene(web_chart(0, 0, {}, plants)).strokes[-2:]
    assert lines[0].steps != lines[1].steps


def test_scene__empty_chart() -> None:
    with pytest.raises(ValueError, match="nothing"):
        scene(Chart("ancestors", ""))


def test_tidy__root_midway_and_short_branches_move_in() -> None:
    onward = [[1, 2], [3, 4], [], [], []]
    y = tidy(onward, [5] * 5, [5] * 5, 2)
    assert y[0] == (y[1] + y[2]) / 2
    assert y[4] - y[3] == 12
    assert y[2] - y[1] == 12  # beside its sister, not below her whole branch
    assert min(y) == 5


def test_heights__rows_keep_order_and_room() -> None:
    layers = layered((0, 1, 1, 1, 2), ((0, 1), (0, 2), (0, 3), (1, 4), (2, 4), (3, 4), (0, 4)))
    y = heights(layers, [6] * 5, [6] * 5, 3, 10)
    for row in layers.rows:
        rooms = [6 if node < 5 else 5 for node in row]
        for at, (one, two) in enumerate(zip(row, row[1:], strict=False)):
            assert y[two] - y[one] >= rooms[at] + rooms[at + 1] + 3 - 1e-9


def test_layered__needs_no_crossing_where_none_is() -> None:
    layers = layered((0, 0, 1, 1), ((0, 3), (1, 2)))
    assert [layers.rows[1].index(node) for node in (3, 2)] == [
        layers.rows[0].index(node) for node in (0, 1)
    ]


@given(st.text("abc xyz ÄŁ花", max_size=80), st.floats(60, 300))
def test_fitted__nothing_is_cut_off(text, most) -> None:
    lines, size = fitted(text, "name", 22.0, 18.0, most)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert 18 <= size <= 22


def test_fitted__shrinks_before_it_wraps() -> None:
    wide = ems("Moth in the Piano", "name") * 22
    assert fitted("Moth in the Piano", "name", 22.0, 18.0, wide)[0] == ("Moth in the Piano",)
    lines, size = fitted("Moth in the Piano", "name", 22.0, 18.0, wide * 0.9)
    assert lines == ("Moth in the Piano",)
    assert 19 < size < 20
    assert len(fitted("Moth in the Piano", "name", 22.0, 18.0, wide * 0.7)[0]) == 2
