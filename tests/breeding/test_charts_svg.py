"""The chart on the page: well formed, light, allowed by the content policy, every plant a link."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections import Counter

import pytest
from hypothesis import given, settings

from breeding.charts import Chart, Plantlet, ancestors_chart, web_chart
from breeding.charts.svg import to_svg
from tests.breeding.pedigree_charts import full, large_web, pedigrees, plant

SVG = "{http://www.w3.org/2000/svg}"
FORBIDDEN = {
    "style",
    "class",
    "onclick",
    "onload",
    "onmouseover",
    "{http://www.w3.org/1999/xlink}href",
}


def read(chart: Chart) -> ET.Element:
    return ET.fromstring(to_svg(chart))


def words(link: ET.Element) -> str:
    return " ".join("".join(text.itertext()) for text in link.iter(f"{SVG}text"))


def test_to_svg__presentation_attributes_only() -> None:
    parents, plants = full(4)
    root = read(ancestors_chart(1, parents | {31: (2, 16)}, plants, 6))
    assert root.get("role") == "group"
    assert root.find(f"{SVG}title").text == f"Ancestors of {plants[1].label}"
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags == {"svg", "title", "defs", "g", "path", "use", "circle", "text", "a"}
    found = {name for element in root.iter() for name in element.attrib}
    assert not found & FORBIDDEN
    assert not any(name.startswith("on") for name in found)


@settings(max_examples=30, deadline=None)
@given(pedigrees())
def test_to_svg__every_plant_is_one_named_link(pedigree) -> None:
    chart = ancestors_chart(0, *pedigree, 7)
    links = list(read(chart).iter(f"{SVG}a"))
    pages = Counter(link.get("href") for link in links if link.get("href").startswith("/"))
    shown = {place.key for place in chart.places if place.kind == "plant"}
    assert pages == Counter({plant(key).href: 1 for key in shown})
    for link in links:
        assert words(link).strip()


def test_to_svg__later_places_lead_to_the_first() -> None:
    plants = {key: plant(key) for key in range(4)}
    root = read(ancestors_chart(0, {0: (1, 2), 1: (3, None), 2: (3, None)}, plants, 3))
    aims = [link.get("href") for link in root.iter(f"{SVG}a") if link.get("href")[0] == "#"]
    first = root.find(f".//*[@id='{aims[0][1:]}']")
    assert first.get("href") == plants[3].href


def test_to_svg__every_reference_has_its_aim() -> None:
    parents, plants = full(3)
    root = read(web_chart(2, 3, parents | {9: (14, 15)}, plants, 4))
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    used = {element.get("href")[1:] for element in root.iter(f"{SVG}use")}
    assert used
    assert used <= set(ids)


def test_to_svg__same_flower_is_drawn_once() -> None:
    same = Plantlet("Snib", flower=plant(1).flower, href="/1/")
    root = read(ancestors_chart(1, {1: (2, 3)}, {1: same, 2: same, 3: same}, 2))
    flowers = [group for group in root.find(f"{SVG}defs") if group.tag == f"{SVG}g"]
    assert len(flowers) == 1


def test_to_svg__full_pedigree_of_seven_generations_is_light() -> None:
    parents, plants = full(6)
    text = to_svg(ancestors_chart(1, parents, plants, 6))
    assert len(text.encode()) <= 30_000
    assert text.count("<a ") == 127
    assert text.count("scale(") >= 15


def test_to_svg__words_are_large_enough_for_a_phone() -> None:
    parents, plants = full(6)
    text = to_svg(ancestors_chart(1, parents, plants, 6))
    sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', text)]
    assert min(sizes) >= 18


def test_to_svg__awkward_words_are_escaped() -> None:
    odd = Plantlet('<Cups> & "Saucers"\x07\n', href="/?a=1&b='2'")
    root = read(ancestors_chart(1, {}, {1: odd}, 2))
    link = root.find(f".//{SVG}a")
    assert link.get("href") == "/?a=1&b='2'"
    assert words(link) == '<Cups> & "Saucers"'


def test_to_svg__plant_without_a_page_is_no_link() -> None:
    assert read(ancestors_chart(1, {}, {1: Plantlet("Snib")}, 2)).find(f".//{SVG}a") is None


def test_to_svg__ids_begin_as_told() -> None:
    text = to_svg(ancestors_chart(1, {}, {1: plant(1)}, 2), prefix="left-")
    assert set(re.findall(r' id="([a-z-]+)', text)) == {"left-f", "left-h", "left-s"}


def test_to_svg__web_of_three_hundred() -> None:
    chart = web_chart(0, 1, *large_web(300), 40)
    assert len(chart.places) == 301
    links = list(read(chart).iter(f"{SVG}a"))
    assert len(links) == len(chart.places) - 1


def test_to_svg__empty_chart() -> None:
    with pytest.raises(ValueError, match="nothing"):
        to_svg(Chart("ancestors", ""))
