"""The sheet of tags as PDF, read back by a PDF library."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from breeding.tagnumbers import tag_codes
from breeding.tagsheet import tag_sheet

MM = 72 / 25.4


def pages(codes: list[str], paper: str = "A4", garden: str = "Garden at the Mill Race") -> list:
    return pdfplumber.open(io.BytesIO(tag_sheet(codes, garden, paper))).pages


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_tag_sheet__has_the_size_of_its_paper(paper: str, size: tuple[float, float]) -> None:
    page = pages(["10007"], paper)[0]
    assert (page.width / MM, page.height / MM) == pytest.approx(size, abs=0.2)


def test_tag_sheet__prints_every_number_once_inside_its_page() -> None:
    codes = [code for _, code in tag_codes(1000, 75)]
    sheets = pages(codes)
    words = [word for page in sheets for word in page.extract_words()]
    printed = [word["text"] for word in words if word["text"].isdigit()]
    assert sorted(printed) == sorted(codes)
    assert len(sheets) == 3
    for page in sheets:
        for sign in page.chars:
            assert 8 * MM < sign["x0"] < sign["x1"] < page.width - 8 * MM
            assert 8 * MM < sign["top"] < sign["bottom"] < page.height - 8 * MM


def test_tag_sheet__begins_every_line_in_one_column() -> None:
    page = pages([code for _, code in tag_codes(1000, 15)])[0]
    starts = {round(line["x0"], 1) for line in page.lines}
    assert len(starts) == 1
    names = [word["x0"] for word in page.extract_words() if word["text"] == "Garden"]
    assert names == pytest.approx([starts.pop()] * 15, abs=0.5)


def test_tag_sheet__embeds_its_font_and_replaces_signs_it_lacks() -> None:
    page = pages(["10007"], garden="花 garden")[0]
    assert {sign["fontname"].split("+")[-1] for sign in page.chars} == {
        sign["fontname"].split("+")[-1] for sign in page.chars if "Atkinson" in sign["fontname"]
    }
    assert "garden" in page.extract_text()


def test_tag_sheet__refuses_an_unknown_paper() -> None:
    with pytest.raises(KeyError):
        tag_sheet(["10007"], "g", "A9")
