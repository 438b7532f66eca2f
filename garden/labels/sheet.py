"""Paper with labels on it: where every place is."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
# Rounding of measures printed on packets, in mm.
SLACK = 0.05
LEAST_HEIGHT, LEAST_LENGTH = 8.0, 20.0
MOST = 1_200.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page of equal labels, or a roll (one label a page). All lengths in mm.

    `left` and `top` are the white edges before the first label; places run along the rows.
    """

    title: str
    page_width: float
    page_height: float
    columns: int
    rows: int
    label_width: float
    label_height: float
    left: float
    top: float
    gap_x: float = 0.0
    gap_y: float = 0.0
    roll: bool = False

    @property
    def places(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    @property
    def used_width(self) -> float:
        """From the left edge of the first column to the right edge of the last."""
        return self.columns * self.label_width + (self.columns - 1) * self.gap_x

    @property
    def used_height(self) -> float:
        """From the upper edge of the first row to the lower edge of the last."""
        return self.rows * self.label_height + (self.rows - 1) * self.gap_y

    def place(self, index: int) -> tuple[float, float]:
        """Left and upper edge of place `index` (from 0) on its page."""
        row, column = divmod(index, self.columns)
        return (
            self.left + column * (self.label_width + self.gap_x),
            self.top + row * (self.label_height + self.gap_y),
        )

    def check(self) -> list[str]:
        """Sentences about measures that cannot be; none when all is well."""
        numbers = {
            field.name: getattr(self, field.name)
            for field in fields(self)
            if field.name not in ("title", "roll")
        }
        if not all(math.isfinite(number) for number in numbers.values()):
            return ["Every measure is a number."]
        found = [] if self.columns >= 1 and self.rows >= 1 else ["A sheet has at least one label."]
        if min(self.left, self.top, self.gap_x, self.gap_y) < 0:
            found.append("Edges and gaps are not less than nothing.")
        if max(self.page_width, self.page_height) > MOST:
            found.append(f"A page is at most {MOST:g} mm long.")
        found += self._check_label()
        if found:
            return found
        return self._check_room()

    def _check_label(self) -> list[str]:
        short, long = sorted((self.label_width, self.label_height))
        if short < LEAST_HEIGHT or long < LEAST_LENGTH:
            return [f"A label is at least {LEAST_HEIGHT:g} by {LEAST_LENGTH:g} mm."]
        return []

    def _check_room(self) -> list[str]:
        found = []
        for word, edge, used, page in (
            ("wide", self.left, self.used_width, self.page_width),
            ("high", self.top, self.used_height, self.page_height),
        ):
            over = edge + used - page
            if over > SLACK:
                found.append(
                    f"The labels do not fit on the page: edge and labels are {edge + used:.2f} mm "
                    f"{word}, the page {page:g} mm."
                )
        return found
