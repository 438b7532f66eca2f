"""Reading printed sheets back with another library: what is on them, and whether all of it fits."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import pdfplumber

# Points by which words may lean over the margins.
SLACK = 1.0


@lru_cache(maxsize=4)
def pages_of(pdf: bytes) -> list[Any]:
    """The pages; those of the last files are held, since reading them is what takes long."""
    return pdfplumber.open(io.BytesIO(pdf)).pages


def tight(text: str) -> str:
    return "".join(text.split())


def written_on(page: Any) -> str:
    """All words without blanks, in the order in which they were written."""
    return tight("".join(char["text"] for char in page.chars))


def written(pdf: bytes) -> str:
    return "".join(written_on(page) for page in pages_of(pdf))


def foot_of(page: Any) -> str:
    """The lowest line of a page."""
    low = max(char["bottom"] for char in page.chars)
    return "".join(char["text"] for char in page.chars if char["bottom"] > low - 3)


def _core(char: dict[str, Any]) -> tuple[float, float, float, float]:
    """The middle of a letter: what no other letter may touch."""
    wide, high = char["x1"] - char["x0"], char["bottom"] - char["top"]
    return (
        char["x0"] + wide * 0.25, char["top"] + high * 0.3,
        char["x1"] - wide * 0.25, char["bottom"] - high * 0.3,
    )  # fmt: skip


def touching(page: Any) -> list[tuple[str, str]]:
    """Pairs of letters that stand on each other."""
    found, cells = [], {}
    for at, char in enumerate(char for char in page.chars if char["text"].strip()):
        x0, y0, x1, y1 = _core(char)
        near = {
            (column, row)
            for column in range(int(x0 // 20), int(x1 // 20) + 1)
            for row in range(int(y0 // 20), int(y1 // 20) + 1)
        }
        others = {other for place in near for other in cells.get(place, ())}
        for index, text, (a0, b0, a1, b1) in others:
            if index != at and x0 < a1 and a0 < x1 and y0 < b1 and b0 < y1:
                found.append((text, char["text"]))
        for place in near:
            cells.setdefault(place, set()).add((at, char["text"], (x0, y0, x1, y1)))
    return found


def check_sheet(pdf: bytes, size: tuple[float, float]) -> list[Any]:
    """Every page of that size, numbered, with all words inside the margins and none on another,
    in fonts that the file holds. The pages."""
    pages = pages_of(pdf)
    for at, page in enumerate(pages, 1):
        assert (round(page.width), round(page.height)) == size
        assert tight(f"page {at} of {len(pages)}") in tight(foot_of(page))
        for char in page.chars:
            assert char["x0"] >= 15 * 72 / 25.4 - SLACK, char["text"]
            assert char["x1"] <= page.width - 15 * 72 / 25.4 + SLACK, char["text"]
            assert 20 < char["top"] < char["bottom"] < page.height - 20, char["text"]
            assert char["fontname"][6] == "+", char["fontname"]
        assert touching(page) == []
    assert b"Helvetica" not in pdf
    return pages


A4, LETTER = (595, 842), (612, 792)
SIZES = {"A4": A4, "Letter": LETTER}


def across(size: tuple[float, float]) -> tuple[float, float]:
    return size[1], size[0]
