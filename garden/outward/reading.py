"""A whole book read back: looked through first, then handed out row by row. Free of Django."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from garden.outward.folder import ABOUT, CONTENTS, DICTIONARY, PHOTOS
from garden.outward.onefile import line_of
from garden.outward.plain import LAYOUT, NotAsWritten, Table, from_cell, from_text

PIECE = 1 << 20
# A line of the journal may be long; nothing in a garden is longer.
LONGEST_CELL = 20_000_000
# What a file may unpack to, as a multiple of its size and at least: a bomb unpacks to more.
MOST_TIMES, LEAST = 200, 200_000_000
NOT_OURS = "This is no book that a garden wrote."
CHANGED = "It is not as the garden wrote it: {} was changed, cut short or left out."


@dataclass(frozen=True, slots=True)
class Found:
    """What a file holds: heading and rows of each table as texts, and the photos by name."""

    columns: dict[str, list[str]]
    texts: Callable[[str], Iterator[list[str | None]]]
    photos: dict[str, str] = field(default_factory=dict)
    photo: Callable[[str], bytes] = lambda name: b""

    def rows(self, table: Table) -> Iterator[tuple[Any, ...]]:
        """The values of a table's rows; NotAsWritten names the row that holds something else."""
        if self.columns.get(table.name) != [column.name for column in table.columns]:
            raise NotAsWritten(f"{table.name} has other columns: it is of another version.")
        for number, texts in enumerate(self.texts(table.name), start=1):
            try:
                yield tuple(
                    None if text is None else from_text(text, column)
                    for text, column in zip(texts, table.columns, strict=True)
                )
            except ValueError as error:
                raise NotAsWritten(f"{table.name}, row {number}: {error}.") from None


def read(path: Path) -> Found:
    """What a file of `write_folder` or `write_onefile` holds, every sum checked.

    NotAsWritten for any other file, and for one that was changed since it was written.
    """
    try:
        if zipfile.is_zipfile(path):
            return _folder(path)
        return _onefile(path)
    except (OSError, zipfile.BadZipFile, UnicodeDecodeError, csv.Error, RecursionError) as error:
        raise NotAsWritten(f"{NOT_OURS} ({type(error).__name__})") from error


def _folder(path: Path) -> Found:
    archive = zipfile.ZipFile(path)
    names = archive.namelist()
    if not {ABOUT, DICTIONARY, CONTENTS} <= set(names) or len(set(names)) != len(names):
        raise NotAsWritten(NOT_OURS)
    size = sum(one.file_size for one in archive.infolist())
    if size > max(LEAST, MOST_TIMES * path.stat().st_size):
        raise NotAsWritten(NOT_OURS)
    told = list(_cells(archive, CONTENTS))[1:]
    if any(len(line) != 3 for line in told):
        raise NotAsWritten(CHANGED.format(CONTENTS))
    layout, told = told[:1], told[1:]
    if layout != [[f"layout {LAYOUT}", "", ""]]:
        raise NotAsWritten(f"It has another layout; this Haftbook reads layout {LAYOUT}.")
    sums = {name: total for name, _, total in told}
    for name in sorted({*names, *sums} - {ABOUT, CONTENTS}):
        if name not in sums or name not in names or _sum(archive, name) != sums[name]:
            raise NotAsWritten(CHANGED.format(name))
    tables = [name for name in sums if name.endswith(".csv") and name != DICTIONARY]
    heads = {name.removesuffix(".csv"): next(_cells(archive, name)) for name in tables}

    def texts(table: str) -> Iterator[list[str | None]]:
        lines = _cells(archive, f"{table}.csv")
        next(lines)
        for line in lines:
            yield [from_cell(cell) for cell in line]

    photos = {name.removeprefix(PHOTOS): total for name, total in sums.items() if "/" in name}
    return Found(heads, texts, photos, lambda name: archive.read(PHOTOS + name))


def _cells(archive: zipfile.ZipFile, name: str) -> Iterator[list[str]]:
    before = csv.field_size_limit(LONGEST_CELL)
    try:
        with archive.open(name) as member, io.TextIOWrapper(member, "utf-8", newline="") as text:
            yield from csv.reader(text, strict=True)
    finally:
        csv.field_size_limit(before)


def _sum(archive: zipfile.ZipFile, name: str) -> str:
    total = hashlib.sha256()
    with archive.open(name) as member:
        while piece := member.read(PIECE):
            total.update(piece)
    return total.hexdigest()


def _onefile(path: Path) -> Found:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        layout, tables, written = told["haftbook"], told["tables"], told["sha256"]
        heads = {name: list(table["columns"]) for name, table in tables.items()}
        rows = {name: table["rows"] for name, table in tables.items()}
    except (ValueError, TypeError, KeyError, AttributeError):
        raise NotAsWritten(NOT_OURS) from None
    if layout != LAYOUT:
        raise NotAsWritten(f"It has layout {layout!r}; this Haftbook reads layout {LAYOUT}.")
    total = hashlib.sha256()
    for lines in rows.values():
        for line in lines:
            total.update(line_of(line).encode("utf-8", "surrogatepass"))
    if total.hexdigest() != written:
        raise NotAsWritten(CHANGED.format("a row"))
    return Found(heads, lambda table: iter(rows[table]))
