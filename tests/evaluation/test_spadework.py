"""Rows as the spade reads them: words, strips and printed sheets, without a garden."""

from __future__ import annotations

import io
import re

import pdfplumber
import pytest
from lxml import etree

from evaluation.spadework import Chunk, Fate, SpadeBed, SpadeRow, Spot, Stray, draw_key, draw_strip
from evaluation.spadework.clearsheet import clear_out_pdf
from evaluation.spadework.paper import MARGIN
from evaluation.spadework.resetsheet import Move, resets_pdf
from evaluation.spadework.strip import lines_of, numbered
from garden.flower import Recipe

SIGNS = {"d": Fate.DIG, "L": Fate.LEAVE, "w": Fate.WAIT, "m": Fate.MOVED, ".": Fate.GONE}


def row(signs: str, first: int = 1, told: str = "26-014C, keep", number: int = 3) -> SpadeRow:
    """'ddLd' is dig, dig, leave, dig."""
    spots = (
        Spot(first + at, SIGNS[sign], told if sign == "L" else "") for at, sign in enumerate(signs)
    )
    return SpadeRow(1, number, "26-014", tuple(spots))


def line(of: SpadeRow) -> str:
    return " · ".join(map(str, of.line))


@pytest.mark.parametrize(
    ("signs", "words"),
    [
        ("d" * 14 + "L" + "d" * 15, "dig 1–14 · LEAVE 15 (26-014C, keep) · dig 16–30"),
        ("ddd.dmd", "dig 1–3, 5, 7"),
        ("wwd", "leave 1–2 · dig 3"),
        ("LL", "LEAVE 1–2 (26-014C, keep)"),
        ("..m", ""),
    ],
)
def test_line__reads_in_the_order_of_positions(signs: str, words: str) -> None:
    assert line(row(signs)) == words


def test_line__tells_each_that_stays_for_itself() -> None:
    spots = (Spot(1, Fate.LEAVE, "26-014A, keep"), Spot(2, Fate.LEAVE, "26-014B, watch"))
    told = line(SpadeRow(1, 1, "26-014", spots))
    assert told == "LEAVE 1 (26-014A, keep) · LEAVE 2 (26-014B, watch)"


def test_chunk__parts_hold_together() -> None:
    assert Chunk(Fate.DIG, (1, 2, 5), "").parts == ["1–2,", "5"]


def test_row__counts_what_is_dug_and_what_stays() -> None:
    found = row("ddLw.m", first=8)
    assert (found.dig, found.stays, found.moved) == ((8, 9), (10, 11), (13,))
    assert (found.span, found.dig_text, found.empty) == ("8–13", "8–9", False)
    assert row(".m.").empty


def test_lines_of__a_short_row_fits_one() -> None:
    assert lines_of(row("d" * 50, first=8)) == [(8, 8, 57)]
    assert lines_of(row("d")) == [(1, 1, 1)]


def test_lines_of__a_long_row_breaks_behind_tens() -> None:
    assert lines_of(row("d" * 60, first=8)) == [(1, 8, 50), (51, 51, 67)]


def test_numbered__leaves_room_between_numbers() -> None:
    assert numbered(1, 25) == [1, 10, 20]
    assert numbered(8, 25) == [10, 20]
    assert numbered(3, 5) == [3]


def test_strip__is_sound_svg_and_has_no_style() -> None:
    drawn = draw_strip(row("ddLwm." * 30, first=7))
    assert etree.fromstring(drawn).get("aria-hidden") == "true"
    assert "style" not in drawn
    assert "class=" in drawn


def test_strip__each_fate_has_a_shape_of_its_own() -> None:
    """Without colour: fills and strokes are taken out before they are compared."""
    plain = {re.sub(r'(fill|stroke)="#\w+"|[\d.]+', "", draw_key(fate)) for fate in Fate}
    assert len(plain) == len(Fate)


def test_strip__draws_a_run_as_one_block() -> None:
    assert draw_strip(row("d" * 40)).count('fill="#47207c"') == 1
    assert draw_strip(row("d" * 40)).count("<circle") == 0
    assert draw_strip(row("LdL")).count("<circle") == 2


def opened(pdf: bytes) -> pdfplumber.PDF:
    return pdfplumber.open(io.BytesIO(pdf))


def words_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in opened(pdf).pages)


