from __future__ import annotations

import itertools

import pytest

from garden.models import Bed, JournalLine, Placing, Plant
from garden.plantlist import MOST_LINES, read
from garden.records import import_plants, undo
from garden.records.importing import read_list
from garden.verbs import Refused

HEADING = "name,number,class,seed_parent,pollen_parent,bed,position,increases,falls,year"
FAMILY = [
    "Grandmother Loom,,TB,,,,,,,",
    "Daughter Loom,,TB,Grandmother Loom,unknown,,,,,",
    "Granddaughter Loom,,TB,Daughter Loom,Stranger Loom,,,,,",
]


def problems(*lines: str, heading: str = HEADING) -> list[tuple[int, str, str]]:
    found = read("\n".join([heading, *lines]), {"known": 1}).problems
    return [(problem.line, problem.column, problem.reason) for problem in found]


def test_import_plants__takes_in_the_whole_list(act, bare) -> None:
    text = f"{HEADING}\nKettle Moon,,tb,,,Long Bed,1-2,7,violet,1950\n,Q 9,SDB,,,,,,,\n"
    line = import_plants(act(), text=text).line
    moon = Plant.live.get(name="Kettle Moon")
    assert (moon.iris_class, moon.falls, moon.year) == ("TB", "violet", 1950)
    assert Plant.live.get(number="Q 9").iris_class == "SDB"
    placing = Placing.live.get()
    assert (placing.plant, placing.bed.name, placing.position, placing.increases) == (
        moon, "Long Bed", "1-2", 7,
    )  # fmt: skip
    assert line.text == "Took in 2 plants from a list (Kettle Moon, Q 9 …)"
    assert len(line.made) == 4


def test_import_plants__bed_that_is_there_is_used(act, stock) -> None:
    import_plants(act(), text="name,bed\nKettle Moon,LONG bed\nOther Moon,long bed")
    assert Bed.objects.count() == 1


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_import_plants__parents_in_any_order(act, bare, order: tuple[int, ...]) -> None:
    import_plants(act(), text="\n".join([HEADING, *(FAMILY[i] for i in order)]))
    grandmother, daughter, granddaughter = (
        Plant.live.get(name=line.split(",")[0]) for line in FAMILY
    )
    assert daughter.seed_parent == grandmother
    assert daughter.pollen_parent_text == "unknown"
    assert granddaughter.seed_parent == daughter
    assert granddaughter.pollen_parent_text == "Stranger Loom"


def test_import_plants__parents_of_the_stock(act, stock) -> None:
    import_plants(act(), text="name,seed_parent\nTeapot Child,quillon teapot")
    assert Plant.live.get(name="Teapot Child").seed_parent == stock.teapot


def test_import_plants__none_when_one_line_fails(act, bare) -> None:
    text = f"{HEADING}\nKettle Moon,,TB,,,,,,,\nOther Moon,,XX,,,,,,,"
    with pytest.raises(Refused, match=r"Line 3, iris_class: 'XX' is none of") as refused:
        import_plants(act(), text=text)
    assert list(refused.value.messages) == ["text"]
    assert "Nothing was taken in." in str(refused.value)
    assert not Plant.objects.exists()
    assert not JournalLine.objects.exists()


def test_import_plants__twice_is_refused(act, bare) -> None:
    text = "name\nKettle Moon"
    import_plants(act(), text=text)
    with pytest.raises(Refused, match="Line 2, name: This plant is already in the stock"):
        import_plants(act(), text=text)
    assert Plant.objects.count() == 1


def test_import_plants__undo_strikes_all_out(act, bare) -> None:
    line = import_plants(act(), text="\n".join([HEADING, *FAMILY])).line
    undo(act(), line=line)
    assert not Plant.live.exists()
    assert import_plants(act(), text="\n".join([HEADING, *FAMILY])).thing


def test_read_list__finds_what_stays_text(act, stock) -> None:
    lines = ["name,seed_parent,pollen_parent", "A,Nobody's Iris,Quillon Teapot", "B,unknown,A"]
    listed = read_list("\n".join(lines))
    assert listed.unresolved == {"Nobody's Iris"}
    assert listed.problems == []


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_read__comma_semicolon_or_tab(delimiter: str) -> None:
    text = "\ufeffName{0}Height (cm){0}Class\r\nMoss{0}30{0}SDB\r\n".replace("{0}", delimiter)
    (line,) = read(text, {}).lines
    assert line.values == {"name": "Moss", "height_cm": 30, "iris_class": "SDB"}


