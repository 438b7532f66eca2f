"""The thread's sheets drawn from plain data: whole, legible, nothing on anything else."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.paper.bedmap import bed_map_pdf
from breeding.paper.bedplan import Bed, CrossHere, Standing, Stretch, drawn, place_of, spans
from breeding.paper.crosslist import (
    CrossList,
    Jar,
    Parent,
    PutBy,
    Tags,
    ToCross,
    ToFetch,
    cross_list_pdf,
    tags_said,
)
from breeding.paper.seasonplots import Day
from breeding.paper.seasonreport import (
    Counts,
    CrossLine,
    ParentLine,
    Season,
    Selected,
    cells,
    season_pdf,
    total,
)
from breeding.paper.walksheet import Marked, Stop, Walk, WalkStretch, walk_pdf
from garden.flower import Recipe
from tests.printed import SIZES, across, check_sheet, pages_of, tight, written, written_on

GARDEN, DAY = "Garden at the Mill Race", "20 May 2026"
LONG = "Thunderstorms Behind the Greenhouses of a Very Long Wednesday in the Rain, Again"
NAMES = ("Snib", "Moth in the Piano", "Żółć w Ogródku", "Зимний сад", "Ἶρις ἡ μέλαινα", LONG)
FLOWER = Recipe(standards="white", falls="violet", beard="yellow")
PAPERS = pytest.mark.parametrize("paper", SIZES)


def seedbed(rows: int = 3, positions: int = 300) -> Bed:
    """Rows full of stretches of one to forty seedlings, here and there a letter."""
    rng = random.Random(7)
    stretches = []
    for row in range(1, rows + 1):
        at = 1
        while at <= positions:
            last = min(positions, at + rng.choice((0, 1, 4, 11, 39)))
            letters = [(place, chr(65 + place % 26)) for place in range(at, last + 1)
                       if rng.random() < 0.08]  # fmt: skip
            stretches.append(Stretch(row, at, last, f"26-{at:03d}", tuple(letters)))
            at = last + 1 + rng.choice((0, 1, 3))
    return Bed("Ditch Meadow", rows, positions, "on loan", (), tuple(stretches))


def border(rows: int = 4, positions: int = 24) -> Bed:
    """Every place taken, by names of all lengths."""
    plants = [
        Standing(row, at, NAMES[(row + at) % len(NAMES)], FLOWER if at % 3 else None, at % 7 == 0)
        for row in range(1, rows + 1)
        for at in range(1, positions + 1)
    ]
    return Bed("Long Border", rows, positions, "", tuple(plants))


@PAPERS
@pytest.mark.parametrize("bed", [seedbed(), border(), border(1, 9), border(1, 61)],
                         ids=["seedlings", "names", "short", "long"])  # fmt: skip
def test_bed_map__nothing_is_cut_and_nothing_overlaps(paper: str, bed: Bed) -> None:
    pdf = bed_map_pdf(bed, GARDEN, DAY, paper)
    check_sheet(pdf, across(SIZES[paper]))
    told = written(pdf)
    for stretch in bed.stretches:
        assert tight(stretch.cross) in told
    for name in {plant.name for plant in bed.plants}:
        assert told.count(tight(name)) >= sum(plant.name == name for plant in bed.plants), name


def test_bed_map__is_drawn_to_scale() -> None:
    """The bar of seedlings 11 to 30 begins at a sixth of the row and is a third of it long."""
    page = pages_of(bed_map_pdf(Bed("B", 1, 60, "", (), (Stretch(1, 11, 30, "26-001"),)),
                                GARDEN, DAY))[0]  # fmt: skip
    level = [line for line in page.lines if line["top"] == line["bottom"]]
    ground = max((line for line in level if line["x0"] > 60), key=lambda line: line["width"])
    (bar,) = [line for line in level if ground["width"] / 3.2 < line["width"] < ground["width"] / 2]
    assert (bar["x0"] - ground["x0"]) / ground["width"] == pytest.approx(1 / 6, abs=0.003)
    assert bar["width"] / ground["width"] == pytest.approx(1 / 3, abs=0.004)


def test_bed_map__letters_stand_over_their_seedlings() -> None:
    stretch = Stretch(1, 1, 60, "26-001", ((6, "A"), (55, "Q")))
    page = pages_of(bed_map_pdf(Bed("Bbb", 1, 60, "", (), (stretch,)), GARDEN, DAY))[0]
    ground = max((line for line in page.lines if line["x0"] > 60), key=lambda line: line["width"])
    pitch = ground["width"] / 60
    for letter, at in (("A", 6), ("Q", 55)):
        (char,) = [char for char in page.chars if char["text"] == letter and char["size"] < 10
                   and char["top"] < ground["top"]]  # fmt: skip
        middle = (char["x0"] + char["x1"]) / 2
        assert middle == pytest.approx(ground["x0"] + (at - 0.5) * pitch, abs=0.6)


def test_bed_map__empty_bed_has_rulers_to_write_over() -> None:
    pages = check_sheet(bed_map_pdf(Bed("Bare", 3, 20), GARDEN, DAY), across(SIZES["A4"]))
    assert len(pages) == 1
    assert written_on(pages[0]).count("1234567891011121314151617181920") == 3


def test_bed_map__empty_rows_of_a_large_bed_are_one_line() -> None:
    bed = Bed("Field", 500, 5000, "", (), (Stretch(40, 4990, 5000, "26-001"),))
    pdf = bed_map_pdf(bed, GARDEN, DAY)
    assert len(check_sheet(pdf, across(SIZES["A4"]))) == 1
    assert "rows1to39:nothingstands" in written(pdf)
    assert "Nothingstandsatpositions" in written(pdf)


def test_bed_map__marks_that_tell_no_place_are_listed() -> None:
    here = CrossHere("26-001", f"{LONG} × {LONG}", DAY, 12, "1: 1–12")
    bed = replace(border(1, 5), elsewhere=(("by the gate", LONG),), crosses=(here,))
    pdf = bed_map_pdf(bed, GARDEN, DAY)
    check_sheet(pdf, across(SIZES["A4"]))
    assert "bythegate" in written(pdf)
    assert tight(f"{LONG} × {LONG}") in written(pdf)


@pytest.mark.parametrize(
    ("mark", "rows", "place"),
    [("2-7", 4, (2, 7)), ("7", 1, (1, 7)), ("7", 4, None), ("2 – 7", 4, (2, 7)), ("5-7", 4, None),
     ("2-31", 4, None), ("by the gate", 4, None), ("", 1, None), ("0", 1, None)],
)  # fmt: skip
def test_place_of__reads_rows_and_positions(mark: str, rows: int, place: object) -> None:
    assert place_of(mark, rows, 30) == place


@given(st.integers(1, 5000), st.floats(300, 800), st.booleans())
@settings(max_examples=80)
def test_spans__cover_every_position_once(positions: int, room: float, named: bool) -> None:
    parts, pitch = spans(positions, room, named)
    covered = [at for first, last in parts for at in range(first, last + 1)]
    assert covered == list(range(1, positions + 1))
    assert max(last - first + 1 for first, last in parts) * pitch <= room + 1e-6


def test_drawn__every_row_of_a_large_bed_is_there() -> None:
    bed = seedbed(40, 50)
    rows = [piece.row for piece in drawn(bed, 1, 50)]
    assert rows == list(range(1, 41))


CRITERIA = tuple(Marked(title, "0–5", "Stands out in the row") for title in
                 ("Plant", "Stalk", "Buds", "Flower", "Seen before?"))  # fmt: skip


def walk(stops: int = 300, criteria: tuple[Marked, ...] = CRITERIA) -> Walk:
    said = (f"Keep. 2025: {'ruffled, and tall; ' * 20}", "2025: look again, wide falls", "")
    stretch = WalkStretch(
        "26-014", LONG, "Зимний сад", 1, stops, "3 June 2024",
        tuple(Stop(at, f"26-014{chr(65 + at % 26)}" if at % 40 == 1 else "", said[min(at % 12, 2)])
              for at in range(1, stops + 1) if at != 7),
        "7", FLOWER, None,
    )  # fmt: skip
    return Walk("Ditch Meadow", 3, (stretch,), "First walk", criteria)


@pytest.mark.parametrize(("paper", "last"), [("A4", 300), ("Letter", 40)])
def test_walk__every_position_has_its_line(paper: str, last: int) -> None:
    pdf = walk_pdf(walk(last), GARDEN, DAY, paper)
    pages = check_sheet(pdf, SIZES[paper])
    numbers = [
        word["text"] for page in pages
        for word in page.extract_words(extra_attrs=["size"]) if 12.5 < word["size"] < 16
    ]  # fmt: skip
    assert [each for each in numbers if each.isdecimal()] == [
        str(at) for at in range(1, last + 1) if at != 7
    ]
    assert written(pdf).count("ruffled,andtall;") == 20 * (last // 12)
    assert tight(LONG) in written_on(pages[0])
    assert "Nothingstandsanymoreat7." in written_on(pages[0])


def test_walk__each_line_has_boxes_and_room_for_a_hand() -> None:
    stretch = walk(8).stretches[0]
    quiet = replace(stretch, stops=tuple(replace(stop, said="") for stop in stretch.stops))
    page = pages_of(walk_pdf(replace(walk(8), stretches=(quiet,)), GARDEN, DAY))[0]
    boxes = [each for each in page.rects if 8 < each["width"] < 13]
    assert len(boxes) == 7 * 4
    tops = sorted({round(box["top"]) for box in boxes})
    # A hand needs 8 mm from line to line.
    assert all(low - high >= 8 * 72 / 25.4 for high, low in zip(tops, tops[1:], strict=False))


@pytest.mark.parametrize("count", [0, 1, 7, 14])
def test_walk__any_number_of_criteria_fits(count: int) -> None:
    criteria = tuple(Marked(f"{LONG[: 10 + 3 * at]}", "1–3", LONG) for at in range(count))
    pdf = walk_pdf(walk(30, criteria), GARDEN, DAY)
    size = SIZES["A4"]
    check_sheet(pdf, across(size) if count > 6 else size)


def test_walk__several_stretches_each_with_their_parents() -> None:
    one = walk(12).stretches[0]
    two = replace(one, cross="26-015", seed="Snib", first=13, last=14, stops=(), gone="13, 14")
    pdf = walk_pdf(replace(walk(12), stretches=(one, two)), GARDEN, DAY)
    check_sheet(pdf, SIZES["A4"])
    assert "26-015" in written(pdf)
    assert "Nothingstandshereanymore." in written(pdf)


def test_walk__empty_row() -> None:
    pdf = walk_pdf(Walk("Long Bed", 1, ()), GARDEN, DAY)
    assert len(check_sheet(pdf, SIZES["A4"])) == 1
    assert "Noseedlingsstandinthisrow." in written(pdf)


def to_cross(count: int) -> CrossList:
    crosses = tuple(
        ToCross(Parent(NAMES[at % 6], "Long Border 2-7", FLOWER), Parent(LONG, "Gate 3"),
                1 + at % 5 * 8, at % 3, "Until about 4 Jun, then it will be over")
        for at in range(count)
    )  # fmt: skip
    return CrossList(
        "21 May 2026", f"{count} of {count} planned crosses can be made.",
        (("Both open", crosses[::2]), ("With stored pollen", crosses[1::2])) if count else (),
        tuple(ToFetch(each.pollen, 1, each.flowers) for each in crosses),
        tuple(Jar(LONG, "freezer, tin with rice", DAY, DAY) for _ in range(min(count, 9))),
        (PutBy(Parent(LONG, "Gate 3"), "4 Jun", f"{LONG} (9 Jun)"),) if count else (),
        Tags(count, count, "10013", "10064"),
    )  # fmt: skip


@pytest.mark.parametrize(("paper", "count"), [("A4", 40), ("Letter", 12)])
def test_cross_list__holds_every_cross(paper: str, count: int) -> None:
    asked = to_cross(count)
    pdf = cross_list_pdf(asked, GARDEN, DAY, paper)
    pages = check_sheet(pdf, SIZES[paper])
    told = written(pdf)
    # As pollen to fetch, in its cross, as a seed parent every sixth time, in store, to put by.
    assert told.count(tight(LONG)) == 2 * count + count // 6 + len(asked.jars) + 2
    assert told.count("Untilabout4Jun") == count
    assert all("SeedparentPollenparent" in written_on(page) or "Pollenof" in written_on(page)
               for page in pages[:2])  # fmt: skip


def test_cross_list__a_box_for_the_tag_of_each_flower() -> None:
    one = ToCross(Parent("Snib"), Parent("Moth"), 3)
    asked = replace(to_cross(0), groups=(("Both open", (one,)),))
    page = pages_of(cross_list_pdf(asked, GARDEN, DAY))[0]
    places = [each for each in page.rects if each["width"] > 40]
    # Three for the cross, and three on each of the four lines for what nobody planned.
    assert len(places) == 3 + 3 * 4
    assert all(each["height"] > 18 for each in places)


def test_cross_list__empty_day() -> None:
    pdf = cross_list_pdf(to_cross(0), GARDEN, DAY)
    assert len(check_sheet(pdf, SIZES["A4"])) == 1
    assert "Madebesides" in written(pdf)


@pytest.mark.parametrize(
    ("tags", "said"),
    [(Tags(5, 5, "10013", "10064"), "Take along 5 tags: the next free ones are 10013 to 10064."),
     (Tags(1, 1, "10013", "10013"), "Take along 1 tag: the next free one is 10013."),
     (Tags(5, 0), "5 tags needed and none is free: print a sheet of tags first."),
     (Tags(5, 2, "10013", "10021"),
      "5 tags needed, and only 2 free, 10013 to 10021: print more.")],
)  # fmt: skip
def test_tags__are_counted_before_one_goes_out(tags: Tags, said: str) -> None:
    assert tags_said(tags) == said


def a_season(count: int) -> Season:
    sums = Counts(6, 3, 2, 140, 120, 55, 50, 2)
    lines = tuple(CrossLine(f"26-{at:03d}", f"{NAMES[at % 6]} × {LONG}", sums)
                  for at in range(1, count + 1))  # fmt: skip
    days = tuple(Day(date(2026, 5, 1) + timedelta(days=at * at), 40 - at, 9, 7) for at in range(9))
    picked = tuple(Selected(f"26-{at:03d}A", f"Snib × {LONG}", DAY, "ruffled " * 40, LONG, FLOWER)
                   for at in range(min(count, 6)))  # fmt: skip
    funnels = ((2024, sums), (2025, Counts(*[0] * 7)), (2026, Counts(9, 5, 2, 90, 80, 40, 9)))
    return Season(
        2026, lines, funnels, days,
        (("Seed parents", (ParentLine(LONG, 3, sums),)), ("Pollen parents", ())), picked,
    )  # fmt: skip


@PAPERS
def test_season__forty_crosses_with_long_names(paper: str) -> None:
    pdf = season_pdf(a_season(40), GARDEN, DAY, paper)
    check_sheet(pdf, SIZES[paper])
    told = written(pdf)
    assert told.count(tight(f"× {LONG}")) == 40 + 6
    assert "all40crosses" in told
    assert "2401206056004800220046200080" in told.replace("60%", "")


def test_season__of_one_cross_and_of_none() -> None:
    check_sheet(season_pdf(a_season(1), GARDEN, DAY), SIZES["A4"])
    empty = season_pdf(Season(2026, (), ()), GARDEN, DAY)
    assert "Nocrosswasmadeinthisseason." in written(empty)
    check_sheet(empty, SIZES["A4"])


def test_season__plots_are_vectors() -> None:
    page = pages_of(season_pdf(a_season(3), GARDEN, DAY))[0]
    assert not page.images
    heights = {round(bar["height"], 1) for bar in page.rects if bar["width"] > 10}
    assert len(heights) > 3


def test_cells__shares_are_of_what_is_known() -> None:
    assert cells(Counts(5, 2, 1, 60, 40, 10, 0)) == [
        "5", "2", "67", "60", "40", "10", "25", "", "",
    ]  # fmt: skip
    assert cells(Counts(5, 0, 0, 0, 0, 0, 0))[2] == ""
    assert total([Counts(1, 2, 3, 4, 5, 6, 7, 8)] * 2) == Counts(2, 4, 6, 8, 10, 12, 14, 16)


@pytest.mark.parametrize("make", [
    lambda paper: bed_map_pdf(border(1, 2), GARDEN, DAY, paper),
    lambda paper: walk_pdf(walk(2), GARDEN, DAY, paper),
    lambda paper: cross_list_pdf(to_cross(0), GARDEN, DAY, paper),
    lambda paper: season_pdf(a_season(1), GARDEN, DAY, paper),
])  # fmt: skip
def test_sheets__know_two_papers_only(make: object) -> None:
    with pytest.raises(KeyError):
        make("Foolscap")
