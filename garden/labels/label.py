"""What a label says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from garden.flower import Recipe


@dataclass(frozen=True, slots=True)
class Label:
    """One label.

    `code` is always printed, in letters; `payload` is what the square code holds, ``''`` for none.
    `title` is the large line; without one the code is. `parents` is the parentage in notation,
    `lines` more, the most important first. `flower` is the record a flower is drawn from, or None.
    """

    code: str
    payload: str
    title: str
    parents: str = ""
    lines: tuple[str, ...] = ()
    flower: Mapping[str, str | None] | None = None

    @property
    def recipe(self) -> Recipe | None:
        """What the flower is drawn from; None without colours or with words nobody knows."""
        if not self.flower or not any(self.flower.values()):
            return None
        try:
            return Recipe.from_mapping(self.flower)
        except ValueError:
            return None
