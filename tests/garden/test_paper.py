"""The furniture of printed sheets: titles, tables, lines to write on."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garden.flower import Recipe
from garden.paper import BOLD, BOX, LINE, NAME, Document, document
from garden.paper.fit import fits, set_in_lines, shortest
from garden.paper.fonts import width
from garden.paper.grids import shared
from tests.printed import (
    A4,
    LETTER,
    SIZES,
    across,
    check_sheet,
    foot_of,
    pages_of,
    tight,
    touching,
    written,
    written_on,
)

LONG = "A Very Long Walk Around the Reservoir on a Wednesday in the Rain With Nobody " * 3
FOREIGN = "Žluťoučký kůň, Зимний сад, Ἶρις, ♀ × ♂"


def sheet(paper: str = "A4", **more: object) -> Document:
    return document("Cross 26-014", "Garden at the Mill Race", "20 May 2026", paper, **more)


@pytest.mark.parametrize("paper", SIZES)
def test_document__holds_every_piece_inside_its_margins(paper: str) -> None:
    page = sheet(paper, beside="26-014")
    page.heading("Flowers worked")
    page.text(LONG)
    page.note(FOREIGN)
    page.facts([("Seed parent", "Quillon Teapot"), ("Height", "91 cm"), (LONG, LONG)], columns=2)
    page.table(["Tag", "Seen", "Name", "Remark"], [["10013", BOX, LONG, LINE]] * 30,
               faces={0: BOLD, 2: NAME})  # fmt: skip
    page.beside(Recipe(standards="white", falls="violet"), 20)
    page.text("Beside its flower.")
    page.picture(Recipe(standards="white"), 30, caption=LONG)
    page.field("Remarks", 2)
    page.fields(["Walked on", "by"])
    page.boxes("Seen", ["yes", "no"])
    page.remarks()
    pdf = page.pdf()
    assert len(check_sheet(pdf, SIZES[paper])) > 2
    assert written(pdf).count(tight(LONG)) == 34
    assert tight(FOREIGN) in written(pdf)


def test_document__foot_tells_garden_day_and_page() -> None:
    page = sheet()
    page.text("One.")
    page.turn()
    page.text("Two.")
    first, second = pages_of(page.pdf())
    assert foot_of(first) == "Garden at the Mill Race · 20 May 2026page 1 of 2"
    assert foot_of(second).endswith("page 2 of 2")
    assert written_on(second).startswith("Cross26-014")


def test_document__lies_across_when_asked() -> None:
    page = sheet("Letter", across=True)
    page.text("One.")
    check_sheet(page.pdf(), across(LETTER))


def test_document__unknown_paper() -> None:
    with pytest.raises(KeyError):
        sheet("Foolscap")


def test_document__words_are_no_markup() -> None:
    page = sheet()
    page.text('<b>bold</b> & "quoted" <br/> <img src="x"/>')
    page.table(["<i>"], [["</para> & < >"]])
    assert tight('<b>bold</b> & "quoted" <br/> <img src="x"/>') in written(page.pdf())


def test_document__signs_of_no_font_are_dots() -> None:
    page = sheet()
    page.text("鳶 iris")
    assert "·iris" in written(page.pdf())


def test_document__heading_does_not_stand_alone_at_the_foot() -> None:
    for lines in range(47, 55):
        page = sheet()
        for _ in range(lines):
            page.text("A line.", size=10)
        page.heading("What follows")
        page.table(["A", "B"], [["one", "two"]] * 3)
        held = [written_on(each) for each in pages_of(page.pdf())]
        (alone,) = [text for text in held if "Whatfollows" in text]
        assert "onetwo" in alone, lines


def test_heading__long_table_begins_on_the_same_page() -> None:
    page = sheet()
    page.heading("Every flower")
    page.table(["Tag", "Day"], [[str(at), "3 May"] for at in range(300)])
    first = pages_of(page.pdf())[0]
    assert "Everyflower" in written_on(first)
    assert "203May" in written_on(first)


def test_table__repeats_its_head_and_parts_no_row() -> None:
    page = sheet()
    page.table(["Tag", "Why"], [[f"T{at:03}", "because of the rain " * 12] for at in range(40)])
    pages = pages_of(page.pdf())
    assert len(pages) > 1
    for each in pages:
        assert "TagWhy" in written_on(each)
        assert written_on(each).count("because") == 12 * written_on(each).count("T0")


def test_table__row_higher_than_a_page_goes_on_overleaf() -> None:
    page = sheet()
    page.table(["Tag", "Why"], [["T1", "word " * 1400], ["T2", "short"]])
    pdf = page.pdf()
    assert len(check_sheet(pdf, A4)) > 1
    assert written(pdf).count("word") == 1400
    assert "T2short" in written(pdf)


def test_table__plain_words_stand_on_the_line_of_a_paragraph() -> None:
    page = sheet()
    page.table(["A", "B"], [["plain", "and\nbroken"]], widths=[30, 0])
    chars = pages_of(page.pdf())[0].chars
    plain = next(char for at, char in enumerate(chars) if char["text"] == "p"
                 and chars[at + 1]["text"] == "l")  # fmt: skip
    other = next(char for at, char in enumerate(chars) if char["text"] == "a"
                 and chars[at + 1]["text"] == "n" and char["x0"] > 120)  # fmt: skip
    assert plain["bottom"] == pytest.approx(other["bottom"], abs=0.05)


def test_remarks__take_no_page_of_their_own() -> None:
    for lines in range(44, 52):
        page = sheet()
        for _ in range(lines):
            page.text("A line.", size=10)
        counted = len(pages_of(page.pdf()))
        page = sheet()
        for _ in range(lines):
            page.text("A line.", size=10)
        page.remarks()
        assert len(pages_of(page.pdf())) == counted


@given(
    st.lists(st.tuples(st.floats(1, 200), st.floats(0, 400)), min_size=1, max_size=9),
    st.floats(50, 900),
)
@settings(max_examples=60)
def test_shared__columns_fill_the_room(columns: list[tuple[float, float]], room: float) -> None:
    least = [low for low, _ in columns]
    wide = shared(least, [low + more for low, more in columns], room)
    assert sum(wide) == pytest.approx(room)
    if sum(least) < room:
        assert all(one >= low - 1e-6 for one, low in zip(wide, least, strict=True))


@given(st.text("abc éЖ-", max_size=60), st.floats(8, 200))
@settings(max_examples=60, deadline=None)
def test_set_in_lines__keeps_every_letter_in_its_room(text: str, room: float) -> None:
    lines = set_in_lines(text, NAME, 9, room)
    assert tight("".join(lines)) == tight(text)
    for line in lines:
        assert width(line, NAME, 9) <= room + 1e-6 or len(line) == 1


def test_shortest__uses_the_lines_that_it_may() -> None:
    name = "Thunderstorms Behind Greenhouses"
    assert shortest(name, NAME, 9, 1) == [name]
    assert shortest(name, NAME, 9, 3) == ["Thunderstorms", "Behind", "Greenhouses"]
    assert not fits(name, NAME, 9, 40, 3)


def test_touching__finds_words_on_words() -> None:
    """The check itself: what is set twice on one place is found."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(None, pagesize=A4)
    canvas.drawString(100, 100, "under")
    canvas.drawString(101, 101, "above")
    assert touching(pages_of(canvas.getpdfdata())[0])
