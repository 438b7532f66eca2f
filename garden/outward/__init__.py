"""Everything that a garden recorded, in files that any program reads. Free of Django.

`write_folder` makes a ZIP of CSV files with a data dictionary, `write_onefile` one JSON; `read`
takes either and refuses what is not as it was written. Rows are plain values; what a column may
hold stands in `plain`.
"""

from __future__ import annotations

from garden.outward.folder import write_folder
from garden.outward.onefile import write_onefile
from garden.outward.plain import Column, Kind, NotAsWritten, Table
from garden.outward.reading import Found, read

__all__ = [
    "Column",
    "Found",
    "Kind",
    "NotAsWritten",
    "Table",
    "read",
    "write_folder",
    "write_onefile",
]
