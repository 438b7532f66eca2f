"""Everything out, and back into an empty garden: the same again, or refused with a sentence."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from datetime import UTC, date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from hypothesis import given
from hypothesis import strategies as st

from evaluation.models import Rubric
from garden.givingout import SECRET, given_out, table_of, tables, take_in
from garden.models import JournalLine, Person, Plant
from garden.outward import Column, Kind, NotAsWritten, Table, read, write_folder, write_onefile
from garden.outward.plain import TO_TEXT, as_text, from_cell, from_text, to_cell
from tests.cast import Cast

VALUES = {
    Kind.TEXT: st.text(),
    Kind.WHOLE: st.integers(),
    Kind.NUMBER: st.floats(allow_nan=False),
    Kind.EXACT: st.decimals(allow_nan=False, allow_infinity=False),
    Kind.YES_NO: st.booleans(),
    Kind.DAY: st.dates(),
    Kind.MOMENT: st.datetimes(timezones=st.just(UTC)),
    Kind.MARK: st.uuids(),
    Kind.PARTS: st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    ).filter(lambda value: value is not None),
}


@given(st.sampled_from(list(Kind)).flatmap(lambda kind: st.tuples(st.just(kind), VALUES[kind])))
def test_value__comes_back_as_it_went(pair: tuple[Kind, Any]) -> None:
    kind, value = pair
    column = Column("it", kind)
    assert from_text(as_text(value, column), column) == value
    assert set(TO_TEXT) == set(Kind)


@given(st.text(alphabet="'=+-@a1 \t\n,\"", max_size=8))
def test_cell__comes_back_and_is_no_formula(text: str) -> None:
    cell = to_cell(text)
    assert from_cell(cell) == text
    assert not cell.startswith(("=", "@", "\t", "\n"))


SMALL = Table("things", "Some things.", (
    Column("id", Kind.WHOLE), Column("name", Kind.TEXT),
    Column("price", Kind.EXACT, may_be_empty=True), Column("day", Kind.DAY, may_be_empty=True),
), lambda: [
    (1, "=cmd|' /C calc'!A0", Decimal("3.50"), date(2026, 6, 3)),
    (2, "two\r\nlines, \"quoted\" 'and' more", None, None),
])  # fmt: skip


def folder(path: Path) -> Path:
    with path.open("wb") as file:
        assert write_folder(file, [SMALL], [], "Garden", "2026-06-03")["things"] == 2
    return path


def onefile(path: Path) -> Path:
    with path.open("w", encoding="utf-8", newline="\n") as file:
        assert write_onefile(file, [SMALL], "Garden", "2026-06-03") == {"things": 2}
    return path


@pytest.mark.parametrize("write", [folder, onefile])
def test_read__gives_back_the_rows(write: Any, tmp_path: Path) -> None:
    assert list(read(write(tmp_path / "book")).rows(SMALL)) == list(SMALL.rows())


def test_folder__is_read_by_any_program(tmp_path: Path) -> None:
    with zipfile.ZipFile(folder(tmp_path / "book.zip")) as archive:
        rows = list(csv.DictReader(io.StringIO(archive.read("things.csv").decode(), newline="")))
        words = archive.read("dictionary.csv").decode()
    assert rows[0]["name"].startswith("'=")
    assert rows[1] == {"id": "2", "name": SMALL.rows()[1][1], "price": "", "day": ""}
    assert "things,price,decimal number,yes" in words


def changed(path: Path, name: str, content: bytes) -> Path:
    with zipfile.ZipFile(path) as known:
        parts = {each: known.read(each) for each in known.namelist()}
    with zipfile.ZipFile(path, "w") as archive:
        for each, was in (parts | {name: content}).items():
            archive.writestr(each, was)
    return path


def test_read__what_was_changed_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotAsWritten, match=r"things\.csv was changed"):
        read(changed(folder(tmp_path / "a"), "things.csv", b"id,name,price,day\r\n3,x,,\r\n"))
    with pytest.raises(NotAsWritten, match=r"more\.csv was changed"):
        read(changed(folder(tmp_path / "b"), "more.csv", b"id\r\n1\r\n"))
    path = onefile(tmp_path / "c")
    path.write_text(path.read_text().replace("3.50", "0.50"))
    with pytest.raises(NotAsWritten, match="a row was changed"):
        read(path)


@pytest.mark.parametrize("content", [
    b"", b"[]", b"{}", b"nonsense", b'{"haftbook": 1, "tables": [], "sha256": ""}',
    b"\xff\xfe\x00", b"PK\x03\x04 cut short", b"[" * 100_000,
])  # fmt: skip
def test_read__what_no_garden_wrote_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "book"
    path.write_bytes(content)
    with pytest.raises(NotAsWritten, match="no book that a garden wrote"):
        read(path)


def test_read__a_bomb_is_not_unpacked(tmp_path: Path) -> None:
    path = folder(tmp_path / "book.zip")
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("photos/large.jpg", b"\0" * 250_000_000)
    with pytest.raises(NotAsWritten, match="no book"):
        read(path)


def test_tables__tell_what_every_column_holds() -> None:
    for model in given_out():
        table = table_of(model)
        assert table.words, model
        for field, column in zip(
            [f for f in model._meta.concrete_fields if f.name not in SECRET.get(model, ())],
            table.columns, strict=True,
        ):  # fmt: skip
            assert column.words
            # An empty cell would be two things.
            assert not (column.kind is Kind.TEXT and column.may_be_empty), (model, field)


def bookful(path: Path) -> Path:
    call_command("give_out", str(path), verbosity=0)
    return path


def emptied() -> None:
    for model in reversed(given_out()):
        model._base_manager.all()._raw_delete("default")


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["book.zip", "book.json"])
def test_take_in__out_again_is_identical(cast: Cast, tmp_path: Path, name: str) -> None:
    first = bookful(tmp_path / "first.json")
    lines, plants = JournalLine.objects.count(), Plant.objects.count()
    path = bookful(tmp_path / name)
    emptied()
    Rubric.objects.create(name="What every garden begins with", purpose="full")
    call_command("take_in", str(path), verbosity=0)
    assert (JournalLine.objects.count(), Plant.objects.count()) == (lines, plants)
    assert bookful(tmp_path / "again.json").read_bytes() == first.read_bytes()
    told = json.loads(first.read_text())["tables"]
    assert set(told) == {table.name for table in tables()}
    assert "password" not in told["garden_person"]["columns"]


@pytest.mark.django_db
def test_take_in__lets_the_owner_in_and_nobody_by_an_old_password(
    cast: Cast, owner: Person, tmp_path: Path, capsys: Any
) -> None:
    key, path = owner.feed_key, bookful(tmp_path / "book.json")
    emptied()
    call_command("take_in", str(path))
    said = capsys.readouterr().out
    again = Person.objects.get(name=owner.name)
    assert again.feed_key != key
    assert again.check_password(said.partition("with the password ")[2].split()[0])
    others = Person.objects.exclude(pk=again.pk)
    assert not any(person.has_usable_password() for person in others)
    fresh = Plant.objects.create(name="Drawer Fifty")
    assert fresh.pk > cast.guest.pk


@pytest.mark.django_db
def test_take_in__only_into_an_empty_garden(cast: Cast, tmp_path: Path) -> None:
    path = bookful(tmp_path / "book.json")
    with pytest.raises(CommandError, match="goes into an empty one"):
        call_command("take_in", str(path))
    with pytest.raises(CommandError, match="is there already"):
        bookful(path)


@pytest.mark.django_db
def test_take_in__what_does_not_fit_leaves_the_garden_empty(
    cast: Cast, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = bookful(tmp_path / "book.json")
    found = read(wrong)
    texts = found.texts

    def astray(table: str) -> Any:
        for row in texts(table):
            known = dict(zip(found.columns[table], row, strict=True))
            if table == "breeding_tag":
                known["batch_id"] = "987654"
            yield list(known.values())

    object.__setattr__(found, "texts", astray)
    emptied()
    with pytest.raises(NotAsWritten, match=r"leads to one that is not there|does not fit"):
        take_in(found)
    assert not Plant.objects.exists()
