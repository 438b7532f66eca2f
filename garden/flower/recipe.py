"""The record a flower is drawn from: its pattern and its colour words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from garden.flower.colours import BEARD_COLOURS, COLOURS, PATTERNS


@dataclass(frozen=True)
class Recipe:
    """Pattern and colour words of one flower; ``''`` means not recorded.

    Raises
    ------
    ValueError
        When a word is not in the paint box of its field; names the field and the word.
    """

    pattern: str = "self"
    standards: str = ""
    falls: str = ""
    styles: str = ""
    beard: str = ""
    haft: str = ""
    rim: str = ""

    def __post_init__(self) -> None:
        for name, value in self.__dict__.items():
            if name == "pattern":
                known = value in PATTERNS
            else:
                known = value == "" or value in (BEARD_COLOURS if name == "beard" else COLOURS)
            if not known:
                raise ValueError(f"{name}: unknown word {value!r}")

    @classmethod
    def from_mapping(cls, record: Mapping[str, str | None]) -> Recipe:
        """Recipe from a form or a row; fields that are no part of a flower are passed over.

        Case and outer blanks do not matter; None and ``''`` mean not recorded.

        Raises
        ------
        ValueError
            When a word is unknown; names the field and the word.
        """
        words: dict[str, Any] = {}
        for field in fields(cls):
            value = record.get(field.name)
            if value is not None and not isinstance(value, str):
                raise ValueError(f"{field.name}: unknown word {value!r}")
            word = (value or "").strip().lower()
            words[field.name] = word or field.default
        return cls(**words)
