"""A plant list as CSV or pasted from a spreadsheet: read, checked and ordered. Free of Django.

Nothing is written here: the reader says what each line would become and, for every line that
cannot be taken, its number, its column and the reason.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field

from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS
from garden.names import fold

MOST_LINES = 20_000
UNKNOWN = "unknown"
KINDS = ("cultivar", "species", "seedling", "guest")
CLASSES = ("MDB", "SDB", "IB", "MTB", "BB", "TB", "AB", "SPECIES")
SEASONS = ("VE", "E", "EM", "M", "ML", "L", "VL")
WORD_COLUMNS: dict[str, tuple[str, ...]] = {
    "kind": KINDS,
    "iris_class": CLASSES,
    "season": SEASONS,
    "pattern": tuple(PATTERNS),
    "beard": tuple(BEARD_COLOURS),
    **{part: tuple(COLOURS) for part in ("standards", "falls", "styles", "haft", "rim")},
}
NUMBER_COLUMNS = {
    "ploidy": (1, 8),
    "chromosomes": (8, 200),
    "year": (1500, 2100),
    "height_cm": (1, 250),
    "increases": (0, 5000),
}
TEXT_COLUMNS = {
    "name": 80,
    "number": 40,
    "breeder": 80,
    "description": 600,
    "notes": 4000,
    "bed": 40,
    "position": 20,
}
PARENT_COLUMNS = ("seed_parent", "pollen_parent")
ALIASES = {"class": "iris_class", "height": "height_cm", "pod_parent": "seed_parent"}
COLUMNS = (*TEXT_COLUMNS, *NUMBER_COLUMNS, *WORD_COLUMNS, *PARENT_COLUMNS)


@dataclass(frozen=True, order=True)
class Problem:
    """Why a line cannot be taken. `line` counts from 1 and includes the heading."""

    line: int
    column: str
    reason: str


@dataclass
class Line:
    """One plant of the list: its line, its values, and its parents by folded name."""

    number: int
    values: dict[str, object]
    key: str
    parents: dict[str, str] = field(default_factory=dict)


@dataclass
class PlantList:
    """What was read: lines in an order where parents come first, or the problems."""

    lines: list[Line]
    problems: list[Problem]
    # Parents' names that neither the list nor the stock knows: they stay as text.
    unresolved: set[str] = field(default_factory=set)


def read(text: str, known: Mapping[str, int]) -> PlantList:
    """Read a list of plants with a heading line; commas, semicolons or tabs part the columns.

    Parameters
    ----------
    text : the list as pasted or decoded.
    known : folded names of the plants already in the stock.
    """
    problems: list[Problem] = []
    rows = _rows(text, problems)
    if problems:
        return PlantList([], problems)
    heading = [_column(name) for name in rows[0][1]]
    _check_heading(heading, problems)
    lines = [_line(number, heading, row, problems) for number, row in rows[1:] if any(row)]
    _check_twins(lines, known, problems)
    unresolved = _unresolved(lines, known)
    ordered = _parents_first(lines, problems)
    return PlantList(ordered, sorted(problems), unresolved)


def _rows(text: str, problems: list[Problem]) -> list[tuple[int, list[str]]]:
    text = text.lstrip("\ufeff")
    first = text.split("\n", 1)[0]
    delimiter = max("\t;,", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        start = 1
        for row in reader:
            rows.append((start, [cell.strip() for cell in row]))
            start = reader.line_num + 1
    except csv.Error as error:
        problems.append(Problem(reader.line_num, "", f"The line cannot be read: {error}."))
    if not problems and len(rows) < 2:
        problems.append(Problem(1, "", "There is a heading at most, and no plant below it."))
    if len(rows) > MOST_LINES + 1:
        problems.append(Problem(MOST_LINES, "", f"At most {MOST_LINES} plants at a time."))
    return rows


def _column(name: str) -> str:
    plain = "_".join(name.casefold().replace("-", " ").replace("(", " ").replace(")", " ").split())
    return ALIASES.get(plain, plain)


def _check_heading(heading: list[str], problems: list[Problem]) -> None:
    for name in heading:
        if name not in COLUMNS:
            reason = f"There is no such column. Known: {', '.join(COLUMNS)}."
            problems.append(Problem(1, name or "(empty)", reason))
        elif heading.count(name) > 1:
            problems.append(Problem(1, name, "This column stands twice."))
    if not {"name", "number"} & set(heading):
        problems.append(Problem(1, "name", "A column 'name' or 'number' is needed."))


def _line(
    number: int,
    heading: list[str],
    row: list[str],
    problems: list[Problem],
) -> Line:
    if len(row) > len(heading):
        problems.append(Problem(number, "", f"{len(row)} cells under {len(heading)} headings."))
    cells = {name: cell for name, cell in zip(heading, row, strict=False) if cell}
    values: dict[str, object] = {}
    unread: set[str] = set()
    for name, cell in cells.items():
        try:
            values[name] = _value(name, cell)
        except ValueError as error:
            problems.append(Problem(number, name, str(error)))
            unread.add(name)
    label = fold(str(values.get("name") or values.get("number") or ""))
    if not label and not unread & {"name", "number"}:
        problems.append(Problem(number, "name", "The plant has neither name nor number."))
    if label == UNKNOWN:
        reason = "‘Unknown’ stands for a parent that nobody knows; name the plant otherwise."
        problems.append(Problem(number, "name", reason))
    parents = {side: fold(cells[side]) for side in PARENT_COLUMNS if side in cells}
    for side, parent in parents.items():
        if parent == label:
            problems.append(Problem(number, side, "The plant is its own parent."))
    return Line(number, values, label, parents)


def _value(name: str, cell: str) -> object:
    if "\x00" in cell:
        raise ValueError("This text holds signs that cannot be written down.")
    if name in WORD_COLUMNS:
        words = {word.casefold(): word for word in WORD_COLUMNS[name]}
        if cell.casefold() not in words:
            raise ValueError(f"'{cell[:40]}' is none of: {', '.join(words.values())}.")
        return words[cell.casefold()]
    if name in NUMBER_COLUMNS:
        least, most = NUMBER_COLUMNS[name]
        digits = cell.isascii() and cell.isdigit() and len(cell) <= 12
        if not (digits and least <= int(cell) <= most):
            raise ValueError(f"'{cell[:40]}' is no whole number from {least} to {most}.")
        return int(cell)
    most = TEXT_COLUMNS.get(name, 200)
    if len(cell) > most:
        raise ValueError(f"{len(cell)} letters, at most {most}.")
    return cell


def _check_twins(lines: list[Line], known: Mapping[str, int], problems: list[Problem]) -> None:
    first: dict[str, int] = {}
    for line in lines:
        if not line.key:
            continue
        if line.key in known:
            problems.append(Problem(line.number, "name", "This plant is already in the stock."))
        if line.key in first:
            reason = f"The same name as on line {first[line.key]}."
            problems.append(Problem(line.number, "name", reason))
        first.setdefault(line.key, line.number)


def _unresolved(lines: list[Line], known: Mapping[str, int]) -> set[str]:
    here = {line.key for line in lines}
    return {
        str(line.values[side])
        for line in lines
        for side, parent in line.parents.items()
        if side in line.values and parent not in here and parent not in known and parent != UNKNOWN
    }


def _parents_first(lines: list[Line], problems: list[Problem]) -> list[Line]:
    by_key = {line.key: line for line in lines if line.key}
    # Loaded when a list is taken in, not at every start.
    import networkx as nx

    graph = nx.DiGraph()
    graph.add_nodes_from(by_key)
    graph.add_edges_from(
        (parent, line.key)
        for line in by_key.values()
        for parent in line.parents.values()
        if parent in by_key and parent != line.key
    )
    try:
        return [
            by_key[key]
            for key in nx.lexicographical_topological_sort(
                graph, key=lambda key: by_key[key].number
            )
        ]
    except nx.NetworkXUnfeasible:
        loop = [by_key[edge[0]] for edge in nx.find_cycle(graph)]
        names = " > ".join(str(line.values.get("name") or line.values["number"]) for line in loop)
        problems.append(
            Problem(loop[0].number, "seed_parent", f"A plant among its own ancestors: {names}.")
        )
        return lines
