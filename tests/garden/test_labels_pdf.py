"""Labels as PDF, measured by PDF libraries."""

from __future__ import annotations

import subprocess

import pytest

from garden.labels import READY, Sheet, calibration_pdf, labels_pdf
from garden.labels.layout import lay_out
from tests.garden.label_samples import LONG, label, pages_of

MM = 72 / 25.4
EXACT = 0.05 * MM
GRID = READY["a4-24-70x36"]
SCRIPTS = label(
    title="Снежная Королева Ἶρις", parents="שלום × اللوز", lines=("Żółw ♀ × ♂", "鳶尾 iris 🌸")
)


def corner(sheet: Sheet, index: int) -> tuple[float, float]:
    left, top = sheet.place(index)
    return left * MM, top * MM


def dark(page) -> list[dict]:
    """The bars of square codes: what is filled black without a line around."""
    return [
        one
        for one in (*page.rects, *page.curves)
        if one["fill"] and not one["stroke"] and one["non_stroking_color"] in (0, (0,), [0])
    ]


@pytest.mark.parametrize("key", READY)
def test_every_size__text_and_square_are_inside_their_label(key: str) -> None:
    sheet = READY[key]
    labels = [label(), LONG] if sheet.places > 1 else [LONG]
    page = pages_of(labels_pdf(labels, sheet, flowers=False))[0]
    assert page.width == pytest.approx(sheet.page_width * MM, abs=EXACT)
    assert page.height == pytest.approx(sheet.page_height * MM, abs=EXACT)
    signs = [sign for sign in page.chars if sign["text"].strip()]
    assert len(signs) > 10 * len(labels)
    found = set()
    for thing in (*signs, *dark(page)):
        for at in range(len(labels)):
            left, top = corner(sheet, at)
            if (
                left <= thing["x0"] < left + sheet.label_width * MM
                and top <= thing["top"] < top + sheet.label_height * MM
            ):
                found.add((at, thing["object_type"]))
                assert thing["x1"] <= left + sheet.label_width * MM
                assert thing["bottom"] <= top + sheet.label_height * MM
                break
        else:
            pytest.fail(f"{thing.get('text')} is outside")
    assert {at for at, _ in found} == set(range(len(labels)))


@pytest.mark.parametrize("key", ["a4-24-70x36", "letter-30-66-67x25-4", "roll-12x50"])
def test_square__stands_where_it_was_laid_out(key: str) -> None:
    sheet = READY[key]
    place = sheet.places - 1
    page = pages_of(labels_pdf([label()], sheet, start=place + 1))[0]
    left, top = corner(sheet, place)
    box = lay_out(label(), sheet.label_width * MM, sheet.label_height * MM).square
    bars = dark(page)
    assert len(bars) > 100
    quiet = 4 * box.side / 33
    edges = (
        min(bar["x0"] for bar in bars) - quiet - left,
        min(bar["top"] for bar in bars) - quiet - top,
        max(bar["x1"] for bar in bars) + quiet - left,
        max(bar["bottom"] for bar in bars) + quiet - top,
    )
    assert edges == pytest.approx((box.x, box.y, box.right, box.bottom), abs=EXACT)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (1.3, -0.7)])
def test_outlines__have_the_exact_size_and_place(shift) -> None:
    page = pages_of(labels_pdf([label()] * 4, GRID, start=3, outlines=True, shift=shift))[0]
    frames = [one for one in page.rects if one["stroke"]]
    assert len(frames) == 4
    for at, frame in enumerate(frames, 2):
        left, top = corner(GRID, at)
        wanted = (left + shift[0] * MM, top + shift[1] * MM, 70 * MM, 36 * MM)
        measured = (frame["x0"], frame["top"], frame["width"], frame["height"])
        assert measured == pytest.approx(wanted, abs=EXACT)


