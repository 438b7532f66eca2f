"""Tables, columns, and each value as text and back. Free of Django."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any
from uuid import UUID

from garden.csvout import FIRST_SIGNS, NUMBER

# One garden's whole book may be opened by a later Haftbook: it says how it was written.
LAYOUT = 1


class NotAsWritten(ValueError):
    """A sentence: the file is none of ours, or was changed since it was written."""


class Kind(StrEnum):
    """What a column holds, as the data dictionary says it."""

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    EXACT = "decimal number"
    YES_NO = "yes or no"
    DAY = "day, ISO 8601"
    MOMENT = "moment in UTC, ISO 8601"
    MARK = "UUID, RFC 9562"
    PARTS = "JSON, RFC 8259"


@dataclass(frozen=True, slots=True)
class Column:
    """One column: what it means, whether it may be empty, which table's key it holds."""

    name: str
    kind: Kind
    words: str = ""
    may_be_empty: bool = False
    refers: str = ""
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """A table and its rows, in order of their keys; `rows` begins anew at each call."""

    name: str
    words: str
    columns: tuple[Column, ...]
    rows: Callable[[], Iterable[tuple[Any, ...]]]


def _moment(value: datetime) -> str:
    return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def _parts(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


TO_TEXT: dict[Kind, Callable[[Any], str]] = {
    Kind.TEXT: str,
    Kind.WHOLE: str,
    Kind.NUMBER: repr,
    Kind.EXACT: str,
    Kind.YES_NO: lambda value: "yes" if value else "no",
    Kind.DAY: lambda value: str(value.isoformat()),
    Kind.MOMENT: _moment,
    Kind.MARK: str,
    Kind.PARTS: _parts,
}
FROM_TEXT: dict[Kind, Callable[[str], Any]] = {
    Kind.TEXT: str,
    Kind.WHOLE: int,
    Kind.NUMBER: float,
    Kind.EXACT: Decimal,
    Kind.YES_NO: lambda text: {"yes": True, "no": False}[text],
    Kind.DAY: date.fromisoformat,
    Kind.MOMENT: lambda text: datetime.fromisoformat(text.replace("Z", "+00:00")),
    Kind.MARK: UUID,
    Kind.PARTS: json.loads,
}


def as_text(value: Any, column: Column) -> str:
    """The value as a file holds it; nothing is an empty text."""
    return "" if value is None else TO_TEXT[column.kind](value)


def from_text(text: str, column: Column) -> Any:
    """The value that `as_text` wrote; NotAsWritten for anything else."""
    if not text and column.kind is not Kind.TEXT:
        if column.may_be_empty:
            return None
        raise NotAsWritten(f"{column.name} is empty")
    try:
        return FROM_TEXT[column.kind](text)
    except (ValueError, KeyError, ArithmeticError):
        raise NotAsWritten(
            f"{column.name} holds {text[:40]!r}, which is no {column.kind}"
        ) from None


# A cell that a spreadsheet would calculate gets one apostrophe, and so does one that would be taken
# for such a cell when it is read back.
CALCULATED = re.compile(rf"'*[{re.escape(''.join(FIRST_SIGNS))}]")


def to_cell(text: str) -> str:
    """A text as a CSV cell, which no spreadsheet calculates (OWASP, CSV Injection)."""
    guarded = CALCULATED.match(text) and not NUMBER.fullmatch(text)
    return f"'{text}" if guarded else text


def from_cell(cell: str) -> str:
    """The text that `to_cell` was given."""
    return cell[1:] if cell.startswith("'") and CALCULATED.match(cell) else cell
