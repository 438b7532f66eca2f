"""No formula leaves the house in a CSV file (OWASP ASVS 5.0, 1.2.10; RFC 4180, 2.5 to 2.7)."""

from __future__ import annotations

import ast
import csv
import io
from pathlib import Path

import pytest
from django.test import Client
from hypothesis import example, given
from hypothesis import strategies as st

from garden.csvout import FIRST_SIGNS, NUMBER, safe_cell, write_rows

ROOT = Path(__file__).resolve().parents[2]
CELLS = st.one_of(
    st.text(), st.builds("{}{}".format, st.sampled_from(FIRST_SIGNS), st.text(max_size=8))
)


@pytest.mark.parametrize("text", [
    "=1+1", "+cmd", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\0=1", "＝1+1", "--1", "+", "-",
    "1-2=", "-1e", "-٣", "+1 000",
])  # fmt: skip
def test_safe_cell__text_that_a_spreadsheet_would_calculate(text: str) -> None:
    assert safe_cell(text) == (text if text[0] == "1" else f"'{text}")


@pytest.mark.parametrize("value", [-3, 0.25, -0.0625, 1e-9, "-3", "+4.5", "-.5", "-1e-05", "-1,5"])
def test_safe_cell__numbers_stay_numbers(value: object) -> None:
    assert safe_cell(value) == str(value)


@pytest.mark.parametrize("text", ["", "Quillon Teapot", "26-014C", "'=1", " =1", "a=b"])
def test_safe_cell__plain_text_stays(text: str) -> None:
    assert safe_cell(text) == text
    assert safe_cell(None) == ""


@given(st.lists(st.lists(CELLS, min_size=1, max_size=4), max_size=4))
@example([["=1", 'a "b", c', "x\r\ny"], [""]])
def test_write_rows__comes_back_as_it_was_and_begins_no_formula(rows: list[list[str]]) -> None:
    file = io.StringIO(newline="")
    write_rows(file, rows)
    back = list(csv.reader(io.StringIO(file.getvalue(), newline=""), strict=True))
    assert [[cell.removeprefix("'") for cell in row] for row in back] == [
        [cell.removeprefix("'") for cell in row] for row in rows
    ]
    for row in back:
        for cell in row:
            assert not cell.startswith(FIRST_SIGNS) or NUMBER.fullmatch(cell)


def test_write_rows__quotes_as_the_standard_says() -> None:
    file = io.StringIO(newline="")
    write_rows(file, [["a", 'b "c"', "d,e", "f\ng"], [1, None, -2, "=3"]])
    assert file.getvalue() == 'a,"b ""c""","d,e","f\ng"\r\n1,,-2,\'=3\r\n'


def test_csv__is_written_here_and_nowhere_else() -> None:
    """The demo garden's own file is written for the code and leaves it by no way."""
    writing = [
        path.relative_to(ROOT).as_posix()
        for app in ("garden", "breeding", "evaluation")
        for path in sorted((ROOT / app).rglob("*.py"))
        if "csv" in path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in ("writer", "DictWriter")
        and isinstance(node.value, ast.Name) and node.value.id == "csv"
    ]  # fmt: skip
    assert writing == ["garden/csvout.py", "evaluation/demo/cast.py"]


def test_example_list__begins_no_formula(owner_client: Client) -> None:
    text = owner_client.get("/plants/import/example.csv").content.decode("utf-8-sig")
    assert len(text.splitlines()) == 3
    for row in csv.reader(io.StringIO(text)):
        assert [safe_cell(cell) for cell in row] == row