def test_clear_out_pdf__reads_as_the_page_does() -> None:
    bed = SpadeBed(1, "Long Bed", (row("d" * 14 + "L" + "d" * 15),))
    said = words_of(clear_out_pdf([bed], (), "Garden at the Mill Race, 25 November 2026"))
    assert "Long Bed" in said
    assert "dig 1–14 · LEAVE 15 (26-014C, keep) · dig 16–30" in said
    assert "dig 29, leave 1" in said
    assert "Garden at the Mill Race, 25 November 2026" in said


def test_clear_out_pdf__sets_what_is_left_in_bold_and_large() -> None:
    page = opened(clear_out_pdf([SpadeBed(1, "Long Bed", (row("dLd"),))])).pages[0]
    words = page.extract_words(extra_attrs=["fontname", "size"])
    sizes = {word["text"]: (word["fontname"][-3:], word["size"]) for word in words}
    assert sizes["LEAVE"][1] >= 18
    left = [word for word in words if word["text"] in ("(26-014C,", "keep)")]
    dug = [word for word in words if word["text"] == "dig" and word["size"] == left[0]["size"]]
    assert left[0]["fontname"] != dug[0]["fontname"]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.3, 841.9)), ("Letter", (612, 792))])
def test_clear_out_pdf__long_rows_stay_on_the_paper(paper: str, size: tuple) -> None:
    bed = SpadeBed(1, "Long Bed", (row("dLwdd." * 100, first=7), row("d" * 9)))
    pages = opened(clear_out_pdf([bed], (), "", paper)).pages
    assert len(pages) > 2
    assert (pages[0].width, pages[0].height) == pytest.approx(size, abs=0.2)
    for page in pages:
        for sign in (each for each in page.chars if each["text"].strip()):
            assert MARGIN - 1 < sign["x0"] < sign["x1"] < page.width - MARGIN + 1
            assert MARGIN - 8 < sign["top"] < sign["bottom"] < page.height - MARGIN + 8
    said = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert all(f" {at}" in said for at in range(7, 607, 6))


def test_clear_out_pdf__a_bed_begins_a_page_and_every_row_has_a_box() -> None:
    beds = [SpadeBed(at, f"Bed {at}", (row("dd"), row("d", number=4))) for at in (1, 2)]
    pages = opened(clear_out_pdf(beds)).pages
    assert [page.extract_text().split("\n")[0] for page in pages] == ["Bed 1", "Bed 2"]
    boxes = [box for box in pages[0].rects if not box["fill"] and box["width"] > 20]
    assert len(boxes) == 2


def test_clear_out_pdf__leaves_rows_out_where_nothing_is_dug() -> None:
    said = words_of(clear_out_pdf([SpadeBed(1, "Long Bed", (row("d"), row("...", number=9)))]))
    assert "Row 9" not in said


def test_clear_out_pdf__an_empty_list_says_so() -> None:
    assert "There is nothing to dig." in words_of(clear_out_pdf([]))


def test_clear_out_pdf__names_discarded_plants_elsewhere() -> None:
    said = words_of(clear_out_pdf([], [Stray(4, "26-014B", "Long Bed 7")]))
    assert "Long Bed 7" in said
    assert "26-014B" in said


def test_clear_out_pdf__the_same_list_gives_the_same_file() -> None:
    beds = [SpadeBed(1, "Bed 一", (row("dL"),))]
    assert clear_out_pdf(beds) == clear_out_pdf(beds)


def test_clear_out_pdf__unknown_paper() -> None:
    with pytest.raises(KeyError):
        clear_out_pdf([], paper="A0")


def test_resets_pdf__says_from_where_and_leaves_a_line() -> None:
    recipe = Recipe(standards="white", falls="violet")
    moves = [
        Move("26-014C", "Keep", "Long Bed", 1, 15, 3, recipe),
        Move("26-014D", "Use as parent", "The long bed behind the old pump house", 12, 7),
    ]
    pdf = resets_pdf(moves, "25 November 2026")
    said = words_of(pdf)
    for words in ("26-014C", "row 1, 15", "Keep, 3 increases", "2 to move", "row 12, 7"):
        assert words in said
    assert said.count(" to ") >= 2
    assert len(opened(pdf).pages[0].lines) >= 6


def test_resets_pdf__runs_on_to_further_pages() -> None:
    moves = [Move(f"26-0{at}A", "Keep", "Long Bed", 1, at) for at in range(10, 40)]
    pages = opened(resets_pdf(moves)).pages
    assert len(pages) > 2
    assert sum(page.extract_text().count("Keep") for page in pages) == 30


def test_resets_pdf__an_empty_list_says_so() -> None:
    assert "Nothing waits to be moved." in words_of(resets_pdf([]))
