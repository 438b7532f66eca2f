"""Pedigrees and pairs in CSV files, checked row by row; no database, no site."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from breeding.pedigree.check import Fault, PedigreeError
from breeding.pedigree.pedigree import Pedigree

PEDIGREE_COLUMNS = ("id", "seed_parent", "pollen_parent", "ploidy")
PAIR_COLUMNS = ("a", "b")
KINSHIP_COLUMNS = ("a", "b", "kinship", "relationship")
INBREEDING_COLUMNS = ("id", "inbreeding")


class FileError(ValueError):
    """A file that cannot be used; `lines` says why, a line for each fault, with file and row."""

    def __init__(self, lines: Iterable[str]) -> None:
        self.lines = tuple(lines)
        super().__init__("\n".join(self.lines))


def read_columns(path: Path, columns: tuple[str, ...]) -> tuple[list[int], list[list[str]]]:
    """Some columns of a CSV file with a header, cells stripped; empty rows are passed over.

    Parameters
    ----------
    path : Path
        UTF-8, with or without a byte order mark; other columns and any order of columns allowed.
    columns : tuple of str

    Returns
    -------
    rows : list of int
        Number of each row in the file; the header is row 1.
    cells : list of list of str
        One list for each column.

    Raises
    ------
    FileError
        If the file cannot be read, a column is missing or stands twice, or a row is too short.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            table = list(csv.reader(stream, strict=True))
    except OSError as wrong:
        raise FileError([f"{path}: {wrong.strerror or wrong}"]) from None
    except UnicodeDecodeError:
        raise FileError([f"{path}: is not UTF-8 text"]) from None
    except csv.Error as wrong:
        raise FileError([f"{path}: {wrong}"]) from None
    header = [cell.strip().lower() for cell in table[0]] if table else []
    at = [_place_of(path, header, column) for column in columns]
    last = max(at)
    rows = [number for number, cells in enumerate(table[1:], 2) if any(cells)]
    kept = [cells for cells in table[1:] if any(cells)]
    short = [(row, len(cells)) for row, cells in zip(rows, kept, strict=True) if len(cells) <= last]
    if short:
        raise FileError(
            f"{path} row {row}: has {many} cells of {len(header)}" for row, many in short
        )
    return rows, [[cells[column].strip() for cells in kept] for column in at]


def _place_of(path: Path, header: list[str], column: str) -> int:
    if header.count(column) != 1:
        said = "is missing" if column not in header else "stands twice"
        raise FileError([f"{path} row 1: column {column} {said}"])
    return header.index(column)


def read_pedigree(path: Path, double_reduction: float = 0.0) -> Pedigree:
    """A pedigree from a file with the columns id, seed_parent, pollen_parent, ploidy.

    Parameters
    ----------
    path : Path
        An empty parent is unknown.
    double_reduction : float
        λ, 0–1.

    Returns
    -------
    Pedigree

    Raises
    ------
    FileError
        If the file cannot be read, or the pedigree in it cannot be.
    """
    if not 0 <= double_reduction <= 1:
        raise FileError([f"double reduction {double_reduction} is no fraction from 0 to 1"])
    rows, (ids, seeds, pollens, ploidies) = read_columns(path, PEDIGREE_COLUMNS)
    faults = [Fault(place, "", "id is empty") for place, plant in enumerate(ids) if not plant]
    named = [place for place, plant in enumerate(ids) if plant]
    known = {text: _sets(text) for text in set(ploidies)}
    plants = [(ids[at], seeds[at] or None, pollens[at] or None) for at in named]
    try:
        sets = [known[ploidies[at]] for at in named]
        pedigree = Pedigree.from_rows(plants, sets, double_reduction)
    except PedigreeError as wrong:
        faults += [replace(fault, place=named[fault.place]) for fault in wrong.faults]
    if faults:
        raise FileError(_told(path, rows, sorted(faults, key=lambda fault: fault.place)))
    return pedigree


def _sets(text: str) -> int | str | None:
    """A ploidy as the check of the pedigree wants it; what is no number is told as it stands."""
    return int(text) if text.isascii() and text.isdigit() else text or None


def _told(path: Path, rows: list[int], faults: list[Fault]) -> Iterator[str]:
    for fault in faults:
        who = f"{fault.plant} " if fault.plant else ""
        yield f"{path} row {rows[fault.place]}: {who}{fault.reason}"


def read_pairs(path: Path, pedigree: Pedigree) -> list[tuple[str, str]]:
    """Pairs of plants from a file with the columns a, b.

    Raises
    ------
    FileError
        If the file cannot be read, or names plants that the pedigree does not hold.
    """
    rows, sides = read_columns(path, PAIR_COLUMNS)
    pairs = list(zip(*sides, strict=True))
    unknown = [
        f"{path} row {row}: {plant or 'an empty id'} is not in the pedigree"
        for row, pair in zip(rows, pairs, strict=True)
        for plant in dict.fromkeys(pair)
        if plant not in pedigree
    ]
    if unknown:
        raise FileError(unknown)
    return pairs


def kinship_rows(pedigree: Pedigree, pairs: list[tuple[str, str]]) -> Iterator[tuple]:
    """Header and rows of the pairs' kinship and relationship, in full double precision."""
    yield KINSHIP_COLUMNS
    for a, b in pairs:
        yield a, b, pedigree.kinship(a, b), pedigree.relationship(a, b)


def inbreeding_rows(pedigree: Pedigree) -> Iterator[tuple]:
    """Header and rows of every plant's inbreeding, in the order of the file."""
    yield INBREEDING_COLUMNS
    yield from pedigree.inbreedings().items()
