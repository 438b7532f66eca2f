"""The whole book as a folder of CSV files in a ZIP, with a data dictionary. Free of Django.

CSV by RFC 4180 in UTF-8; `contents.csv` tells rows and SHA-256 of every file.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO

from garden.csvout import write_rows
from garden.outward.plain import LAYOUT, Table, as_text, to_cell

ABOUT, DICTIONARY, CONTENTS, PHOTOS = "about.txt", "dictionary.csv", "contents.csv", "photos/"
HEAD = ("table", "column", "holds", "may be empty", "key of", "choices", "meaning")
WORDS = """\
The whole book of {garden}, written on {day}. Layout {layout}.

Each CSV file is one table (RFC 4180, UTF-8, a heading line). dictionary.csv says what every column
holds; contents.csv tells the rows and the SHA-256 of every file. A cell that a spreadsheet would
calculate begins with one apostrophe more. Passwords, sessions, pairing codes and tries at the door
are not in here. `manage.py take_in FILE` opens it in an empty garden.
"""


class _Summed(io.BufferedIOBase):
    """Writes through to a file and keeps the SHA-256 of all that went by."""

    def __init__(self, file: IO[bytes]) -> None:
        self.file, self.sum = file, hashlib.sha256()

    def writable(self) -> bool:
        return True

    def write(self, piece: bytes) -> int:  # type: ignore[override]
        self.sum.update(piece)
        self.file.write(piece)
        return len(piece)


def write_folder(
    file: IO[bytes], tables: Iterable[Table], photos: Iterable[Path], garden: str, day: str
) -> dict[str, int]:
    """Write the ZIP, row by row; rows by table. `photos` are files, kept under their own names."""
    tables = list(tables)
    contents: list[tuple[str, int, str]] = []
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        archive.writestr(ABOUT, WORDS.format(garden=garden, day=day, layout=LAYOUT))
        contents.append(_member(archive, DICTIONARY, _dictionary(tables)))
        contents += [_member(archive, f"{table.name}.csv", _lines(table)) for table in tables]
        for path in photos:
            content = path.read_bytes()
            packed = zipfile.ZipInfo(PHOTOS + path.name)  # a picture does not press smaller
            archive.writestr(packed, content)
            contents.append((packed.filename, 1, hashlib.sha256(content).hexdigest()))
        _member(
            archive,
            CONTENTS,
            [("file", "rows", "sha-256"), (f"layout {LAYOUT}", "", ""), *contents],
        )
    return {name.removesuffix(".csv"): rows for name, rows, _ in contents if name.endswith(".csv")}


def _member(
    archive: zipfile.ZipFile, name: str, lines: Iterable[Iterable[object]]
) -> tuple[str, int, str]:
    """Write one CSV; (its name, its rows without the heading, its SHA-256)."""
    rows = -1

    def counted() -> Iterator[Iterable[object]]:
        nonlocal rows
        for line in lines:
            rows += 1
            yield line

    with archive.open(name, "w", force_zip64=True) as member:
        summed = _Summed(member)
        text = io.TextIOWrapper(summed, encoding="utf-8", newline="")  # type: ignore[type-var]
        write_rows(text, counted())
        text.flush()
        text.detach()
    return name, rows, summed.sum.hexdigest()


def _lines(table: Table) -> Iterator[list[str]]:
    yield [column.name for column in table.columns]
    for row in table.rows():
        yield [
            to_cell(as_text(value, column))
            for value, column in zip(row, table.columns, strict=True)
        ]


def _dictionary(tables: list[Table]) -> Iterator[tuple[str, ...]]:
    yield HEAD
    for table in tables:
        yield (table.name, "", "", "", "", "", to_cell(table.words))
        for column in table.columns:
            choices = "; ".join(f"{value} = {word}" for value, word in column.choices)
            empty = "yes" if column.may_be_empty else "no"
            yield (table.name, column.name, column.kind.value, empty, column.refers,
                   to_cell(choices), to_cell(column.words))  # fmt: skip
