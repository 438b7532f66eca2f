"""What a story consists of: things that people did, in the order in which they did them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any


@dataclass(frozen=True)
class Ref:
    """What an earlier step made, by its key; `part` names an attribute of it, or its line.

    The keys 'plant:…', 'bed:…', 'tag:…' and 'locus:…' stand for things found by their own name,
    number or symbol, 'rubric:…' for the newest one of a purpose.
    """

    key: str
    part: str = ""


@dataclass(frozen=True)
class Picture:
    """A photo somebody took: the words of the flower's recipe, and the name of its dice."""

    words: tuple[tuple[str, str], ...]
    seed: str


@dataclass(frozen=True)
class Step:
    """One verb: who did it, on which device, when, when it arrived, and with which values."""

    verb: str
    person: str
    device: str
    at: datetime
    received_at: datetime
    values: dict[str, Any] = field(default_factory=dict)
    key: str = ""
