"""CSV as it leaves the house: a cell is text or a number to a spreadsheet, never a formula.

Source: OWASP, CSV Injection (owasp.org/www-community/attacks/CSV_Injection), and OWASP ASVS 5.0,
1.2.10: fields quoted by RFC 4180, sections 2.6 and 2.7, and one that begins with = + - @, tab or
NUL escaped by a single quote; the former page adds the carriage return. Free of Django.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from typing import IO

FIRST_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")
# A number is read as a number and may begin with its sign.
NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?", re.ASCII)


def safe_cell(value: object) -> str:
    """The value as text, with an apostrophe before what a spreadsheet would calculate."""
    text = "" if value is None else str(value)
    if text.startswith(FIRST_SIGNS) and not NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def write_rows(file: IO[str], rows: Iterable[Iterable[object]], end: str = "\r\n") -> None:
    """Write rows to a text file, each cell made safe; `end` closes a row (CRLF in RFC 4180)."""
    writer = csv.writer(file, lineterminator=end)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