def test_read__empty_lines_and_short_lines() -> None:
    listed = read("name,year\n\nMoss\n,\n", {})
    assert [line.values for line in listed.lines] == [{"name": "Moss"}]
    assert listed.lines[0].number == 3


def test_read__line_numbers_count_breaks_inside_quotes() -> None:
    text = 'name,notes,year\nMoss,"first\nsecond",1999\nFern,,early'
    (problem,) = read(text, {}).problems
    assert (problem.line, problem.column) == (4, "year")


@pytest.mark.parametrize("text", ["", "name", "name\n", "\n"])
def test_read__nothing_below_the_heading(text: str) -> None:
    (problem,) = read(text, {}).problems[:1]
    assert "no plant below it" in problem.reason


def test_read__a_quote_that_never_ends() -> None:
    (problem,) = read('name\n"Moss', {}).problems
    assert "cannot be read" in problem.reason


def test_read__too_many_lines() -> None:
    listed = read("name\n" + "\n".join(str(n) for n in range(MOST_LINES + 1)), {})
    assert f"At most {MOST_LINES} plants" in listed.problems[0].reason


@pytest.mark.parametrize(
    ("heading", "column", "reason"),
    [
        ("name,scent", "scent", "There is no such column"),
        ("name,name", "name", "stands twice"),
        ("name,class,iris_class", "iris_class", "stands twice"),
        ("year", "name", "'name' or 'number' is needed"),
        ("name,", "(empty)", "There is no such column"),
    ],
)
def test_read__heading(heading: str, column: str, reason: str) -> None:
    found = [entry for entry in problems("1999", heading=heading) if entry[0] == 1]
    assert found[0][1] == column
    assert reason in found[0][2]


@pytest.mark.parametrize(
    ("line", "column", "reason"),
    [
        ("Known,,,,,,,,,", "name", "already in the stock"),
        (",,TB,,,,,,,", "name", "neither name nor number"),
        ("A,,,a,,,,,,", "seed_parent", "its own parent"),
        ("A,,,,,,,,blurple,", "falls", "'blurple' is none of"),
        ("A,,,,,,,,,1499", "year", "no whole number from 1500 to 2100"),
        ("A,,,,,,,,,19.5", "year", "no whole number"),
        ("A,,,,,,,,,-1999", "year", "no whole number"),
        ("A,,,,,,,,,１９９９", "year", "no whole number"),
        ("A,,,,,,,0000000000009999,,", "increases", "no whole number"),
        ("A,,,,,," + "p" * 21 + ",,,", "position", "21 letters, at most 20"),
        ("A" * 81 + ",,,,,,,,,", "name", "81 letters, at most 80"),
        ("A,,,,,,,,,,,", "", "12 cells under 10 headings"),
        ("A\x00,,,,,,,,,", "name", "cannot be written down"),
    ],
)
def test_read__line_column_and_reason(line: str, column: str, reason: str) -> None:
    found = problems("Fine,,,,,,,,,", line)
    assert (found[0][0], found[0][1]) == (3, column)
    assert reason in found[0][2]


def test_read__the_same_name_twice() -> None:
    found = problems("Moss,,,,,,,,,", "móss,,,,,,,,,")
    assert found == [(3, "name", "The same name as on line 2.")]


def test_read__every_problem_is_told_in_order() -> None:
    found = problems("A,,,,,,,,blurple,1", "B,,XX,,,,,,,")
    assert [(line, column) for line, column, _ in found] == [
        (2, "falls"), (2, "year"), (3, "iris_class"),
    ]  # fmt: skip


def test_read__a_plant_among_its_ancestors() -> None:
    ((line, column, reason),) = problems("A,,,C,,,,,,", "B,,,A,,,,,,", "C,,,,B,,,,,")
    assert (column, line in {2, 3, 4}) == ("seed_parent", True)
    assert "among its own ancestors" in reason
    assert {"A", "B", "C"} <= set(reason.rstrip(".").replace(">", " ").split())
