"""The chart on paper, read back with another library."""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
import pytest

from breeding.charts import Chart, Plantlet, ancestors_chart, descendants_chart, web_chart
from breeding.charts.legend import legend
from breeding.charts.pdf import to_pdf
from tests.breeding.pedigree_charts import full, large_web, plant
from tests.printed import touching

LETTER, A4 = {612, 792}, {595, 842}


def sheet(chart: Chart, *more: str):
    pages = pdfplumber.open(io.BytesIO(to_pdf(chart, *more))).pages
    assert len(pages) == 1
    return pages[0]


def plain(text: str) -> str:
    return "".join(text.split())


def lines_of(page) -> str:
    """All words without blanks, in the order in which they were written."""
    return plain("".join(char["text"] for char in page.chars))


def check_inside(page) -> None:
    for char in page.chars:
        assert 0 < char["x0"] < char["x1"] < page.width
        assert 0 < char["top"] < char["bottom"] < page.height
        assert char["size"] >= 4.99


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
def test_to_pdf__full_pedigree_of_seven_generations_on_one_sheet(paper, size) -> None:
    parents, plants = full(6)
    page = sheet(ancestors_chart(1, parents, plants, 6), paper, "For the shed", "Printed in winter")
    assert {round(page.width), round(page.height)} == size
    check_inside(page)
    text = lines_of(page)
    for one in plants.values():
        assert plain(one.label) in text
    assert "Fortheshed" in text
    assert "Printedinwinter" in text


def test_to_pdf__web_with_flowers_as_vectors() -> None:
    parents, plants = full(4)
    page = sheet(web_chart(2, 3, parents | {16: (30, 31), 17: (30, 29)}, plants, 5))
    check_inside(page)
    assert page.images == []
    assert len(page.curves) > 7 * 10
    for key in range(2, 32):
        assert plain(plants[key].label) in lines_of(page)


def test_to_pdf__descendants() -> None:
    plants = {key: plant(key) for key in range(30)}
    children = {0: range(1, 9), 3: range(9, 20), 12: range(20, 30)}
    page = sheet(descendants_chart(0, children, plants, 3))
    check_inside(page)
    assert all(plain(one.label) in lines_of(page) for one in plants.values())


def test_to_pdf__all_fonts_are_embedded() -> None:
    parents, plants = full(3)
    data = to_pdf(ancestors_chart(1, parents, plants, 3))
    assert data.count(b"/FontFile2") == 4
    assert b"Helvetica" not in data


def test_to_pdf__too_deep_says_what_was_left_out() -> None:
    parents, plants = full(9)
    page = sheet(ancestors_chart(1, parents, plants, 9))
    check_inside(page)
    assert "didnotfitonthissheet" in lines_of(page)


def test_to_pdf__web_of_three_hundred() -> None:
    page = sheet(web_chart(0, 1, *large_web(300), 300))
    check_inside(page)
    assert "Thunderstorms" in lines_of(page)


def test_to_pdf__line_of_a_hundred_generations() -> None:
    plants = {key: plant(key) for key in range(101)}
    page = sheet(web_chart(0, 1, {key: (key + 1, key + 1) for key in range(100)}, plants, 200))
    check_inside(page)
    assert "didnotfitonthissheet" in lines_of(page)


@pytest.mark.parametrize("depth", range(1, 11))
def test_to_pdf__any_depth_keeps_to_the_sheet(depth: int) -> None:
    parents, plants = full(min(depth, 7))
    check_inside(sheet(ancestors_chart(1, parents, plants, depth), "Letter"))


def test_to_pdf__single_plant_without_a_flower() -> None:
    page = sheet(ancestors_chart(1, {}, {1: Plantlet("Snib")}, 4))
    check_inside(page)
    assert "Snib" in lines_of(page)


def test_to_pdf__long_names_are_whole_and_foreign_signs_become_dots() -> None:
    long = "Ein Name " + "so lang wie ein Regentag im Garten hinter dem Wasserwerk " * 3
    plants = {1: Plantlet("Snib"), 2: Plantlet(long), 3: Plantlet("花 Řeka")}
    page = sheet(ancestors_chart(1, {1: (2, 3)}, plants, 2), "A4", long)
    check_inside(page)
    assert lines_of(page).count(plain(long)) == 2
    assert "·Řeka" in lines_of(page)


NAMES_OF_MANY_LETTERS = (
    "Зимний сад за водокачкой", "Ἶρις ἡ μέλαινα", "Žluťoučký kůň ♀", "Łódka w Sieni",
)  # fmt: skip


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_to_pdf__names_in_other_letters_are_whole_on_one_sheet(paper: str) -> None:
    """Long ones too, in seven generations; each in letters that the file holds."""
    parents, plants = full(6)
    for key in plants:
        name = f"{NAMES_OF_MANY_LETTERS[key % 4]} {'и снова ' * (key % 3)}{key}"
        plants[key] = replace(plants[key], label=name, is_number=False)
    page = sheet(ancestors_chart(1, parents, plants, 6), paper)
    for char in page.chars:
        assert 0 < char["x0"] < char["x1"] < page.width
        assert 0 < char["top"] < char["bottom"] < page.height
        # The larger letters of the other font are set smaller, so that they look alike.
        assert char["size"] >= (4.29 if "DejaVu" in char["fontname"] else 4.99)
    assert touching(page) == []
    for one in plants.values():
        assert plain(one.label) in lines_of(page)
    assert "·" not in lines_of(page)
    assert {char["fontname"][6] for char in page.chars} == {"+"}


def test_to_pdf__letters_from_the_right_are_drawn_so() -> None:
    plants = {1: Plantlet("Snib"), 2: Plantlet("שלום"), 3: Plantlet("قزحية")}
    page = sheet(ancestors_chart(1, {1: (2, 3)}, plants, 2))
    check_inside(page)
    assert "םולש" in lines_of(page)
    assert "·" not in lines_of(page)


def test_to_pdf__circle_is_told() -> None:
    plants = {key: plant(key) for key in range(3)}
    page = sheet(ancestors_chart(0, {0: (1, 2), 1: (0, None)}, plants, 5))
    assert "amongitsownancestors" in lines_of(page)


def test_to_pdf__unknown_paper() -> None:
    with pytest.raises(KeyError):
        to_pdf(ancestors_chart(1, {}, {1: plant(1)}, 2), "Foolscap")


def test_to_pdf__empty_chart() -> None:
    with pytest.raises(ValueError, match="nothing"):
        to_pdf(Chart("web", ""))


def test_legend__speaks_only_of_what_is_there() -> None:
    plants = {key: plant(key) for key in range(4)}
    quiet = legend(ancestors_chart(0, {0: (1, 2)}, plants, 3))
    assert len(quiet) == 2
    inbred = legend(ancestors_chart(0, {0: (1, 2), 1: (3, None), 2: (3, None)}, plants, 3))
    assert any("Orange" in sentence for sentence in inbred)
    assert any("letter" in sentence for sentence in inbred)