def test_start__a_half_used_sheet_goes_on_at_its_free_place() -> None:
    codes = [f"P{at:02}K" for at in range(30)]
    pages = pages_of(labels_pdf([label(code) for code in codes], GRID, start=20, flowers=False))
    assert len(pages) == 3
    places = []
    for number, page in enumerate(pages):
        for word in page.extract_words():
            if word["text"] in codes:
                column, row = word["x0"] // (70 * MM), (word["top"] - 4.5 * MM) // (36 * MM)
                places.append((word["text"], number, row * 3 + column))
    assert sorted(places) == [
        (code, (at + 19) // 24, (at + 19) % 24) for at, code in enumerate(codes)
    ]


def test_a_roll__has_one_label_a_page() -> None:
    assert len(pages_of(labels_pdf([label()] * 3, READY["roll-62x40"]))) == 3
    assert len(pages_of(labels_pdf([], READY["roll-62x40"]))) == 1


def test_a_turned_label__stays_inside() -> None:
    sheet = Sheet("upright", 210, 297, 10, 2, 18, 120, 10, 20, 1, 10)
    page = pages_of(labels_pdf([LONG], sheet, start=12, flowers=False))[0]
    left, top = corner(sheet, 11)
    things = [*page.chars, *dark(page)]
    assert len(things) > 200
    for thing in things:
        assert left <= thing["x0"] < thing["x1"] <= left + 18 * MM
        assert top <= thing["top"] < thing["bottom"] <= top + 120 * MM


def test_fonts__are_all_embedded_subsets(tmp_path) -> None:
    path = tmp_path / "labels.pdf"
    for make in (
        lambda: labels_pdf([label(), SCRIPTS], GRID),
        lambda: calibration_pdf(GRID),
        lambda: calibration_pdf(READY["roll-12x50"]),
    ):
        path.write_bytes(make())
        done = subprocess.run(["pdffonts", path], capture_output=True, text=True, check=True)
        rows = done.stdout.splitlines()[2:]
        assert rows
        assert all(row.split()[-5:-2] == ["yes", "yes", "yes"] for row in rows), done.stdout
        assert "Helvetica" not in done.stdout


def test_text__is_read_back_in_every_script(tmp_path) -> None:
    path = tmp_path / "labels.pdf"
    path.write_bytes(labels_pdf([SCRIPTS], READY["roll-102x152"]))
    text = subprocess.run(
        ["pdftotext", "-raw", path, "-"], capture_output=True, text=True, check=True
    ).stdout
    for word in ("Снежная", "Королева", "Ἶρις", "Żółw", "♀", "·· iris ·", "P123K"):
        assert word in text
    # Hebrew is drawn from the left, so the first letter is the last in the file.
    assert "שלום" in text or "םולש" in text


def test_title_and_manner_of_printing() -> None:
    from pdfminer.pdftypes import resolve1

    page = pages_of(labels_pdf([label()], GRID, title="Row 12"))[0]
    assert page.pdf.metadata["Title"] == "Row 12"
    preferences = resolve1(page.pdf.doc.catalog["ViewerPreferences"])
    assert preferences["PrintScaling"].name == "None"


def test_equal_labels__give_equal_files() -> None:
    assert labels_pdf([label(), SCRIPTS], GRID) == labels_pdf([label(), SCRIPTS], GRID)


def test_flowers__are_drawn_when_asked() -> None:
    with_flower, without = (
        pages_of(labels_pdf([label()], GRID, flowers=flowers))[0] for flowers in (True, False)
    )
    assert len(with_flower.curves) > len(without.curves) + 10
    assert with_flower.images == []


@pytest.mark.parametrize("start", [0, 25, -1])
def test_start__is_a_place_of_the_sheet(start: int) -> None:
    with pytest.raises(ValueError, match="a number from 1 to 24"):
        labels_pdf([label()], GRID, start=start)


def test_measures_that_cannot_be__are_refused() -> None:
    wrong = Sheet("", 210, 297, 4, 8, 70, 36, 0, 0)
    for make in (lambda: labels_pdf([], wrong), lambda: calibration_pdf(wrong)):
        with pytest.raises(ValueError, match="do not fit"):
            make()


@pytest.mark.parametrize("key", READY)
def test_calibration__outlines_every_place_and_its_words_are_on_the_page(key: str) -> None:
    sheet = READY[key]
    page = pages_of(calibration_pdf(sheet, (0.4, 0.2)))[0]
    frames = [one for one in page.rects if one["stroke"]]
    assert len(frames) == sheet.places
    for at, frame in enumerate(frames):
        left, top = corner(sheet, at)
        measured = (frame["x0"], frame["top"], frame["width"], frame["height"])
        wanted = (left + 0.4 * MM, top + 0.2 * MM, sheet.label_width * MM, sheet.label_height * MM)
        assert measured == pytest.approx(wanted, abs=EXACT)
    for sign in page.chars:
        assert 0 <= sign["x0"] < sign["x1"] <= page.width
        assert 0 <= sign["top"] < sign["bottom"] <= page.height
    if not sheet.roll:
        assert "actual size" in page.extract_text()


def test_calibration__lines_and_ruler_are_exact() -> None:
    page = pages_of(calibration_pdf(GRID))[0]
    upright = [one for one in page.lines if one["height"] > 200 * MM]
    level = [one for one in page.lines if one["width"] > 200 * MM]
    assert [one["x0"] for one in upright] == pytest.approx([20 * MM], abs=EXACT)
    assert [one["top"] for one in level] == pytest.approx([20 * MM], abs=EXACT)
    rulers = [one["width"] for one in page.lines if 90 * MM < one["width"] < 110 * MM]
    assert rulers == pytest.approx([100 * MM], abs=EXACT)
