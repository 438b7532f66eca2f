"""The whole book as one JSON, without the pictures themselves. Free of Django.

{"haftbook": layout, "garden", "day", "tables": {name: {"columns": [...], "rows": [[...], ...]}},
"sha256"}; a row a line, each value as text or null. The sum is taken over the rows' lines.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import IO, Any

from garden.outward.plain import LAYOUT, Table, as_text


def line_of(values: list[Any]) -> str:
    """One row as it is written and summed."""
    return json.dumps(values, ensure_ascii=False, separators=(",", ":"))


def write_onefile(file: IO[str], tables: Iterable[Table], garden: str, day: str) -> dict[str, int]:
    """Write the JSON, row by row; rows by table."""
    counts, total = {}, hashlib.sha256()
    head = {"haftbook": LAYOUT, "garden": garden, "day": day}
    file.write(json.dumps(head, ensure_ascii=False)[:-1] + ', "tables": {')
    for at, table in enumerate(tables):
        names = line_of([column.name for column in table.columns])
        file.write(f'{"," if at else ""}\n{json.dumps(table.name)}: {{"columns": {names},')
        file.write(' "rows": [')
        count = 0
        for row in table.rows():
            line = line_of(
                [
                    None if value is None else as_text(value, column)
                    for value, column in zip(row, table.columns, strict=True)
                ]
            )
            total.update(line.encode())
            file.write(f"{',' if count else ''}\n{line}")
            count += 1
        file.write("]}")
        counts[table.name] = count
    file.write(f'}},\n"sha256": "{total.hexdigest()}"}}\n')
    return counts
