"""The points of crosses as dots over one scale."""

from __future__ import annotations

import random
import xml.etree.ElementTree as ET
from statistics import fmean

import pytest

from evaluation.spreadplot import Strip, scale_of, spread_svg

SVG = "{http://www.w3.org/2000/svg}"


def drawn(strips: list[Strip]) -> ET.Element:
    svg = spread_svg(strips)
    return ET.fromstring(svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


def lot(code: str, many: int, seed: int = 1) -> Strip:
    chance = random.Random(seed)
    return Strip(code, tuple(chance.uniform(0, 100) for _ in range(many)))


@pytest.mark.parametrize(
    ("points", "scale"),
    [
        ((41.5, 58.0), (40, 60)),
        ((50.0,), (50, 70)),
        ((100.0,), (80, 100)),
        ((0.0, 100.0), (0, 100)),
        ((95.1, 99.9), (80, 100)),
    ],
)
def test_scale_of(points: tuple[float, ...], scale: tuple[int, int]) -> None:
    assert scale_of([Strip("26-014", points)]) == scale


@pytest.mark.parametrize("many", [1, 7, 60, 400])
def test_spread_svg__a_dot_for_each_seedling_within_the_frame(many: int) -> None:
    svg = drawn([lot("26-014", many), lot("26-015", 5, seed=2)])
    _, _, width, height = map(float, svg.get("viewBox", "").split())
    circles = list(svg.iter(f"{SVG}circle"))
    assert len(circles) == many + 5
    for circle in circles:
        assert 0 < float(circle.get("cx", "-1")) < width
        assert 0 < float(circle.get("cy", "-1")) < height
    assert all(each.get("style") is None for each in svg.iter())


def test_spread_svg__no_two_dots_on_one_spot() -> None:
    svg = drawn([Strip("26-014", (50.0,) * 6)])
    spots = [(circle.get("cx"), circle.get("cy")) for circle in svg.iter(f"{SVG}circle")]
    assert len(set(spots)) == 6


def test_spread_svg__is_told_in_words() -> None:
    one, other = Strip("26-014", (41.0, 62.0, 83.0)), Strip("26-015", (50.0,))
    svg = drawn([one, other])
    told = svg.findtext(f"{SVG}desc")
    assert svg.get("role") == "img"
    assert told == (
        "26-014: 3 seedlings from 41 to 83, mean 62. 26-015: 1 seedling from 50 to 50, mean 50."
    )


def test_spread_svg__dots_stand_where_their_points_are() -> None:
    points = (40.0, 50.0, 60.0, 70.0, 90.0)
    svg = drawn([Strip("26-014", points)])
    # Numbers of the scale tell where a point stands, dots at most half a dot from it.
    at = {text.text: float(text.get("x", "0")) for text in svg.iter(f"{SVG}text")}
    dots = sorted(float(circle.get("cx", "0")) for circle in svg.iter(f"{SVG}circle"))
    for point, x in zip(points, dots, strict=True):
        assert abs(x - at[f"{point:.0f}"]) <= 4.5
    mean = list(svg.iter(f"{SVG}path"))[-1].get("d", "")
    x = float(mean.removeprefix("M").split()[0])
    unit = (at["90"] - at["40"]) / 50
    assert x == pytest.approx(at["40"] + (fmean(points) - 40) * unit, abs=0.1)


def test_spread_svg__escapes_what_it_is_given() -> None:
    assert "<b>" not in spread_svg([Strip("<b>", (50.0,))])
